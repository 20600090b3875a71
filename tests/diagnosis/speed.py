"""How long a ranking takes on a large boat, and how near its choice is to the best there is.

    python -m tests.diagnosis.speed [hunts]

Prints the first call, the later ones, and what the chosen measurement falls short of the best when
every measurement is worked out exactly.
"""

from __future__ import annotations

import random
import sys
import time
from dataclasses import replace
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from labkit.circuits.circuit import Circuit, build_circuit, run
from labkit.diagnosis import Adviser, Diagnosis, Measurement
from labkit.diagnosis.cost import Visit
from labkit.diagnosis.faults import candidates
from labkit.diagnosis.information import soft_gain
from labkit.diagnosis.observing import Observer
from labkit.parts import Battery, Cable, Fuse, Joint, Lampholder, MotorLoad, Switch
from tests.diagnosis.comparison import dealt

Array = npt.NDArray[np.float64]

BRANCHES = 7


def large_boat() -> Circuit:
    """A battery, a panel and seven branches of lamps and motors with a return each: 41 nodes."""
    runs = [
        run("DC-", "stud", Battery("G1", emf="12.7 V", resistance="8 mohm")),
        run("stud", "panel", Fuse("F1", rating="100 A"), Switch("S1", position="on"),
            Cable("W1", size="4 AWG", length="2 m")),
    ]  # fmt: skip  # rows that a reader compares
    for n in range(2, 2 + BRANCHES):
        load = (
            MotorLoad(f"M{n}", voltage="12 V", current="5 A")
            if n % 2
            else Lampholder(f"E{n}", voltage="12 V", power="25 W")
        )
        runs.append(
            run("panel", "DC-", Fuse(f"F{n}", rating="15 A"), Switch(f"S{n}", position="on"),
                Cable(f"W{n}", size="14 AWG", length="5 m"), Joint(f"X{n}"), load,
                Cable(f"W{n}0", size="14 AWG", length="5 m"))
        )  # fmt: skip  # rows that a reader compares
    return build_circuit("a large invented boat", *runs)


def exact_bits(adviser: Adviser, diagnosis: Diagnosis, visit: Visit):
    """Information and minutes of every measurement, each worked out exactly."""
    view = adviser.view(diagnosis)
    done = {visit.key(item) for item in diagnosis.evidence}
    numbers = np.flatnonzero(adviser.allowed(view))
    fresh = [n for n in numbers if visit.key(adviser.menu.measurement(int(n))) not in done]
    low, high = view.intervals(np.array(fresh))
    return soft_gain(view.belief, view.names, low, high), adviser.minutes(visit)[fresh]


class Figures(NamedTuple):
    """Of rankings after the first: what they took, and what their choice lacks.

    Attributes
    ----------
    size : str
    made, first : float
        Solving and tabling, and the first ranking, by the clock. [s]
    clock, work : array
        Of each later ranking, by the clock and of the processor. [s]
    by_rate, by_bits : array
        What the best advice falls short of the best there is. [bit]
    """

    size: str
    made: float
    first: float
    clock: Array
    work: Array
    by_rate: Array
    by_bits: Array


def measured(hunts: int = 6) -> Figures:
    """Rank through some hunts on a large boat."""
    circuit = large_boat()
    chance = random.Random(1)
    began = time.perf_counter()
    rare = ("leak", "intermittent", "too thin", "short", "shorted winding", "wrong fuse")
    listed = candidates(circuit, weights=dict.fromkeys(rare, 0.0))
    start = Diagnosis(circuit, listed)
    adviser = Adviser(start)
    tests = sum(len(b.leads) for b in adviser.menu.blocks) + len(adviser.menu.sights)
    made = time.perf_counter()
    adviser.rank(start.copy(), Visit(circuit))
    first = time.perf_counter()
    times, works, by_rate, by_bits = [], [], [], []
    for _ in range(hunts):
        faulty = replace(circuit, faults=dealt(chance.choice(listed), chance))
        observe = Observer(faulty)
        diagnosis, visit = start.copy(), Visit(circuit)
        load = chance.choice([p for p in circuit.parts if p[0] in "ME"])
        done = Measurement("look", load)
        for _ in range(8):
            visit.go(done)
            diagnosis.see(done.saw(observe(done)))
            clock, work = time.perf_counter(), time.process_time()
            best = adviser.rank(diagnosis, visit)
            times.append(time.perf_counter() - clock)
            works.append(time.process_time() - work)
            if not best:
                break
            bits, cost = exact_bits(adviser, diagnosis, visit)
            metered = [r for r in best if r.function not in ("look", "pull", "fit", "wiggle")]
            if metered:
                by_rate.append(max((bits / cost).max() - metered[0].rate, 0.0) * metered[0].minutes)
                by_bits.append(max(bits.max() - max(r.bits for r in adviser.rank(
                    diagnosis, visit, top=10**6, explained=False)), 0.0))  # fmt: skip  # in rows
            done = best[0].measurement
    size = f"{len(circuit.test_points)} nodes, {len(start.known.rows)} rows, {tests} measurements"
    later = map(np.array, (times, works, by_rate, by_bits))
    return Figures(size, made - began, first - made, *later)


def main(hunts: int = 6) -> None:
    """Print the figures."""
    found = measured(hunts)
    print(found.size)
    print(f"solved and tabled in {found.made:.2f} s, first ranking {found.first:.2f} s")
    ms = 1000 * found.clock
    print(f"later rankings: median {np.median(ms):.0f} ms, 90 % {np.quantile(ms, 0.9):.0f} ms, "
          f"worst {ms.max():.0f} ms of {len(ms)}")  # fmt: skip  # rows that a reader compares
    print(f"processor time: median {1000 * np.median(found.work):.0f} ms")
    for what, short in (("minute", found.by_rate), ("bits", found.by_bits)):
        print(f"short of the best by the {what}: mean {short.mean():.5f} bit, "
              f"worst {short.max():.5f} bit")  # fmt: skip  # rows that a reader compares


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
