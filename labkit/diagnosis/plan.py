"""A whole plan: what to measure first, and what next for each outcome, down to what is alike."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

import numpy as np

from labkit.diagnosis.ambiguity import settled
from labkit.diagnosis.cost import Visit
from labkit.diagnosis.evidence import Measurement, outcomes
from labkit.diagnosis.explain import listing, place_text, seen_as, state_text
from labkit.diagnosis.outcomes import Outcome, stretches, words
from labkit.diagnosis.ranking import Adviser
from labkit.diagnosis.session import Diagnosis, believed
from labkit.diagnosis.view import View
from labkit.meter import FUNCTIONS

UNLIKELY = 0.003
"""Branches less likely than this are left out of a plan and counted as such."""

DEEPEST = 12
"""Measurements one after another in a plan, at most."""


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

    def text(self) -> str:
        """The plan as a tree, and what it takes."""
        if self.measurement is None:
            return f"{listing(self.names)}: nothing in reach tells more.\n"
        likely = f"{self.expected_count:.1f} measurements and {self.expected_minutes:.0f} min"
        head = f"To be expected: {likely}; at most {self.deepest} measurements.\n\n"
        return f"{head}{self._does({})}\n{''.join(self._lines('', self.measurement.positions))}"

    def _does(self, before: Mapping[str, str]) -> str:
        """What to do here, with the switches where they have to be moved; or what is left."""
        m = self.measurement
        if m is None:
            return listing(self.names, len(self.names))
        state = state_text(m) if m.parted or m.positions != before else ""
        back = "switches as found: " if before and not m.positions else ""
        return f"{back}{state}{place_text(m)} ({self.minutes:.1f} min)"

    def _lines(self, pad: str, before: Mapping[str, str]) -> Iterator[str]:
        for number, (seen, node) in enumerate(self.branches, 1):
            last = number == len(self.branches)
            chance = f"{100 * node.chance:.0f} %" if node.chance >= 0.01 else "under 1 %"
            yield f"{pad}{'└─' if last else '├─'} {seen} ({chance}): {node._does(before)}\n"
            now = node.measurement.positions if node.measurement else before
            yield from node._lines(f"{pad}{'   ' if last else '│  '}", now)


def plan(adviser: Adviser, diagnosis: Diagnosis | None = None) -> Node:
    """Plan the whole search, the best measurement for its minutes at each step.

    Parameters
    ----------
    adviser : Adviser
    diagnosis : Diagnosis, optional
        With the evidence so far; the adviser's start where not given.

    Notes
    -----
    Branches less likely than UNLIKELY are left out, the others share what they would have cost.
    """
    start = diagnosis or adviser.start
    visit = Visit.after(start.circuit, start.evidence)
    return _grow(adviser, start.copy(), visit, 1.0, 0)


def _grow(adviser: Adviser, here: Diagnosis, visit: Visit, chance: float, depth: int) -> Node:
    node = Node(chance, believed(here))
    if depth == DEEPEST or settled(adviser, here):
        return node
    best = adviser.rank(here, visit, top=1, explained=False)
    if not best:
        return node
    measurement = best[0].measurement
    node.measurement = measurement
    there = visit.copy()
    node.minutes = there.go(measurement)
    for seen, outcome in _outcomes(adviser, here, measurement):
        if chance * outcome.chance < UNLIKELY:
            continue
        after = here.supposing(measurement, outcome.share)
        child = _grow(adviser, after, there, chance * outcome.chance, depth + 1)
        node.branches.append((seen, child))
    if not node.branches:
        node.measurement, node.minutes = None, 0.0
    return node


def _outcomes(
    adviser: Adviser, here: Diagnosis, measurement: Measurement
) -> Iterator[tuple[str, Outcome]]:
    """What a measurement may show, in words, and which share of each row shows so."""
    view = adviser.view(here)
    named = outcomes(measurement, here.circuit) if measurement.function not in FUNCTIONS else ()
    if named:
        for outcome in words(here.chances(measurement)[view.rows], view.belief, named):
            yield outcome.word, _everywhere(outcome, view, len(here.belief))
        return
    low, high = (u[view.rows] for u in here.predicted(measurement))
    on = here.scale(measurement.function)
    for outcome in stretches(low, high, view.belief, view.names):
        seen = seen_as(outcome, on, low, high, view.belief)
        yield seen, _everywhere(outcome, view, len(here.belief))


def _everywhere(outcome: Outcome, view: View, size: int) -> Outcome:
    share = np.zeros(size)
    share[view.rows] = outcome.share
    return Outcome(outcome.low, outcome.high, outcome.word, outcome.chance, share)
