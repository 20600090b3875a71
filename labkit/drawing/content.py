"""What is written at a part: its id and rating above the symbol, its label and wire below."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache, cached_property

from labkit.circuits.circuit import Circuit
from labkit.drawing.text import BODY, LINE, SMALL, text_width, wrap
from labkit.drawing.topology import Step

HALF_BODY = 24.0
"""Half the room for a symbol along its wire; none is longer. [px]"""
HALF_HEIGHT = 20.0
"""No symbol reaches further from its wire. [px]"""
THROW = 22.0
"""Third contact of a changeover switch below its wire. [px]"""
BESIDE_THROW = 28.0
"""From the middle of a changeover switch to the upright wire at its third contact. [px]"""
DOT = 9.0
"""Radius of a test point. [px]"""
CELL = 84.0
"""Least width of a part in a row, from test point to test point. [px]"""
_WRAP = 90.0
BESIDE = HALF_HEIGHT + 6
"""From an upright wire to the text beside its symbols. [px]"""


@dataclass(frozen=True)
class Line:
    """A line of text whose first `bold` letters are bold."""

    text: str
    bold: int = 0

    @cached_property
    def width(self) -> float:
        """Width on the sheet. [px]"""
        return text_width(self.text[: self.bold], bold=True) + text_width(self.text[self.bold :])


@dataclass(frozen=True)
class Content:
    """A step and its lines of text."""

    step: Step
    head: tuple[Line, ...]
    body: tuple[Line, ...]

    @cached_property
    def width(self) -> float:
        """Room in a row, from test point to test point. [px]"""
        return max(CELL, self.text_width + 6, 2 * self.reach + 2)

    @cached_property
    def text_width(self) -> float:
        """Width of the widest line. [px]"""
        return max((line.width for line in (*self.head, *self.body)), default=0.0)

    @cached_property
    def reach(self) -> float:
        """Half the length of the symbol, with the names of its terminals beside it. [px]"""
        if not self.step.named:
            return HALF_BODY
        names = (self.step.enter, self.step.leave, self.step.throw)
        return HALF_BODY + 2 + max(text_width(name, SMALL) for name in names)

    @cached_property
    def below(self) -> float:
        """From its wire to the foot of its text. [px]"""
        reach = THROW + 8 + LINE if self.step.throw else HALF_HEIGHT + 4
        return reach + LINE * len(self.body)

    @cached_property
    def above(self) -> float:
        """From its wire to the top of its text. [px]"""
        return HALF_HEIGHT + 4 + LINE * len(self.head)

    @cached_property
    def text_height(self) -> float:
        """Height of all lines in one block. [px]"""
        return LINE * len((*self.head, *self.body))


def content_of(step: Step, circuit: Circuit, wires: bool) -> Content:
    """Write what belongs at one step."""
    part = circuit.parts[step.id]
    rating = typeset(part.shown_rating)
    elsewhere = not step.is_load if step.named and part.uses() else step.again
    if elsewhere:
        rating = ""
    head = [Line(part.id, len(part.id))]
    if rating:
        together = Line(f"{part.id} {rating}", len(part.id))
        if together.width <= _WRAP:
            head = [together]
        else:
            head += [Line(t) for t in wrap(rating, _WRAP)]
    body = [] if step.again else [Line(t) for t in wrap(part.label, _WRAP)]
    if wires and part.wire is not None and not step.again:
        said = " ".join(t for t in (part.wire.number, part.wire.color) if t)
        body += [Line(t) for t in wrap(f"wire {said}", _WRAP)]
    if step.throw:  # its third contact stands below
        head, body = [*head, *body], []
    return Content(step, tuple(head), tuple(body))


def typeset(text: str) -> str:
    """A rating as it is printed: three figures, and the signs of units where there are any."""
    text = re.sub(r"\d+\.\d+", lambda found: f"{float(found[0]):.3g}", text)
    text = re.sub(r"([kMm]?)ohm\b", r"\1Ω", text)
    return text.replace("mm2", "mm²")


@cache
def name_lines(name: str) -> tuple[str, ...]:
    """The name of a node, broken at its spaces."""
    return tuple(wrap(name.replace("DC-", "DC−"), 64.0))


@cache
def name_half(name: str) -> float:
    """Half the width of a node's name. [px]"""
    return max(text_width(line, BODY) for line in name_lines(name)) / 2
