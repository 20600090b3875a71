"""What a measurement can come out as, and which names each outcome leaves.

Readings are a continuum; an outcome is a stretch of it within which the same names stay standing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from labkit.diagnosis.information import xlogx
from labkit.solving.arrays import Array, Numbers

BIN = 4.0
"""Readings nearer than this are not told apart. [sigma]"""

ALIKE = 0.02
"""Neighbouring stretches are one outcome where joining them loses less than this. [bit]"""


@dataclass(frozen=True)
class Outcome:
    """A stretch of readings, or a word seen.

    Attributes
    ----------
    low, high : float
        Of the stretch, on the function's scale; nan for a word. [sigma]
    word : str
    chance : float
    share : array
        Of each row, how much of it comes out so.
    """

    low: float
    high: float
    word: str
    chance: float
    share: Array


def stretches(low: Array, high: Array, belief: Array, names: Numbers) -> list[Outcome]:
    """Cut the readings rows predict into outcomes.

    Parameters
    ----------
    low, high : array
        Between what each row predicts the reading to lie. [sigma]
    belief : array
        In each row; adds up to 1.
    names : array of int
        What each row would be called.
    """
    low, high = np.asarray(low, float), np.maximum(np.asarray(high, float), low + 1e-3)
    edges = _edges(low, high)
    # A row's share in a cell: of its interval, how much lies in it.
    inside = np.minimum(high[:, None], edges[None, 1:]) - np.maximum(low[:, None], edges[None, :-1])
    share = np.maximum(inside, 0.0) / (high - low)[:, None]
    mass = share * belief[:, None]
    count = int(names.max()) + 1
    by_name = np.zeros((count, share.shape[1]))
    np.add.at(by_name, names, mass)
    groups = _joined(by_name)
    found = []
    for first, last in groups:
        piece = share[:, first:last].sum(1)
        chance = float(piece @ belief)
        if chance > 0:
            found.append(Outcome(float(edges[first]), float(edges[last]), "", chance, piece))
    return found


def _edges(low: Array, high: Array) -> Array:
    """Edges of cells no narrower than BIN, set where rows begin and end."""
    marks = np.unique(np.concatenate([low - BIN / 2, high + BIN / 2]))
    kept = [marks[0]]
    for mark in marks[1:]:
        if mark - kept[-1] >= BIN:
            kept.append(mark)
    if kept[-1] < marks[-1]:
        kept.append(max(marks[-1], kept[-1] + BIN))
    if len(kept) == 1:
        kept.append(kept[0] + BIN)
    return np.array(kept)


def _joined(by_name: Array) -> list[tuple[int, int]]:
    """Cells put together with their neighbours, cheapest first, while little is lost by it.

    What is lost is the information that tells two of them apart.
    """
    spans = [(n, n + 1) for n in range(by_name.shape[1])]
    columns, own = list(by_name.T), list(_spread(by_name))
    costs = list(_spread(by_name[:, :-1] + by_name[:, 1:]) - own[:-1] - own[1:])
    while costs:
        n = int(np.argmin(costs))
        if costs[n] > ALIKE:
            break
        own[n : n + 2] = [costs[n] + own[n] + own[n + 1]]
        columns[n : n + 2] = [columns[n] + columns[n + 1]]
        spans[n : n + 2] = [(spans[n][0], spans[n + 1][1])]
        del costs[n]
        for m in (n - 1, n):
            if 0 <= m < len(costs):
                costs[m] = _spread(columns[m] + columns[m + 1]) - own[m] - own[m + 1]
    return spans


def _spread(mass: Array) -> Array:
    """Entropy of each stretch times its chance; names by stretches. [bit]"""
    return np.asarray(xlogx(mass.sum(0)) - xlogx(mass).sum(0))


def words(chances: Array, belief: Array, named: Sequence[str]) -> list[Outcome]:
    """Outcomes of something seen without a meter; those nobody would see left out."""
    chance = belief @ chances
    return [
        Outcome(np.nan, np.nan, word, float(chance[n]), chances[:, n])
        for n, word in enumerate(named)
        if chance[n] > 0.01
    ]
