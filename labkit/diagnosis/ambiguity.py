"""Which explanations no measurement in reach can tell apart."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from labkit.diagnosis.ranking import Adviser
from labkit.diagnosis.session import STRIKE, Diagnosis, believed
from labkit.diagnosis.view import ends

Array = npt.NDArray[np.float64]
Numbers = npt.NDArray[np.intp]
Flags = npt.NDArray[np.bool_]

SAME_TO_SEE = 0.05
"""What is seen tells two rows apart where they have less than this share of outcomes in common."""


SETTLED = 0.99
"""A hunt goes on until names that are alike make up this much of the belief."""


class Ambiguity:
    """Rows compared under every measurement of a menu.

    Parameters
    ----------
    adviser : Adviser
    diagnosis : Diagnosis, optional
        Whose fuses have opened what they opened; the adviser's start where not given.
    """

    def __init__(self, adviser: Adviser, diagnosis: Diagnosis | None = None) -> None:
        self.adviser, self.diagnosis = adviser, diagnosis or adviser.start
        menu = adviser.menu
        menu.refresh()
        sets = self.diagnosis.sets
        low, high = ends(menu, sets)
        self._low, self._high = low.T.copy(), high.T.copy()
        seen = menu.chances[sets].mean(1)
        self._seen = np.split(seen, np.cumsum(menu.widths)[:-1], axis=1) if menu.sights else []

    def like(self, row: int) -> Flags:
        """Rows that no single measurement in reach tells from this one, itself included."""
        same = np.ones(len(self._low), bool)
        for chances in self._seen:
            same &= np.minimum(chances, chances[row]).sum(1) >= SAME_TO_SEE
        left = np.flatnonzero(same)
        apart = (self._low[left] - self._high[row] > STRIKE).any(1)
        apart |= (self._low[row] - self._high[left] > STRIKE).any(1)
        same[left[apart]] = False
        return same

    def lookalikes(self, row: int) -> list[str]:
        """Names of which some row is like this one."""
        known = self.diagnosis.known
        return [known.names[n] for n in np.unique(known.name_of[self.like(row)])]

    def settled(self, diagnosis: Diagnosis) -> bool:
        """Tell whether the names that make up SETTLED of the belief cannot be told apart."""
        named = believed(diagnosis, SETTLED)
        if len(named) == 1:
            return True
        now = self
        if (diagnosis.sets != self.diagnosis.sets).any():  # a fuse has opened or been fitted since
            now = Ambiguity(self.adviser, diagnosis)
        return set(named) <= set(now.lookalikes(diagnosis.likeliest(named[0])))

    def groups(self) -> list[list[str]]:
        """Names that are never told apart, whatever their severity, in groups of two and more.

        Two names belong together where every row of each has a row of the other that is like it.
        """
        known = self.diagnosis.known
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


def _reach(linked: Flags, start: int) -> Flags:
    group = np.zeros(len(linked), bool)
    group[start] = True
    while True:
        grown = group | linked[group].any(0)
        if (grown == group).all():
            return group
        group = grown
