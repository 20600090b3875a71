"""A strip chart: volts, amps, degrees, charge and water against time, events marked."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from labkit.clock.chronicle import Chronicle, Event, Moment, extremes, thinned
from labkit.clock.course import Course
from labkit.paper.charts import STYLES, Chart
from labkit.text.quantities import show

_UNITS = {"volts": "V", "amps": "A", "celsius": "C", "charge": "%"}
_TITLES = {"volts": "V", "amps": "A", "celsius": "°C", "charge": "charge, %", "litres": "water, l"}
_MOST_LINES = 5  # in one strip, as many as can be told apart
_MOST_MARKS = 12  # events named below the chart; beyond these they are only drawn
_CLOSE = 0.06  # of the width; events closer together share one label

_SAME = 0.01  # of the strip's height: lines closer than this lie on one another
Line = list[float | None]

_SCALES = ((120.0, 1.0, "s"), (7200.0, 60.0, "min"), (2 * 86400.0, 3600.0, "h"))


def chart(course: Course) -> Chart:
    """Draw what happened in a course, as :func:`labkit.clock.playing.play` gives it."""
    return strip_chart(course.chronicle)


def strip_chart(chronicle: Chronicle) -> Chart:
    """Draw what a course recorded.

    Parameters
    ----------
    chronicle : Chronicle
        Of a course; a strip for each kind of series it keeps, at most five lines in each.
    """
    moments = thinned(chronicle.moments)
    strips = [kind for kind in _UNITS if getattr(chronicle.wanted, kind)]
    if any(m.litres is not None for m in moments):
        strips.append("litres")
    size = (9.0, 1.2 + 1.7 * max(len(strips), 1) + 0.18 * len(_marked(chronicle)))
    return Chart(
        _said(chronicle, moments), lambda fig: _paint(fig, chronicle, moments, strips), size
    )


def _lines(chronicle: Chronicle, moments: Sequence[Moment], kind: str) -> list[tuple[str, Line]]:
    if kind == "litres":
        return [("bilge", [m.litres for m in moments])]
    scale = 100.0 if kind == "charge" else 1.0
    found = []
    for place, name in enumerate(getattr(chronicle.wanted, kind)):
        values = [getattr(m, kind)[place] for m in moments]
        found.append((name, [None if v is None else scale * v for v in values]))
    return _apart(sorted(found, key=lambda line: -_span(line[1])))[:_MOST_LINES]


def _apart(lines: list[tuple[str, Line]]) -> list[tuple[str, Line]]:
    """Draw lines that lie on one another once, by all their names."""
    whole = max((_span(values) for _, values in lines), default=0.0)
    drawn: list[tuple[list[str], Line]] = []
    for name, values in lines:
        same = next((d for d in drawn if _alike(d[1], values, _SAME * whole)), None)
        if same is not None:
            same[0].append(name)
        else:
            drawn.append(([name], values))
    return [(_named(names), values) for names, values in drawn]


def _alike(one: Line, other: Line, most: float) -> bool:
    return all(
        (a is None) == (b is None) and abs((a or 0.0) - (b or 0.0)) <= most
        for a, b in zip(one, other, strict=True)
    )


def _named(names: list[str]) -> str:
    return ", ".join(names[:2]) + (f" and {len(names) - 2} more" if len(names) > 2 else "")


def _span(values: Sequence[float | None]) -> float:
    ends = extremes(values)
    return ends[1] - ends[0] if ends else 0.0


def _paint(
    figure: Any, chronicle: Chronicle, moments: Sequence[Moment], strips: Sequence[str]
) -> None:
    end = moments[-1].seconds if moments else 0.0
    unit, name = next(((s, n) for most, s, n in _SCALES if end <= most), (86400.0, "d"))
    axes = figure.subplots(max(len(strips), 1), 1, sharex=True, squeeze=False)[:, 0]
    for ax, kind in zip(axes, strips, strict=False):
        times = [m.seconds / unit for m in moments]
        for (label, values), (colour, _, stroke) in zip(
            _lines(chronicle, moments, kind), STYLES, strict=False
        ):
            held = [float("nan") if v is None else v for v in values]
            ax.plot(times, held, color=colour, linestyle=stroke, label=label, linewidth=1.4)
        for event in chronicle.events:
            ax.axvline(event.seconds / unit, color="#666666", linewidth=0.6, linestyle=":")
        ax.set_ylabel(_TITLES[kind])
        ax.legend(loc="upper left", bbox_to_anchor=(1.0, 1.0), fontsize=8, frameon=False)
    axes[-1].set_xlabel(f"time, {name}")
    _number(axes[0], chronicle, unit, end)
    told = [f"{n} {event.text}" for n, event in enumerate(_marked(chronicle), 1)]
    axes[-1].text(
        0.0,
        -0.42,
        "\n".join(told),
        fontsize=8,
        va="top",
        linespacing=1.5,
        transform=axes[-1].transAxes,
    )


def _marked(chronicle: Chronicle) -> list[Event]:
    """Events that are named, in their order."""
    return sorted(chronicle.events, key=lambda event: event.seconds)[:_MOST_MARKS]


def _number(ax: Any, chronicle: Chronicle, unit: float, end: float) -> None:
    """Number the events above the uppermost strip; those that lie close together as '2 to 5'."""
    groups: list[list[int]] = []
    marked = _marked(chronicle)
    for n, event in enumerate(marked, 1):
        first = marked[groups[-1][0] - 1].seconds if groups else -end
        if groups and event.seconds - first < _CLOSE * end:
            groups[-1].append(n)
        else:
            groups.append([n])
    for group in groups:
        label = f"{group[0]} to {group[-1]}" if len(group) > 1 else str(group[0])
        ax.text(
            marked[group[0] - 1].seconds / unit,
            1.02,
            label,
            fontsize=8,
            ha="left",
            transform=ax.get_xaxis_transform(),
        )


def _said(chronicle: Chronicle, moments: Sequence[Moment]) -> str:
    """The chart in words: from where to where each line goes, and what happened."""
    if not moments:
        return "Strip chart of nothing."
    told = []
    for kind, unit in _UNITS.items():
        for name, values in _lines(chronicle, moments, kind):
            ends = extremes(values)
            if ends is not None:
                low, high = (show(v, unit, 3) for v in ends)
                told.append(f"{name} {low} to {high}" if low != high else f"{name} {low}")
    marks = [f"at {show(e.seconds, 's', 3)} {e.text}" for e in _marked(chronicle)]
    rest = len(chronicle.events) - len(marks)
    more = f" And {rest} more events." if rest else ""
    lasts = show(moments[-1].seconds, "s", 3)
    return f"Strip chart over {lasts}: {'; '.join(told)}. {' '.join(marks)}{more}".strip()
