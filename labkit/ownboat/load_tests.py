"""How a battery comes out of a load test, as far as it is known: between two limits lies a chance.

A battery in use has more resistance than when it was new, by an amount nobody knows. One that is
near the limit fails the test or passes it whatever else is wrong aboard, so that the word alone
proves little of it: what the readings say of the battery counts with it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from labkit.aboard.load_testing import LEAST_REST, limit, load_test
from labkit.circuits.circuit import Circuit
from labkit.diagnosis.normal import below
from labkit.diagnosis.sight import with_mistakes
from labkit.diagnosis.sources import FaultSet
from labkit.ownboat.figures import Figure
from labkit.ownboat.scales import BENT, SEVERITY
from labkit.parts import Battery, Fault, Part
from labkit.solving.arrays import Array, Numbers

TESTER = 0.05
"""How far a load tester's voltmeter, and what it draws, are off. [V] Common practice, no source."""


class Held(NamedTuple):
    """One voltage of the test: at three severities (by rows), its moves, and its limit.

    Moves are rows by columns: the boat's figures, the severity, the meter's gain and its leads.
    """

    three: Array
    columns: Array
    limit: float

    def above(self, mean: Array, pinned: Array) -> Array:
        """Chance that it is above its limit, under each row, the boat learnt so far."""
        low, middle, high = self.three
        bent = np.abs(low + high - 2 * middle) / 2
        found = middle + (mean * self.columns).sum(1)
        held = (pinned @ self.columns[..., None])[..., 0]
        variance = np.maximum((self.columns**2).sum(1) - (held**2).sum(1), 0.0)
        sd = np.sqrt(variance + TESTER**2 + (BENT * bent) ** 2)
        return np.asarray(below((found - self.limit) / sd))


class Trial(NamedTuple):
    """A load test under each row: volts at rest and after a quarter of a minute."""

    rest: Held
    loaded: Held

    def chances(self, mean: Array, pinned: Array) -> Array:
        """Chance of each word, rows by words: passes, fails, is too low to test."""
        tested, held = (x.above(mean, pinned) for x in (self.rest, self.loaded))
        words = np.stack([tested * held, tested * (1 - held), 1 - tested], 1)
        return with_mistakes(words)


class LoadTests:
    """Load tests of a boat's batteries under all that may be wrong with them, each done once.

    Parameters
    ----------
    circuit : Circuit
    figures : sequence of Figure
        What is not known exactly of it.
    """

    def __init__(self, circuit: Circuit, figures: Sequence[Figure]) -> None:
        self.circuit, self.figures = circuit, figures
        self._done: dict[tuple[str, tuple[Fault, ...]], Array] = {}

    def under(self, id: str, faults: Sequence[FaultSet]) -> tuple[Array, Array]:
        """Volts at rest and under load with each set of faults, and how they move.

        Returns
        -------
        array
            Sets by two. [V]
        array
            Sets by figures, the severity, gain and leads, by two.
        """
        both = np.stack([self._one(id, tuple(f for f in some if f.part == id)) for some in faults])
        return both[:, 0], both[:, 1:]

    def _one(self, id: str, own: tuple[Fault, ...]) -> Array:
        key = id, own
        if key not in self._done:
            made = np.zeros((1 + len(self.figures) + 3, 2))
            made[0] = self._volts(self.circuit.part(id), own)
            for k, figure in enumerate(self.figures):
                if figure.part == id:
                    ends = (self._volts(end, own) for end in (figure.up, figure.down))
                    made[1 + k] = np.subtract(*ends) / 2
            self._done[key] = made
        return self._done[key]

    def _volts(self, battery: Part, own: tuple[Fault, ...]) -> Array:
        assert isinstance(battery, Battery)
        shown = load_test(battery, own, self.circuit.system)
        return np.array([shown.rest, shown.volts])

    def trial(self, id: str, faults: Sequence[FaultSet], sets: Numbers) -> Trial:
        """A load test under each row; sets of faults by number, rows by severities."""
        different, place = np.unique(sets, return_inverse=True)
        place = place.reshape(sets.shape)
        volts, moves = self.under(id, [faults[n] for n in different])
        battery, system = self.circuit.part(id), self.circuit.system
        assert isinstance(battery, Battery)
        limits = LEAST_REST * system / 12.0, limit(battery.temperature, system)
        rest, loaded = (
            _held(volts[place, n].T, moves[place[:, 1], :, n], limits[n]) for n in (0, 1)
        )
        return Trial(rest, loaded)


def _held(three: Array, columns: Array, least: float) -> Held:
    columns = columns.copy()
    columns[:, -3] = (three[2] - three[0]) / 2 * SEVERITY
    return Held(three, columns, least)
