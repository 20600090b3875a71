"""The commands for a class: a hub on one machine, an assignment to hand out."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Annotated, Literal

import typer

from labkit.cli.options import Names, Overwrite
from labkit.cli.terminal import out
from labkit.text.messages import CircuitError


def register(app: typer.Typer) -> None:
    """Add the commands to the program."""
    app.command("class")(class_)
    app.command()(assignment)


def class_(
    folder: Annotated[
        Path | None,
        typer.Argument(metavar="FOLDER", help="Where records and the hub's own files are kept."),
    ] = None,
    group: Names = None,
    port: Annotated[
        int,
        typer.Option(
            metavar="NUMBER", help="The first of three ports in a row; with --exam, of four."
        ),
    ] = 8000,
    ip: Annotated[
        str,
        typer.Option(
            metavar="ADDRESS",
            help="Where it listens; others reach it only with --certificate and --key.",
        ),
    ] = "127.0.0.1",
    certificate: Annotated[
        str, typer.Option(metavar="FILE", help="The certificate for TLS, PEM.")
    ] = "",
    key: Annotated[str, typer.Option(metavar="FILE", help="Its key, PEM.")] = "",
    shared_password: Annotated[
        bool,
        typer.Option("--shared-password", help="One password for all, for a trial."),
    ] = False,
    hunts: Annotated[
        Literal["lessons", "all"],
        typer.Option(
            metavar="lessons|all",
            help="Which hunts are laid into each home; the others are yours to deal.",
        ),
    ] = "lessons",
    exam: Annotated[
        str,
        typer.Option(
            metavar="FOLDER", help="Hold an exam too, on what labkit deal --to wrote here."
        ),
    ] = "",
    print_config: Annotated[
        bool, typer.Option("--print-config", help="Print JupyterHub's configuration, and stop.")
    ] = False,
    config: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Start from a configuration printed before."),
    ] = None,
) -> None:
    """Open a class on this machine.

    Starts a JupyterHub: each learner logs in by a browser, under the name that --class gives, and
    finds the course in a folder of their own, where their work is never written over. Attempts are
    kept in FOLDER/records.

    As root, each learner needs an account of this machine and logs in by its password; nobody can
    read another's work. As another user it is a trial: all share your account and one password,
    and whoever can write Python can read and change everybody's work and records.

    Example: labkit class school --class names.txt --port 8000
    """
    from labkit.classroom.course import PARTS, source
    from labkit.classroom.plan import Plan, is_root
    from labkit.exercises.dealing import learners
    from labkit.text.files import write

    if config is not None:
        if folder is not None or group:
            raise CircuitError(["--config: the file says which class it is; leave the rest out"])
        _serve(config)
    if folder is None:
        raise CircuitError(["name a folder for the class's records, such as labkit class school"])
    root = is_root()
    plan = Plan(
        tuple(learners(group or [])),
        folder,
        own_accounts=root,
        shared_password=shared_password or not root,
        ip=ip,
        port=port,
        certificate=certificate,
        key=key,
        hunts=hunts,
        exam=exam,
    )
    if print_config:
        sys.stdout.write(plan.configuration)
        return
    plan.check()
    folders = plan.folders
    folders.make()
    written = folders.hub / "jupyterhub_config.py"
    write(written, plan.configuration)
    opens = f"The class opens at {plan.url} in some seconds; Ctrl+C here closes it."
    out.print(opens, soft_wrap=True)
    if plan.shared_password:
        out.print(f"Everybody's password, for a trial: {folders.password}", soft_wrap=True)
    if not root:
        out.print(
            "All learners share your account: whoever can write Python can read and change "
            "everybody's work. Start it as root, with an account for each, to keep them apart.",
            soft_wrap=True,
        )
    out.print(
        f"Marks: labkit marks {folders.records} --by-folder --exercises {source() / PARTS[1]}",
        soft_wrap=True,
    )
    _serve(written)


def assignment(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="An exercise.")],
    to: Annotated[
        Path, typer.Option("-o", "--to", metavar="NOTEBOOK", help="The notebook to write.")
    ],
    points: Annotated[
        float,
        typer.Option(min=0, metavar="NUMBER", help="Points for the hunt, given by the computer."),
    ] = 5.0,
    written: Annotated[
        float,
        typer.Option(min=0, metavar="NUMBER", help="Points for the written cause, given by you."),
    ] = 3.0,
    overwrite: Overwrite = False,
) -> None:
    """Write a hunt as an assignment for nbgrader.

    nbgrader hands it out, collects it and grades it. It is for homework, not for exams: whoever
    runs Python can look up what is wrong.

    Example: labkit assignment exercises/horn-mute.toml -o source/horn/horn.ipynb
    """
    from labkit.classroom.assignment import assignment as written_as
    from labkit.text.files import refuse_existing, write

    if to.suffix != ".ipynb":
        raise CircuitError([f"{to}: an assignment is a notebook; name it {to.stem}.ipynb"])
    refuse_existing([to], overwrite)
    write(to, written_as(file, points, written))
    out.print(f"wrote {to}", soft_wrap=True)


def _serve(config: Path) -> None:
    """Become the hub, so that what ends this program ends the hub."""
    from labkit.classroom.plan import missing

    if problems := missing():
        raise CircuitError(problems)
    if not config.is_file():
        raise CircuitError([f"{config}: no such file; labkit class --print-config prints one"])
    sys.stdout.flush()
    hub = [sys.executable, "-P", "-m", "labkit.classroom.serve_hub", "-f", str(config)]
    os.execv(sys.executable, hub)
