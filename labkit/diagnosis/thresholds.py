"""Candidates cut where a relay, a cut-out or a fuse changes: what they predict jumps there."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from labkit.bulk import solve_many
from labkit.circuit import Circuit
from labkit.faults import Candidate
from labkit.parts import Fault

Words = npt.NDArray[np.str_]

ROUNDS = 3
"""A candidate is cut at most so many times in turn."""

STEPS = 12
"""Halvings of the stretch in which something changes."""

SLIVER = 0.01
"""A piece smaller than this share of a candidate is left out."""

_PLACES = (0.0, 0.5, 1.0)


def cut_at_jumps(
    circuit: Circuit, listed: Iterable[Candidate], states: Sequence[Mapping[str, str]]
) -> list[Candidate]:
    """Cut candidates so that within each nothing switches, in the positions given.

    Parameters
    ----------
    circuit : Circuit
        Without faults.
    listed : iterable of Candidate
    states : sequence of mapping
        Positions of the switches to look in.
    """
    whole, done = list(listed), []
    bases = [circuit.with_position(**positions) for positions in states]
    for _ in range(ROUNDS):
        pieces: list[Candidate] = []
        for candidate, jump in zip(whole, _jumps(bases, whole), strict=True):
            if jump is None:
                done.append(candidate)
                continue
            before, after = jump
            pieces += [candidate.part(0.0, before)] if before > SLIVER else []
            pieces += [candidate.part(after, 1.0)] if after < 1 - SLIVER else []
        whole = pieces
    return done + whole


def _jumps(
    bases: Sequence[Circuit], listed: Sequence[Candidate]
) -> list[tuple[float, float] | None]:
    """For each candidate the ends of the narrow stretch in which something changes first."""
    found: list[tuple[float, float] | None] = [None] * len(listed)
    for base in bases:
        open_ = [n for n, c in enumerate(listed) if found[n] is None and any(c.spans)]
        words = [_words(base, [listed[n].at(place) for n in open_]) for place in _PLACES]
        for first, second in ((0, 1), (1, 2)):
            differ = (words[first] != words[second]).any(0)
            these = [m for m in np.flatnonzero(differ) if found[open_[m]] is None]
            if these:
                chosen = [listed[open_[m]] for m in these]
                narrow = _narrowed(base, chosen, words[first][:, these], first)
                for m, ends in zip(these, narrow, strict=True):
                    found[open_[m]] = ends
    return found


def _narrowed(
    base: Circuit, chosen: Sequence[Candidate], before: Words, first: int
) -> list[tuple[float, float]]:
    low = np.full(len(chosen), _PLACES[first])
    high = np.full(len(chosen), _PLACES[first + 1])
    for _ in range(STEPS):
        middle = (low + high) / 2
        now = _words(base, [c.at(float(t)) for c, t in zip(chosen, middle, strict=True)])
        same = (now == before).all(0)
        low, high = np.where(same, middle, low), np.where(same, high, middle)
    return [(float(a), float(b)) for a, b in zip(low, high, strict=True)]


def _words(base: Circuit, sets: Sequence[tuple[Fault, ...]]) -> Words:
    """States of everything that switches by itself; things by sets of faults."""
    points = solve_many([replace(base, faults=faults) for faults in sets])
    moves = [id for id in points.states if id not in base.positions]
    rows = [points.states[id] for id in moves]
    return np.array(rows) if rows else np.zeros((0, len(sets)), "<U16")
