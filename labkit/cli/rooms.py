"""The commands that stand in modules of their own, in the order in which help lists them."""

from __future__ import annotations

import typer

from labkit.cli import (
    boat,
    classroom,
    clock,
    desk,
    drawing,
    job,
    kinds,
    page,
    progress,
    referee,
    survey,
)


def register(app: typer.Typer) -> None:
    """Add them to the program."""
    of_boats = (clock, survey, boat, job)
    for room in (drawing, desk, classroom, referee, *of_boats, page, kinds, progress):
        room.register(app)
