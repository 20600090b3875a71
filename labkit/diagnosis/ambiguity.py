"""Which explanations no measurement in reach can tell apart."""

from __future__ import annotations

from collections.abc import Collection, Iterable

import numpy as np

from labkit.diagnosis.evidence import Measurement
from labkit.diagnosis.hypotheses import Hypotheses
from labkit.diagnosis.menu import Block, Menu
from labkit.diagnosis.odds import STRIKE
from labkit.diagnosis.probe import chances
from labkit.diagnosis.ranking import Adviser
from labkit.diagnosis.session import Diagnosis, believed
from labkit.diagnosis.view import ends
from labkit.parts import Fault
from labkit.solving.arrays import Flags, Numbers, Singles

SAME_TO_SEE = 0.05
"""What is seen tells two rows apart where they have less than this share of outcomes in common."""


SETTLED = 0.995
"""A hunt goes on until names that are alike make up this much of the belief."""


def settled(adviser: Adviser, diagnosis: Diagnosis) -> bool:
    """Tell whether the names that make up SETTLED of the belief cannot be told apart."""
    named = believed(diagnosis, SETTLED)
    if len(named) == 1:
        return True
    likeliest = diagnosis.likeliest(named[0])
    return set(named) <= set(Ambiguity(adviser, diagnosis, named).lookalikes(likeliest))


class Ambiguity:
    """Rows compared under every measurement of a menu.

    Parameters
    ----------
    adviser : Adviser
    diagnosis : Diagnosis, optional
        Whose fuses have opened what they opened; the adviser's start where not given.
    names : iterable of str, optional
        Compare the rows of these alone.
    """

    def __init__(
        self,
        adviser: Adviser,
        diagnosis: Diagnosis | None = None,
        names: Iterable[str] | None = None,
    ) -> None:
        menu, diagnosis = adviser.menu, diagnosis or adviser.start
        menu.refresh()
        self.known = known = diagnosis.known
        wanted = known.names if names is None else set(names)
        chosen = np.array([name in wanted for name in known.names])
        self.rows = np.flatnonzero(chosen[known.name_of])
        sets = diagnosis.sets[self.rows]
        low, high = ends(menu, sets)
        self._low, self._high = low.T.copy(), high.T.copy()
        seen = menu.chances[sets].mean(1)
        self._seen = np.split(seen, np.cumsum(menu.widths)[:-1], axis=1) if menu.sights else []

    def like(self, row: int) -> Numbers:
        """Rows that no single measurement in reach tells from this one, itself included."""
        own = int(np.flatnonzero(self.rows == row)[0])
        same = np.ones(len(self.rows), bool)
        for seen in self._seen:
            same &= np.minimum(seen, seen[own]).sum(1) >= SAME_TO_SEE
        left = np.flatnonzero(same)
        apart = (self._low[left] - self._high[own] > STRIKE).any(1)
        apart |= (self._low[own] - self._high[left] > STRIKE).any(1)
        return np.asarray(self.rows[left[~apart]])

    def lookalikes(self, row: int) -> list[str]:
        """Names of which some row is like this one."""
        known = self.known
        return [known.names[n] for n in np.unique(known.name_of[self.like(row)])]

    def groups(self) -> list[list[str]]:
        """Names that are never told apart, whatever their severity, in groups of two and more.

        Two names belong together where every row of each has a row of the other that is like it.
        """
        known = self.known
        count = len(known.names)
        meets = np.ones((count, count), bool)
        for row in range(len(known.rows)):
            names = np.zeros(count, bool)
            names[known.name_of[self.like(row)]] = True
            meets[known.name_of[row]] &= names
        both = meets & meets.T
        given = np.zeros(count, bool)
        found = []
        for n in range(count):
            if not given[n]:
                group = _reach(both, n) & ~given
                given |= group
                if group.sum() > 1:
                    found.append([known.names[m] for m in np.flatnonzero(group)])
        return found


def alone(
    diagnosis: Diagnosis, faults: tuple[Fault, ...], without: Collection[str] = ()
) -> list[str]:
    """Names that no measurement in reach tells from these faults, their own among them.

    As :meth:`Ambiguity.lookalikes` of what stands after the evidence, but quick: measurements are
    worked out one function and state at a time, for what has not been told apart so far.

    Parameters
    ----------
    diagnosis : Diagnosis
        Of candidates with these faults, in just these amounts, among them.
    faults : tuple of Fault
    without : collection of str
        Functions and acts there is no tool for.
    """
    known = diagnosis.known.among(np.flatnonzero(diagnosis.standing), diagnosis.sets)
    menu = Menu(Diagnosis(diagnosis.circuit, spread=diagnosis.spread, known=known), without=without)
    quick = sorted(menu.blocks, key=lambda block: block.function != "clamp")
    tests: list[Block | Measurement] = [*quick, *menu.sights]
    for test in tests:
        own = [n for n, row in enumerate(known.rows) if row.candidate.faults == faults]
        if not own or len(known.names) == 1:
            break
        apart = _told_by(test, menu, own)
        if apart.any():
            known = menu.known = known.among(np.flatnonzero(~apart), known.row_sets)
    return known.names


def _told_by(test: Block | Measurement, menu: Menu, own: list[int]) -> Flags:
    """Which rows a test tells from all of some others."""
    known = menu.known
    if isinstance(test, Measurement):
        seen = chances(known, test)[known.row_sets].mean(1)
        common = np.stack([np.minimum(seen, seen[n]).sum(1) for n in own])
        return np.asarray((common < SAME_TO_SEE).all(0))
    apart = _apart(menu.read(test, np.arange(len(known.sets)), sure=True), known, own)
    unsure = known.shifts and test.function in ("volts", "clamp")
    if unsure and apart.any():  # sources a little off bring readings closer, never apart
        apart[own] = True
        rows = np.flatnonzero(apart)
        menu.known = few = known.among(rows, known.row_sets)
        ends = menu.read(test, np.arange(len(few.sets)))
        apart[rows] = _apart(ends, few, np.searchsorted(rows, own))
        menu.known = known
    return apart


def _apart(ends: tuple[Singles, Singles], known: Hypotheses, own: Iterable[int]) -> Flags:
    """Which rows lie apart from all of some others in a reading of a test."""
    sets = known.row_sets
    low, high = (pick(u[:, sets], 2) for pick, u in zip((np.min, np.max), ends, strict=True))
    apart = [(low - high[:, [n]] > STRIKE) | (low[:, [n]] - high > STRIKE) for n in own]
    return np.asarray(np.all([told.any(0) for told in apart], axis=0))


def _reach(linked: Flags, start: int) -> Flags:
    group = np.zeros(len(linked), bool)
    group[start] = True
    while True:
        grown = group | linked[group].any(0)
        if (grown == group).all():
            return group
        group = grown
