"""The drawing before a person at a bench: made anew only when what it shows has changed."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

from labkit.aboard.bench import Bench
from labkit.circuits.circuit import Circuit
from labkit.drawing import WIDEST, Drawing, draw
from labkit.drawing.drawing import extent
from labkit.drawing.sheets import Page
from labkit.widgets.by_sheet import BySheet

NARROW = 400.0
"""Width at which a drawing is wrapped for a narrow page. [px]"""

WIDER = (1100.0, 1300.0)
"""Widths tried for a bench whose drawing would be too small to read in its window. [px]"""

WINDOW = (828.0, 480.0)
"""What a page 1300 px wide leaves a bench's drawing, and its height at most. [px]"""

SMALL = 0.6
"""Zoom below which the names in a drawing are hard to read. Chosen by eye."""


def widest_of(circuit: Circuit) -> float:
    """Width at which to wrap a bench's drawing, so that all of it is as large as can be. [px]"""

    def zoom(widest: float) -> float:
        width, height = extent(circuit, widest)
        return min(WINDOW[0] / width, WINDOW[1] / height)

    return WIDEST if zoom(WIDEST) >= SMALL else max((WIDEST, *WIDER), key=zoom)


class BenchDrawing:
    """The drawing of a bench, or the sheet of a large boat that is open.

    Attributes
    ----------
    sheets : BySheet or None
        Of a boat too large for one drawing.
    narrow : bool
        The page is so narrow that the drawing is wrapped for it.
    """

    def __init__(self, bench: Bench, sheets: BySheet | None) -> None:
        self._bench, self.sheets = bench, sheets
        self.narrow = False
        self._drawn: tuple[object, Drawing] | None = None

    @cached_property
    def _wide(self) -> float:
        """Width at which rows are wrapped: chosen once, since nothing may move later. [px]"""
        return WIDEST if self.sheets else widest_of(self._bench.drawn)

    def drawing(self, seen: Circuit, does: Mapping[str, str]) -> Drawing:
        """Draw the circuit as seen, and what its loads were seen to do."""
        bench = self._bench
        page = self.sheets.page if self.sheets else None
        widest = NARROW if self.narrow else self._wide
        bridges = tuple((b.id, b.first, b.second) for b in seen.bridges)
        state = (
            tuple(seen.positions.items()),
            seen.parted,
            bridges,
            frozenset(bench.seen_open),
            frozenset(bench.pulled),
            frozenset(bench.traced),
            tuple(does.items()),
            widest,
            page and page.number,
        )
        if self._drawn is None or self._drawn[0] != state:
            self._drawn = (state, drawing_of(bench, does, widest, page))
        return self._drawn[1]


def drawing_of(
    bench: Bench, does: Mapping[str, str], widest: float = WIDEST, page: Page | None = None
) -> Drawing:
    """Draw what the person at the bench has seen: no faults, and hidden parts only once traced.

    `does` is what loads were seen to do, `page` the sheet of a large boat; rows are wrapped at
    `widest`. [px]
    """
    gone = [f"{id} missing" for id in sorted(bench.pulled)]
    gone += [f"{id} blown" for id in sorted(bench.seen_open)]
    circuit = bench.drawn.with_fault(*gone) if gone else bench.drawn
    pulled, traced = set(bench.pulled), set(bench.traced)
    if page:
        circuit = page.of(circuit)
        pulled, traced = pulled & page.parts, traced & {run.name for run in page.runs}
    return draw(circuit, seen=pulled, traced=traced, does=does, widest=widest)
