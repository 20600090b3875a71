"""Candidates cut where a relay, a cut-out or a fuse changes: what they predict jumps there."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise

import numpy as np

from labkit.circuits.circuit import Circuit
from labkit.diagnosis.faults import Candidate
from labkit.parts import Fault
from labkit.solving.arrays import Words
from labkit.solving.bulk import solve_many

ROUNDS = 3
"""A candidate is cut at most so many times in turn."""

STEPS, PIECES = 4, 8
"""So many times the stretch in which something changes is cut into so many, all looked at together:
twelve halvings, in a third of the time."""

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
    tries = [(base, n) for base in bases for n, c in enumerate(listed) if any(c.spans)]
    placed = [(base, listed[n].at(place)) for place in _PLACES for base, n in tries]
    words = np.split(_words(placed), len(_PLACES), axis=1)
    differ = np.stack([(a != b).any(0) for a, b in pairwise(words)])
    chosen: dict[int, tuple[int, int]] = {}
    for number, first in np.argwhere(differ.T):
        chosen.setdefault(tries[number][1], (int(number), int(first)))
    numbers, firsts = [list(of) for of in zip(*chosen.values(), strict=True)] or ([], [])
    low = np.array([_PLACES[first] for first in firsts])
    high = np.array([_PLACES[first + 1] for first in firsts])
    before = np.array([words[first][:, n] for n, first in chosen.values()]).T
    for _ in range(STEPS if chosen else 0):
        piece = (high - low) / PIECES
        between = low + piece * np.arange(1, PIECES)[:, None]
        now = [
            (tries[n][0], listed[tries[n][1]].at(float(t)))
            for places in between
            for n, t in zip(numbers, places, strict=True)
        ]
        there = _words(now).reshape(-1, PIECES - 1, len(numbers))
        same = (there == before[:, None]).all(0)
        steps = np.logical_and.accumulate(same).sum(0)
        low = low + piece * steps
        high = low + piece
    ends = dict(zip(chosen, zip(low.tolist(), high.tolist(), strict=True), strict=True))
    return [ends.get(n) for n in range(len(listed))]


def _words(tries: Sequence[tuple[Circuit, tuple[Fault, ...]]]) -> Words:
    """States of everything that switches by itself; things by circuits with faults."""
    # Where exactly a candidate is cut decides no reading: no need for a whole boat here.
    points = solve_many([base.but(faults=faults) for base, faults in tries], exact=False)
    rows = [words for id, words in points.states.items() if id not in tries[0][0].positions]
    return np.array(rows) if rows else np.zeros((0, len(tries)), "<U16")
