"""Hints in three steps: where to think, which reading to take, what it would tell; each costs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from labkit.diagnosis.logbook import evidence_of

if TYPE_CHECKING:
    from labkit.hunts.hunt import Hunt

STEPS = ("where to think", "which reading", "what it would tell")
"""What each step says."""

MINUTES = (2.0, 4.0, 6.0)
"""What each step costs. [min] Our choice: less than a reading taken in vain, and more each time."""


@dataclass(frozen=True)
class Hint:
    """One step of a hint.

    Attributes
    ----------
    step : int
        From 1; 0 where there was nothing to say, which costs nothing.
    text : str
    seen : int
        So much evidence had been found; more of it begins the steps anew.
    """

    step: int
    text: str = ""
    seen: int = 0

    @property
    def minutes(self) -> float:
        """What it costs. [min]"""
        return MINUTES[self.step - 1] if self.step else 0.0


def next_step(hunt: Hunt) -> int:
    """Return which step comes next, from 1; the first again after the last or new evidence."""
    last = hunt.hints[-1] if hunt.hints else Hint(0)
    seen = len(evidence_of(hunt.bench.log, hunt.exercise.circuit))
    return last.step % len(STEPS) + 1 if last.seen == seen else 1


def offered(hunt: Hunt) -> str:
    """Return what the button says that asks for the next step."""
    step = next_step(hunt)
    return f"Hint: {STEPS[step - 1]} ({MINUTES[step - 1]:.0f} min)"
