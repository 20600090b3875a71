"""How wide a text is, and how it breaks into lines.

Nobody knows which font a browser will take, so the widths are those of DejaVu Sans, the widest of
the common sans-serif fonts, rounded up to a twentieth of an em (measured from the font's own
tables). A text laid out by them fits in any of the others.
"""

from __future__ import annotations

from functools import cache

FONT_FAMILY = "Helvetica, Arial, 'Liberation Sans', 'DejaVu Sans', sans-serif"

BODY = 12.0
"""Size of labels. [px]"""
SMALL = 11.0
"""Size of numbers at terminals and test points, the smallest used. [px]"""
LINE = 14.0
"""From one line of a label to the next. [px]"""

_ASCENT, _DESCENT = 0.93, 0.24
_BOLD = 1.27
_WIDTHS = {
    0.30: "\"'IJijl",
    0.35: " ,./:;\\|·",
    0.40: "()-[]ft",
    0.45: "!r²",
    0.50: '"*_`°–',
    0.55: "?csz",
    0.60: "FLkvxy",
    0.65: "$0123456789EPSTYabdeghnopqu{}µ",
    0.70: "ABCKRVXZ",
    0.75: "NU",
    0.80: "&DGHOQΩ",
    0.85: "#+<=>^w~−×±",
    0.90: "M",
}
_WIDTH_OF = {letter: width for width, letters in _WIDTHS.items() for letter in letters}
_WIDEST = 1.1


@cache
def text_width(text: str, size: float = BODY, bold: bool = False) -> float:
    """Width no common sans-serif font will exceed. [px]"""
    ems = sum(_WIDTH_OF.get(letter, _WIDEST) for letter in text)
    return ems * size * (_BOLD if bold else 1.0)


def text_rise(size: float = BODY) -> tuple[float, float]:
    """How far a line of text reaches above and below its baseline. [px]"""
    return _ASCENT * size, _DESCENT * size


def wrap(text: str, width: float, size: float = BODY) -> list[str]:
    """Break a text at its spaces into lines of at most `width` px.

    A word that is too long for a line keeps its line to itself; the caller makes room for it.
    """
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, size) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return _evened(lines, text, size)


def _evened(lines: list[str], text: str, size: float) -> list[str]:
    """Break again into as many lines, as narrow as they go: even lines read better."""
    if len(lines) < 2:
        return lines
    widest = max(text_width(line, size) for line in lines)
    limit = max(text_width(word, size) for word in text.split())
    while limit < widest:
        tried: list[str] = []
        for word in text.split():
            longer = f"{tried[-1]} {word}" if tried else word
            if tried and text_width(longer, size) <= limit:
                tried[-1] = longer
            else:
                tried.append(word)
        if len(tried) == len(lines):
            return tried
        limit += size / 4
    return lines
