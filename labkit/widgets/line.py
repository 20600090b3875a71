"""A line of the log, and readings, as they are printed."""

from __future__ import annotations

from typing import NamedTuple


class Line(NamedTuple):
    """A line of the log in words."""

    number: int
    done: str
    shows: str
    took: str
    caution: bool

    def __str__(self) -> str:
        return f"{self.done}: {self.shows}"


def typeset(display: str) -> str:
    """A reading as print has it: a minus sign, an omega, and no break before the unit."""
    minus = display.replace("-", "\N{MINUS SIGN}")
    return minus.replace("ohm", "Ω").replace(" ", "\N{NO-BREAK SPACE}")


def sentence(text: str) -> str:
    """A phrase as a sentence."""
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "?")) else ".")
