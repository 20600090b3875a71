"""Where commands print: a terminal, or the output of a notebook's cell, plain there."""

from __future__ import annotations

import io
import sys
from collections.abc import Iterable, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Any, TypeVar, cast

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

_Item = TypeVar("_Item")

_NOTEBOOK = "ipykernel" in sys.modules

PLAIN: dict[str, Any] = {"highlight": False, "markup": False, "emoji": False}
"""A title such as "[/b] :boom:" is printed as it is."""


class _Lazy:
    """A console made when something is first printed, since rich takes a while to load."""

    def __init__(self, **options: Any) -> None:
        self._options = {**PLAIN, **options}

    @cached_property
    def _console(self) -> Console:
        from rich.console import Console

        return Console(**self._options)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._console, name)


_IN_NOTEBOOK = {"force_jupyter": False, "force_terminal": False, "width": 96}

out = cast("Console", _Lazy(**_IN_NOTEBOOK) if _NOTEBOOK else _Lazy())
"""For what was asked for."""

busy = cast(
    "Console",
    _Lazy(stderr=True, force_jupyter=False, force_terminal=False if _NOTEBOOK else None),
)
"""For progress, which nobody keeps."""


def new_table(title: str) -> Table:
    """Return a table to fill, its title at the left."""
    from rich.table import Table

    return Table(title=title, title_justify="left")


def listed(heading: str, lines: Sequence[str]) -> None:
    """Print a heading and what stands under it, if anything does."""
    if lines:
        out.print(heading, style="bold")
        for line in lines:
            out.print(f"  - {line}")


def with_progress(items: Sequence[_Item], doing: str) -> Iterable[_Item]:
    """Go through items; where somebody watches, with a bar that says how far it is."""
    if not busy.is_terminal:
        return items
    from rich.progress import track

    console = cast("_Lazy", busy)._console  # a bar enters the console, which a stand-in cannot do
    return track(items, doing, console=console, transient=True)


def forgive() -> None:
    """Let a terminal of few letters print a question mark for what it lacks, such as Ω."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
