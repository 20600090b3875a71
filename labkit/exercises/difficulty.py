"""How hard an exercise is, computed from what the learner is up against; stored nowhere by hand.

Each doubling of what could be wrong, once every load was looked at, asks for one more telling
reading. Each plain way of searching that does not lead to the fault, and each thing such a search
does not reckon with, makes an exercise harder by half.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from labkit.aboard.bench import Bench
from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.circuits.paths import path_through
from labkit.circuits.tracing import Pass
from labkit.diagnosis.closing_in import close_in, in_near
from labkit.diagnosis.information import by_name, entropy
from labkit.diagnosis.sight import load_chances
from labkit.diagnosis.solved import Joined
from labkit.exercises.exercise import Dealt, Exercise
from labkit.exercises.situations import lead_to
from labkit.measuring.senses import sensed, words_of
from labkit.parts import AT_TIMES, Trait
from labkit.solving.bulk import solve_many
from labkit.solving.solver import OperatingPoint, solve
from labkit.text.messages import CircuitError

LEVELS = (5.0, 6.5, 9.0, 12.0)
"""Readings up to which levels 1 to 4 go; beyond is 5. Chosen, to spread the exercises."""

HARDER = 1.5
"""Factor for each plain way that fails and each thing not reckoned with. Our choice."""

OFF = 0.02
"""A voltage is off by more than this share of system voltage. Common practice, no source."""


@dataclass(frozen=True)
class Difficulty:
    """What stands between a learner and the fault.

    Attributes
    ----------
    suspects : int
        Parts that make up 95 % of what could be wrong, once every load was looked at as found
        and as proven.
    bits : float
        What is still to be learnt about the part then.
    surprises : tuple of str
        What a plain search misses or does not reckon with.
    """

    suspects: int
    bits: float
    surprises: tuple[str, ...]

    @property
    def readings(self) -> float:
        """One for each bit and one to be sure, half as many more for each surprise."""
        return (1 + self.bits) * HARDER ** len(self.surprises)

    @property
    def level(self) -> int:
        """From 1, plain, to 5."""
        return 1 + sum(self.readings > bound for bound in LEVELS)

    def __str__(self) -> str:
        count = f"{self.suspects} suspect{'s' if self.suspects != 1 else ''}"
        return f"difficulty {self.level} of 5 ({', '.join((count, *self.surprises))})"


def difficulty(exercise: Exercise) -> Difficulty:
    """Return the difficulty of the hardest variant of an exercise."""
    looks = Looks(exercise)
    variants = (exercise.variant(n) for n in range(len(exercise.variants)))
    return max((difficulty_of(exercise, v, looks) for v in variants), key=lambda d: d.readings)


def difficulty_of(exercise: Exercise, dealt: Dealt, looks: Looks | None = None) -> Difficulty:
    """Return the difficulty of one variant.

    Parameters
    ----------
    exercise : Exercise
    dealt : Dealt
        Of that exercise.
    looks : Looks, optional
        What could be seen on this exercise's boat, if it was worked out before.
    """
    belief = (looks or Looks(exercise)).belief(dealt)
    most = np.cumsum(sorted(belief, reverse=True))
    return Difficulty(
        int(np.searchsorted(most, 0.95)) + 1, entropy(belief), tuple(surprises(exercise, dealt))
    )


class Looks:
    """What each load can be seen to do under everything that could be wrong.

    Parameters
    ----------
    exercise : Exercise
        Looked at as found, and with its switches as proven.
    near : bool
        Of a large boat only what is near the complaint: quicker, but the loads far from it, which
        clear what feeds them, are not looked at.

    Attributes
    ----------
    listed : tuple of Candidate
        The single faults suspected; near, as :func:`labkit.diagnosis.closing_in.in_near` has them.
    """

    def __init__(self, exercise: Exercise, near: bool = False) -> None:
        circuit = close_in(exercise.circuit, exercise.named) if near else exercise.circuit
        singles = [one for one in exercise.candidates if len(one.faults) == 1]
        self.listed = in_near(singles, circuit)
        self._weights = np.array([candidate.weight for candidate in self.listed])
        owners = [one.called or one.faults[0].part for one in self.listed]
        parts = list(dict.fromkeys(owners))
        self._parts = np.array([parts.index(owner) for owner in owners])
        self._looks = []
        for positions in ({}, exercise.proof.positions):
            base = circuit.with_position(**positions)
            sets = [base.but(faults=candidate.faults) for candidate in self.listed]
            self._looks.append((positions, Joined(base, [solve_many(sets)])))

    def chances(self, dealt: Dealt) -> np.ndarray:
        """Return each candidate's chance of looking as a variant does."""
        chance = np.ones(len(self.listed))
        found = Bench(dealt.circuit).circuit
        for positions, points in self._looks:
            now = found.with_position(**positions)
            for load, does in sensed(now, solve(now)).items():
                words = words_of(now.parts[load])
                if does in words and load in points.base.parts:
                    chance = chance * load_chances(points.base, points, load)[:, words.index(does)]
        return chance

    def belief(self, dealt: Dealt) -> np.ndarray:
        """Return the belief in each part, after a look at every load of a variant."""
        belief = self._weights * self.chances(dealt)
        return by_name(belief / belief.sum(), self._parts, int(self._parts.max()) + 1)


def surprises(exercise: Exercise, dealt: Dealt) -> Iterator[str]:
    """Name what a plain search of a variant does not reckon with."""
    causes = dealt.causes
    parts = {fault.part for fault in causes}
    hidden = {id for id in parts if exercise.circuit.parts[id].hidden}
    drawn = parts - hidden  # nobody accuses what nobody drew
    way = _Way(exercise, dealt)
    if way.without_load not in drawn:
        yield "not found without load"
    if way.with_load not in drawn:
        yield "not on the load's way"
    if way.others_off:
        yield "other loads are off too"
    if hidden:
        yield "not drawn"
    if len(parts) > 1:
        yield "two at once"
    if any(fault.mode in AT_TIMES for fault in causes):
        yield "comes and goes"


class _Way:
    """Following the wire with a voltmeter, from the source to the load complained of.

    The part accused first is what a plain search would name; '' where it finds nothing.
    """

    def __init__(self, exercise: Exercise, dealt: Dealt) -> None:
        self._on = exercise.proof.positions
        self._load = exercise.proof.load
        self._sound = exercise.circuit.with_position(**self._on)
        self._found = Bench(dealt.circuit).circuit.with_position(**self._on)
        self._enough = OFF * exercise.circuit.system

    @cached_property
    def _steps(self) -> tuple[Pass, ...]:
        try:
            return path_through(self._sound, self._load)
        except CircuitError:
            return ()

    @cached_property
    def without_load(self) -> str:
        """Volts to DC- with the wire at the load taken off: the part behind which they are off."""
        lead = lead_to(self._sound, self._load)
        boats = [circuit.with_parted(lead) for circuit in (self._sound, self._found)]
        points = [solve(boat) for boat in boats]
        for step in self._steps:
            if step.part == self._load:
                break
            if self._off(points, step.second, NEGATIVE):
                return step.part
        return ""

    @cached_property
    def with_load(self) -> str:
        """Volts across each part and source with the load on: where most is off."""
        points = [solve(self._sound), solve(self._found)]
        off = {step.part: self._off(points, step.first, step.second) for step in self._steps}
        off |= {
            part.id: self._off(points, f"{part.id}:+", f"{part.id}:-")
            for part in self._sound.parts.values()
            if Trait.SOURCE in part.traits
        }
        off.pop(self._load, None)
        worst = max(off, key=lambda id: off[id], default="")
        if worst and off[worst]:
            return worst
        return self._load if self._does(self._sound) != self._does(self._found) else ""

    @cached_property
    def others_off(self) -> bool:
        """Tell whether another load, relays apart, can be seen not to do what it should."""
        sound, found = (sensed(c, solve(c)) for c in (self._sound, self._found))
        return any(
            does != found[load]
            for load, does in sound.items()
            if load != self._load and len(self._sound.parts[load].ways()) == 1
        )

    def _off(self, points: list[OperatingPoint], red: str, black: str) -> float:
        sound, found = (abs(point.volt(red, black) or 0.0) for point in points)
        return abs(sound - found) if abs(sound - found) > self._enough else 0.0

    def _does(self, circuit: Circuit) -> Mapping[str, str] | str:
        return sensed(circuit, solve(circuit)).get(self._load, "")
