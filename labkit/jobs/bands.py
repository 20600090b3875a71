"""What a sound boat may show at each test point, and a faulty one, by the battery as found."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from labkit.circuits.circuit import Circuit
from labkit.diagnosis.cost import moved
from labkit.diagnosis.evidence import Evidence, Measurement
from labkit.diagnosis.faults import in_use
from labkit.exercises.situations import Situation, found_on, lead_to, probe, told
from labkit.ownboat.boat import Boat
from labkit.ownboat.scales import GAIN, scatter
from labkit.parts import Battery
from labkit.solving.arrays import Array, Numbers
from labkit.solving.solver import solve

WIDE = 2.0
"""A band is so many standard deviations to either side: 19 sound boats of 20 are in it."""

RUNS = 0.9
"""A switch that may be off while a load takes this share of its current is not needed for it. Our
choice."""


@dataclass(frozen=True)
class Rest:
    """A battery at rest.

    Attributes
    ----------
    id, label : str
    volts : float
        As measured, or as it most likely is. [V]
    measured : str
        As it was written down, or ''.
    """

    id: str
    label: str
    volts: float
    measured: str = ""


@dataclass(frozen=True)
class Cell:
    """What a voltmeter may show somewhere.

    Attributes
    ----------
    volts : float
        With every battery at rest as :class:`Rest` has it; nan where it is unsteady. [V]
    follows : tuple of float
        How far it moves with each battery's voltage at rest.
    spread : float
        One standard deviation, the battery known. [V]
    battery : int
        The battery it hangs on, by number; -1 where it lies nearer to negative.
    loss : float
        How far it lies below that battery, or above negative. [V]
    """

    volts: float
    follows: tuple[float, ...]
    spread: float
    battery: int
    loss: float

    @property
    def band(self) -> tuple[float, float]:
        """Least and most, as a loss below the battery or as volts above negative. [V]"""
        low, high = self.loss - WIDE * self.spread, self.loss + WIDE * self.spread
        return (max(low, 0.0), max(high, 0.0)) if self.loss > -WIDE * self.spread else (low, high)

    def differs(self, other: Cell) -> bool:
        """Whether this lies outside another's band."""
        return math.isnan(self.volts) or abs(self.volts - other.volts) > WIDE * other.spread


def rests(boat: Boat, seen: Sequence[object]) -> list[Rest]:
    """The batteries, as they were measured at rest or as they most likely are."""
    found = []
    for part in boat.circuit.parts.values():
        if isinstance(part, Battery):
            read = [
                item.seen for item in seen if isinstance(item, Evidence) and _at_rest(item, part.id)
            ]
            volts = float(read[0].split()[0]) if read else float(part.emf or 0.0)
            found.append(Rest(part.id, part.label or part.kind, volts, read[0] if read else ""))
    return found


def _at_rest(item: Evidence, id: str) -> bool:
    posts = {item.red, item.black} == {f"{id}:+", f"{id}:-"}
    return item.function == "volts" and posts and not item.positions and not item.parted


def situations_of(circuit: Circuit, load: str) -> tuple[Situation, ...]:
    """As the boat is left, the load's wire taken off with its switches on, and the load running."""
    if not load:
        return found_on(circuit)
    found = dict(circuit.positions)
    on = {**found, **needed(circuit, load)}
    off = lead_to(circuit, load)
    as_left = [Situation("as left", told(found), found)] if found != on else []
    return (
        *as_left,
        Situation(f"{off} taken off", f"{told(on)}, the wire at {off} taken off", on, off),
        Situation(f"{load} on", f"{told(on)}, nothing taken off", on),
    )


def needed(circuit: Circuit, load: str) -> Mapping[str, str]:
    """Switches a load needs for itself, and how they stand then; the others are off."""
    sound = circuit.without_faults()

    def amps(positions: Mapping[str, str]) -> float:
        now = solve(sound.with_position(**positions)).amps
        return max((abs(a or 0.0) for id, a in now.items() if id.split()[0] == load), default=0.0)

    on = max(in_use(sound), key=amps)
    whole = amps(on)
    for id in list(on):
        off = sound.parts[id].off()
        if off and amps({**on, id: off}) >= RUNS * whole:
            on = {**on, id: off}
    return on


class Bands:
    """Readings of one boat.

    Parameters
    ----------
    boat : Boat
    batteries : sequence of Rest
    """

    def __init__(self, boat: Boat, batteries: Sequence[Rest]) -> None:
        self.boat, self.batteries = boat, batteries
        self._emf = []
        for rest in batteries:
            place = next(
                k for k, f in enumerate(boat.figures) if f.part == rest.id and f.what == "emf"
            )
            figure = boat.figures[place]
            middle = float(boat.circuit.parts[rest.id].emf)  # type: ignore[attr-defined]
            step = float(figure.up.emf) - middle  # type: ignore[attr-defined]
            self._emf.append((place, step, rest.volts - middle))

    def measurement(self, situation: Situation, terminals: Sequence[str]) -> Measurement:
        """Volts from a test point to negative."""
        positions = moved(self.boat.circuit, situation.positions)
        parted = frozenset({situation.parted} - {""})
        return Measurement("volts", probe(terminals, situation.parted), "DC-", positions, parted)

    def sound(self, measurement: Measurement) -> Cell:
        """What the sound boat shows."""
        return self.cells(measurement, np.zeros((1, 3), np.intp))[0]

    def cells(self, measurement: Measurement, sets: Numbers) -> list[Cell]:
        """What boats with some sets of faults show; sets are mildest, typical and worst."""
        read, moves = self.boat.reading(measurement, sets)
        return [self._cell(float(read[1, n]), moves[n]) for n in range(len(sets))]

    def against(self, cell: Cell, sound: Cell) -> Cell:
        """A cell said from where the sound boat's is said: below the same battery, or negative."""
        zero = self.batteries[sound.battery].volts if sound.battery >= 0 else 0.0
        loss = zero - cell.volts if sound.battery >= 0 else cell.volts
        return replace(cell, battery=sound.battery, loss=loss)

    def _cell(self, middle: float, moves: Array) -> Cell:
        follows = tuple(float(moves[k]) / step for k, step, _ in self._emf)
        volts = middle + sum(f * off for f, (_, _, off) in zip(follows, self._emf, strict=True))
        others = np.delete(moves, [k for k, _, _ in self._emf])
        nearest = int(np.argmax(follows)) if follows else -1
        if nearest >= 0 and volts < self.batteries[nearest].volts / 2:
            nearest = -1
        loss = self.batteries[nearest].volts - volts if nearest >= 0 else volts
        meter = float(scatter("volts", np.array(volts)))
        spread = math.sqrt(float(others @ others) + meter**2 + (GAIN * loss) ** 2)
        return Cell(volts, follows, spread, nearest, loss)
