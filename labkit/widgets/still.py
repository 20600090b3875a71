"""A still picture of a bench, in HTML: what a reader sees where no widget lives."""

from __future__ import annotations

import math
import re
from html import escape

from labkit.drawing.content import DOT
from labkit.text.picture import img
from labkit.widgets.model import BenchModel

_STYLE = (
    ".labkit-lead-red{fill:#b3261e;stroke:#b3261e}"
    ".labkit-lead-black{fill:#22262b;stroke:#22262b}"
    ".labkit-lead-clip{fill:#1f5f3f;stroke:#1f5f3f}"
    "@media (prefers-color-scheme:dark){"
    ".labkit-lead-black,.labkit-lead-clip{fill:#5b636d;stroke:#c3cad2}}"
)
_SHAPES = {
    "red": '<circle r="8.5"/>',
    "black": '<rect x="-8" y="-8" width="16" height="16" rx="1.5"/>',
    "clip": '<path d="M-8.5 0L-4.5-8H4.5L8.5 0L4.5 8H-4.5Z"/>',
}
_LINE = 18
_MOST = 8


def leads(model: BenchModel) -> str:
    """Draw the leads as SVG, each with a flag: R round, B square, one end of a clip six-sided."""
    held = model.held
    flags = model.drawing.flags([(tip.x, tip.y) for _, tip in held])
    made = []
    for (what, tip), (x, y) in zip(held, flags, strict=True):
        kind = what if what in _SHAPES else "clip"
        letter = "L" if what == "test lamp" else what[0].upper()
        far = math.dist((x, y), (tip.x, tip.y)) or 1.0
        rim = tip.x + (x - tip.x) * DOT / far, tip.y + (y - tip.y) * DOT / far
        made.append(
            f'<g class="labkit-lead-{kind}" stroke-width="2.5">'
            f'<path d="M{rim[0]:.1f} {rim[1]:.1f}L{x:.1f} {y:.1f}" fill="none"/>'
            f'<g transform="translate({x:.1f} {y:.1f})">{_SHAPES[kind]}'
            f'<text y="4" text-anchor="middle" font-size="11" font-weight="bold" fill="#ffffff" '
            f'stroke="none">{letter}</text></g></g>'
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
