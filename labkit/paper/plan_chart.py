"""A whole plan as a figure: what to measure, and what each outcome asks for next or leaves."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from textwrap import wrap
from types import MappingProxyType
from typing import Any

from labkit.circuits.circuit import Circuit
from labkit.diagnosis.planning import Node
from labkit.paper.charts import STYLES, Chart

_WIDE = 9.0  # inches, of the figure
_BARS = 7.1  # where the bars of what is left begin [in]
_FULL = 0.7  # length of the bar of what is certain [in]
_STEP = 0.3  # to the right from a place to what follows it [in]
_LINE = 0.2  # from one line of text to the next [in]
_LETTER = 0.078  # room for a letter, on average [in]


@dataclass(frozen=True)
class _Place:
    """A place in a plan as it is drawn: its lines of text, and where they stand."""

    node: Node
    depth: int
    minutes: float
    lines: list[str]
    top: float
    parent: _Place | None

    @property
    def x(self) -> float:
        return 0.15 + _STEP * self.depth

    @property
    def y(self) -> float:
        return self.top + _LINE / 2

    @property
    def below(self) -> float:
        return self.top + _LINE * len(self.lines) + 0.06


def plan_chart(tree: Node, circuit: Circuit) -> Chart:
    """Draw a plan as a tree, with how often the search ends at each of its ends, and when.

    Parameters
    ----------
    tree : Node
        As :func:`labkit.diagnosis.planning` makes it.
    circuit : Circuit
        Whose plan it is; points bear the numbers of its drawing.
    """
    places = list(_laid_out(tree, circuit))
    high = places[-1].below + 0.1

    def paint(figure: Any) -> None:
        figure.set_layout_engine("none")  # an inch of the axes is one of the figure
        axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
        axes.set_axis_off()
        axes.set_xlim(0.0, _WIDE)
        axes.set_ylim(high - 0.1, -0.1)
        if tree.branches:
            head = "how often, and when"
            axes.text(_BARS, places[0].y, head, fontsize=9, color="0.35", va="center")
        for place in places:
            _draw(axes, place)

    words = tree.text().strip().translate(dict.fromkeys(map(ord, "│├└─"), " "))  # to be read aloud
    return Chart(words, paint, (_WIDE, high))


def _laid_out(
    node: Node, circuit: Circuit, parent: _Place | None = None, seen: str = "", top: float = 0.0,
    before: Mapping[str, str] = MappingProxyType({}),
) -> Iterator[_Place]:  # fmt: skip  # rows that a reader compares
    """Places from the top down, each with all that follows it before its neighbour."""
    depth, minutes = (parent.depth + 1, parent.minutes) if parent else (0, 0.0)
    text = f"{seen}: {node.does(before, circuit)}" if seen else node.does(before, circuit)
    room = int((_BARS - 0.45 - _STEP * depth) / _LETTER)
    place = _Place(node, depth, minutes + node.minutes, wrap(text, room), top, parent)
    yield place
    below = place.below
    now = node.measurement.positions if node.measurement else before
    for word, branch in node.branches:
        for next_ in _laid_out(branch, circuit, place, word, below, now):
            yield next_
            below = next_.below


def _draw(axes: Any, place: _Place) -> None:
    end = not place.node.branches
    color, mark, _ = STYLES[1] if end else STYLES[0]
    if place.parent:
        down, across = (place.parent.x, place.parent.x, place.x), (place.parent.y, place.y, place.y)
        axes.plot(down, across, color="0.6", linewidth=1.1, zorder=1)
    axes.plot([place.x], [place.y], color=color, marker=mark, markersize=7, zorder=2)
    for n, line in enumerate(place.lines):
        axes.text(
            place.x + 0.14,
            place.y + n * _LINE,
            line,
            va="center",
            fontsize=9,
            fontweight="bold" if end else "normal",
        )
    if end:
        long = _FULL * place.node.chance
        axes.barh(place.y, long, 0.13, left=_BARS, color=color)
        when = f"{place.node.often}, {place.minutes:.0f} min"
        axes.text(_BARS + long + 0.06, place.y, when, va="center", fontsize=9)
