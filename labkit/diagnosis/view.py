"""The rows that matter for a ranking, and what they predict."""

from __future__ import annotations

import numpy as np

from labkit.diagnosis.information import HARD_BIN
from labkit.diagnosis.menu import Menu
from labkit.diagnosis.session import Diagnosis
from labkit.solving.arrays import Array, Codes, Numbers, Singles

NEGLIGIBLE = 1e-4
"""The least believed rows that together make up no more than this are left out of a ranking."""


class View:
    """The rows of a diagnosis that matter, those of one name beside one another.

    Attributes
    ----------
    diagnosis : Diagnosis
    rows : array of int
        Numbers of the rows.
    belief, names : array
        Of these rows; belief adds up to 1.
    sets : array of int
        Rows by their three sets of faults.
    """

    def __init__(self, menu: Menu, diagnosis: Diagnosis) -> None:
        self.menu, self.diagnosis = menu, diagnosis
        order = np.argsort(diagnosis.belief)
        spare = int(np.searchsorted(np.cumsum(diagnosis.belief[order]), NEGLIGIBLE))
        rows = np.sort(order[spare:])
        self.rows = rows[np.argsort(diagnosis.known.name_of[rows], kind="stable")]
        belief = diagnosis.belief[self.rows]
        self.belief: Array = belief / belief.sum()
        _, names = np.unique(diagnosis.known.name_of[self.rows], return_inverse=True)
        self.names: Numbers = names.astype(np.intp)
        self.sets = diagnosis.sets[self.rows]

    def intervals(self, numbers: Numbers) -> tuple[Singles, Singles]:
        """Between what each row predicts some of the measurements to read. [sigma]"""
        return ends(self.menu, self.sets, numbers)

    def chances(self) -> Array:
        """Chance of each outcome of all that is seen without a meter; rows by outcomes."""
        mean: Array = np.mean([self.menu.chances[self.sets[:, n]] for n in range(3)], axis=0)
        return mean

    def changed(self, start: Diagnosis) -> bool:
        """Tell whether a fuse has opened or been fitted since the start."""
        return bool((self.sets != start.sets[self.rows]).any())

    def codes(self, at_start: Codes, start: Diagnosis, offset: float = 0.0) -> Codes:
        """Bins of all readings, from those worked out at the start where nothing has changed."""
        found = at_start[:, self.rows]
        changed = np.flatnonzero((self.sets != start.sets[self.rows]).any(1))
        if self.changed(start):
            found[:, changed] = _bins(*ends(self.menu, self.sets[changed]), offset)
        return found


def codes(menu: Menu, diagnosis: Diagnosis, offset: float = 0.0) -> Codes:
    """Number of the bin each row's reading falls in; measurements by rows.

    `offset` moves the bins by this share of their width.
    """
    return _bins(*ends(menu, diagnosis.sets), offset)


def alike(codes: Codes) -> Numbers:
    """Number the measurements so that those which tell all rows apart alike share a number.

    Alike means in the same bins, and in rising or falling order of them alike.
    """
    spread = np.random.default_rng(0).integers(1, 2**62, codes.shape[1], dtype=np.int64)
    prints = np.minimum(codes @ spread, (-1 - codes.astype(np.int64)) @ spread)
    return np.unique(prints, return_inverse=True)[1].astype(np.intp)


def ends(
    menu: Menu, sets: Numbers, numbers: Numbers | slice = slice(None)
) -> tuple[Singles, Singles]:
    """Least and greatest that the three sets of faults of each row read. [sigma]"""
    low, high = menu.low[numbers], menu.high[numbers]
    a, b, c = (low[:, sets[:, n]] for n in range(3))
    d, e, f = (a, b, c) if menu.high is menu.low else (high[:, sets[:, n]] for n in range(3))
    return np.minimum(np.minimum(a, b), c), np.maximum(np.maximum(d, e), f)


def _bins(low: Singles, high: Singles, offset: float) -> Codes:
    return np.asarray(np.floor((low + high) / (2 * HARD_BIN) + offset), np.int16)
