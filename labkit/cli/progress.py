"""The command that shows how a learner comes on."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from labkit.cli.terminal import out


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("progress")(progress)


def progress(
    name: Annotated[
        str, typer.Option("--name", metavar="NAME", help="The learner; you where left out.")
    ] = "",
    folder: Annotated[
        Path | None,
        typer.Option("--records", metavar="FOLDER", help="Where the attempts are kept."),
    ] = None,
) -> None:
    """Print the lessons and hunts you have done.

    With what each hunt cost, and which wrong ideas you met and mended.

    Example: labkit progress --name Ada
    """
    from labkit.hunts.progress import progress as of

    out.print(str(of(name, folder)), soft_wrap=True)
