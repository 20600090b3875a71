"""A careful and a reckless player in hunts drawn at random: the one never warned, the other always.

    python -m tests.players [hunts] [seed]

What is dangerous is told here from the meter's own readings, and not from what the bench says.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Iterator

from labkit.aboard.act import hand_place
from labkit.aboard.bench import Bench
from labkit.aboard.habits import made_safe
from labkit.aboard.isolating import isolation, still_live
from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.diagnosis.faults import in_use
from labkit.exercises.exercise import Dealt, load_exercise
from labkit.parts import Trait
from labkit.text.messages import CircuitError
from tests.boats import EXERCISES, mend

THE_BOATS_OWN = {"fuse opened", "hot wire"}
"""What a fault does by itself once a switch is moved, however careful the hand."""


NO_VOLTS = 0.1
"""Less than this between two points, read before the dial is turned to ohms. [V]"""


def dealt_at_random(rng: random.Random) -> Dealt:
    """A variant of a shipped hunt."""
    exercise = load_exercise(rng.choice(sorted(EXERCISES.glob("*.toml"))))
    return exercise.variant(rng.randrange(len(exercise.variants)))


def volts(bench: Bench, red: str, black: str = NEGATIVE) -> float:
    return abs(bench.read(red, black).value or 0.0)


def amps(bench: Bench, terminal: str) -> float:
    return abs(bench.read(terminal, function="clamp").value or 0.0)


def careful(rng: random.Random) -> list[str]:
    """Hunt with care: look, switch on, read, make safe, part, measure ohms, mend. What was said."""
    dealt = dealt_at_random(rng)
    bench = Bench(dealt.circuit)
    for positions in rng.sample(states := [*in_use(bench.drawn)], min(2, len(states))):
        move(bench, positions)
        for point in rng.sample(sorted(bench.drawn.node_of), 3):
            bench.read(point)
    move(bench, dict(dealt.circuit.positions))
    for id in rng.sample(sorted(bench.drawn.parts), 2):
        if bench.drawn.parts[id].traits & (Trait.SOURCE | Trait.NOT_OHMS):
            continue
        found = dict(bench.drawn.positions)
        way = isolation(bench.circuit, id)
        for one in way:
            bench.isolate(one)
        if way:
            ohms_of(bench, id)
        for terminal in sorted(bench.drawn.parted):
            bench.join(terminal)
        for fuse in sorted(bench.pulled):
            bench.fit(fuse)
        move(bench, found)
    mend(bench, *dict.fromkeys(fault.part for fault in dealt.circuit.faults))
    safe = made_safe((e.action, e.args, e.shows) for e in bench.log)
    said = [
        f"{dealt.faults} {entry}: {hazard.kind}"
        for entry in bench.log
        for hazard in entry.hazards
        if hazard.kind not in THE_BOATS_OWN
    ]
    return said if safe.ok is not False else [*said, f"{dealt.faults}: {safe}"]


def ohms_of(bench: Bench, id: str) -> None:
    """Measure a part by itself, once it is proved dead at both ends."""
    first, second = (f"{id}:{t}" for t in bench.drawn.parts[id].ways()[0])
    there = bench.drawn.node_of
    live = still_live(bench.circuit, ())
    proved = [
        bench.act("prove dead", place=end, source=live).shows.endswith(": dead")
        for end in (first, second)
        if end in there
    ]
    if proved == [True, True] and first not in bench.drawn.parted:
        bench.part(first)
        if volts(bench, first, second) < NO_VOLTS:  # metals in the sea make some by themselves
            bench.read(first, second, "ohms")
        bench.join(first)


def move(bench: Bench, positions: dict[str, str]) -> None:
    """Move switches as one should: loads and chargers off, then selectors, then on again."""
    wanted = {**bench.drawn.positions, **positions}
    if wanted == bench.drawn.positions:
        return
    parts = [p for p in bench.drawn.parts.values() if p.id in wanted]
    plain = [p for p in parts if p.kind == "switch"]
    for part in reversed(plain):
        go(bench, part.id, "off")
    for part in (*(p for p in parts if p not in plain), *plain):
        go(bench, part.id, wanted[part.id])


def go(bench: Bench, id: str, word: str) -> None:
    if bench.drawn.positions[id] != word:
        bench.switch(id, word)


def reckless(rng: random.Random) -> list[str]:
    """Do what a meter says is dangerous, in every way; return what the bench did not remark on."""
    dealt = dealt_at_random(rng)
    missed = []
    states = [*in_use(dealt.circuit.without_faults())]
    for kind, act, args in dangers(dealt.circuit.with_position(**rng.choice(states)), rng):
        bench = Bench(dealt.circuit.with_position(**rng.choice(states)))
        ready = ready_for(bench, kind, act, args)
        if not ready:
            continue
        entry = bench.act(act, **args)
        if kind not in {hazard.kind for hazard in entry.hazards}:
            missed.append(f"{dealt.faults} {bench.drawn.positions} {entry}: no '{kind}'")
    return missed


def dangers(circuit: Circuit, rng: random.Random) -> Iterator[tuple[str, str, dict[str, str]]]:
    """Acts that may be dangerous, with what they then are."""
    parts = [*circuit.parts.values()]
    ends = [f"{p.id}:{t}" for p in parts for t in p.terminals if f"{p.id}:{t}" in circuit.node_of]
    for terminal in rng.sample(ends, min(4, len(ends))):
        yield "worked live", "part", {"terminal": terminal}
        yield "parted under load", "part", {"terminal": terminal}
    for part in rng.sample(parts, min(4, len(parts))):
        yield "worked live", "repair", {"id": part.id}
    for part in parts:
        if Trait.CARTRIDGE in part.traits:
            yield "parted under load", "pull", {"id": part.id}
            yield "fuse bypassed", "jumper", {"first": f"{part.id}:1", "second": f"{part.id}:2"}
        if part.kind == "connector":
            yield "parted under load", "switch", {"id": part.id, "to": "parted"}
        if part.kind == "battery":
            yield "positive first", "part", {"terminal": f"{part.id}:+"}
            leads = {"red": f"{part.id}:+", "black": f"{part.id}:-"}
            yield "meter short", "read", {**leads, "function": "amps"}
            yield "ohms live", "read", {**leads, "function": "ohms"}


def ready_for(bench: Bench, kind: str, act: str, args: dict[str, str]) -> bool:
    """Whether readings say that the act is that danger now."""
    if kind == "worked live" and act == "part":
        terminal = args["terminal"]
        own = {p.id for p in bench.drawn.parts.values() if Trait.SOURCE in p.traits}
        post = bench.drawn.node_of[terminal] in {bench.drawn.node_of[f"{id}:+"] for id in own}
        return volts(bench, terminal) > 1.0 and not post
    if kind == "worked live":
        place = hand_place(bench.drawn, args["id"])
        return volts(bench, place) > 1.0
    if kind == "parted under load":
        terminal = args.get("terminal") or f"{args['id']}:1"
        return amps(bench, terminal) > 1.5
    if kind == "positive first":
        minus = args["terminal"].replace("+", "-")
        return volts(bench, minus) < 0.1
    if kind in ("meter short", "ohms live"):
        return volts(bench, args["red"], args["black"]) > 5.0
    return True


def main() -> None:
    """Play as many hunts as are asked for; print whatever went amiss, and fail for it."""
    hunts, seed = (int(word) for word in (*sys.argv[1:], "300", "1")[:2])
    amiss = []
    for number in range(hunts):
        for player in (careful, reckless):
            try:
                amiss += player(random.Random(f"{seed}/{number}"))
            except CircuitError as error:
                amiss.append(f"hunt {number}, {player.__name__}: {error}")
    sys.stdout.write("\n".join([*amiss, f"{hunts} hunts, {len(amiss)} amiss"]) + "\n")
    sys.exit(bool(amiss))


if __name__ == "__main__":
    main()
