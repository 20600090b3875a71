"""A still picture of a bench, in HTML: what a reader sees where no widget lives."""

from __future__ import annotations

import re
from html import escape

from labkit.picture import img
from labkit.widgets.model import BenchModel

_STYLE = (
    ".labkit-lead-red{fill:#b3261e;stroke:#b3261e}"
    ".labkit-lead-black{fill:#22262b;stroke:#22262b}"
    "@media (prefers-color-scheme:dark){"
    ".labkit-lead-black{fill:#5b636d;stroke:#c3cad2}}"
)
_LINE = 18
_MOST = 8


def leads(model: BenchModel) -> str:
    """Draw the leads as SVG: red carries a round flag with R, black a square one with B."""
    made = []
    for lead, side in (("red", -1), ("black", 1)):
        place = model.place(getattr(model, lead))
        if place is None:
            continue
        x, y = place.x + side * 17, place.y - 19
        flag = (
            f'<circle cx="{x:g}" cy="{y:g}" r="8.5"/>'
            if lead == "red"
            else f'<rect x="{x - 8:g}" y="{y - 8:g}" width="16" height="16" rx="1.5"/>'
        )
        made.append(
            f'<g class="labkit-lead-{lead}" stroke-width="2.5">'
            f'<path d="M{place.x + side * 5:g} {place.y - 7:g}L{x:g} {y:g}" fill="none"/>{flag}'
            f'<text x="{x:g}" y="{y + 4:g}" text-anchor="middle" font-size="11" '
            f'font-weight="bold" fill="#ffffff" stroke="none">{lead[0].upper()}</text></g>'
        )
    return f"<style>{_STYLE}</style>" + "".join(made)


def bare(svg: str) -> str:
    """A drawing without the names of its nodes, one of which may be that of a hidden part."""
    return re.sub(r' data-node="[^"]*"', "", svg)


def picture(model: BenchModel) -> str:
    """The drawing with the leads on it, as SVG."""
    svg = bare(model.drawing.svg)
    return svg.removesuffix("</svg>") + leads(model) + "</svg>"


def still(model: BenchModel) -> str:
    """The drawing with the leads, and the last lines of the log below, as one picture."""
    drawing = model.drawing
    lines = [f"{line.number}. {line}" for line in model.lines[-_MOST:]]
    lines.append(f"{model.minutes} spent" if lines else "Run the notebook to work at this bench.")
    said = ". ".join((drawing.title, drawing.description.rstrip("."), *lines))
    return img(_sheet(model, lines), f"Bench: {said}", drawing.width)


def _sheet(model: BenchModel, lines: list[str]) -> str:
    drawing = model.drawing
    height = drawing.height + _LINE * (len(lines) + 1)
    text = "".join(
        f'<text x="12" y="{drawing.height + _LINE * (n + 1):g}">{escape(line)}</text>'
        for n, line in enumerate(lines)
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" class="labkit-drawing" '
        f'viewBox="0 0 {drawing.width:g} {height:g}" width="{drawing.width:g}" '
        f'height="{height:g}" font-family="Helvetica, Arial, sans-serif" font-size="13">'
        f'<rect class="paper" width="100%" height="100%" fill="#ffffff"/>'
        f'{picture(model)}<g class="words" fill="#1b1e23">{text}</g></svg>'
    )
