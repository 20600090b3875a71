"""A drawing with a title above it and a table of words below, as one SVG."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate
from typing import NamedTuple
from xml.etree import ElementTree as ET

from labkit.drawing.drawing import Drawing
from labkit.drawing.render import number_text
from labkit.drawing.text import BODY, FONT_FAMILY, LINE, text_rise, text_width, wrap

WIDEST = 900.0
"""Of a table, as of a drawing. [px]"""

_MARGIN, _GUTTER, _PAD, _HEAD = 14.0, 16.0, 3.0, 34.0
_LEAST = 44.0  # narrowest column [px]
_INK, _PAPER = "#1b1e23", "#ffffff"


class Row(NamedTuple):
    """A line of a table: its cells, where it leads, and whether it heads those below it."""

    cells: tuple[str, ...]
    link: str = ""
    heads: bool = False


def under(drawing: Drawing, title: str, heads: Sequence[str], rows: Sequence[Row]) -> str:
    """Return a drawing with its title above and a table below.

    Parameters
    ----------
    drawing : Drawing
    title : str
    heads : sequence of str
        Over the columns; none where every row has but one cell.
    rows : sequence of Row
    """
    widths = _widths(heads, rows)
    wide = max(drawing.width, sum(widths) + _GUTTER * (len(widths) - 1) + 2 * _MARGIN)
    wide = max(wide, text_width(title, BODY + 3, bold=True) + 2 * _MARGIN)
    wide = max([wide, *(text_width(r.cells[0]) + 2 * _MARGIN for r in rows if len(r.cells) == 1)])
    words = ET.Element("g", {"class": "words", "fill": _INK})
    _text(words, title, _MARGIN, 22, BODY + 3, bold=True)
    top = _HEAD + drawing.height
    lines = [*([Row(tuple(heads), heads=True)] if heads else []), *rows]
    for row in lines:
        top = _line(words, row, top, widths, wide)
    height = top + _MARGIN
    return _framed(drawing, title, words, wide, height)


def _widths(heads: Sequence[str], rows: Sequence[Row]) -> list[float]:
    """Width of each column: what its longest cell asks for, less where all ask too much."""
    full = [row.cells for row in rows if len(row.cells) > 1] + [tuple(heads)] * bool(heads)
    if not full:
        return [_LEAST]
    asked = [
        max(_LEAST, max(text_width(cell, bold=True) for cell in column))
        for column in zip(*full, strict=True)
    ]
    room = WIDEST - 2 * _MARGIN - _GUTTER * (len(asked) - 1)
    while sum(asked) > room + 1:  # the widest gives way first
        widest = max(asked)
        asked[asked.index(widest)] = max(widest - 20, _LEAST)
    return asked


def _line(words: ET.Element, row: Row, top: float, widths: list[float], wide: float) -> float:
    """Write a row and return where the next begins. [px]"""
    into = words
    if row.link:
        into = ET.SubElement(words, "a", {"href": row.link})
    lefts = accumulate(widths, lambda left, width: left + width + _GUTTER, initial=_MARGIN)
    alone = len(row.cells) == 1
    most = 1
    for cell, left, width in zip(row.cells, lefts, widths, strict=False):
        lines = [cell] if alone else wrap(cell, width)
        most = max(most, len(lines))
        for n, line in enumerate(lines):
            down = top + _PAD + text_rise(BODY)[0] + n * LINE
            _text(into, line, left, down, BODY, bold=row.heads)
    bottom = top + 2 * _PAD + most * LINE
    ends = {"x1": number_text(_MARGIN), "x2": number_text(wide - _MARGIN)}
    y = number_text(bottom)
    rule = {"class": "ink", "stroke": _INK, "stroke-width": "1.2" if row.heads else "0.4"}
    ET.SubElement(words, "line", {**ends, "y1": y, "y2": y, **rule})
    return bottom


def _text(into: ET.Element, text: str, x: float, y: float, size: float, bold: bool = False) -> None:
    place = {"x": number_text(x), "y": number_text(y), "font-size": number_text(size)}
    ET.SubElement(into, "text", place | ({"font-weight": "bold"} if bold else {})).text = text


def _framed(drawing: Drawing, title: str, words: ET.Element, wide: float, height: float) -> str:
    """Put drawing and words on one page; the drawing brings its style sheet along."""
    inner = drawing.svg.replace("<svg ", f'<svg y="{number_text(_HEAD)}" ', 1)
    w, h = number_text(wide), number_text(height)
    page = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "class": "labkit-drawing",
            "role": "img",
            "viewBox": f"0 0 {w} {h}",
            "width": w,
            "height": h,
            "font-family": FONT_FAMILY,
            "font-size": number_text(BODY),
        },
    )
    ET.SubElement(page, "title").text = title
    ET.SubElement(page, "rect", {"class": "paper", "width": w, "height": h, "fill": _PAPER})
    ET.SubElement(page, "drawing")
    page.append(words)
    return ET.tostring(page, encoding="unicode").replace("<drawing />", inner)
