"""Small invented circuits for tests, and where the shipped ones lie."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import TypeVar

from labkit.aboard.act import hand_place
from labkit.aboard.bench import Bench
from labkit.aboard.isolating import isolation, still_live
from labkit.circuits.circuit import Circuit, Via, build_circuit, run
from labkit.circuits.circuit_file import load_circuit
from labkit.parts import (
    Battery,
    Cable,
    Connector,
    Diode,
    Fuse,
    Joint,
    Lampholder,
    MotorLoad,
    Relay,
    Resistor,
    Switch,
)

ROOT = Path(__file__).parents[1]
EXERCISES = ROOT / "exercises"
T = TypeVar("T")
CIRCUITS = sorted((EXERCISES / "circuits").glob("*.toml"))


def share(items: Sequence[T], of: int, first: int = 0) -> Sequence[T]:
    """Every so-many-th, in the suite; all of them where LABKIT_TESTS=every stands before it."""
    return items if os.environ.get("LABKIT_TESTS") == "every" else items[first % of :: of]


def shipped(name: str) -> Circuit:
    """One of the circuits that come with the workbook."""
    return load_circuit(EXERCISES / "circuits" / f"{name}.toml")


def resistors(*ohms: float, emf: str = "12 V", internal: str = "0 ohm") -> Circuit:
    """A battery and resistors R1, R2, ... in series."""
    chain = [Resistor(f"R{n}", resistance=f"{r} ohm") for n, r in enumerate(ohms, 1)]
    return build_circuit(
        "resistors in series",
        run("DC-", "stud", Battery("G1", emf=emf, resistance=internal)),
        run("stud", "DC-", *chain),
    )


def pump() -> Circuit:
    """A pump behind a fuse, a joint and a switch."""
    return build_circuit(
        "invented pump",
        run("DC-", "stud", Battery("G1", emf="12.6 V", resistance="10 mohm")),
        run(
            "stud",
            "DC-",
            Fuse("F1", rating="15 A", reach="2 min"),
            Joint("X1", reach="10 min"),
            Switch("S1", position="on"),
            MotorLoad("M1", current="6 A", resistance="0.4 ohm"),
            Cable("W1", size="14 AWG", length="5 m"),
            name="pump",
        ),
    )


def lamp() -> Circuit:
    """A lamp on a plug, with a switch in its return."""
    return build_circuit(
        "invented lamp",
        run("DC-", "stud", Battery("G1", emf="12.6 V", resistance="10 mohm")),
        run(
            "stud",
            "DC-",
            Fuse("F1", rating="5 A"),
            Connector("X1"),
            Lampholder("E1", power="21 W"),
            Switch("S1", position="on"),
            name="lamp",
        ),
    )


def relay() -> Circuit:
    """A relay whose contact feeds a lamp, and a diode across its coil."""
    return build_circuit(
        "invented relay",
        run("DC-", "stud", Battery("G1", emf="12.6 V", resistance="10 mohm")),
        run(
            "stud",
            "DC-",
            Fuse("F1", rating="5 A"),
            Switch("S1", position="off"),
            Via(Relay("K1", coil="85 ohm"), "86-85"),
        ),
        run(
            "stud",
            "DC-",
            Fuse("F2", rating="10 A"),
            Via("K1", "30-87"),
            Lampholder("E1", power="21 W"),
        ),
        run("K1:85", "K1:86", Diode("V1")),
    )


def mend(bench: Bench, *parts: str) -> None:
    """Mend parts as one should: made safe first, and all as before afterwards."""
    for id in parts:
        found, apart = dict(bench.drawn.positions), bench.drawn.parted
        way = isolation(bench.circuit, id)
        known = still_live(bench.circuit, way)
        for one in way:
            bench.isolate(one)
        bench.act("prove dead", place=hand_place(bench.circuit, id), source=known)
        bench.repair(id)
        for terminal in sorted(bench.drawn.parted - apart):
            bench.join(terminal)
        for fuse in sorted(bench.pulled):
            bench.fit(fuse)
        for switch, word in found.items():
            if bench.drawn.positions[switch] != word:
                bench.switch(switch, word)


def played_again(bench: Bench, circuit: Circuit) -> Bench:
    """Do everything in a bench's log again, at a bench of one's own."""
    again = Bench(circuit)
    for entry in bench.log:
        again.act(entry.action, **entry.args)
    return again
