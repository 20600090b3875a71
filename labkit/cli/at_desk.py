"""The instructor's desk in a notebook: its buttons run the commands."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from textwrap import fill
from typing import TYPE_CHECKING

import typer

from labkit.cli.main import app
from labkit.cli.terminal import out
from labkit.text.messages import CircuitError, NoConvergenceError

if TYPE_CHECKING:
    from labkit.widgets.desk_card import DeskCard


def desk_in(folder: str | Path = "my-desk") -> DeskCard:
    """Work at the instructor's desk, on a folder of your own.

    Parameters
    ----------
    folder : str or Path
        With circuits and exercises; made when something is first written to it.
    """
    from labkit.classroom.course import PARTS, source
    from labkit.widgets.desk_card import DeskCard

    return DeskCard(folder, printed, source() / PARTS[1])


def printed(words: Sequence[str]) -> str:
    """Run a command and return what a terminal would show.

    Parameters
    ----------
    words : sequence of str
        Without the program's own name: ["check", "exercises"].
    """
    problems: list[str] = []
    with out.capture() as shown:
        try:
            app(list(words), standalone_mode=False)
        except CircuitError as error:
            problems = error.problems
        except NoConvergenceError as error:
            problems = [str(error)]
        except typer.Exit:
            pass
    lines = [
        fill(one, out.width, break_long_words=False, break_on_hyphens=False) for one in problems
    ]
    return "\n".join([shown.get().rstrip(), *lines]).strip("\n")
