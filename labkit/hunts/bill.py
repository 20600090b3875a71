"""What a hunt has cost: one figure, in minutes, that review, marks and progress print alike.

Minutes at the bench tell nobody apart: who guesses through the list takes the fewest. What a wrong
name, a sound part replaced, a danger and an unproven repair would cost aboard is counted with them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from labkit.aboard.acts import ACTS
from labkit.text.messages import counted

if TYPE_CHECKING:
    from labkit.hunts.hunt import Hunt

PROVING = 2.0
"""Running the load, shaking what leads to it and reading the meter once. [min] Our choice."""

SPARE = 15.0
"""What a part costs that was not at fault, as minutes of work that pay for it. [min] Our choice."""

DANGER = 15.0
"""Each danger run into. [min] Our choice."""

UNPROVEN = 30.0
"""A boat that leaves with a repair nobody proved: somebody comes back. [min] Our choice."""

LUCKY = 15.0
"""A right name that the readings did not prove: next time it is a wrong one. [min] Our choice."""


@dataclass(frozen=True)
class Item:
    """One line of a bill.

    Attributes
    ----------
    what : str
    minutes : float
        What it comes to. [min]
    count : int
        How many there are of it.
    """

    what: str
    minutes: float
    count: int = 1

    def __str__(self) -> str:
        return f"{self.what} {self.minutes:.0f}"


@dataclass(frozen=True)
class Bill:
    """What a hunt has cost, line by line."""

    items: tuple[Item, ...]

    @property
    def minutes(self) -> float:
        """All together. [min]"""
        return sum(item.minutes for item in self.items)

    def __str__(self) -> str:
        added = ", ".join(map(str, self.items))
        return f"Cost: {self.minutes:.0f} minutes ({added})."


def bill(hunt: Hunt) -> Bill:
    """Add up what a hunt has cost.

    A wrong name is a repair that did not help: what mending takes, and the way to the part.

    Parameters
    ----------
    hunt : Hunt
    """
    parts = hunt.exercise.circuit.parts
    wrong = [
        ACTS["repair"].minutes + parts[named.part].reach / 60.0
        for named in hunt.named
        if named.verdict.right is False and named.part in parts
    ]
    spare, dangers, hints = len(hunt.needless), len(hunt.bench.hazards), len(hunt.hints)
    right = [named for named in hunt.named if named.verdict.right]
    lucky = sum(named.proved is False for named in right)
    proven = hunt.proven is not None and hunt.proven.ok
    items = [
        Item("at the bench", hunt.minutes),
        Item(counted(len(wrong), "wrong name"), sum(wrong), len(wrong)),
        Item(counted(hints, "hint"), sum(one.minutes for one in hunt.hints), hints),
        Item(counted(spare, "sound part") + " replaced", SPARE * spare, spare),
        Item(counted(dangers, "danger"), DANGER * dangers, dangers),
        Item("named before it was known", LUCKY * lucky, lucky),
        Item("not proven", 0.0 if proven else UNPROVEN, int(not proven)),
    ]
    return Bill(tuple(item for item in items if item.count))
