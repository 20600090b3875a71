"""When a repair is proven: the load run and shaken, volts, currents and drops judged.

What is asked fits the complaint: volts lost on the way to a load and back, volts at a battery's
posts while it is charged, the way a current goes, the current at rest, each piece while cranking,
how warm anything gets, and whether all goes on so for a while.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from pydantic import BaseModel, ConfigDict, Field

from labkit.circuits.circuit import Circuit
from labkit.circuits.structure import structure_of
from labkit.exercises.lasting import Change, Warmest, changes, minutes, otherwise, played, warmest
from labkit.measuring.senses import sensed
from labkit.parts import Trait
from labkit.parts.base import Amps, Fraction, Seconds, Volts
from labkit.solving.solver import OperatingPoint, solve
from labkit.text.messages import CircuitError
from labkit.text.quantities import show

PIECES = {
    "cable": 0.2,
    "switch": 0.1,
    "changeover": 0.1,
    "relay": 0.2,
    "solenoid": 0.2,
    "joint": 0.05,
    "connector": 0.05,
}
"""What each piece may lose while an engine is cranked. [V]

Cable 0.2, switch 0.1 and connector 0.0 at 12 V: NAVEDTRA 14050, fig. 4-25; 0.05 is what still
rounds to a tenth. Solenoid contact 0.2: TM 9-2320-211-20. At 24 V the same, on the careful side.
"""

CRANKS = 20.0
"""A piece that carries less than this is no part of the cranking circuit. [A] Our choice."""

FLOWS = 0.5
"""A battery that takes less than this is not being charged. [A] Our choice."""


def _key(description: str, default: Any = ...) -> Any:
    return Field(default, description=description)


class ProofKeys(BaseModel):
    """What may stand in the table `[proof]`."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
    load: str = _key("The part that must do what it does on the sound boat.")
    positions: dict[str, str] = _key("With the switches so.", {})
    drop: Fraction = _key("Share of the system's voltage that may be lost on the way.", 0.1)
    idle: dict[str, str] | None = _key("Positions in which the load must do as when sound.", None)
    at_least: dict[str, Volts] = _key("Volts across parts, at least: a battery on charge.", {})
    at_most: dict[str, Volts] = _key("Volts across parts, at most.", {})
    at_rest: dict[str, Amps] = _key("Amps through parts at most, with the switches back.", {})
    into: list[str] = _key("Batteries that a current must go into.", [])
    pieces: bool = _key("Each piece that carries a starter's current is judged.", False)
    lasts: Seconds = _key("So long all goes on as on the sound boat: a pump's full cycles.", 0.0)
    warmest: Warmest | None = _key("How warm what carries current may be, after how long.", None)


@dataclass(frozen=True)
class Proof:
    """When a repair counts as proven.

    Attributes
    ----------
    load : str
        The part that must do what it does in the healthy circuit.
    positions : mapping of str to str
        With the switches so, and every part along the way shaken meanwhile.
    drop : float
        Share of system voltage that may be lost from source to load, both sides together.
    idle : mapping of str to str or None
        Positions in which the load must also do what it does in the healthy circuit, if any.
    at_least, at_most : mapping of str to float
        Volts across these parts with the switches as proven, such as a battery on charge. [V]
    at_rest : mapping of str to float
        The most that may flow through these parts with the switches back. [A]
    into : sequence of str
        Batteries that a current must go into.
    pieces : bool
        Whether each piece that carries a starter's current is judged by itself, as PIECES says.
    lasts : float
        For so long everything must open, close, rise and fall as on the sound boat. [s]
    warmest : Warmest or None
        How warm anything may be that is not meant to be, and after how long.
    """

    load: str
    positions: Mapping[str, str]
    drop: float
    idle: Mapping[str, str] | None = None
    at_least: Mapping[str, float] = field(default_factory=dict)
    at_most: Mapping[str, float] = field(default_factory=dict)
    at_rest: Mapping[str, float] = field(default_factory=dict)
    into: Sequence[str] = ()
    pieces: bool = False
    lasts: float = 0.0
    warmest: Warmest | None = None

    @property
    def asks(self) -> tuple[str, ...]:
        """What is asked beside the drop, each in a phrase."""
        asked = [f"{show(v, 'V')} across {id} at least" for id, v in self.at_least.items()]
        asked += [f"{show(v, 'V')} across {id} at most" for id, v in self.at_most.items()]
        asked += [f"a current into {id}" for id in self.into]
        asked += [
            f"at rest {show(amps, 'A')} through {id} at most" for id, amps in self.at_rest.items()
        ]
        asked += ["each piece by itself while cranking"] * self.pieces
        asked += [f"{minutes(self.lasts)} as on a sound boat"] * bool(self.lasts)
        if self.warmest is not None:
            asked.append(
                f"nothing warmer than {self.warmest.limit:.0f} °C after "
                f"{minutes(self.warmest.after)}"
            )
        return tuple(asked)


class Sound(NamedTuple):
    """What the sound boat does: the load with the switches as proven and back, and in time."""

    does: str
    idle: str
    changes: Counter[Change]


@dataclass(frozen=True)
class Proven:
    """The verdict on a repair, in numbers."""

    ok: bool
    text: str
    drop: float


def prove(circuit: Circuit, proof: Proof, healthy: Circuit) -> Proven:
    """Run the load, shake what leads to it, and see how much voltage is lost there and back.

    Parameters
    ----------
    circuit : Circuit
        As it is now.
    proof : Proof
    healthy : Circuit
        The same with nothing wrong, for what the load should do.

    Returns
    -------
    Proven
        `drop` is the voltage lost as a share of system voltage.
    """
    return judge(circuit, proof, expected(healthy, proof))


def expected(healthy: Circuit, proof: Proof) -> Sound:
    """Say what the healthy boat does: with the switches as proven, back again, and in time."""
    on = healthy.with_position(**proof.positions)
    idle = does(healthy.with_position(**(proof.idle or {})), proof.load)
    lasting = changes(played(on, proof.lasts)) if proof.lasts else Counter[Change]()
    return Sound(does(on, proof.load), idle, lasting)


def judge(circuit: Circuit, proof: Proof, should: Sound) -> Proven:
    """Prove a repair where it is known already what the sound boat does, as `expected` says."""
    now = circuit.with_position(**proof.positions).with_disturbed(*circuit.parts)
    point, load = solve(now), proof.load
    before, after = _supply(now, point, _source(now, point, load)), _across(now, point, load)
    amps = point.amps[load]
    if amps is None or before is None or after is None or abs(amps) < 1e-4:
        return Proven(
            False, f"{load} draws no steady current: nothing is proven without load.", 1.0
        )
    lost = abs(before) - abs(after)
    nominal = min(circuit.system, LOWER) if abs(before) < HALF * circuit.system else circuit.system
    share = lost / nominal
    found = [
        f"{abs(before):.2f} V at the source, {abs(after):.2f} V at {load}, {abs(amps):.1f} A "
        f"flowing: {lost:.2f} V lost, {100 * share:.1f} % of {nominal:g} V, "
        f"{'within' if share <= proof.drop else 'more than'} {100 * proof.drop:g} %."
    ]
    wrong = []
    seen = sensed(now, point).get(load, "")
    if seen != should.does:
        wrong.append(f"Not proven: {load} {seen}; sound, it {should.does}.")
    if proof.idle is not None:
        seen = does(circuit.with_position(**proof.idle), load)
        if seen != should.idle:
            wrong.append(
                f"Not proven: with the switches back, {load} {seen}; sound, it {should.idle}."
            )
    for ok, text in _further(circuit, now, point, proof):
        (found if ok else wrong).append(text if ok else f"Not proven: {text}")
    if share <= proof.drop and not wrong:  # a course takes a tenth of a second; bad is bad without
        for ok, text in _in_time(circuit.with_position(**proof.positions), proof, should):
            (found if ok else wrong).append(_capital(text) if ok else f"Not proven: {text}")
    if circuit.bridges or circuit.parted:
        wrong.append("Not proven: a jumper, a lamp or an open connection is still there.")
    return Proven(share <= proof.drop and not wrong, " ".join(found + wrong), share)


def _further(
    circuit: Circuit, now: Circuit, point: OperatingPoint, proof: Proof
) -> Iterator[tuple[bool, str]]:
    """Judge what else the proof asks for: whether it holds, and a sentence."""
    for limits, side in ((proof.at_least, 1), (proof.at_most, -1)):
        for id, limit in limits.items():
            volts = abs(_across(now, point, id) or 0.0)
            word = "at least" if side > 0 else "at most"
            yield (
                side * (volts - limit) >= 0,
                f"{volts:.2f} V across {id}, {word} {limit:g} V asked.",
            )
    for id in proof.into:
        amps = -(point.amps[id] or 0.0)
        way = "into" if amps > 0 else "out of"
        yield amps >= FLOWS, f"{show(abs(amps), 'A', 2)} flow {way} {id}."
    for id, limit in proof.at_rest.items():
        quiet = circuit.with_position(**(proof.idle or proof.positions))
        amps = abs(solve(quiet).amps[id] or 0.0)
        text = f"At rest {show(amps, 'A', 2)} flow through {id}, at most {show(limit, 'A')} asked."
        yield amps <= limit, text
    if proof.pieces:
        worst = [(drop - most, id, drop, most) for id, drop, most in _pieces(now, point)]
        for over, id, drop, most in sorted(worst, reverse=True)[:1]:
            yield over <= 0, f"{show(drop, 'V', 2)} lost in {id}, {show(most, 'V')} at most."


def _in_time(now: Circuit, proof: Proof, should: Sound) -> Iterator[tuple[bool, str]]:
    """Judge what shows only as time passes: whether it holds, and a sentence."""
    if proof.lasts:
        yield otherwise(played(now, proof.lasts), should.changes)
    if proof.warmest is not None:
        yield warmest(played(now, proof.warmest.after), proof.warmest.limit)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _pieces(circuit: Circuit, point: OperatingPoint) -> Iterator[tuple[str, float, float]]:
    """Pieces that carry a starter's current: what each loses, and what it may lose. [V]"""
    for part in circuit.parts.values():
        most = PIECES.get(part.kind)
        for first, second in part.ways():
            way = part.id if len(part.ways()) == 1 else f"{part.id} {first}-{second}"
            if most is not None and abs(point.amps.get(way) or 0.0) >= CRANKS:
                drop = point.volt(f"{part.id}:{first}", f"{part.id}:{second}")
                yield part.id, abs(drop or 0.0), most


def proof_problems(circuit: Circuit, keys: ProofKeys) -> list[str]:
    """Say which parts a proof names that are none, or are no source where one is meant."""
    found = []
    for key in ("at_least", "at_most", "at_rest", "into"):
        for id in getattr(keys, key):
            try:
                part = circuit.part(id)
            except CircuitError as error:
                found += [f"proof.{key}: {text}" for text in error.problems]
                continue
            if key == "into" and Trait.SOURCE not in part.traits:
                found.append(f"proof.into: {id} is a {part.kind}; name a battery that is charged")
    return found


def does(circuit: Circuit, load: str) -> str:
    """What a load can be seen and heard to do, or ''."""
    return sensed(circuit, solve(circuit)).get(load, "")


def _source(circuit: Circuit, point: OperatingPoint, load: str) -> str:
    """The source that gives most, of those on a loop with the load."""
    parts = circuit.parts.values()
    feeding = {s.part for r in structure_of(circuit.runs, parts).near([load]) for s in r.passes}
    sources = [p.id for p in parts if Trait.SOURCE in p.traits and p.id != load]
    sources = [id for id in sources if id in feeding] or sources
    return max(sources, key=lambda id: point.amps[id] or 0.0)


def _supply(circuit: Circuit, point: OperatingPoint, id: str) -> float | None:
    """Volts of a source and of those in series with it: two of 12 V feed a boat of 24 V."""
    post = f"{id}:{circuit.parts[id].terminals[1]}"
    run = next(r for r in circuit.runs if any(post in (s.first, s.second) for s in r.passes))
    row = [s.part for s in run.passes if Trait.SOURCE in circuit.parts[s.part].traits]
    each = [_across(circuit, point, one) for one in row]
    return None if None in each else sum(volts for volts in each if volts is not None)


LOWER, HALF = 12.0, 0.6
"""On a boat of more than 12 V, a source of less than this share of it is the 12 V system's. [V]"""


def _across(circuit: Circuit, point: OperatingPoint, id: str) -> float | None:
    first, second = circuit.parts[id].terminals[:2]
    return point.volt(f"{id}:{first}", f"{id}:{second}")
