"""Hypotheses of a boat whose figures are not known exactly: both sides of a limit of a fuse."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from labkit.circuits.circuit import Circuit
from labkit.diagnosis.faults import Candidate, in_use
from labkit.diagnosis.hypotheses import Hypotheses
from labkit.diagnosis.sources import FaultSet
from labkit.ownboat.figures import figures, leaning
from labkit.parts import Fault
from labkit.parts.protection import HOLDS
from labkit.solving.bulk import solve_many


class Rows(Hypotheses):
    """Hypotheses of which those near the limit of a fuse stand for either side of it.

    A row that opens a fuse on the boat that draws most, and not on the usual one, stands with the
    fuse open at the start as well; one that does not open it on the boat that draws least stands
    with the fuse held as well.

    Attributes
    ----------
    edge : dict of str to set of int
        Fuse to the rows that open it on some of the boats only.
    """

    def __init__(self, circuit: Circuit, listed: Sequence[Candidate]) -> None:
        self.edge: dict[str, set[int]] = {}
        super().__init__(circuit, listed)
        weights = self.prior.tolist()
        for n, ids in self._held_on_the_least().items():
            row = self.rows[n]
            a, b, c = (self.number(with_held(self.sets[s], ids)) for s in row.sets)
            self.rows.append(replace(row, sets=(a, b, c)))
            weights[n] /= 2
            weights.append(weights[n])
        self._call(weights)

    def _opened_in_use(self) -> dict[int, tuple[str, ...]]:
        found = {n: set(ids) for n, ids in super()._opened_in_use().items()}
        for n, ids in self._opened_on(1.0).items():
            for id in ids - found.get(n, set()):
                found.setdefault(n, set()).add(id)
                self.edge.setdefault(id, set()).add(n)
        return {n: tuple(sorted(ids)) for n, ids in found.items()}

    def _held_on_the_least(self) -> dict[int, set[str]]:
        """Rows that open a fuse on the usual boat, and not on the one that draws least."""
        usual, least = super()._opened_in_use(), self._opened_on(-1.0)
        found: dict[int, set[str]] = {}
        for n, ids in usual.items():
            if not self.rows[n].opened:
                for id in set(ids) - least.get(n, set()):
                    found.setdefault(n, set()).add(id)
                    self.edge.setdefault(id, set()).add(n)
        return found

    def _opened_on(self, more: float) -> dict[int, set[str]]:
        """Fuses that rows open in use, on a boat that draws more or less than the usual one."""
        found: dict[int, set[str]] = {}
        extreme = leaning(self.circuit, figures(self.circuit), more)
        for positions in in_use(self.circuit):
            base = extreme.with_position(**positions)
            for id, flags in solve_many(self.circuits(base)).opened.items():
                for n, row in enumerate(self.rows):
                    if id in self.circuit.parts and flags[list(row.sets)].any():
                        found.setdefault(n, set()).add(id)
        return found


def with_held(faults: FaultSet, ids: Iterable[str]) -> FaultSet:
    """Faults with these fuses holding, whatever passes them."""
    return (*faults, *(Fault(id, HOLDS) for id in sorted(ids)))
