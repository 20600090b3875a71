"""Words of a lesson, in which a number can be asked of a boat: '{X1:2 @ pump on}'."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from html import escape
from typing import Any

from markdown_it import MarkdownIt

from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.measuring.meter import FUNCTIONS, read
from labkit.measuring.senses import sensed
from labkit.solving.solver import solve
from labkit.text.messages import CircuitError, did_you_mean
from labkit.text.quantities import show

_ASKED = re.compile(r"\{([^{}]*)\}")
_COMPUTED = {"amps": "A", "watts": "W"}
_MARKDOWN = MarkdownIt("commonmark", {"html": False}).enable("table")

_CELL = 'style="text-align:left;padding:0.3em 1.2em 0.3em 0;line-height:1.3"'

Boats = Mapping[str, Circuit]


def measured(text: str, boats: Boats) -> str:
    """Return what is asked for, in words: a reading, amps or watts of a part, what a load does.

    Parameters
    ----------
    text : str
        Leads, function and boat, such as 'X1:1 X1:2 ohms @ pump off'; or a part: 'W1 amps @ lit',
        'X1 watts @ lit', 'E1 look @ lit'.
    boats : mapping of str to Circuit

    Raises
    ------
    CircuitError
        If there is no such boat, point, part or function.
    """
    asked, at, name = text.rpartition(" @ ")
    if not at:
        raise CircuitError([f"'{text}': names no boat; write it as 'X1:2 @ pump on'"])
    boat = boat_of(name, boats)
    first, *rest = asked.split()
    if rest == ["look"]:
        return sensed(boat, solve(boat))[boat.part(first).id]
    if len(rest) == 1 and rest[0] in _COMPUTED:
        value = getattr(solve(boat), rest[0])[boat.part(first).id]
        return show(abs(value or 0.0), _COMPUTED[rest[0]], 3)
    red, black, function = leads(asked)
    return read(boat, red, black, function).display


def boat_of(name: str, boats: Boats) -> Circuit:
    """Return a boat by its name. Raises CircuitError if there is none."""
    if name.strip() not in boats:
        raise CircuitError([f"no boat '{name.strip()}'; {did_you_mean(name.strip(), boats)}"])
    return boats[name.strip()]


def leads(text: str) -> tuple[str, str, str]:
    """Read leads and function: 'X1:2', 'X1:1 X1:2', 'X1:1 X1:2 ohms', 'W1:1 clamp'.

    A node whose name is of several words is written with low lines: 'battery_stud'.
    """
    words = text.split()
    function = words.pop() if words[1:] and words[-1] in FUNCTIONS else "volts"
    if len(words) not in (1, 2):
        raise CircuitError([f"'{text}': write one lead or two, such as 'X1:1 X1:2'"])
    red, black = (*words, NEGATIVE)[:2]
    return red.replace("_", " "), black.replace("_", " "), function


def filled(text: str, boats: Boats) -> str:
    """Put what is measured in the place of everything asked for in braces."""
    return _ASKED.sub(lambda found: measured(found[1], boats), text)


class Say:
    """A text, in Markdown."""

    def __init__(self, text: str) -> None:
        self.text = text

    def __repr__(self) -> str:
        return self.text.strip()

    def _repr_mimebundle_(self, **_: Any) -> dict[str, str]:
        html = f'<div class="labkit-say">{_MARKDOWN.render(self.text)}</div>'
        return {"text/plain": repr(self), "text/html": html}


class Table:
    """Rows of words under a heading."""

    def __init__(self, head: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
        self.head, self.rows = head, rows

    def __repr__(self) -> str:
        return "\n".join(" | ".join(row) for row in (self.head, *self.rows))

    def _repr_mimebundle_(self, **_: Any) -> dict[str, str]:
        head = "".join(f'<th scope="col" {_CELL}>{escape(w)}</th>' for w in self.head)
        rows = "".join(
            "<tr>" + "".join(f"<td {_CELL}>{escape(w)}</td>" for w in row) + "</tr>"
            for row in self.rows
        )
        html = f"<table><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"
        return {"text/plain": repr(self), "text/html": html}
