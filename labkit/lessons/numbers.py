"""Where each number of a lesson's prose comes from: a boat, a reckoning, or a source it names.

A number with a unit is accounted for where the lesson computes it somewhere, where it is a value
of its boats, and where `figures`, `reckoned` or `sources` name it. Wrong choices of a question are
set aside, and so are questions for thinking without a computer: what they suppose is given.
"""

from __future__ import annotations

import ast
import json
import operator
import re
from collections.abc import Callable, Iterable, Iterator
from typing import Any, NamedTuple

from labkit.lessons.lesson import Lesson
from labkit.lessons.words import measured
from labkit.questions import Predict
from labkit.text.messages import CircuitError

_UNITS: dict[str, tuple[str, float]] = {
    "mV": ("V", 1e-3), "V": ("V", 1), "volt": ("V", 1), "volts": ("V", 1), "VDC": ("V", 1),
    "millivolts": ("V", 1e-3), "mA": ("A", 1e-3), "A": ("A", 1), "ampere": ("A", 1),
    "amperes": ("A", 1), "amps": ("A", 1), "milliamperes": ("A", 1e-3), "Ah": ("Ah", 1),
    "ampere-hours": ("Ah", 1), "mW": ("W", 1e-3), "W": ("W", 1), "kW": ("W", 1e3),
    "watt": ("W", 1), "watts": ("W", 1), "mohm": ("ohm", 1e-3), "ohm": ("ohm", 1),
    "ohms": ("ohm", 1), "kohm": ("ohm", 1e3), "Mohm": ("ohm", 1e6), "megohm": ("ohm", 1e6),
    "thousandths of an ohm": ("ohm", 1e-3), "thousandths of an ampere": ("A", 1e-3),
    "°C": ("degC", 1), "C": ("degC", 1), "degC": ("degC", 1), "degrees": ("degC", 1), "%": ("%", 1),
    "per cent": ("%", 1), "mm": ("m", 1e-3), "cm": ("m", 1e-2), "m": ("m", 1), "km": ("m", 1e3),
    "metre": ("m", 1), "metres": ("m", 1), "inches": ("inch", 1), "inch": ("inch", 1),
    "feet": ("ft", 1), "ft": ("ft", 1), "AWG": ("AWG", 1), "mm2": ("mm2", 1), "mm²": ("mm2", 1),
    "ms": ("s", 1e-3), "s": ("s", 1), "second": ("s", 1), "seconds": ("s", 1), "min": ("s", 60),
    "minute": ("s", 60), "minutes": ("s", 60), "h": ("s", 3600),
    "hour": ("s", 3600), "hours": ("s", 3600),
    "day": ("s", 86400), "days": ("s", 86400), "week": ("s", 604800), "weeks": ("s", 604800),
    "kg": ("kg", 1), "litres": ("l", 1), "l": ("l", 1), "Hz": ("Hz", 1),
}  # fmt: skip  # rows that a reader compares
_WORDS = "|".join(sorted(map(re.escape, _UNITS), key=len, reverse=True))
_NUMBER = r"\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+(?:\.\d+)?"
_QUANTITY = re.compile(
    rf"(?<![\w.,/])(?:({_NUMBER})(?: to | or | and | against |-))?({_NUMBER})[ -]?({_WORDS})"
    r"(?![\w/²-])"
)
_ASKED = re.compile(r"\{([^{}]*)\}")
_NAMES = "12 V, 24 V, 24 hours"  # of systems and of a day
_THINKING = "no computer"
_HEAD = re.compile(r"\*Choose \*\*Run > Run All.*?\*(?=\n\n|$)", re.S)
_EXACT = 1e-9
_SIGNS: dict[type[Any], Callable[[float, float], float]] = {
    ast.Add: operator.add, ast.Sub: operator.sub, ast.Mult: operator.mul,
    ast.Div: operator.truediv, ast.Pow: operator.pow,
}  # fmt: skip  # rows that a reader compares


class Quantity(NamedTuple):
    """A number with its unit as it is written, and what it comes to."""

    text: str
    value: float
    unit: str
    slack: float  # half a step of the last digit that is meant

    def means(self, value: float) -> bool:
        """Tell whether a value, written so, is this number."""
        return abs(self.value - value) <= self.slack * 1.02 + _EXACT * abs(value)


def quantities(text: str) -> Iterator[Quantity]:
    """Find every number that has a unit.

    Examples
    --------
    >>> [(q.value, q.unit) for q in quantities("10 to 20 A, 0.56 thousandths of an ohm")]
    [(10.0, 'A'), (20.0, 'A'), (0.00056, 'ohm')]
    """
    for low, high, word in _QUANTITY.findall(" ".join(text.split())):
        unit, scale = _UNITS[word]
        for digits in filter(None, (low, high)):
            plain = digits.replace(",", "")
            step = 10.0 ** -len(plain.partition(".")[2])
            meant = len(plain.rstrip("0")) if "." not in plain else 0
            if meant:  # 1,400 is good to a hundred, 100 to ten
                step = 10.0 ** (len(plain) - max(meant, min(2, len(plain))))
            yield Quantity(f"{digits} {word}", float(plain) * scale, unit, 0.5 * step * scale)


def unfounded(lesson: Lesson) -> Iterator[str]:
    """Everything wrong with the numbers of a lesson's prose, a sentence each.

    Parameters
    ----------
    lesson : Lesson
    """
    known = [(q.value, q.unit) for q in quantities(_NAMES)]
    for said, reckoning in lesson.head.reckoned.items():
        try:
            (quantity,) = quantities(said)
            value = reckoned(reckoning, lesson)
        except (CircuitError, ValueError, SyntaxError, ZeroDivisionError) as error:
            yield f"reckoned: '{said}' = '{reckoning}': {error}; write \"1.4 V\" = \"0.2 * 7\""
            continue
        if not quantity.means(value):
            yield f"reckoned: '{said}': {reckoning} is {value:.4g} {quantity.unit}"
        known.append((value, quantity.unit))
    known += [(q.value, q.unit) for text in _computed(lesson) for q in quantities(text)]
    named = {q[1:3] for text in lesson.head.sources for q in quantities(text)}
    used: set[tuple[float, str]] = set()
    for where, text in prose(lesson):
        for said in quantities(_ASKED.sub("", text)):
            found = any(unit == said.unit and said.means(value) for value, unit in known)
            if said[1:3] in named:
                used.add(said[1:3])
            elif not found:
                yield (
                    f"{where}: {said.text} is neither measured, computed nor a value of a boat; "
                    "enter it in figures or reckoned, or say in sources where it comes from"
                )
    for text in lesson.head.sources:
        if not any(q[1:3] in used for q in quantities(text)):
            yield f"sources: '{text}' stands nowhere in the text"


def reckoned(text: str, lesson: Lesson) -> float:
    """Work out '12.6 / 0.0055', in SI units; what stands in braces is measured."""
    filled = _ASKED.sub(lambda m: repr(_si(measured(m[1], lesson.boats))), text)
    return _worked(ast.parse(filled, mode="eval").body)


def _worked(node: ast.expr) -> float:
    if isinstance(node, ast.BinOp) and type(node.op) in _SIGNS:
        return _SIGNS[type(node.op)](_worked(node.left), _worked(node.right))
    if isinstance(node, ast.Constant) and isinstance(node.value, int | float):
        return float(node.value)
    raise ValueError("only numbers, + - * / ** and what is asked of a boat in braces")


def _si(text: str) -> float:
    return next(q.value for q in quantities(text))


def prose(lesson: Lesson) -> Iterator[tuple[str, str]]:
    """Texts of a lesson that state what is so, with their places."""
    book = lesson.file.with_suffix(".ipynb")
    for cell in json.loads(book.read_text("utf-8"))["cells"] if book.is_file() else ():
        if cell["cell_type"] == "markdown":
            yield cell["id"], _HEAD.sub("", "".join(cell["source"]).partition(_THINKING)[0])
    for name, (kind, what) in lesson.places.items():
        if kind == "choose":
            yield name, what.choose
            yield name, what.answers[what.right - 1][0]
            yield from ((name, why) for _, why in what.answers)
        elif kind == "show":
            yield from ((name, text) for item in what.show for text in _own_words(item))
        else:
            yield name, getattr(what, "ask", "")


def _own_words(item: Any) -> list[str]:
    return [item.say or "", *(cell for row in item.table or () for cell in row)]


def _computed(lesson: Lesson) -> Iterator[str]:
    """What the lesson measures anywhere, and what its boats' files say."""
    yield from lesson.head.figures.values()
    for question in lesson.questions.values():
        if isinstance(question, Predict):
            yield question.reading.display
    for name, (kind, what) in lesson.places.items():
        for item, words in zip(what.show, lesson.told(name), strict=True) if kind == "show" else ():
            if item.say is None and item.table is None:
                yield words
    for asked in {asked for _, text in prose(lesson) for asked in _ASKED.findall(text)}:
        yield measured(asked, lesson.boats)
    yield from _values(lesson)


def _values(lesson: Lesson) -> Iterator[str]:
    """Values that stand in the files of its circuits, hunts and repairs, and its boats' faults."""
    files: set[str] = {lesson.head.circuit}
    for boat in lesson.head.boats.values():
        files.add(boat.circuit or lesson.head.circuit)
        yield from boat.faults
    for kind, what in lesson.places.values():
        if kind in ("hunt", "repair", "name"):
            files.add(getattr(what, kind))
    for file in files:
        yield from _said((lesson.folder / file).read_text("utf-8").splitlines())


def _said(lines: Iterable[str]) -> Iterator[str]:
    """Lines without their comments."""
    for line in lines:
        yield re.sub(r"(^|\s)#.*", "", line)
