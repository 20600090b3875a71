"""The command that writes hunts as a page which runs by itself."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from labkit.cli.options import Overwrite
from labkit.cli.terminal import out, with_progress
from labkit.text.messages import counted


def register(app: typer.Typer) -> None:
    """Add the command to the program."""
    app.command()(page)


def page(
    target: Annotated[
        Path,
        typer.Argument(
            metavar="FOLDER|FILE.html",
            help="A folder for any web host, or one file that opens from the disk.",
        ),
    ],
    exercises: Annotated[
        list[Path] | None,
        typer.Option(
            "--exercises",
            metavar="FILE",
            help="Hunts, or folders of them; where left out the folder exercises, but for what it "
            "keeps for a final and a study. Repeatable.",
        ),
    ] = None,
    quick: Annotated[
        bool,
        typer.Option(
            "--quick", help="Without what takes minutes: the advised paths and how hard each is."
        ),
    ] = False,
    cache: Annotated[
        Path | None,
        typer.Option(metavar="FOLDER", help="Where what is fetched is kept between builds."),
    ] = None,
    overwrite: Overwrite = False,
) -> None:
    """Write practice hunts as a page for a browser.

    It needs no server and no installation. It runs in any browser of today, offline after the
    first visit; one file runs from a memory stick. What it needs (Python for browsers, 9 MB) is
    fetched once. The faults lie in the page: it is for practice, not for exams.

    Example: labkit page hunts.html --exercises exercises/slow-washdown.toml
    """
    from labkit.anywhere.build import build
    from labkit.anywhere.laid import chosen, laid_all
    from labkit.anywhere.runtime import default_cache

    kept = cache or default_cache()
    files = chosen(exercises or [Path("exercises")])
    hunts = laid_all(files, kept, not quick, lambda all: with_progress(list(all), "laying out"))
    written = build(target, hunts, kept, overwrite)
    size = sum(path.stat().st_size for path in written) / 1e6
    many = counted(len(hunts), "hunt")
    out.print(f"wrote {target}: {many}, {size:.1f} MB", soft_wrap=True)
