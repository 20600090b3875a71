"""Circuits nobody would build, and a meter, a jumper and hands put everywhere in them."""

from __future__ import annotations

import math
from random import Random

from labkit.aboard.acts import ACTS
from labkit.aboard.bench import Bench
from labkit.circuits.circuit import Circuit
from labkit.measuring.meter import FUNCTIONS, Reading, read
from labkit.solving.solver import OperatingPoint, solve
from tests.generators import random_circuit

from .tally import Tally


def operating_points(rng: Random, count: int) -> Tally:
    """Circuits of 2 to 80 parts with up to three faults: a number for everything, or why not."""
    tally = Tally()
    for _ in range(count):
        seed = rng.randrange(2**32)
        circuit = random_circuit(Random(seed), most=80)
        name = f"seed {seed}, {len(circuit.parts)} parts"
        point = tally.attempt(name, lambda circuit=circuit: solve(circuit))
        if isinstance(point, OperatingPoint):
            wild = _wild(point)
            if wild:
                tally.wrong(f"{name}: {wild}")
    return tally


def _wild(point: OperatingPoint) -> str:
    """Name a value that is no number though nothing floats or chatters there, or ''."""
    unsettled = bool(point.chattering)
    for member, volts in point.volts.items():
        floats = point.circuit.node_of[member] in point.floating
        if (volts is None) != floats and not unsettled:
            return f"{member} is at {volts}"
        if volts is not None and not math.isfinite(volts):
            return f"{member} is at {volts}"
    for id, amps in point.amps.items():
        if (amps is None and not unsettled) or (amps is not None and not math.isfinite(amps)):
            return f"{id} carries {amps}"
    return ""


def meters_everywhere(rng: Random, count: int) -> Tally:
    """Every function of the meter at every pair of points: always a display."""
    tally = Tally()
    while tally.tried < count:
        seed = rng.randrange(2**32)
        circuit = random_circuit(Random(seed), most=rng.choice((6, 12, 24)))
        points = [test.terminals[0] for test in circuit.test_points]
        pairs = [(a, b) for a in points for b in points]
        rng.shuffle(pairs)
        for red, black in pairs[: max(1, (count - tally.tried) // len(FUNCTIONS))]:
            for function in FUNCTIONS:
                if function != "clamp" or ":" in red:
                    _read(tally, f"seed {seed}, {red} {black} {function}", circuit, red, black,
                          function)  # fmt: skip  # rows that a reader compares
    return tally


def _read(tally: Tally, name: str, circuit: Circuit, red: str, black: str, function: str) -> None:
    before = len(tally.failures)
    seen = tally.attempt(name, lambda: read(circuit, red, black, function))
    if len(tally.failures) > before:
        return
    if not isinstance(seen, Reading):
        tally.wrong(f"{name}: refused")
    elif not seen.display or not seen.low <= seen.high or "nan" in seen.spoken:
        tally.wrong(f"{name}: shows {seen.display!r}, from {seen.low} to {seen.high}")
    elif seen.value is not None and not seen.low - 1e-9 <= seen.value <= seen.high + 1e-9:
        tally.wrong(f"{name}: senses {seen.value}, shows {seen.low} to {seen.high}")


def hands(rng: Random, count: int) -> Tally:
    """Anything that can be done at a bench, in any order, with things that are not there too."""
    tally = Tally()
    while tally.tried < count:
        seed = rng.randrange(2**32)
        circuit = random_circuit(Random(seed), most=24)
        bench = tally.attempt(f"seed {seed}", lambda circuit=circuit: Bench(circuit))
        if not isinstance(bench, Bench):
            continue
        words = [*circuit.parts, *circuit.node_of, *circuit.positions.values(), *FUNCTIONS, "on",
                 "off", "7", "²", "", "jumper", "test lamp", "12 A", "nothing of the kind",
                 *(run.name for run in circuit.runs)]  # fmt: skip  # rows that a reader compares
        for _ in range(60):
            action = rng.choice([*ACTS, "sing"])
            args = _arguments(rng, action, words)
            name = f"seed {seed}, act {len(bench.log) + 1}, {action} {args}"
            tally.attempt(name, lambda b=bench, a=action, args=args: b.act(a, **args))
    return tally


_NEEDS = {name: tuple(need.name for need in act.needs) for name, act in ACTS.items()}


def _arguments(rng: Random, action: str, words: list[str]) -> dict[str, str]:
    needs = _NEEDS.get(action, ("self",))
    if rng.random() < 0.05:
        needs = rng.choice(list(_NEEDS.values()))
    return {key: rng.choice(words) for key in needs}
