"""Acts that ask something of the boat and leave it as it was: read, look, wiggle, trace."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from labkit.aboard.act import Act, Need, Outcome, Sense
from labkit.aboard.safety.live import LIVE_VOLTS
from labkit.aboard.scene import Scene
from labkit.aboard.warmth import smells
from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.measuring import meter
from labkit.measuring.dance import danced
from labkit.measuring.meter import Hazard
from labkit.measuring.senses import sensed, words_of
from labkit.parts import Relay, Trait
from labkit.solving.solver import solve
from labkit.text.messages import CircuitError, did_you_mean

DEAD = LIVE_VOLTS
"""Less than this against the negative counts as dead. [V]"""

ANOTHER = "another"
"""The meter tried on a battery brought along, where nothing aboard is live for certain."""

KNOWN = 0.7
"""A source that shows less than this share of 12 V proves no meter. Our choice."""


def _read(scene: Scene, red: str, black: str, function: str) -> Outcome:
    red, black = scene.circuit.point(red), scene.circuit.point(black)
    scene.reads += 1
    still = meter.read(scene.circuit, red, black, function)
    scene.reading = reading = danced(still, scene.circuit, scene.reads)
    if reading.function == "clamp":
        scene.reading = reading = scene.clamp.seen(reading, scene.minutes)
    scene.blow(reading.opened)
    return Outcome(reading.display, list(reading.hazards))


def _zero(scene: Scene, around: str) -> Outcome:
    """Zero the clamp, held away from all wires or round one."""
    amps = meter.read(scene.circuit, around, function="clamp").value if around else 0.0
    if amps is None:
        return Outcome("does not come to rest")
    scene.clamp.zero(scene.minutes, amps)
    return Outcome(meter.display(meter.FUNCTIONS["clamp"], 0.0))


def _zeroed(args: Mapping[str, str]) -> str:
    where = f"round {args['around']}" if args["around"] else "away from all wires"
    return f"zero the clamp {where}"


def _leads(args: Mapping[str, str]) -> str:
    if args["function"] == "clamp":
        return f"clamp, {args['red']}"
    return "{function}, red {red}, black {black}".format_map(args)


def _look(scene: Scene, id: str) -> Outcome:
    part = scene.circuit.part(id)
    if isinstance(part, Relay) and not part.audible:
        return Outcome("cannot be heard here")
    does, nose = scene.does(id), smells(scene.warmth.now(scene.circuit))
    return Outcome(f"{does}{_BESIDE}{nose}" if nose else does)


_BESIDE = "; "  # between what a load does and what else nose and eye tell


def _seen(shows: str, hazards: Iterable[Hazard], first: str) -> str:
    return shows.partition(_BESIDE)[0]


def _wiggle(scene: Scene, id: str, look_at: str) -> Outcome:
    still = scene.does(look_at)
    shaken = scene.circuit.with_disturbed(id)
    moved = sensed(shaken, solve(shaken))[look_at]
    shows = f"{look_at} {moved}" if moved != still else f"{look_at} does not change"
    return Outcome(shows)


def live_for_certain(volts: float, system: float) -> bool:
    """Tell whether a meter that shows this is on something live: a 12 V battery is, at 24 V too."""
    return abs(volts) >= KNOWN * min(system, 12.0)


def _prove_dead(scene: Scene, place: str, source: str) -> Outcome:
    """Try the meter on what is live, on the place, and on what is live again."""
    circuit = scene.circuit
    there = meter.read(circuit, circuit.point(place), NEGATIVE, "volts")
    dead = there.value is not None and abs(there.value) < DEAD
    is_so = "dead" if dead else "live"
    if source == ANOTHER:
        own = "volts at a battery brought along"
        return Outcome(f"{own}, {there} at {place}, {own}: {is_so}")
    plus, minus = f"{source}:+", f"{source}:-"
    if Trait.SOURCE not in circuit.part(source).traits or plus not in circuit.node_of:
        sources = [p.id for p in circuit.parts.values() if Trait.SOURCE in p.traits]
        known_ones = f"{', '.join(sources)}, or '{ANOTHER}', a battery brought along"
        raise CircuitError([f"{source} is not a source; sources are {known_ones}"])
    known = meter.read(circuit, plus, minus, "volts")
    said = f"{known} at {source}, {there} at {place}, {known} at {source}"
    if not live_for_certain(known.value or 0.0, circuit.system):
        return Outcome(f"{said}: proves nothing, {source} is not live")
    return Outcome(f"{said}: {is_so}")


def _trace(scene: Scene, run: str) -> Outcome:
    parts, names = scene.circuit.parts, [r.name for r in scene.circuit.runs]
    if run not in names:
        raise CircuitError([f"no run '{run}'; {did_you_mean(run, names)}"])
    passes = scene.circuit.runs[names.index(run)].passes
    scene.traced.add(run)
    hidden = [parts[p.part] for p in passes if parts[p.part].hidden]
    found = ", ".join(f"{part.id} ({part.label or part.kind})" for part in hidden)
    return Outcome(f"found {found}" if found else "as drawn")


# -- what they may be answered with ----------------------------------------------------------------


def _looks(circuit: Circuit, id: str, _: str = "") -> tuple[str, ...]:
    return words_of(circuit.part(id))


def _stirs(circuit: Circuit, id: str, look_at: str) -> tuple[str, ...]:
    words = words_of(circuit.part(look_at))
    return (*(f"{look_at} {word}" for word in words), f"{look_at} does not change")


def _watched(circuit: Circuit) -> list[str]:
    return [part.id for part in circuit.parts.values() if part.seen and words_of(part)]


def _loads(circuit: Circuit) -> Iterable[tuple[str, str]]:
    return [(id, "") for id in _watched(circuit)]


def _loose(circuit: Circuit) -> Iterator[tuple[str, str]]:
    for part in circuit.parts.values():
        if part.comes_and_goes:
            yield from ((part.id, load) for load in _watched(circuit))


ASKING = (
    Act(
        "read", 0.5, _read,
        (Need("red", "point"), Need("black", "point", otherwise="DC-"),
         Need("function", "function", otherwise="volts")),
        _leads, changes=False,
    ),
    Act(
        "zero", 0.2, _zero, (Need("around", "jaw", "held", otherwise=""),), _zeroed,
        "Zero the clamp", changes=False,
    ),
    Act(
        "look", 0.5, _look, (Need("id", "load", "at"),), "look at {id}", "Look and listen",
        Sense(_looks, "a look at {red}", _loads, "every", "{red} ", _seen), changes=False,
    ),
    Act(
        "wiggle", 0.5, _wiggle,
        (Need("id", "part", "the part"), Need("look_at", "load", "while watching")),
        "wiggle {id}", "Wiggle",
        Sense(_stirs, "wiggling {red} with an eye on {black}", _loose, "in use", ""),
        changes=False,
    ),
    Act(
        "prove dead", 1.5, _prove_dead,
        (Need("place", "point", "at"), Need("source", "source", "meter tried on")),
        "prove dead at {place}", "Prove dead", changes=False,
    ),
    Act(
        "trace", 3.0, _trace, (Need("run", "run", "the run"),), "follow {run}",
        "Follow by eye and hand", changes=False,
    ),
)  # fmt: skip  # rows that a reader compares
"""The acts that leave the boat as it was."""
