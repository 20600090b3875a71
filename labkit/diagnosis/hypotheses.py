"""Candidates laid out for arithmetic: rows of belief, and the operating points each row needs.

A row is a candidate. Its readings are worked out at the mildest, the typical and the worst
severity it answers for, and what lies between those three is what it predicts. Where a candidate
makes a fuse open in use, a second row has the fuse open already when the hunt begins.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from copy import copy
from dataclasses import dataclass, replace

import numpy as np

from labkit.aboard.setting import test_lamp
from labkit.circuits.circuit import Circuit
from labkit.diagnosis.evidence import Measurement
from labkit.diagnosis.faults import Candidate, candidates, in_use
from labkit.diagnosis.solved import Joined, Solved
from labkit.diagnosis.sources import FaultSet, shifted, with_open
from labkit.diagnosis.thresholds import cut_at_jumps
from labkit.parts.filament import Lamp
from labkit.solving.arrays import Array, Flags, Numbers
from labkit.solving.bulk import solve_many

KEPT = 256
"""So many readings are kept as the rows predict them; a name and a review weigh the same ones
again. Our choice: some megabytes."""


@dataclass(frozen=True)
class Row:
    """A candidate, the fuses it has already opened, and where its operating points stand."""

    candidate: Candidate
    opened: tuple[str, ...]
    sets: tuple[int, int, int]


class Hypotheses:
    """All rows of a diagnosis and their operating points, solved in bulk when first asked for.

    Parameters
    ----------
    circuit : Circuit
        Its own faults are left out of account; its positions are how the boat was found.
    listed : iterable of Candidate, optional
        All of :func:`labkit.diagnosis.faults.candidates` where not given.

    Attributes
    ----------
    rows : list of Row
    names : list of str
        What the rows would be called, part and mode.
    name_of : array of int
        Row to number of its name.
    prior : array
        Belief in each row before any evidence; adds up to 1.
    shifts : list of Circuit
        The sound circuit with each of several sources a little stronger.
    """

    def __init__(self, circuit: Circuit, listed: Iterable[Candidate] | None = None) -> None:
        self.circuit = circuit.without_faults()
        self._sets: dict[FaultSet, int] = {(): 0}
        self._solved: dict[object, Solved] = {}
        self._columns: dict[object, Numbers] = {}
        self._kept: dict[object, tuple[Array, Array]] = {}
        chosen = tuple(listed) if listed is not None else candidates(circuit)
        chosen = tuple(cut_at_jumps(self.circuit, chosen, [{}, *in_use(self.circuit)]))
        self.shifts = shifted(self.circuit)
        self.rows = [Row(c, (), self._three(c)) for c in chosen]
        weights = [c.weight for c in chosen]
        for n, opened in self._opened_in_use().items():
            candidate = chosen[n]
            ends = tuple(self.number(with_open(self.sets[s], opened)) for s in self.rows[n].sets)
            self.rows.append(Row(candidate, opened, (ends[0], ends[1], ends[2])))
            weights[n] /= 2
            weights.append(weights[n])
        self._call(weights)

    def _call(self, weights: Iterable[float]) -> None:
        """Name the rows and lay their weights out."""
        self.names = list(dict.fromkeys(row.candidate.name for row in self.rows))
        number = {name: n for n, name in enumerate(self.names)}
        self.name_of = np.array([number[row.candidate.name] for row in self.rows], np.intp)
        total = np.fromiter(weights, float)
        self.prior = total / total.sum()

    def among(self, rows: Iterable[int], sets: Numbers) -> Hypotheses:
        """Return some of the rows alone, in the sets of faults they have come to by now.

        What either solves the other need not solve again.
        """
        made = copy(self)
        made._sets, made._columns, made._kept, made.rows = {(): 0}, {}, {}, []
        chosen, known = list(rows), self.sets
        for n in chosen:
            a, b, c = (made.number(known[s]) for s in sets[n])
            made.rows.append(replace(self.rows[n], sets=(a, b, c)))
        made._call(self.prior[chosen])
        return made

    def only(self, numbers: Numbers) -> Hypotheses:
        """Return the same with some of the sets of faults alone, in this order; each once.

        What either solves the other need not solve again. Its rows are not to be asked.
        """
        made, known = copy(self), self.sets
        made._sets, made._columns, made._kept, made.rows = {}, {}, {}, []
        for n in numbers.tolist():
            made.number(known[n])
        return made

    @property
    def row_sets(self) -> Numbers:
        """Rows by their three sets of faults."""
        return np.array([row.sets for row in self.rows], np.intp)

    @property
    def sets(self) -> list[FaultSet]:
        """Sets of faults whose operating points are worked out."""
        return list(self._sets)

    def number(self, faults: FaultSet) -> int:
        """Number of a set of faults; a new one where it is not known yet."""
        return self._sets.setdefault(faults, len(self._sets))

    def _three(self, candidate: Candidate) -> tuple[int, int, int]:
        low, high = candidate.ends()
        return self.number(low), self.number(candidate.faults), self.number(high)

    def _opened_in_use(self) -> dict[int, tuple[str, ...]]:
        """Rows whose typical severity opens fuses with everything on, and which."""
        found: dict[int, set[str]] = {}
        for positions in in_use(self.circuit):
            opened = self.points(Measurement("", "", positions=positions)).opened
            for id, flags in opened.items():
                for n, row in enumerate(self.rows):
                    if flags[row.sets[1]]:
                        found.setdefault(n, set()).add(id)
        return {n: tuple(sorted(ids)) for n, ids in found.items()}

    def blown(self, numbers: Numbers, measurement: Measurement) -> Numbers:
        """Sets of faults after the state of a measurement has opened what it opens."""
        opened = self.points(measurement).opened
        after = numbers.copy()
        known = self.sets
        for place in zip(*np.nonzero(self._any(opened, numbers)), strict=True):
            n = int(numbers[place])
            ids = [id for id, flags in opened.items() if flags[n] and id in self.circuit.parts]
            after[place] = self.number(with_open(known[n], ids))
        return after

    def fitted(self, numbers: Numbers, id: str) -> Numbers:
        """Sets of faults after a sound fuse has been fitted."""
        known, inside = self.sets, self.circuit.part(id).inside
        after = numbers.copy()
        for place, n in np.ndenumerate(numbers):
            left = tuple(f for f in known[n] if f.part != id or f.mode not in inside)
            if len(left) < len(known[n]):
                after[place] = self.number(left)
        return after

    @staticmethod
    def _any(opened: Mapping[str, Flags], numbers: Numbers) -> Flags:
        found = np.zeros(numbers.shape, bool)
        for flags in opened.values():
            found |= flags[numbers]
        return found

    def kept_ends(
        self, key: object, made: Callable[[], tuple[Array, Array]]
    ) -> tuple[Array, Array]:
        """What rows predict of a reading, least and greatest; made where it is not kept yet."""
        found = self._kept.get(key)
        if found is None:
            if len(self._kept) >= KEPT:
                del self._kept[next(iter(self._kept))]
            found = self._kept[key] = made()
            for array in found:
                array.flags.writeable = False
        return found

    # -- operating points ---------------------------------------------------------------------

    def brought(self, measurement: Measurement, shift: int | None = None) -> Circuit:
        """The sound circuit, or one of its shifts, in the state a measurement asks for."""
        sound = self.circuit if shift is None else self.shifts[shift]
        return measurement.setting.applied(sound)

    @property
    def lamp(self) -> Lamp:
        """The test lamp's law."""
        return test_lamp(self.circuit)

    def circuits(self, base: Circuit, numbers: Iterable[int] | None = None) -> list[Circuit]:
        """A circuit with each set of faults."""
        sets = self.sets
        chosen = sets if numbers is None else [sets[n] for n in numbers]
        return [base.but(faults=faults) for faults in chosen]

    def points(self, measurement: Measurement, shift: int | None = None) -> Joined:
        """Operating points of every set in the state of a measurement, no meter there."""
        base, key = self.brought(measurement, shift), (shift, measurement.state)
        solved = self._solved.setdefault(key, Solved())
        columns = self._columns.get(key)
        if columns is None or len(columns) < len(self._sets):
            columns = self._columns[key] = solved.columns(
                self.sets, lambda sets: solve_many([base.but(faults=faults) for faults in sets])
            )
        return solved.joined(base, columns)
