"""Figures: the staircase of voltage along a path, a reading as an interval.

Colours are those of Okabe and Ito, told apart with colour-blind eyes; each line also has a mark
and a stroke of its own.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from labkit.circuit import Circuit
from labkit.meter import Reading
from labkit.paths import path_through
from labkit.picture import img
from labkit.solver import solve

STYLES = (
    ("#0072B2", "o", "-"),
    ("#D55E00", "s", "--"),
    ("#009E73", "^", "-."),
    ("#CC79A7", "D", ":"),
    ("#000000", "v", "-"),
)
"""Colour, mark and stroke of each line in turn."""

_DPI = 110


@dataclass(frozen=True, repr=False)
class Chart:
    """A figure that says in words what it shows.

    Attributes
    ----------
    alt : str
        The figure in words and numbers; what is printed where pictures are not.
    paint : callable
        Draws on a matplotlib figure.
    size : tuple of float
        Width and height. [in]
    """

    alt: str
    paint: Callable[[Any], None]
    size: tuple[float, float] = (9.0, 4.2)

    def __repr__(self) -> str:
        return self.alt

    @cached_property
    def png(self) -> bytes:
        """The figure as a PNG image."""
        from matplotlib.backends.backend_agg import FigureCanvasAgg
        from matplotlib.figure import Figure

        figure = Figure(figsize=self.size, dpi=_DPI, layout="constrained")
        FigureCanvasAgg(figure)
        self.paint(figure)
        file = io.BytesIO()
        figure.savefig(file, format="png", metadata={"Software": None})
        return file.getvalue()

    @property
    def html(self) -> str:
        """The figure as HTML, its words with it."""
        return img(self.png, self.alt, self.size[0] * _DPI)

    def _repr_mimebundle_(self, **_: Any) -> dict[str, str]:
        return {"text/plain": self.alt, "text/html": self.html}


def staircase(cases: Mapping[str, Circuit], load: str) -> Chart:
    """Draw voltage to DC- at every point the current passes on its way through a load and back.

    Parameters
    ----------
    cases : mapping of str to Circuit
        What each line is called, and the circuit in that state; all of the same parts.
    load : str
        Id of the part the path goes through.

    Returns
    -------
    Chart
        A point without any path to DC- has no mark.
    """
    first = next(iter(cases.values()))
    steps = path_through(first, load)
    points = [steps[0].first, *(step.second for step in steps)]
    lines = {name: [solve(c).volts[p] for p in points] for name, c in cases.items()}
    names = [step.part for step in steps]
    described = "; ".join(
        f"{name}: " + ", ".join("none" if v is None else f"{v:.2f}" for v in volts)
        for name, volts in lines.items()
    )
    alt = f"Volts to DC- along {' '.join(names)}. {described}"

    def paint(figure: Any) -> None:
        axes = figure.subplots()
        weights = [1.0 - 0.55 * n / max(len(lines) - 1, 1) for n in range(len(lines))]
        for (name, volts), style, weight in zip(
            lines.items(), _styles(len(lines)), weights, strict=True
        ):
            _flight(axes, name, volts, style, weight)
        axes.set_xticks([n + 0.5 for n in range(len(names))], names)
        axes.tick_params(axis="x", length=0)
        for n in range(len(points)):
            axes.axvline(n, color="0.88", linewidth=0.8, zorder=0)
        axes.set_xlim(-0.4, len(names) + 0.4)
        axes.set_xlabel("parts in the order the current meets them; a mark is a test point")
        axes.set_ylabel("volts to DC-")
        axes.spines[["top", "right"]].set_visible(False)
        axes.legend(frameon=False, loc="lower left", bbox_to_anchor=(0.0, 1.0), ncols=2)

    return Chart(alt, paint)


def _styles(count: int) -> Sequence[tuple[str, str, str]]:
    return [STYLES[n % len(STYLES)] for n in range(count)]


def _flight(
    axes: Any, name: str, volts: Sequence[float | None], style: tuple[str, str, str], weight: float
) -> None:
    """One line: level at each test point, falling within each part.

    Later lines are lighter, so that one that lies upon another hides nothing.
    """
    color, mark, stroke = style
    x, y = [], []
    for n, v in enumerate(volts):
        value = float("nan") if v is None else v
        x += [n - 0.12, n + 0.12]
        y += [value, value]
    axes.plot(x, y, color=color, linestyle=stroke, linewidth=4 * weight)
    at = [n for n, v in enumerate(volts) if v is not None]
    marks = {"color": color, "marker": mark, "markersize": 11 * weight}
    axes.plot(at, [volts[n] for n in at], linestyle="none", **marks)
    axes.plot([], [], linestyle=stroke, linewidth=4 * weight, label=name, **marks)


def interval(readings: Mapping[str, Reading]) -> Chart:
    """Draw what readings allow, each an interval on a number line.

    Parameters
    ----------
    readings : mapping of str to Reading
        What each is called, and the reading; all in the same unit.
    """
    unit = next(iter(readings.values())).unit
    bars = {
        name: (r.low, r.high, r.value if r.value is not None else r.low)
        for name, r in readings.items()
    }
    described = "; ".join(
        f"{name}: shows {readings[name].display}, so between {low:.3f} and {high:.3f} {unit}"
        for name, (low, high, _) in bars.items()
    )

    def paint(figure: Any) -> None:
        axes = figure.subplots()
        for row, ((_, (low, high, value)), style) in enumerate(
            zip(bars.items(), _styles(len(bars)), strict=True)
        ):
            color, mark, _ = style
            axes.plot([low, high], [row, row], color=color, linewidth=6, alpha=0.35)
            axes.plot(
                [low, high], [row, row], color=color, linestyle="none", marker="|", markersize=16
            )
            axes.plot([value], [row], color=color, marker=mark, markersize=7)
        axes.set_yticks(range(len(bars)), [f"{n}: {readings[n].display}" for n in bars])
        axes.set_ylim(-0.7, len(bars) - 0.3)
        axes.invert_yaxis()
        axes.set_xlabel(unit)
        axes.spines[["top", "right", "left"]].set_visible(False)

    return Chart(
        f"What the meter's accuracy allows. {described}", paint, (9.0, 0.8 + 0.5 * len(bars))
    )
