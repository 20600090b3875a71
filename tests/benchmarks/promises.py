"""Promises that are not of a time alone: advice, exactness, agreement with ngspice, notebooks."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Iterator
from fractions import Fraction

import numpy as np

from labkit.circuits.circuit import Circuit
from labkit.parts.laws import Linear
from labkit.solving.solver import solve
from tests.benchmarks.engines import NGSPICE
from tests.benchmarks.goals import Line
from tests.boats import ROOT
from tests.diagnosis.speed import measured
from tests.outside import shipped
from tests.outside.table import worst
from tests.solving.oracles import exact_volts
from tests.solving.test_exact import METER, lamp_circuit


def advice() -> Iterator[Line]:
    """Ranking every measurement of a large boat, and what the choice lacks."""
    found = measured()
    median = float(np.median(found.clock))
    yield (
        f"ranking after the first, median: {found.size}",
        "100 ms",
        f"{1000 * median:.0f} ms",
        (f"{median / 0.1:.2f}"),
    )
    yield "the same, of the processor", "", f"{1000 * float(np.median(found.work)):.0f} ms", ""
    short = float(found.by_rate.max())
    yield (
        "its choice short of the best, worst",
        "0.01 bit",
        f"{short:.5f} bit",
        f"{short / 0.01:.2f}",
    )


def islands() -> Iterator[Line]:
    """What nothing or next to nothing holds, against exact arithmetic."""
    boat = lamp_circuit()
    loose = boat.with_position(S1="off", S2="off")
    ghost = boat.with_fault("S1 open").with_position(S2="off")
    hard = {
        "two opens": boat.with_fault("X1 open", "X2 open"),
        "a ghost through 1 Mohm": ghost.with_bridge(
            "R8", "damp", "S1:1", "S1:2", Linear.resistor(1e6)
        ).with_bridge("P9", "voltmeter", "W1:2", "DC-", METER),
        "a net held by meters alone": loose.with_bridge(
            "P8", "voltmeter", "stud", "X1:1", METER
        ).with_bridge("P9", "voltmeter", "X1:2", "DC-", METER),
    }
    for what, circuit in hard.items():
        error = _error(circuit)
        yield f"{what}, worst error", "1e-12 V", f"{error:.1e} V", f"{error / 1e-12:.4f}"


def _error(circuit: Circuit) -> float:
    """The greatest error of any node; what floats must float in both. [V]"""
    solved = solve(circuit)
    right = exact_volts(circuit, solved.states)
    errors = [0.0]
    for member, label in circuit.node_of.items():
        mine, exact = solved.volts[member], right[label]
        if (mine is None) != (exact is None):
            return float("inf")
        if mine is not None and exact is not None:
            errors.append(float(abs(Fraction(mine) - exact)))
    return max(errors)


def agreement() -> Iterator[Line]:
    """Every shipped circuit, position and single fault, against ngspice; it takes some minutes."""
    if NGSPICE is None:
        yield "ngspice", "", "not installed", ""
        return
    row = shipped.rows()[-1]
    checks = row.checks()
    yield f"{row.what}, worst of {len(checks)}", "1e-6", worst(checks), ""
    yield (
        "of these, outside 1e-6 V and 1e-6 relative",
        "0",
        str(sum(not c.passed for c in checks)),
        "",
    )


def notebooks() -> Iterator[Line]:
    """All notebooks through nbval, by the clock."""
    start = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "notebooks"],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip  # rows that a reader compares
    taken = time.perf_counter() - start
    said = (done.stdout.strip().splitlines() or ["nothing"])[-1]
    yield "all notebooks through nbval", "180 s", f"{taken:.0f} s", f"{taken / 180:.2f}"
    yield said, "", "", ""
