"""Figures: the staircase of voltage along a path, a reading as an interval, what readings leave.

Colours are those of Okabe and Ito, told apart with colour-blind eyes; each line also has a mark
and a stroke of its own.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from labkit.circuits.circuit import Circuit
from labkit.circuits.paths import path_through
from labkit.diagnosis.faults import describe
from labkit.diagnosis.phrases import seen_text
from labkit.diagnosis.session import Diagnosis
from labkit.measuring.meter import Reading
from labkit.solving.solver import solve
from labkit.text.picture import img

STYLES = (
    ("#0072B2", "o", "-"),
    ("#D55E00", "s", "--"),
    ("#009E73", "^", "-."),
    ("#000000", "D", ":"),
    ("#CC79A7", "v", "-"),
)
"""Colour, mark and stroke of each line in turn."""

_DPI = 110
_STYLE = (
    "<style>svg{color:#1b1e23}text{fill:currentColor}"
    "@media (prefers-color-scheme:dark){svg{color:#e4e7eb}}</style>"
)
"""A page in a dark theme says so to the pictures on it."""


def _themed(svg: str) -> str:
    """Ink in the colour of the page's own: black is that, and greys are that, fainter."""
    svg = svg.replace("#000000", "currentColor")
    for grey, share in _GREYS.items():
        for ink in ("stroke", "fill"):
            svg = svg.replace(f"{ink}: {grey}", f"{ink}: currentColor; {ink}-opacity: {share}")
    return re.sub(r"(<svg [^>]*>)", rf"\1{_STYLE}", svg, count=1)


_GREYS = {"#595959": 0.75, "#666666": 0.6, "#b0b0b0": 0.4, "#cccccc": 0.35, "#e0e0e0": 0.25}
"""Lines and figures of these colours, and how strong they are in the page's."""


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

    @cached_property
    def svg(self) -> str:
        """The figure as SVG without a ground, its ink light on a dark page."""
        import matplotlib
        from matplotlib.backends.backend_svg import FigureCanvasSVG
        from matplotlib.figure import Figure

        with matplotlib.rc_context({"svg.fonttype": "none", "svg.hashsalt": "labkit"}):
            figure = Figure(figsize=self.size, layout="constrained")
            FigureCanvasSVG(figure)
            self.paint(figure)
            for ground in (figure.patch, *(axes.patch for axes in figure.axes)):
                ground.set_alpha(0)
            file = io.StringIO()
            figure.savefig(file, format="svg", metadata={"Date": None, "Creator": None})
        text = file.getvalue()
        return _themed(text[text.index("<svg") :])

    @property
    def html(self) -> str:
        """The figure as HTML, its words with it."""
        return img(self.svg, self.alt, self.size[0] * _DPI, packed=True)

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
        numbers = {point.node: point.number for point in first.test_points}
        axes.set_xticks(range(len(points)), [numbers[first.node_of[p]] for p in points])
        axes.set_xticks([n + 0.5 for n in range(len(names))], names, minor=True)
        axes.tick_params(axis="x", which="both", length=0)
        axes.tick_params(axis="x", which="major", labelcolor="0.35", labelsize=9)
        axes.tick_params(axis="x", which="minor", pad=18)
        for n in range(len(points)):
            axes.axvline(n, color="0.88", linewidth=0.8, zorder=0)
        axes.set_xlim(-0.4, len(names) + 0.4)
        axes.set_xlabel("test points by number, and the parts as the current meets them")
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
        axes.tick_params(axis="y", length=0)
        axes.set_xlabel(unit)
        axes.spines[["top", "right", "left"]].set_visible(False)

    return Chart(
        f"What the meter's accuracy allows. {described}", paint, (9.0, 0.8 + 0.5 * len(bars))
    )


@dataclass(frozen=True)
class _Suspect:
    """A row of the list: what it is called, its share of belief before and now, what struck it."""

    says: str
    before: float
    now: float
    by: int = 0


def remains(diagnosis: Diagnosis, most: int = 8) -> Chart:
    """Draw what the evidence so far leaves of a list of suspects, and what struck out the others.

    Parameters
    ----------
    diagnosis : Diagnosis
    most : int
        So many are named of those that are left, and of those each piece of evidence struck out;
        the others are counted.

    Returns
    -------
    Chart
        A full bar is the share of belief now; a hollow one, what it was before any evidence.
    """
    fallen = {name: number + 1 for name, number in diagnosis.fallen().items()}
    rows, struck = [], []
    for by in range(len(diagnosis.steps) + 1):  # 0 for what nothing struck out
        names = [name for name in diagnosis.by_name if fallen.get(name, 0) == by]
        found = [_suspect(diagnosis, name, by) for name in names]
        found.sort(key=lambda s: -round(s.before if by else s.now, 9))
        rows += found[:most] + _others(found[most:], by)
        struck.append(len(found))
    seen = [
        f"{n}. {seen_text(step.evidence, diagnosis.circuit)}: strikes out {struck[n] or 'nothing'}"
        for n, step in enumerate(diagnosis.steps, 1)
    ]
    left = [f"{row.says}, {100 * row.now:.0f} %" for row in rows if not row.by]
    gone = [f"{row.says}, by no. {row.by}" for row in rows if row.by]
    alt = (
        f"What is left of {sum(struck)} suspects. {'. '.join(seen) or 'Nothing seen yet'}. "
        f"Left: {'; '.join(left) or 'none'}. Struck out: {'; '.join(gone) or 'none'}."
    )
    return Chart(
        alt,
        lambda figure: _list(figure.subplots(), rows, seen),
        (9.0, 0.7 + 0.24 * len(rows) + 0.2 * len(seen)),
    )


def _suspect(diagnosis: Diagnosis, name: str, by: int) -> _Suspect:
    known = diagnosis.known
    candidate = known.rows[diagnosis.likeliest(name)].candidate
    bare = replace(candidate, faults=tuple(replace(f, amount="") for f in candidate.faults))
    before = float(known.prior[known.name_of == known.names.index(name)].sum())
    return _Suspect(describe(bare, diagnosis.circuit), before, diagnosis.by_name[name], by)


def _others(rest: Sequence[_Suspect], by: int) -> list[_Suspect]:
    """One row for those that are not named."""
    if not rest:
        return []
    shares = sum(s.before for s in rest), sum(s.now for s in rest)
    return [_Suspect(f"{len(rest)} other{'s' if len(rest) > 1 else ''}", *shares, by)]


def _list(axes: Any, rows: Sequence[_Suspect], seen: Sequence[str]) -> None:
    """Bars from the top down: those left, then those struck out, each with a cross."""
    full, crossed = STYLES[0][0], STYLES[1][0]
    for n, row in enumerate(rows):
        axes.barh(n, row.before, 0.72, fill=False, edgecolor="0.45", linestyle="--", linewidth=0.9)
        axes.barh(n, 0.0 if row.by else row.now, 0.5, color=full)
        if row.by:
            axes.plot([0.018], [n], color=crossed, marker="x", markersize=8, markeredgewidth=2.5)
        said = f"struck out by no. {row.by}" if row.by else f"{100 * row.now:.0f} %"
        end = max(row.before, 0.03) if row.by else max(row.before, row.now)
        axes.text(end + 0.015, n, said, va="center")
    axes.set_yticks(range(len(rows)), [row.says for row in rows])
    for label, row in zip(axes.get_yticklabels(), rows, strict=True):
        label.set_color("0.35" if row.by else "black")
    axes.tick_params(axis="y", length=0)
    axes.set_xlim(0.0, 1.12)
    axes.set_ylim(len(rows) - 0.4, -0.6)
    axes.set_xticks([0.0, 0.5, 1.0], ["0", "50 %", "100 %"])
    axes.set_xlabel("share of belief: full, now; dashed, before anything was seen")
    axes.set_title("\n".join(seen), loc="left", fontsize=10, x=0.0)
    axes.spines[["top", "right"]].set_visible(False)
