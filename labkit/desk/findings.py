"""What an exercise's boat reads at every test point, sound and faulty, and which readings tell."""

from __future__ import annotations

from dataclasses import dataclass, replace

from labkit.aboard.bench import Bench
from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.diagnosis.closing_in import close_in
from labkit.exercises.exercise import Dealt, Exercise
from labkit.exercises.situations import Situation, probe, situations
from labkit.measuring.meter import Reading, read
from labkit.measuring.senses import sensed
from labkit.parts import AT_TIMES, Trait
from labkit.solving.near import NearCircuit
from labkit.solving.solver import solve

TELLING_POINT = 0.02
"""A voltage to DC- tells where it is off by more than this share of system voltage: the battery's
state of charge alone makes less. Common practice, no source."""

TELLING_ACROSS = 0.005
"""A voltage across one part tells where it is off by more than this share; the battery's charge
hardly moves it. Common practice, no source."""


@dataclass(frozen=True)
class Compared:
    """One measurement in one situation, on the sound boat and on this one.

    Attributes
    ----------
    telling : float
        By how much it is off, in units of what would be enough to tell; 1 and more tells.
    """

    situation: Situation
    sound: Reading
    found: Reading
    telling: float

    @property
    def tells(self) -> bool:
        """Whether this measurement shows that something is wrong."""
        return self.telling >= 1

    @property
    def where(self) -> str:
        """Which function, between which points, in which situation."""
        reading = self.sound
        if reading.function == "clamp":
            return f"a clamp at {reading.red}, {self.situation.name},"
        name = "" if reading.function == "volts" else f"{reading.function}, "
        return f"{name}{reading.red} to {reading.black}, {self.situation.name},"

    @property
    def sentence(self) -> str:
        """What it reads here, and what it would read on the sound boat."""
        return f"{self.where} reads {self.found.display}; sound, {self.sound.display}"

    @property
    def cell(self) -> str:
        """Both readings in a table's cell: one where they agree, a star where they tell."""
        if self.sound.display == self.found.display:
            return self.sound.display
        return f"{self.sound.display} → {self.found.display}{' *' if self.tells else ''}"


@dataclass(frozen=True)
class Point:
    """A test point and its voltage to DC- in each situation."""

    number: int
    terminals: tuple[str, ...]
    readings: tuple[Compared, ...]


@dataclass(frozen=True)
class Findings:
    """What there is to find in one variant.

    Attributes
    ----------
    exercise : Exercise
    dealt : Dealt
    situations : tuple of Situation
    points : tuple of Point
        Voltages to DC-, by number.
    telling : tuple of Compared
        Voltages across single parts, and currents, that show something wrong; the plainest first.
    """

    exercise: Exercise
    dealt: Dealt
    situations: tuple[Situation, ...]
    points: tuple[Point, ...]
    telling: tuple[Compared, ...]


def findings(exercise: Exercise, dealt: Dealt) -> Findings:
    """Read every test point of a variant in every situation, on the sound boat and on this one.

    Of a large boat, those near what it is about.

    Parameters
    ----------
    exercise : Exercise
    dealt : Dealt
        Of that exercise.
    """
    sound, faulty = exercise.circuit, settled(dealt.circuit)
    near = close_in(sound, exercise.named)
    if isinstance(near, NearCircuit):
        sound, faulty = near, replace(near, faults=faulty.faults)
    shaken = tuple(dict.fromkeys(f.part for f in faulty.faults if f.mode in AT_TIMES))
    places = situations(exercise, shaken)
    points = tuple(
        Point(
            point.number,
            point.terminals,
            tuple(
                compare(sound, faulty, place, probe(point.terminals, place.parted), NEGATIVE)
                for place in places
            ),
        )
        for point in sound.test_points
        if point.node != NEGATIVE
    )
    return Findings(exercise, dealt, places, points, _telling(sound, faulty, places))


def settled(circuit: Circuit) -> Circuit:
    """Return the circuit as a person finds it: what would have opened by then is open."""
    return Bench(circuit).circuit


def shows(circuit: Circuit) -> dict[str, str]:
    """Say what each load does, to eye and ear."""
    return sensed(circuit, solve(circuit))


def compare(
    sound: Circuit, faulty: Circuit, place: Situation, red: str, black: str, function: str = "volts"
) -> Compared:
    """Take the same measurement on both boats, and say by how much it tells."""
    a, b = (read(place.of(circuit), red, black, function) for circuit in (sound, faulty))
    enough = TELLING_POINT if black == NEGATIVE else TELLING_ACROSS
    least = enough * sound.system if function == "volts" else 0.0
    if a.display == b.display:
        telling = 0.0
    elif a.value is None or b.value is None:  # unsteady or over range on one boat only
        telling = float("inf")
    else:
        telling = abs(a.value - b.value) / max(least, (a.high - a.low + b.high - b.low) / 2)
    return Compared(place, a, b, telling)


def _telling(
    sound: Circuit, faulty: Circuit, places: tuple[Situation, ...]
) -> tuple[Compared, ...]:
    """Voltages across each part, and the current at each source, that tell."""
    found = []
    for place in places:
        for step in (step for run in sound.runs for step in run.passes):
            part = sound.parts[step.part]
            if place.parted in (step.first, step.second):
                continue
            if Trait.SOURCE in part.traits:
                found.append(compare(sound, faulty, place, step.second, step.second, "clamp"))
            else:
                found.append(compare(sound, faulty, place, step.first, step.second))
    return tuple(sorted((c for c in found if c.tells), key=_plainness))


def _plainness(compared: Compared) -> tuple[bool, float]:
    """Put last what will not settle: it shows that something is wrong, and not where."""
    return compared.telling == float("inf"), -compared.telling
