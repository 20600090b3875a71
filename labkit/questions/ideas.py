"""Wrong ideas about a reading: each is the same reading on a circuit believed otherwise.

What an idea predicts is computed, on the boat believed or from the numbers in sight; only where
that is the answer given is the idea named. The most particular ideas come first.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import permutations

from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.measuring.meter import read
from labkit.parts.base import Part
from labkit.parts.traits import Trait
from labkit.solving.solver import solve
from labkit.text.messages import CircuitError

_NUMBER = re.compile(r"(?<![\w.])(\d+(?:\.\d+)?) (thousandths of an ohm|(?:m?ohms?|A|V|W|m)\b)")
_CELLS = 6  # in a lead battery of twelve volts
_OPENS = ("open", "blown", "missing", "coil open", "dead contact")
_SHARE, _LEAST = 0.03, {"V": 0.05, "A": 0.02, "ohm": 0.02}
"""An idea has to give the answer more nearly than a right answer need be."""
_FLOWS = 1e-6
"""Less than this is no current. [A]"""
_SMALL = 0.15
"""Where all numbers are small, an answer may miss by no more than this share of them."""
_EXACT = 0.005
"""As good as the number itself: a learner who works it out hits it. Our choice."""

_EXACTLY = ("needed, not given", "one cell")
"""Numbers known by heart: nobody comes near them by another way."""


@dataclass(frozen=True)
class Asked:
    """A reading asked for, as the ideas see it."""

    circuit: Circuit
    red: str
    black: str
    function: str
    ask: str
    unit: str
    truth: float | None
    twin: Circuit | None = None
    within: float | None = None

    def shows(self, circuit: Circuit, red: str = "", black: str = "") -> float | None:
        """What the meter would show on another boat, or with its leads elsewhere."""
        try:
            return read(circuit, red or self.red, black or self.black, self.function).value
        except CircuitError:
            return None


def held(asked: Asked, said: float) -> tuple[str, ...]:
    """Return the ideas that give an answer, the most particular first."""
    exact: list[str] = []
    near: list[str] = []
    for key, value in _ideas(asked):
        if value is None or not _near(said, value, asked):
            continue
        if key in _EXACTLY and abs(said - value) > 2 * _EXACT * abs(value):
            continue
        if asked.truth is not None and _near(asked.truth, value, asked):
            continue  # what is so can be had in many ways
        (exact if abs(said - value) <= _EXACT * abs(value) else near).append(key)
    return tuple(dict.fromkeys((*exact, *near)))


def _near(said: float, value: float, asked: Asked) -> bool:
    least = _LEAST.get(asked.unit, 0.0)
    if value == 0.0:  # nothing at all is said as 0, or as hardly anything beside what is so
        least = min(least, _SHARE * abs(asked.truth or 1.0))
    else:
        least = min(least, _SMALL * max(abs(value), abs(asked.truth or 0.0)))
    by = max(least, _SHARE * abs(value))
    return abs(said - value) <= (by if asked.within is None else min(by, asked.within))


def _ideas(asked: Asked) -> Iterator[tuple[str, float | None]]:
    yield from _believed(asked)
    yield from {"V": _volts, "A": _amps, "ohm": _ohms}[asked.unit](asked)
    yield from _arithmetic(asked)


def _believed(asked: Asked) -> Iterator[tuple[str, float | None]]:
    """The same reading on a boat whose faults, or switches, are believed otherwise."""
    boat, sound = asked.circuit, asked.circuit.without_faults()
    bad = [fault for fault in boat.faults if fault.mode == "resistance"]
    if bad:
        open_ = sound.with_fault(*dict.fromkeys(f"{fault.part} open" for fault in bad))
        yield "bad joint passes nothing", asked.shows(open_)
    if asked.unit == "V" and asked.truth is not None:
        yield from _nothing(asked)
    if any(fault.mode in _OPENS for fault in boat.faults):
        yield "break is passed over", asked.shows(sound)
    elif boat.faults:
        yield "fault does nothing", asked.shows(sound)
    for id, position in boat.positions.items():
        if id in asked.ask:
            for other in boat.part(id).choices or getattr(boat.part(id), "positions", ()):
                if other != position:
                    yield "switch the other way", asked.shows(boat.with_position(**{id: other}))


def _volts(asked: Asked) -> Iterator[tuple[str, float | None]]:
    boat, truth = asked.circuit, asked.truth
    full = full_volts(boat)
    node = boat.node_of[boat.point(asked.red)]
    to_negative = _to_negative(asked)
    yield "nothing is lost on the way", full
    if not to_negative:
        for lead in (asked.red, asked.black):
            yield "bus instead of across", asked.shows(boat, lead, NEGATIVE)
    for part in boat.parts.values():
        ends = [f"{part.id}:{name}" for name in part.terminals[:2]]
        nodes = [boat.node_of.get(end) for end in ends]
        if node in nodes and None not in nodes and nodes[0] != nodes[1] and _passes(boat, part.id):
            far = ends[1 - nodes.index(node)]
            yield "other side of a part", asked.shows(boat, far)
            if to_negative:
                yield "across, not to negative", asked.shows(boat, ends[0], ends[1])
    if truth is not None and abs(full - truth) > 0.06:
        yield ("lost, not left" if to_negative else "left, not lost"), full - truth
    if not to_negative:
        for part in boat.parts.values():
            for one, other in part.uses():
                yield "left, not lost", asked.shows(boat, f"{part.id}:{one}", f"{part.id}:{other}")
    there = asked.shows(asked.twin) if asked.twin is not None else None
    if there is not None and not _flows(boat):
        yield "drop without current", full - there
    yield from _several(asked)
    yield from _resisted(asked, full)
    other = "low-z" if asked.function == "volts" else "volts"
    yield "meter draws nothing", read(boat, asked.red, asked.black, other).value
    yield "name of the system", 12.0 if full < 18 else 24.0
    yield "shared in halves", full / 2
    yield "shared in halves", 6.0 if full < 18 else 12.0
    yield "shared in thirds", full / 3
    if truth is None or truth <= full + 0.06:  # else one is at work
        yield "charger is on", 13.8
        yield "charger is on", 14.4
    yield "one cell", full / _CELLS
    for part in boat.parts.values():
        for key in ("pull_in", "cut_out", "restart"):
            yield "needed, not given", getattr(part, key, None)


def _several(asked: Asked) -> Iterator[tuple[str, float | None]]:
    """Two batteries believed to meet halfway, or to add up; what is lost on the way to one."""
    boat = asked.circuit
    if not _to_negative(asked):
        return
    ids = [p.id for p in boat.parts.values() if Trait.SOURCE in p.traits and not _charges(p)]
    if len(ids) < 2:
        return
    posts = [f"{id}:+" for id in ids]
    apart = solve(boat.with_parted(*posts))
    rest = [apart.volts[post] or 0.0 for post in posts]
    yield "halfway between", sum(rest) / len(rest)
    stand = [solve(boat).volts[post] or 0.0 for post in posts]
    for added in (sum(rest), sum(stand), 12.0 * len(rest)):
        yield "in series", added
    truth = asked.truth
    if truth is not None:
        for volts in stand:
            yield "lost, not left", truth - volts
            yield "added, not taken off", 2 * volts - truth


def _resisted(asked: Asked, full: float) -> Iterator[tuple[str, float | None]]:
    """What amps of the sound boat would lose in a bad joint; ohms taken for volts."""
    for fault in asked.circuit.faults:
        ohms = fault.value
        if fault.mode != "resistance" or not isinstance(ohms, float):
            continue
        rated = _rated(asked.circuit)
        yield "ohms taken for volts", ohms
        if ohms > 2 * _LEAST["V"]:  # fewer make no difference to the battery's volts
            yield "ohms taken for volts", full - ohms
            yield "ohms taken for volts", 12.0 - ohms
        for amps in (*rated, *map(round, rated)):
            yield "rated amps", amps * ohms
            yield "rated amps", full - amps * ohms


def _amps(asked: Asked) -> Iterator[tuple[str, float | None]]:
    boat = asked.circuit
    full = full_volts(boat)
    for part in boat.without_faults().parts.values():
        if Trait.PROTECTION in part.traits:
            yield "fuse sets the current", getattr(part, "rated", None)
    for fault in boat.faults:
        if isinstance(fault.value, float) and fault.mode in ("resistance", "leak", "short"):
            for volts in (full, 12.0):
                yield "only one resistance counts", volts / fault.value
                yield "multiplied, not divided", volts * fault.value
    for amps in _rated(boat):
        yield "rated amps", amps


def _ohms(asked: Asked) -> Iterator[tuple[str, float | None]]:
    boat = asked.circuit
    yield "connected is zero ohms", 0.0
    for part in boat.parts.values():
        volts, watts = getattr(part, "voltage", None), getattr(part, "power", None)
        if volts and watts:
            yield "ohms of a hot filament", volts * volts / watts
        own = getattr(part, "resistance", None)
        if isinstance(own, float):
            yield "ohms of one part", own
            yield "added, not side by side", 2 * own
            yield "added, not side by side", 3 * own


def _arithmetic(asked: Asked) -> Iterator[tuple[str, float | None]]:
    """The right digits in the wrong place; numbers in sight put together, units or not."""
    if asked.truth is not None and abs(asked.truth) > 1e-9:
        yield "sign", -asked.truth
        yield "one way only", asked.truth / 2
        yield "counted twice", asked.truth * 2
        for power in (1, -1, 3, -3):
            yield "decimal point", asked.truth * 10.0**power
    found = _NUMBER.findall(asked.ask)
    numbers = [
        float(number) * (1e-3 if unit.startswith("thousandths") else 1.0) for number, unit in found
    ]
    numbers += [float(number) for number, unit in found if unit.startswith("thousandths")]
    ohms = [float(number) for number, unit in found if unit == "ohm"]
    for one, other in permutations(ohms, 2):
        yield "share of the other", full_volts(asked.circuit) * one / other
    for one, other in permutations(numbers, 2):
        yield "numbers put together", one * other
        if other:
            yield "numbers put together", one / other
    for number in numbers:
        yield "number of the question", number


def _nothing(asked: Asked) -> Iterator[tuple[str, float]]:
    """The ideas by which what does read something would read nothing."""
    boat = asked.circuit
    flows = _flows(boat)
    if flows and not _to_negative(asked):
        touched = {lead.partition(":")[0] for lead in (asked.red, asked.black)}
        if not any(boat.part(id).uses() for id in touched if id in boat.parts):
            sound = touched.isdisjoint(fault.part for fault in boat.faults)
            yield ("sound parts lose nothing" if sound else "it loses nothing"), 0.0
    yield ("it is used up" if flows else "no current, no volts"), 0.0


def _to_negative(asked: Asked) -> bool:
    boat = asked.circuit
    return boat.node_of[boat.point(asked.black)] == boat.node_of[NEGATIVE]


def _flows(boat: Circuit) -> bool:
    return any(abs(amps or 0.0) > _FLOWS for amps in solve(boat).amps.values())


def _charges(part: Part) -> bool:
    return Trait.CHARGES in part.traits


def full_volts(boat: Circuit) -> float:
    """Volts of the first battery, nothing wrong and nothing on. [V]"""
    sound = boat.without_faults()
    sources = [p for p in sound.parts.values() if Trait.SOURCE in p.traits]
    source = min(sources, key=_charges)
    post = f"{source.id}:+"
    return abs(solve(sound.with_parted(post)).volts[post] or 0.0)


def _rated(boat: Circuit) -> list[float]:
    """Amps that loads are rated for, or draw in a sound boat. [A]"""
    sound = solve(boat.without_faults())
    found = []
    for part in boat.parts.values():
        if Trait.LOAD in part.traits:
            volts, watts = getattr(part, "voltage", None), getattr(part, "power", None)
            found += [getattr(part, "current", None)]
            found += [watts / volts if watts and volts else None]
            found += [abs(sound.amps.get(part.id) or 0.0)]
    return [amps for amps in found if amps]


def _passes(boat: Circuit, id: str) -> bool:
    """Tell whether a part is on the way: no source."""
    return Trait.SOURCE not in boat.part(id).traits
