"""A large boat at the bench, a sheet at a time: which is on the table, and which lie beside it."""

from __future__ import annotations

from collections.abc import Iterable

from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.drawing.sheets import Page, is_large, pages_of


class BySheet:
    """The sheets of a boat, one of them on the table.

    Parameters
    ----------
    circuit : Circuit
    about : str
        The load that is complained of; its sheet is the first to be seen.

    Attributes
    ----------
    pages : tuple of Page
    page : Page
        What is on the table.
    """

    def __init__(self, circuit: Circuit, about: str = "") -> None:
        self.pages = pages_of(circuit)
        self.page = self.pages[0]
        self.follow([about])

    def turn_to(self, number: int) -> bool:
        """Put a sheet on the table; False where there is none of that number."""
        found = 1 <= number <= len(self.pages)
        if found:
            self.page = self.pages[number - 1]
        return found

    def follow(self, things: Iterable[str]) -> None:
        """Put the sheet on the table on which something stands, unless one of them is on it."""
        for thing in things:
            holding = [page for page in self.pages if page.holds(thing)]
            if holding:
                self.page = self.page if self.page in holding else holding[0]
                return

    def number_of(self, thing: str) -> int:
        """The first sheet on which a part, terminal, node or run stands; 0 where none does."""
        return next((page.number for page in self.pages if page.holds(thing)), 0)

    @property
    def beside(self) -> list[tuple[tuple[str, ...], list[Page]]]:
        """The other sheets that share nodes with this one, by what they share; DC- joins all."""
        found: dict[tuple[str, ...], list[Page]] = {}
        for page in self.pages:
            shared = tuple(n for n in self.page.nodes if n in page.nodes and n != NEGATIVE)
            if shared and page is not self.page:
                found.setdefault(shared, []).append(page)
        return list(found.items())


def by_sheet(circuit: Circuit, about: str = "") -> BySheet | None:
    """Lay a boat out by sheets where she is too large for one drawing."""
    return BySheet(circuit, about) if is_large(circuit) else None
