"""Questions whose answers are written down beside them: choose one, put steps in order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from labkit.questions.fields import Field, OneOf, Steps, same
from labkit.questions.verdict import Verdict


@dataclass(frozen=True)
class Choose:
    """One of several answers, each with its reason.

    Parameters
    ----------
    ask : str
    answers : mapping of str to str
        Answer to why it is right or wrong.
    right : str
        The right one.
    """

    ask: str
    answers: Mapping[str, str]
    right: str

    def __post_init__(self) -> None:
        if self.right not in self.answers:
            raise ValueError(f"'{self.right}' is none of the answers to '{self.ask}'")

    @property
    def fields(self) -> tuple[Field, ...]:
        """The answers, to choose one."""
        return (OneOf(same(tuple(self.answers))),)

    def grade(self, answer: str) -> Verdict:
        """Grade one of the answers."""
        if answer not in self.answers:
            return Verdict(None, f"'{answer}' is none of the answers.")
        return Verdict(answer == self.right, self.answers[answer])


@dataclass(frozen=True)
class Order:
    """Put steps in order; steps of one group may be taken in any.

    Parameters
    ----------
    ask : str
    groups : sequence of sequence of str
        The steps, first groups first.
    """

    ask: str
    groups: Sequence[Sequence[str]]

    @property
    def steps(self) -> list[str]:
        """All steps, in alphabetical order so that they give nothing away."""
        return sorted(step for group in self.groups for step in group)

    @property
    def fields(self) -> tuple[Field, ...]:
        """The steps, to put in order."""
        return (Steps(self.steps),)

    def grade(self, answer: Sequence[str]) -> Verdict:
        """Grade a list of all steps."""
        place = {step: n for n, group in enumerate(self.groups) for step in group}
        if sorted(answer) != self.steps:
            return Verdict(None, "Use every step once.")
        for one, other in pairwise(answer):
            if place[one] > place[other]:
                return Verdict(False, f"'{other}' comes before '{one}'.")
        return Verdict(True, "In this order nothing is live, or lost, that should not be.")
