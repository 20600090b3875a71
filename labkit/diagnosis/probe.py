"""What the meter, the eye or the test lamp would show under each set of faults, in bulk."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from labkit.aboard.load_testing import load_test
from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.diagnosis.evidence import Measurement, outcomes
from labkit.diagnosis.hypotheses import Hypotheses
from labkit.diagnosis.observing import would_show
from labkit.diagnosis.odds import IN_HAND
from labkit.diagnosis.sight import lamp_chances, load_chances, with_mistakes
from labkit.diagnosis.solved import Joined
from labkit.measuring.meter import (
    AMPS_BURDEN,
    AMPS_FUSE,
    DIODE_EMF,
    DIODE_RESISTANCE,
    FUNCTIONS,
    LOW_Z_RESISTANCE,
    VOLTS_RESISTANCE,
    ohms_sensed,
    ohms_source,
    over_range,
)
from labkit.measuring.readings import readings as voltmeter
from labkit.parts import AT_TIMES, Battery, Fault
from labkit.parts.laws import Law, Linear
from labkit.solving.arrays import Array, Numbers
from labkit.solving.bulk import OperatingPoints, solve_many
from labkit.solving.ripple import ripple_between, ripples
from labkit.solving.solver import measure

_TIE = Linear.resistor(1e12)


def readings(
    known: Hypotheses, measurement: Measurement, numbers: Numbers, quick: bool = False,
    shift: int | None = None,
) -> Array:  # fmt: skip  # rows that a reader compares
    """What the meter senses under some of the sets of faults, the meter part of the circuit.

    Parameters
    ----------
    numbers : array of int
        Of the sets of faults.
    quick : bool
        Ohms on the lowest range alone, which is the same but for curved parts.
    shift : int, optional
        Which of the circuit's sources is to be a little stronger.

    Returns
    -------
    array
        One entry for each of `numbers`, in the function's unit; nan where it will not settle.
    """
    base = known.brought(measurement, shift)
    if measurement.function == "clamp":
        return clamp(known.points(measurement, shift), measurement.red)[numbers]
    return metered(known.circuits(base, numbers), measurement, quick)


def metered(circuits: Sequence[Circuit], measurement: Measurement, quick: bool = False) -> Array:
    """What the meter senses in circuits of one structure, in the state the measurement asks for."""
    red, black, function = measurement.red, measurement.black, measurement.function
    node_of = circuits[0].node_of
    if node_of[red] == node_of[black] and function in ("volts", "low-z", "volts-ac"):
        return np.zeros(len(circuits))
    if function in ("ohms", "continuity"):
        ranges = FUNCTIONS[function].ranges
        return _ohms(circuits, red, black, ranges[:1] if quick else ranges)
    return _METER[function](circuits, red, black, function)


def slack(u: Array, shifted: Sequence[Array], end: float) -> Array:
    """How far beyond its own spread a reading moves when the boat's sources are a little off.

    Parameters
    ----------
    u : array
        Readings. [sigma]
    shifted : sequence of array
        The same with each source in turn one standard deviation stronger. [sigma]
    end : float
        Where readings end and 'over range' begins. [sigma]

    Returns
    -------
    array
        Two standard deviations, less the two that the scale allows for already. [sigma]
    """
    total = np.zeros_like(u)
    for other in shifted:
        number = (np.abs(u) <= end) & (np.abs(other) <= end)
        total += np.where(number, other - u, 0.0) ** 2
    return np.asarray(np.maximum(2 * (np.sqrt(total) - 1), 0.0))


def clamp(points: Joined, terminal: str) -> Array:
    """Current in the wire at a terminal, for each set."""
    id, _, name = terminal.partition(":")
    ways = points.base.part(id).ways()
    if len(ways) == 1:
        return points.row("amps", id)
    found: Array = sum(
        (points.row("amps", f"{id} {a}-{b}") for a, b in ways if name in (a, b)), np.zeros(())
    )
    return found


def _across(
    circuits: Sequence[Circuit], first: str, second: str, law: Law, fuse: float | None = None
) -> tuple[Array, OperatingPoints]:
    """Voltage across something put between two points."""
    base = circuits[0].with_bridge("meter", "meter", first, second, law, fuse)
    points = solve_many([c.but(bridges=base.bridges) for c in circuits])
    ends = base.point(first), base.point(second)
    volts = points.volts[ends[0]] - points.volts[ends[1]]
    afloat = np.flatnonzero(points.floating[ends[0]] & points.floating[ends[1]])
    if len(afloat):
        # An island has no voltages against DC-; tied to it by next to nothing, it has.
        tied = base.with_bridge("tie", "meter", second, NEGATIVE, _TIE)
        made = solve_many([circuits[int(n)].but(bridges=tied.bridges) for n in afloat])
        volts[afloat] = made.volts[ends[0]] - made.volts[ends[1]]
        for n in afloat[np.isnan(volts[afloat])]:  # unless that is enough to wake something
            across = measure(circuits[int(n)], first, second, law, fuse).volts
            volts[n] = np.nan if across is None else across
    return volts, points


def _volts(circuits: Sequence[Circuit], red: str, black: str, function: str) -> Array:
    ohms = VOLTS_RESISTANCE if function == "volts" else LOW_Z_RESISTANCE
    return voltmeter(circuits, [(red, black)], ohms).volts[:, 0]


def _ohms(circuits: Sequence[Circuit], red: str, black: str, ranges: Sequence[float]) -> Array:
    found = np.full(len(circuits), np.inf)
    left = np.arange(len(circuits))
    for full in ranges:
        volts = -_across([circuits[int(n)] for n in left], black, red, ohms_source(full))[0]
        found[left] = np.where(np.isnan(volts), np.nan, ohms_sensed(volts, full, np))
        left = left[over_range(found[left], full)]
        if not len(left):
            break
    return found


def _diode(circuits: Sequence[Circuit], red: str, black: str, function: str) -> Array:
    return -_across(circuits, black, red, Linear.emf(DIODE_EMF, DIODE_RESISTANCE))[0]


def _amps(circuits: Sequence[Circuit], red: str, black: str, function: str) -> Array:
    volts, points = _across(circuits, red, black, Linear.resistor(AMPS_BURDEN), AMPS_FUSE)
    blew = points.opened.get("meter", np.zeros(len(circuits), bool))
    return np.where(blew, 0.0, volts / AMPS_BURDEN)


def _volts_ac(circuits: Sequence[Circuit], red: str, black: str, function: str) -> Array:
    if not ripples(circuits[0]):
        return np.zeros(len(circuits))
    found = (ripple_between(c, red, black, VOLTS_RESISTANCE) for c in circuits)
    return np.array([np.nan if volts is None else volts for volts in found])


_METER = {
    "volts": _volts, "volts-ac": _volts_ac, "low-z": _volts, "diode": _diode, "amps": _amps,
}  # fmt: skip  # rows that a reader compares


# -- without a meter ---------------------------------------------------------------------------


def chances(known: Hypotheses, measurement: Measurement) -> Array:
    """Chance of each outcome of what is asked without a meter; sets by outcomes."""
    quick = {
        "look": _looked,
        "test lamp": _lit,
        "wiggle": _wiggled,
        "fit": _fitted,
        "pull": _pulled,
        "load test": _load_tested,
    }
    return quick.get(measurement.function, _performed)(known, measurement)


def _performed(known: Hypotheses, measurement: Measurement) -> Array:
    """Chances by doing the act itself under each set of faults, one after the other."""
    words = outcomes(measurement, known.circuit)
    found = np.zeros((len(known.sets), len(words)))
    state = replace(measurement, positions={}, parted=frozenset(), jumper=(), lamp=())
    circuits = known.circuits(known.brought(measurement), np.arange(len(known.sets)))
    for n, circuit in enumerate(circuits):
        found[n, words.index(would_show(circuit, state)[0])] = 1.0
    return with_mistakes(found)


def _looked(known: Hypotheses, measurement: Measurement) -> Array:
    return load_chances(known.circuit, known.points(measurement), measurement.red)


def _lit(known: Hypotheses, measurement: Measurement) -> Array:
    circuits = known.circuits(known.brought(measurement), np.arange(len(known.sets)))
    volts, _ = _across(circuits, measurement.red, measurement.black, known.lamp)
    return lamp_chances(volts, known.circuit.system)


def _wiggled(known: Hypotheses, measurement: Measurement) -> Array:
    """Chances while a part is shaken: what the load then does, or 'does not change' last."""
    id, size = measurement.black, len(known.sets)
    found = np.zeros((size, len(outcomes(measurement, known.circuit))))
    found[:, -1] = 1.0
    shaken = [n for n, faults in enumerate(known.sets) if _loose(faults, measurement.red)]
    if shaken:
        still = load_chances(known.circuit, known.points(measurement), id)[shaken]
        base = known.brought(measurement).with_disturbed(measurement.red)
        moving = Joined(base, [solve_many(known.circuits(base, shaken))])
        moved = load_chances(known.circuit, moving, id)
        same = (still * moved).sum(1, keepdims=True)
        changed = np.hstack([moved * (1 - same), same])
        found[shaken] = changed / changed.sum(1, keepdims=True)
    return with_mistakes(found)


def _loose(faults: Sequence[Fault], id: str) -> bool:
    return any(f.mode in AT_TIMES and f.part == id for f in faults)


def _fitted(known: Hypotheses, measurement: Measurement) -> Array:
    """Chances that a sound fuse in place of the old one holds, or opens again."""
    sound = known.fitted(np.arange(len(known.sets)), measurement.red)
    opened = known.points(measurement).opened.get(measurement.red)
    again = np.zeros(len(known.sets)) if opened is None else opened[sound].astype(float)
    again = again[: len(sound)]
    return with_mistakes(np.stack([1 - again, again], axis=1))


def _load_tested(known: Hypotheses, measurement: Measurement) -> Array:
    """Chances of what a battery comes out as, which its own faults alone decide."""
    battery, words = known.circuit.part(measurement.red), outcomes(measurement, known.circuit)
    assert isinstance(battery, Battery)
    found = np.zeros((len(known.sets), len(words)))
    tests: dict[tuple[Fault, ...], str] = {}
    for n, faults in enumerate(known.sets):
        own = tuple(f for f in faults if f.part == battery.id)
        if own not in tests:
            tests[own] = load_test(battery, own, known.circuit.system).word
        found[n, words.index(tests[own])] = 1.0
    return with_mistakes(found)


def _pulled(known: Hypotheses, measurement: Measurement) -> Array:
    part, words = known.circuit.part(measurement.red), outcomes(measurement, known.circuit)
    found = np.zeros((len(known.sets), len(words)))
    for n, faults in enumerate(known.sets):
        modes = {f.mode for f in faults if f.part == measurement.red}
        found[n, words.index(part.looks(modes))] = 1.0
    return with_mistakes(found, IN_HAND)
