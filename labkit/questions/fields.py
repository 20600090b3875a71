"""What a question is answered with, whoever shows it: a notebook, a terminal, a sheet of paper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from labkit.circuits.circuit import Circuit
from labkit.parts import Part
from labkit.questions.verdict import Verdict

Option = tuple[str, str]
"""What a list shows, and what it stands for."""


@dataclass(frozen=True)
class Quantity:
    """A number, in the unit that stands behind the box unless another one is written."""

    label: str
    unit: str
    blank: str = ""


@dataclass(frozen=True)
class OneOf:
    """One of several options.

    Parameters
    ----------
    options : sequence of Option
    label : str
    name : str
        What `grade` calls it, where it is not told by its place.
    value : str, optional
        What stands there at first; nothing where not said.
    brief : bool
        Short options go into a list that opens; sentences stand below one another.
    """

    options: Sequence[Option]
    label: str = ""
    name: str = ""
    value: str | None = None
    brief: bool = False


@dataclass(frozen=True)
class Several:
    """As many of the options as are true."""

    options: Sequence[Option]


@dataclass(frozen=True)
class Steps:
    """All of the steps, in order."""

    steps: Sequence[str]


@dataclass(frozen=True)
class Lead:
    """A point of a circuit, numbered as it is drawn."""

    circuit: Circuit
    label: str
    value: str | None = None


Field = Quantity | OneOf | Several | Steps | Lead


class Question(Protocol):
    """Something asked, what it is answered with, and how an answer is graded."""

    @property
    def ask(self) -> str:
        """The question."""

    @property
    def fields(self) -> Sequence[Field]:
        """What it is answered with, in the order that `grade` takes."""

    def grade(self, *args: Any, **named: Any) -> Verdict:
        """Grade an answer."""


def same(words: Sequence[str]) -> tuple[Option, ...]:
    """Options that stand for themselves."""
    return tuple((word, word) for word in words)


def named(part: Part) -> str:
    """A part as a list shows it: 'X1 splice in the locker'."""
    return f"{part.id} {part.label or part.kind}"
