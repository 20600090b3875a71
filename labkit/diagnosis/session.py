"""Beliefs about what is wrong, and how each piece of evidence changed them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from labkit.circuits.circuit import Circuit
from labkit.diagnosis.evidence import Evidence, Measurement, outcomes
from labkit.diagnosis.faults import Candidate
from labkit.diagnosis.hypotheses import Hypotheses
from labkit.diagnosis.information import by_name, density, entropy, likeliest
from labkit.diagnosis.odds import FLUTTER, RANGE, SLIP, STRIKE, SURE, UNSEEN
from labkit.diagnosis.probe import chances, readings, slack
from labkit.diagnosis.scale import Scale, scale
from labkit.diagnosis.spread import OUTSIDE, Spread
from labkit.measuring.meter import FUNCTIONS
from labkit.solving.arrays import Array, Flags


@dataclass(frozen=True)
class Weighed:
    """One piece of evidence against every row.

    Attributes
    ----------
    evidence : Evidence
    likelihood : array
        Of the outcome under each row.
    struck : array of bool
        Rows that do not go with it.
    low, high : array
        Readings each row predicts, in the function's unit; nan for what is seen without a meter.
    bits : float
        Entropy of the names before, less after: negative where it made things less certain.
    belief : array
        In each row, after it.
    """

    evidence: Evidence
    likelihood: Array
    struck: Flags
    low: Array
    high: Array
    bits: float
    belief: Array


class Diagnosis:
    """What could be wrong with a circuit, in the light of the evidence so far.

    Parameters
    ----------
    circuit : Circuit
        As found: its positions are those of the switches, its own faults are left out of account.
    candidates : iterable of Candidate, optional
        All of :func:`labkit.diagnosis.faults.candidates` where not given.
    spread : Spread
        How far the boat may differ from its drawing.

    Attributes
    ----------
    known : Hypotheses
    belief : array
        In each row; adds up to 1.
    steps : list of Weighed
    supposed : tuple of Measurement
        Taken in thought alone, for a plan.
    """

    def __init__(
        self,
        circuit: Circuit,
        candidates: Iterable[Candidate] | None = None,
        spread: Spread = Spread(),  # noqa: B008
        known: Hypotheses | None = None,
    ) -> None:
        self.known = known if known is not None else Hypotheses(circuit, candidates)
        self.spread = spread
        self.belief = self.known.prior.copy()
        self.steps: list[Weighed] = []
        self.supposed: tuple[Measurement, ...] = ()
        self.sets = self.known.blown(self.known.row_sets, Measurement("", ""))

    @property
    def circuit(self) -> Circuit:
        """The sound circuit as found."""
        return self.known.circuit

    @property
    def evidence(self) -> tuple[Evidence, ...]:
        """All evidence so far."""
        return tuple(step.evidence for step in self.steps)

    def copy(self) -> Diagnosis:
        """Return a diagnosis that goes its own way from here; what is solved stays shared."""
        made = object.__new__(Diagnosis)
        made.known, made.spread, made.belief = self.known, self.spread, self.belief.copy()
        made.steps, made.sets = list(self.steps), self.sets
        made.supposed = self.supposed
        return made

    def scale(self, function: str) -> Scale:
        """Return the scale on which readings of a function scatter by 1."""
        return scale(function, self.spread)

    def supposing(self, measurement: Measurement, share: Array) -> Diagnosis:
        """Return the diagnosis after an outcome of which each row has this share."""
        made = self.copy()
        made.belief = self.belief * share
        made.belief /= made.belief.sum()
        made.supposed = (*self.supposed, measurement)
        made._leave(measurement)
        return made

    def _leave(self, item: Measurement) -> None:
        """Fit the fuse, and open what opens, in the state a measurement brings about."""
        if item.function == "fit":
            self.sets = self.known.fitted(self.sets, item.red)
        self.sets = self.known.blown(self.sets, item)

    # -- evidence -----------------------------------------------------------------------------

    def see(self, *evidence: Evidence) -> Diagnosis:
        """Take evidence into account, in the order it was found; return this diagnosis."""
        for item in evidence:
            likelihood, struck, low, high = self._weigh(item)
            before = self.entropy
            belief = self.belief * likelihood
            self.belief = belief / belief.sum()
            self._leave(item)
            self.steps.append(
                Weighed(item, likelihood, struck, low, high, before - self.entropy, self.belief)
            )
        return self

    def _weigh(self, item: Evidence) -> tuple[Array, Flags, Array, Array]:
        if item.function in FUNCTIONS:
            return self._weigh_reading(item)
        words, nothing = outcomes(item, self.circuit), np.full(len(self.belief), np.nan)
        if not words:  # a panel meter shows a number, which nobody weighs
            return np.ones(len(self.belief)), np.zeros(len(self.belief), bool), nothing, nothing
        chance = self.chances(item)[:, words.index(item.seen)]
        return chance, chance < UNSEEN, nothing, nothing

    def chances(self, measurement: Measurement) -> Array:
        """Chance of each outcome of what is seen without a meter; rows by outcomes."""
        mean: Array = chances(self.known, measurement)[self.sets].mean(axis=1)
        return mean

    def predicted(self, measurement: Measurement) -> tuple[Array, Array]:
        """Readings each row predicts, least and greatest, on the function's scale. [sigma]"""
        leads = (measurement.function, measurement.red, measurement.black)
        key = (measurement.state, leads, self.spread, self.sets.tobytes())
        return self.known.kept_ends(key, lambda: self._ends(measurement))

    def _ends(self, measurement: Measurement) -> tuple[Array, Array]:
        used, place = np.unique(self.sets, return_inverse=True)
        on = self.scale(measurement.function)
        u = on.u(readings(self.known, measurement, used))
        moved = [
            on.u(readings(self.known, measurement, used, shift=n))
            for n in range(len(self.known.shifts))
        ]
        room = slack(u, moved, on.end)
        place = place.reshape(self.sets.shape)
        return (u - room)[place].min(axis=1), (u + room)[place].max(axis=1)

    def _weigh_reading(self, item: Evidence) -> tuple[Array, Flags, Array, Array]:
        low, high = self.predicted(item)
        on = self.scale(item.function)
        value = item.value
        seen = float(on.u(np.array(value)))
        ends = on.u(np.array([value - item.rounding, value + item.rounding]))
        blur = max(float(ends[1] - ends[0]) / 2, 0.0) if np.isfinite(value) else 0.0
        struck = (seen < low - blur - STRIKE) | (seen > high + blur + STRIKE)
        likelihood = (1 - SLIP) * density(seen, low - blur, high + blur) + SLIP / RANGE
        unsteady = on.end + 1.5 * OUTSIDE
        flutters = (high > unsteady) != (seen > unsteady)
        likelihood[flutters] = np.maximum(likelihood[flutters], FLUTTER / RANGE)
        struck &= ~flutters
        return likelihood, struck, on.readings(low), on.readings(high)

    # -- what is believed -----------------------------------------------------------------------

    @property
    def by_name(self) -> dict[str, float]:
        """Belief in each name, the likeliest first."""
        names = self.known.names
        total = by_name(self.belief, self.known.name_of, len(names))
        return {names[n]: float(total[n]) for n in likeliest(total)}

    @property
    def entropy(self) -> float:
        """Uncertainty about the name of the fault. [bit]"""
        return entropy(by_name(self.belief, self.known.name_of, len(self.known.names)))

    def likeliest(self, name: str) -> int:
        """The row most believed of a name."""
        rows = np.flatnonzero(self.known.name_of == self.known.names.index(name))
        return int(rows[self.belief[rows].argmax()])

    @property
    def standing(self) -> Flags:
        """Rows no evidence has struck out."""
        out = np.zeros(len(self.belief), bool)
        for step in self.steps:
            out |= step.struck
        return ~out

    def remaining(self) -> list[str]:
        """Names that no reading has struck out, the likeliest first."""
        left = {self.known.names[n] for n in self.known.name_of[self.standing]}
        return [name for name in self.by_name if name in left]

    def fallen(self) -> dict[str, int]:
        """Names struck out, and the number of the piece of evidence that left nothing of each."""
        out = np.zeros(len(self.belief), bool)
        found: dict[str, int] = {}
        for number, step in enumerate(self.steps):
            out |= step.struck
            left = set(self.known.name_of[~out].tolist())
            for n, name in enumerate(self.known.names):
                if n not in left:
                    found.setdefault(name, number)
        return found


def believed(diagnosis: Diagnosis, sure: float = SURE) -> list[str]:
    """The fewest names that make up this much of the belief."""
    total, found = 0.0, []
    for name, belief in diagnosis.by_name.items():
        found.append(name)
        total += belief
        if total >= sure:
            break
    return found
