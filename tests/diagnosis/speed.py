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

import numpy as np

from labkit.circuit import Circuit, build_circuit, run
from labkit.diagnosis import Adviser, Diagnosis, Measurement
from labkit.diagnosis.cost import Visit
from labkit.diagnosis.information import soft_gain
from labkit.diagnosis.search import observer
from labkit.faults import candidates
from labkit.parts import Battery, Cable, Fuse, Joint, Lampholder, MotorLoad, Switch
from tests.diagnosis.comparison import dealt

BRANCHES = 7


def large_boat() -> Circuit:
    """A battery, a panel and seven branches of lamps and motors with a return each: 41 nodes."""
    runs = [
        run("DC-", "stud", Battery("G1", emf="12.7 V", resistance="8 mohm")),
        run("stud", "panel", Fuse("F1", rating="100 A"), Switch("S1", position="on"),
            Cable("W1", size="4 AWG", length="2 m")),
    ]  # fmt: skip
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
        )  # fmt: skip
    return build_circuit("a large invented boat", *runs)


def exact_bits(adviser: Adviser, diagnosis: Diagnosis, visit: Visit):
    """Information and minutes of every measurement, each worked out exactly."""
    view = adviser.view(diagnosis)
    done = {visit.key(item) for item in diagnosis.evidence}
    numbers = np.flatnonzero(adviser.allowed(view))
    fresh = [n for n in numbers if visit.key(adviser.menu.measurement(int(n))) not in done]
    low, high = view.intervals(np.array(fresh))
    return soft_gain(view.belief, view.names, low, high), adviser.minutes(visit)[fresh]


def main(hunts: int = 6) -> None:
    """Print the figures."""
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
    print(f"{len(circuit.test_points)} nodes, {len(start.known.rows)} rows, {tests} measurements")
    print(
        f"solved and tabled in {made - began:.2f} s, "
        f"first ranking {time.perf_counter() - made:.2f} s"
    )
    times, works, by_rate, by_bits = [], [], [], []
    for _ in range(hunts):
        faulty = replace(circuit, faults=dealt(chance.choice(listed), chance))
        observe = observer(faulty)
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
                    diagnosis, visit, top=10**6, explained=False)), 0.0))  # fmt: skip
            done = best[0].measurement
    ms = 1000 * np.array(times)
    print(f"later rankings: median {np.median(ms):.0f} ms, 90 % {np.quantile(ms, 0.9):.0f} ms, "
          f"worst {ms.max():.0f} ms of {len(ms)}")  # fmt: skip
    print(f"processor time: median {1000 * np.median(works):.0f} ms")
    print(
        f"bits short of the best by the minute: mean {np.mean(by_rate):.5f}, "
        f"worst {max(by_rate):.5f}"
    )
    print(f"bits short of the best by bits: mean {np.mean(by_bits):.5f}, worst {max(by_bits):.5f}")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
