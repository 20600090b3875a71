"""A whole plan: what to measure first, and what next for each outcome, down to what is alike."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from labkit.circuits.circuit import Circuit
from labkit.diagnosis.ambiguity import settled
from labkit.diagnosis.cost import Visit
from labkit.diagnosis.evidence import Measurement, outcomes
from labkit.diagnosis.explain import seen_as
from labkit.diagnosis.faults import NO_PARTS
from labkit.diagnosis.outcomes import Outcome, stretches, words
from labkit.diagnosis.phrases import numbered, place_text, state_text, suspects
from labkit.diagnosis.ranking import Adviser, Found
from labkit.diagnosis.session import Diagnosis, believed
from labkit.diagnosis.view import View

UNLIKELY = 0.003
"""Branches less likely than this are left out of a plan and counted as such."""

DEEPEST = 12
"""Measurements one after another in a plan, at most."""

AHEAD = 2
"""So many of the best measurements are followed to the end before one of them is chosen.

Each more takes as long again to plan, and saves hardly any minutes (`tests/diagnosis/plans.py`).
"""

LIKELY = 0.05
"""Places of a plan less likely than this are not worth following more than one."""


@dataclass
class Node:
    """A place in a plan: a measurement with what follows from each outcome, or what is left.

    Attributes
    ----------
    chance : float
        Of coming here.
    names : list of str
        What is left here, the likeliest first.
    measurement : Measurement or None
        What to do next; None where nothing in reach tells more.
    minutes : float
        It takes from here.
    branches : list of (str, Node)
        What is seen, and what then.
    """

    chance: float
    names: list[str]
    measurement: Measurement | None = None
    minutes: float = 0.0
    branches: list[tuple[str, Node]] = field(default_factory=list)

    def leaves(self) -> Iterator[Node]:
        """Ends of the plan."""
        if not self.branches:
            yield self
        for _, node in self.branches:
            yield from node.leaves()

    @property
    def expected_minutes(self) -> float:
        """Minutes from here to an end, each end weighed by its chance."""
        rest = sum(n.chance * n.expected_minutes for _, n in self.branches)
        whole = sum(n.chance for _, n in self.branches)
        return self.minutes + (rest / whole if whole else 0.0)

    @property
    def expected_count(self) -> float:
        """Measurements from here to an end."""
        rest = sum(n.chance * n.expected_count for _, n in self.branches)
        whole = sum(n.chance for _, n in self.branches)
        return (1.0 + rest / whole) if whole else 0.0

    @property
    def deepest(self) -> int:
        """Most measurements to an end."""
        return 1 + max(n.deepest for _, n in self.branches) if self.branches else 0

    @property
    def often(self) -> str:
        """The chance of coming here, in words."""
        return f"{100 * self.chance:.0f} %" if self.chance >= 0.01 else "under 1 %"

    def text(self) -> str:
        """The plan as a tree, and what it takes."""
        if self.measurement is None:
            return f"{suspects(self.names)}: nothing in reach tells more.\n"
        likely = f"{self.expected_count:.1f} measurements and {self.expected_minutes:.0f} min"
        head = f"To be expected: {likely}; at most {self.deepest} measurements.\n\n"
        return f"{head}{self.does({})}\n{''.join(self._lines('', self.measurement.positions))}"

    def does(self, before: Mapping[str, str], circuit: Circuit | None = None) -> str:
        """What to do here, with the switches where they have to be moved; or what is left.

        Points by the numbers on the drawing, where the circuit is given.
        """
        m = self.measurement
        if m is None:
            parts = circuit.parts if circuit else NO_PARTS
            return suspects(self.names, len(self.names), parts)
        m = numbered(m, circuit) if circuit else m
        state = state_text(m) if m.parted or m.positions != before else ""
        back = "switches as found: " if before and not m.positions else ""
        return f"{back}{state}{place_text(m)} ({self.minutes:.1f} min)"

    def _lines(self, pad: str, before: Mapping[str, str]) -> Iterator[str]:
        for number, (seen, node) in enumerate(self.branches, 1):
            last = number == len(self.branches)
            yield f"{pad}{'└─' if last else '├─'} {seen} ({node.often}): {node.does(before)}\n"
            now = node.measurement.positions if node.measurement else before
            yield from node._lines(f"{pad}{'   ' if last else '│  '}", now)


def plan(adviser: Adviser, diagnosis: Diagnosis | None = None) -> Node:
    """Plan the whole search, each step the one that leads to the shortest way from there.

    Parameters
    ----------
    adviser : Adviser
    diagnosis : Diagnosis, optional
        With the evidence so far; the adviser's start where not given.

    Notes
    -----
    Of the AHEAD measurements that tell most for their minutes that one is taken which takes least
    in the end if all after it are what tells most for its minutes: one step of policy improvement,
    'rollout' (Bertsekas, Tsitsiklis and Wu, J. Heuristics 3 (1997) 245, from memory). Branches less
    likely than UNLIKELY are left out, the others share what they would have cost.
    """
    start = diagnosis or adviser.start
    return _Place(adviser, start.copy(), Visit.after(start.circuit, start.evidence)).planned()


class _Place:
    """A place in a plan that is being made; what follows is worked out once, when asked for."""

    def __init__(
        self, adviser: Adviser, here: Diagnosis, visit: Visit, chance: float = 1.0, depth: int = 0
    ) -> None:
        self.adviser, self.here, self.visit = adviser, here, visit
        self.chance, self.depth = chance, depth

    def planned(self) -> Node:
        """The plan from here."""
        if not self.ways:
            return self.end
        return min(self.ways, key=lambda way: way.greedy.expected_minutes).then(_Place.planned)

    @cached_property
    def greedy(self) -> Node:
        """The plan that always takes what tells most for its minutes."""
        return self.ways[0].greedy if self.ways else self.end

    @property
    def end(self) -> Node:
        """Nothing more to be done."""
        return Node(self.chance, believed(self.here))

    @cached_property
    def ways(self) -> list[_Way]:
        """The best measurements from here, that which tells most for its minutes first."""
        if self.depth == DEEPEST or settled(self.adviser, self.here):
            return []
        view = self.adviser.view(self.here)
        top = AHEAD if self.chance >= LIKELY else 1
        ways = [_Way(self, view, found) for found in self.adviser.worth(view, self.visit, top)]
        return [way for way in ways if way.places]


class _Way:
    """A measurement that may be taken at a place."""

    def __init__(self, place: _Place, view: View, found: Found) -> None:
        self.place, self.measurement = place, found.ranked.measurement
        there = place.visit.copy()
        self.minutes = there.go(self.measurement)
        self.places: list[tuple[str, _Place]] = []
        for seen, outcome in _outcomes(view, found):
            chance = place.chance * outcome.chance
            if chance >= UNLIKELY:
                share = np.zeros(len(place.here.belief))
                share[view.rows] = outcome.share
                after = place.here.supposing(self.measurement, share)
                next_ = _Place(place.adviser, after, there, chance, place.depth + 1)
                self.places.append((seen, next_))

    @cached_property
    def greedy(self) -> Node:
        """The plan that takes this, and then always what tells most for its minutes."""
        return self.then(lambda place: place.greedy)

    def then(self, plan: Callable[[_Place], Node]) -> Node:
        """The plan that takes this, and goes on so."""
        branches = [(seen, plan(place)) for seen, place in self.places]
        names = believed(self.place.here)
        return Node(self.place.chance, names, self.measurement, self.minutes, branches)


def _outcomes(view: View, found: Found) -> Iterator[tuple[str, Outcome]]:
    """What a measurement may show, in words, and which share of each row of the view shows so."""
    measurement, low, high = found.ranked.measurement, found.low, found.high
    if found.chances is not None:
        named = outcomes(measurement, view.diagnosis.circuit)
        for outcome in words(found.chances, view.belief, named):
            yield outcome.word, outcome
        return
    on = view.diagnosis.scale(measurement.function)
    for outcome in stretches(low, high, view.belief, view.names):
        yield seen_as(outcome, on, low, high, view.belief), outcome
