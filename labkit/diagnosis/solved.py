"""Operating points of one state of a circuit, each set of faults solved once however often asked.

Many ask for the same sets in another order, or for some of them: each suspect that is to be told
from the others, each menu of what may be measured next.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from labkit.circuits.circuit import Circuit
from labkit.diagnosis.sources import FaultSet
from labkit.solving.arrays import Array, Flags, Numbers, Words
from labkit.solving.bulk import OperatingPoints


class Solved:
    """What was solved in one state, and in which column which set of faults stands."""

    def __init__(self) -> None:
        self._pieces: list[OperatingPoints] = []
        self._column: dict[FaultSet, int] = {}

    def columns(
        self, sets: Sequence[FaultSet], solve: Callable[[list[FaultSet]], OperatingPoints]
    ) -> Numbers:
        """Columns of some sets of faults; those that are not solved yet are, in one go."""
        fresh = [faults for faults in sets if faults not in self._column]
        if fresh:
            self._pieces.append(solve(fresh))
            self._column.update({faults: len(self._column) + n for n, faults in enumerate(fresh)})
        return np.array([self._column[faults] for faults in sets], np.intp)

    def joined(self, base: Circuit, columns: Numbers) -> Joined:
        """Operating points of these columns, in this order."""
        return Joined(base, self._pieces, columns)


class Joined:
    """Operating points solved in several goes, read as one; all of them where no columns are named.

    What is read again is not put together again.
    """

    def __init__(
        self, base: Circuit, pieces: Sequence[OperatingPoints], columns: Numbers | None = None
    ) -> None:
        self.base, self._pieces, self._columns = base, tuple(pieces), columns
        self._rows: dict[tuple[str, str], Any] = {}

    @property
    def opened(self) -> dict[str, Flags]:
        """Fuses and whether they opened, for each set."""
        keys = dict.fromkeys(key for piece in self._pieces for key in piece.opened)
        return {key: self._put_together("opened", key, False) for key in keys}

    def row(self, field: str, key: str) -> Array:
        """Volts, amps or speeds of one thing for each set, nan where there is none."""
        found: Array = self._put_together(field, key, np.nan)
        return found

    def states(self, key: str) -> Words:
        """State of a part in words, for each set."""
        found: Words = self._put_together("states", key, "")
        return found

    def floating(self, key: str) -> Flags:
        """Whether nothing ties a point to DC-, for each set."""
        found: Flags = self._put_together("floating", key, False)
        return found

    def volts(self, points: Sequence[str]) -> Array:
        """Voltages of points for each set, nan where floating."""
        return np.stack([self.row("volts", point) for point in points], axis=1)

    def _put_together(self, field: str, key: str, missing: float | str) -> Any:
        found = self._rows.get((field, key))
        if found is None:
            parts = [getattr(p, field).get(key, np.full(p.size, missing)) for p in self._pieces]
            found = np.concatenate(parts)
            found = found if self._columns is None else found[self._columns]
            found.flags.writeable = False
            self._rows[field, key] = found
        return found
