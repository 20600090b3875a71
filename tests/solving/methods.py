"""The usual ways to solve a circuit, and labkit's, on pieces of wire that hardly anything holds.

``python -m tests.solving.methods`` computes the figure of METHOD.md (islands.svg beside it) and
prints its table. The right answers are exact: rational arithmetic on the same conductances.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from labkit.circuits.circuit import Circuit, build_circuit, run
from labkit.parts import Battery, Cable, Joint, Resistor, Switch
from labkit.parts.laws import Linear
from labkit.solving.netlist import GROUND, Element, elements, node_names
from labkit.solving.solver import solve

from .oracles import exact_volts

FIGURE = Path(__file__).with_name("islands.svg")
OPEN = 1e-12
"""What stands for an open where a method needs something there. [S] The usual figure."""
METER = Linear.resistor(10e6)
EXACT = 1e-15
"""An error below this is drawn as this. [V]"""

Matrix = npt.NDArray[np.float64]


class Case(NamedTuple):
    """A circuit as it stands, the same before anything was opened, and where the meter is."""

    says: str
    now: Circuit
    before: Circuit
    at: str


def boat() -> Circuit:
    """A heater at the end of 35 short wires between two switches, a battery of its own halfway."""
    wires = [Cable(f"W{n}", resistance="2 mohm") for n in range(1, 36)]
    return build_circuit(
        "long way to a heater, invented",
        run("DC-", "stud", Battery("G1", emf="12.7 V", resistance="8 mohm")),
        run("stud", "mid", Switch("S1", position="on"), *wires[:20]),
        run("mid", "DC-", *wires[20:], Joint("X1", resistance="0.2 mohm"),
            Switch("S2", position="on"), Resistor("R1", resistance="2.4 ohm")),
        run("mid", "pack", Battery("G2", emf="12.4 V", resistance="5 mohm")),
        run("pack", "mid", Resistor("R4", resistance="2 ohm")),
    )  # fmt: skip  # rows that a reader compares


def cases() -> list[Case]:
    """A sound joint under load, then islands, each held by less."""
    closed, opened = boat(), {"S1": "off", "S2": "off"}

    def held(at: str, *more: tuple[str, str, float]) -> Circuit:
        made = closed.with_bridge("P1", "meter", at, "DC-", METER)
        for id, there, ohms in more:
            made = made.with_bridge(id, "tie", "stud", there, Linear.resistor(ohms))
        return made

    islands = [
        ("a leak of 1 Mohm and a meter", held("W20:1", ("P2", "W1:2", 1e6)), "W20:1"),
        ("two meters", held("W20:1", ("P2", "W5:1", 10e6)), "W20:1"),
        ("one meter, a battery within", held("pack"), "G2:+"),
    ]
    return [
        Case("under load, nothing open: 1 mV", closed, closed, "X1"),
        *(
            Case(f"both ends open, held by {says}", circuit.with_position(**opened), circuit, at)
            for says, circuit, at in islands
        ),
    ]


# -- the methods -----------------------------------------------------------------------------------


def _nodal(circuit: Circuit, there: Sequence[Element]) -> tuple[list[str], Matrix, Matrix]:
    names = sorted({n for e in there for n in (e.first, e.second)} - {GROUND})
    place = {name: n for n, name in enumerate(names)}
    matrix, right = np.zeros((len(names), len(names))), np.zeros(len(names))
    for e in there:
        assert isinstance(e.law, Linear)
        ends = [(place[n], sign) for n, sign in ((e.first, 1), (e.second, -1)) if n != GROUND]
        for row, sign in ends:
            right[row] -= sign * e.law.source
            for column, other in ends:
                matrix[row, column] += sign * other * e.law.conductance
    return names, matrix, right


def _branches(circuit: Circuit) -> list[Element]:
    return elements(circuit, solve(circuit).states)


def _opens(case: Case) -> list[Element]:
    """What was there before and is open now."""
    now = {(e.owner, e.role) for e in _branches(case.now)}
    return [e for e in _branches(case.before) if (e.owner, e.role) not in now]


def _by_label(circuit: Circuit, names: list[str], volts: Matrix) -> dict[str, float]:
    found = {GROUND: 0.0, **dict(zip(names, map(float, volts), strict=True))}
    return {label: found.get(name, 0.0) for label, name in node_names(circuit).items()}


def tiny_conductances(case: Case) -> dict[str, float]:
    """Opens are 1e-12 S; LAPACK solves."""
    tiny = [e._replace(law=Linear(OPEN, 0.0)) for e in _opens(case)]
    names, matrix, right = _nodal(case.now, [*_branches(case.now), *tiny])
    return _by_label(case.now, names, np.linalg.solve(matrix, right))


def conductance_to_ground(case: Case) -> dict[str, float]:
    """Opens are absent, every node has 1e-12 S to DC-; LAPACK solves."""
    names, matrix, right = _nodal(case.now, _branches(case.now))
    return _by_label(case.now, names, np.linalg.solve(matrix + OPEN * np.eye(len(names)), right))


def low_rank_update(case: Case) -> dict[str, float]:
    """The circuit before is inverted once; what opened is taken away by Woodbury's formula."""
    names, matrix, right = _nodal(case.before, _branches(case.before))
    gone = _opens(case)
    u, g = np.zeros((len(names), len(gone))), np.diag([e.law.conductance for e in gone])
    for column, e in enumerate(gone):
        for node, sign in ((e.first, 1.0), (e.second, -1.0)):
            if node != GROUND:
                u[names.index(node), column] = sign
    inverse = np.linalg.inv(matrix)
    if gone:
        small = np.linalg.inv(g) - u.T @ inverse @ u
        inverse = inverse + inverse @ u @ np.linalg.solve(small, u.T @ inverse)
    return _by_label(case.before, names, inverse @ right)


def star_mesh(case: Case) -> dict[str, float]:
    """As labkit solves it."""
    point = solve(case.now)
    return {label: point.volts[m] or 0.0 for m, label in case.now.node_of.items()}


METHODS: Mapping[str, Callable[[Case], dict[str, float]]] = {
    "opens as 1e-12 S, LU": tiny_conductances,
    "1e-12 S to ground, LU": conductance_to_ground,
    "low-rank update": low_rank_update,
    "star-mesh": star_mesh,
}


def _seen(case: Case, volts: Mapping[str, object]) -> list[object]:
    """The voltages that make up the reading: at a point, or on both sides of a part."""
    ends = [f"{case.at}:1", f"{case.at}:2"] if ":" not in case.at else [case.at]
    return [volts[case.now.node_of[end]] for end in ends]


def errors() -> dict[str, dict[str, float]]:
    """Case to method to how far its reading is from the exact one. [V]"""
    found: dict[str, dict[str, float]] = {}
    for case in cases():
        right = _seen(case, exact_volts(case.now, solve(case.now).states))
        exact = right[0] - (right[1] if len(right) > 1 else 0)
        found[case.says] = {}
        for name, method in METHODS.items():
            mine = _seen(case, method(case))
            off = mine[0] - (mine[1] if len(mine) > 1 else 0.0)
            found[case.says][name] = abs(float(off - float(exact)))
    return found


def table(found: Mapping[str, Mapping[str, float]]) -> str:
    """The errors as Markdown, in volts."""
    lines = ["| error of the reading, V | " + " | ".join(METHODS) + " |",
             "|---|" + "---|" * len(METHODS)]  # fmt: skip  # rows that a reader compares
    for says, row in found.items():
        lines.append(f"| {says} | " + " | ".join(f"{row[name]:.0e}" for name in METHODS) + " |")
    return "\n".join(lines)


# -- the figure ------------------------------------------------------------------------------------

_LEFT, _WIDE, _TOP, _ROW = 350, 510, 70, 92
_MARKS = {
    "opens as 1e-12 S, LU": ("#D55E00", "square"),
    "1e-12 S to ground, LU": ("#CC79A7", "ring"),
    "low-rank update": ("#0072B2", "diamond"),
    "star-mesh": ("#009E73", "dot"),
}


def _x(error: float) -> float:
    return _LEFT + _WIDE * (math.log10(max(error, EXACT)) + 15) / 17


def _mark(shape: str, color: str, x: float, y: float) -> str:
    match shape:
        case "square":
            return f'<rect x="{x - 6:.1f}" y="{y - 6:.1f}" width="12" height="12" fill="{color}"/>'
        case "diamond":
            return f'<path d="M{x:.1f} {y - 8:.1f}l8 8l-8 8l-8 -8z" fill="{color}"/>'
        case "ring":
            return (f'<circle cx="{x:.1f}" cy="{y:.1f}" r="6" fill="none" stroke="{color}" '
                    'stroke-width="3"/>')  # fmt: skip  # rows that a reader compares
    return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="7" fill="{color}"/>'


def figure(found: Mapping[str, Mapping[str, float]]) -> str:
    """The errors as SVG: a row for each case, a mark for each method, decades across."""
    foot = _TOP + _ROW * len(found)
    alt = "; ".join(
        f"{says}: " + ", ".join(f"{name} {row[name]:.0e} V" for name in METHODS)
        for says, row in found.items()
    )
    made = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 900 {foot + 50}" role="img" '
        'font-family="Helvetica, Arial, sans-serif" font-size="13">',
        f"<title>Error of the reading by method</title><desc>{alt}</desc>",
        f'<rect width="900" height="{foot + 50}" fill="#ffffff"/>',
    ]
    for n, name in enumerate(METHODS):
        color, shape = _MARKS[name]
        x = 40 + n * 215
        made += [_mark(shape, color, x, 30), f'<text x="{x + 14}" y="35">{name}</text>']
    for decade in range(-15, 3, 3):
        x = _x(10.0**decade)
        label = "exact" if decade == -15 else f"1e{decade} V" if decade else "1 V"
        made += [
            f'<path d="M{x:.1f} {_TOP - 10}V{foot}" stroke="#d0d0d0"/>',
            f'<text x="{x:.1f}" y="{foot + 20}" text-anchor="middle">{label}</text>',
        ]
    for n, (says, row) in enumerate(found.items()):
        top = _TOP + n * _ROW
        made += [f'<text x="16" y="{top + _ROW / 2}">{says}</text>',
                 f'<path d="M16 {top - 6}H880" stroke="#b0b0b0"/>']  # fmt: skip  # in rows
        for k, name in enumerate(METHODS):
            made.append(_mark(_MARKS[name][1], _MARKS[name][0], _x(row[name]), top + 9 + 21 * k))
    middle = _LEFT + _WIDE / 2
    made.append(
        f'<text x="{middle}" y="{foot + 42}" text-anchor="middle">error of the reading</text></svg>'
    )
    return "\n".join(made) + "\n"


if __name__ == "__main__":
    worked_out = errors()
    FIGURE.write_text(figure(worked_out), encoding="utf-8", newline="\n")
    print(table(worked_out))
