"""Small circuits solved with letters instead of numbers, by SymPy, and then with many numbers.

Each is written here a second time, as pairs of nodes and what lies between them, and Kirchhoff's
current law is solved for its unknowns as formulas. labkit solves the same circuit with numbers put
in; nothing of its own arithmetic takes part in the formula.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from random import Random
from typing import Any

import sympy

from labkit.circuits.circuit import Circuit, build_circuit, run
from labkit.parts import Battery, Resistor
from labkit.solving.solver import solve

from .checks import Check, Row
from .circuits import known

SAMPLES = 8
"""Sets of numbers tried in each circuit."""

TOLERANCE = 1e-12
"""Of a node voltage, as a share of the largest in the circuit: rounding."""

Branch = tuple[str, str, str, str]
"""From, to, the letter of its resistance, the letter of its EMF ('' for none; + at `to`)."""


@dataclass(frozen=True)
class Drawn:
    """A circuit as branches between nodes; '0' is DC-."""

    name: str
    branches: tuple[Branch, ...]

    @property
    def letters(self) -> list[str]:
        """Every letter that stands for a number."""
        return [x for _, _, r, e in self.branches for x in (r, e) if x]

    @property
    def nodes(self) -> list[str]:
        """Every node but DC-."""
        return sorted({n for a, b, _, _ in self.branches for n in (a, b)} - {"0"})


DRAWN = (
    Drawn("a load behind a corroded joint, a voltmeter across the joint", (
        ("0", "a", "ri", "E"), ("a", "b", "rj", ""), ("b", "0", "rl", ""), ("a", "b", "rm", ""))),
    Drawn("a divider loaded by a voltmeter", (
        ("0", "a", "ri", "E"), ("a", "b", "r1", ""), ("b", "0", "r2", ""), ("b", "0", "rm", ""))),
    Drawn("a bridge with its galvanometer", (
        ("0", "a", "ri", "E"), ("a", "b", "r1", ""), ("a", "c", "r2", ""), ("b", "0", "r3", ""),
        ("c", "0", "r4", ""), ("b", "c", "rg", ""))),
    Drawn("two batteries side by side and a load", (
        ("0", "a", "r1", "E1"), ("0", "b", "r2", "E2"), ("a", "b", "rw", ""),
        ("b", "0", "rl", ""))),
    Drawn("three loads along one pair of wires", (
        ("0", "a", "ri", "E"), ("a", "b", "w1", ""), ("b", "c", "w2", ""), ("c", "d", "w3", ""),
        ("b", "g", "l1", ""), ("c", "f", "l2", ""), ("d", "e", "l3", ""), ("e", "f", "x3", ""),
        ("f", "g", "x2", ""), ("g", "0", "x1", ""))),
    Drawn("a ghost: a leak into a wire that is open at both ends", (
        ("0", "a", "ri", "E"), ("a", "0", "rl", ""), ("a", "b", "rk", ""), ("b", "0", "rm", ""))),
)  # fmt: skip  # rows that a reader compares
"""Circuits of this trade, small enough to be read as formulas."""


@cache
def formulas(drawn: Drawn) -> Mapping[str, Any]:
    """Voltage of each node as a formula, from Kirchhoff's current law at each."""
    volts = {"0": sympy.Integer(0), **{n: sympy.Symbol(f"v_{n}") for n in drawn.nodes}}
    flows = dict.fromkeys(drawn.nodes, sympy.Integer(0))
    for a, b, r, e in drawn.branches:
        current = (volts[a] - volts[b] + (sympy.Symbol(e) if e else 0)) / sympy.Symbol(r)
        for node, sign in ((a, 1), (b, -1)):
            if node != "0":
                flows[node] += sign * current
    solved = sympy.solve(list(flows.values()), [volts[n] for n in drawn.nodes], dict=True)[0]
    return {n: sympy.together(solved[volts[n]]) for n in drawn.nodes}


def circuit_of(drawn: Drawn, numbers: Mapping[str, Any]) -> Circuit:
    """Build the same circuit of labkit's parts."""
    runs = []
    for n, (a, b, r, e) in enumerate(drawn.branches, 1):
        ohms = f"{float(numbers[r])!r} ohm"
        source = f"{float(numbers[e])!r} V" if e else ""
        part = (
            Battery(f"G{n}", emf=source, resistance=ohms)
            if e
            else Resistor(f"R{n}", resistance=ohms)
        )
        runs.append(run("DC-" if a == "0" else a, "DC-" if b == "0" else b, part))
    return build_circuit(f"{drawn.name}, invented", *runs)


def _numbers(drawn: Drawn, rng: Random) -> dict[str, Any]:
    """Numbers from a milliohm to ten megohm and from 10 to 14 V, exact as floats."""
    return {
        letter: sympy.Rational(
            rng.uniform(10, 14) if letter[0] == "E" else 10 ** rng.uniform(-3, 7)
        )
        for letter in drawn.letters
    }


def _checks(drawn: Drawn) -> Callable[[], list[Check]]:
    def checks() -> list[Check]:
        rng, found = Random(drawn.name), []
        for sample in range(SAMPLES):
            numbers = _numbers(drawn, rng)
            volts = solve(circuit_of(drawn, numbers)).volts
            exact = {n: f.subs(numbers) for n, f in formulas(drawn).items()}
            slack = TOLERANCE * float(max(map(abs, exact.values())))
            for node, right in exact.items():
                off = float(sympy.Rational(known(volts[node])) - right)
                name, value = f"{drawn.name}, sample {sample}, {node}", float(right)
                found.append(Check(name, off + value, value - slack, value + slack, value, 0.0))
        return found

    return checks


def rows() -> list[Row]:
    """The row of the table on formulas."""
    return [
        Row(
            f"Every node voltage of {len(DRAWN)} circuits, {SAMPLES} sets of numbers each",
            "Kirchhoff's current law solved in letters by SymPy",
            "computed by it at each run",
            lambda: [check for drawn in DRAWN for check in _checks(drawn)()],
        )
    ]
