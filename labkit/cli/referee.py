"""The command that holds an exam."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated
from urllib.parse import urlparse

import typer

from labkit.cli.terminal import out
from labkit.text.messages import CircuitError


def register(app: typer.Typer) -> None:
    """Add the command to the program."""
    app.command()(referee)


def referee(
    folder: Annotated[
        Path, typer.Argument(metavar="FOLDER", help="A folder that labkit deal --to wrote.")
    ],
    port: Annotated[int, typer.Option(metavar="NUMBER", help="Where to listen.")] = 8765,
    host: Annotated[
        str, typer.Option(metavar="NAME", help="Who may ask: 127.0.0.1 is this machine alone.")
    ] = "127.0.0.1",
) -> None:
    """Hold an exam: keep the faulty boats.

    A learner's kernel sends acts and gets what an eye or a meter would have seen. Attempts are kept
    in the folder's records, for labkit marks. Started by a hub, it listens where the hub says and
    knows the hub's users. Otherwise each learner has a token; on a network that strangers can
    listen to, put a proxy with TLS before it.

    Example: labkit referee dealt
    """
    import asyncio

    from tornado.httpserver import HTTPServer

    from labkit.referee.held import make_private
    from labkit.referee.service import (
        LARGEST_ASK,
        TOKENS,
        OwnTokens,
        Referee,
        application,
        hub_gate,
    )

    if not folder.is_dir():
        raise CircuitError([f"{folder}: no such folder; name one that labkit deal --to wrote"])
    make_private()
    held = Referee(folder)
    hub = hub_gate()
    prefix = os.environ.get("JUPYTERHUB_SERVICE_PREFIX", "/") if hub else "/"
    at = urlparse(os.environ.get("JUPYTERHUB_SERVICE_URL", "")) if hub else urlparse("")
    where = at.hostname or host, at.port or port
    if hub is None:
        out.print(f"Tokens of {len(held.learners)} learners: {folder / TOKENS}", soft_wrap=True)
    gate = hub or OwnTokens(folder / TOKENS, held.learners)

    async def serve() -> None:
        server = HTTPServer(application(held, gate, prefix), max_body_size=2 * LARGEST_ASK)
        try:
            server.listen(where[1], where[0])
        except OSError as error:
            raise CircuitError(
                [f"{where[0]}, port {where[1]}: {error.strerror}; choose another with --port"]
            ) from None
        out.print(f"The referee listens at http://{where[0]}:{where[1]}{prefix}", soft_wrap=True)
        await asyncio.Event().wait()

    try:
        asyncio.run(serve())
    except KeyboardInterrupt:
        out.print("The exam is stopped; started again, it goes on.")
