"""A week at anchor, 45 nodes: a leak, a float that turns every few minutes, lamps at night."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from random import Random

from labkit.circuits.circuit import Circuit, build_circuit, run
from labkit.circuits.water import Water
from labkit.clock.course import Course
from labkit.clock.program import Deed, parse_program
from labkit.parts import Battery, Breaker, Cable, Float, Fuse, Joint, MotorLoad, Switch
from tests.benchmarks.boats import consumer
from tests.benchmarks.engines import processor_time
from tests.benchmarks.goals import Line

DAY = 86400.0
EVENING = ("S1", "S3", "S6")


def anchored() -> Circuit:
    """A boat at anchor: seven switched consumers, and a bilge pump on its float."""
    rng = Random(1)
    runs = [
        run("DC-", "stud", Battery("G1", charge="90 %", capacity="600 Ah")),
        run("stud", "panel", Fuse("F1000", rating="100 A", kind="midi"),
            Switch("S1000", position="on"), Cable("W1000", size="2 AWG", length="2 m")),
        run("negative bus", "DC-", Cable("W1001", size="2 AWG", length="2 m")),
        run("stud", "negative bus", Fuse("F99", rating="10 A"),
            Cable("W98", size="14 AWG", length="3 m"), Joint("X99", resistance="30 mohm"),
            Float("S99", position="off"),
            MotorLoad("M99", voltage="12 V", current="4 A", resistance="0.6 ohm"),
            Cable("W99", size="14 AWG", length="3.5 m")),
    ]  # fmt: skip  # rows that a reader compares
    for n in range(7):
        runs.append(
            run("panel", "negative bus", Breaker(f"F{n}", rating="15 A"),
                Switch(f"S{n}", position="off"),
                Cable(f"W{2 * n}", size="14 AWG", length=f"{rng.uniform(2, 9):.2f} m"),
                Joint(f"X{n}"), consumer(n, rng),
                Cable(f"W{2 * n + 1}", size="14 AWG", length=f"{rng.uniform(2, 9):.2f} m"))
        )  # fmt: skip  # rows that a reader compares
    water = {"float": "S99", "pump": "M99", "leak": "1.2 l/min", "flow": "21 l/min"}
    made = build_circuit("invented boat at anchor", *runs)
    return replace(made, water=Water.model_validate(water))


def evenings(circuit: Circuit, days: int) -> list[Deed]:
    """Lamps on at eight each evening, off at eleven."""
    texts = []
    for day in range(days):
        on, off = 24 * day + 20, 24 * day + 23
        texts += [f"{on} h " + " ".join(f"{id}=on" for id in EVENING)]
        texts += [f"{off} h " + " ".join(f"{id}=off" for id in EVENING)]
    return parse_program(texts, circuit)


def play(days: int = 7) -> Course:
    """So many days at anchor."""
    circuit = anchored()
    return Course(circuit, evenings(circuit, days), show=("S99", "G1", "stud")).play(days * DAY)


def week() -> Iterator[Line]:
    """Processor time of that week, and how it was stepped."""
    start = processor_time()
    course = play()
    taken = processor_time() - start
    turns = sum(event.part == "S99" for event in course.chronicle.events)
    yield "a week at anchor, 45 nodes", "10 s", f"{taken:.3g} s", f"{taken / 10:.2f}"
    yield "of that, times the float turned", "", str(turns), ""
    yield "of that, steps and solutions", "", f"{course.steps} and {course.world.solves}", ""
