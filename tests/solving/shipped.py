"""Every shipped circuit, in all switch positions, sound and with each single fault, solved twice.

Two references. ngspice solves every point except those that it cannot represent: where a node is
tied to DC- by nothing but diodes. A diode that is off passes 1e-12 A or less, below what its
matrix resolves (ngspice lays a gmin of the same size across every junction for that reason). The
rule looks at the circuit alone, not at any answer: see `oracles.hang_by_junctions`. Those points
are solved by Newton's method in 80 digits instead. `python -m tests.outside.table` compares every
point; the suite, in circuits of many positions, so many that every fault meets each position of
each switch.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping
from decimal import Decimal
from functools import lru_cache
from pathlib import Path
from typing import Any

from labkit.circuits.circuit import Circuit
from labkit.circuits.circuit_file import load_circuit
from labkit.parts import CurrentLimit, CutOut, Pull, Solenoid, Trip
from labkit.solving.netlist import GROUND, Element, elements, node_names, to_spice
from labkit.solving.solver import OperatingPoint, solve

from ..outside.checks import Check, near
from .engine import run_ngspice
from .oracles import floating_nodes, hang_by_junctions, precise_volts

CIRCUITS = sorted((Path(__file__).parents[2] / "exercises" / "circuits").glob("*.toml"))
MOST_POSITIONS = 64
"""Positions of one circuit's switches that are tried; no shipped circuit has more."""
FEW_POSITIONS = 3
"""Up to so many the suite tries every fault in every position."""


def positions(circuit: Circuit) -> list[dict[str, str]]:
    """All positions of all switches; plugs stay in, a parted plug being the fault 'open'."""
    choices = {
        id: circuit.parts[id].choices or tuple(circuit.parts[id].positions)
        for id in circuit.positions
        if circuit.parts[id].kind != "connector"
    }
    return [
        dict(zip(choices, words, strict=True)) for words in itertools.product(*choices.values())
    ]


def single_faults(circuit: Circuit) -> list[str]:
    """Each mode of each part, with the first of its typical amounts."""
    return [
        f"{id} {mode} {spec.amounts[0] if spec.amounts else ''}".strip()
        for id, part in circuit.parts.items()
        for mode, spec in part.modes.items()
        if not (mode == "too thin" and _thinner(circuit, id, spec.amounts[0]) is None)
    ]


def _thinner(circuit: Circuit, id: str, size: str) -> Circuit | None:
    try:
        return circuit.with_fault(f"{id} too thin {size}")
    except ValueError:
        return None  # the wire drawn is no thicker than that


def points(circuit: Circuit, all_of_them: bool = True) -> Iterator[Circuit]:
    """Sound in every position and with every fault; or each fault where it meets each switch so."""
    shaken = circuit.with_disturbed(*circuit.parts)  # so that what is intermittent shows
    there = positions(circuit)
    everywhere = all_of_them or len(there) <= FEW_POSITIONS
    faults = single_faults(circuit)
    chosen = [range(len(there)) if everywhere else cover(there, f) for f in range(len(faults))]
    for p, at in enumerate(there):
        here = shaken.with_position(**at)
        yield here
        for fault, numbers in zip(faults, chosen, strict=True):
            if p in numbers:
                yield here.with_fault(fault)


def cover(there: list[dict[str, str]], start: int) -> set[int]:
    """Few positions, one of them given, in which every switch is met in each of its places."""
    chosen = {start % len(there)}
    left = {place for at in there for place in at.items()} - {*there[start % len(there)].items()}
    while left:
        best = max(range(len(there)), key=lambda p: len(left & {*there[p].items()}))
        chosen.add(best)
        left -= {*there[best].items()}
    return chosen


@lru_cache(maxsize=1)  # a test that compares them asks a second time which there are
def solved_points(path: Path, all_of_them: bool = True) -> list[tuple[Circuit, OperatingPoint]]:
    """Points of a shipped circuit, solved."""
    return [(point, solve(point)) for point in points(load_circuit(path), all_of_them)]


def branch_amps(element: Element, read: Mapping[str, float]) -> float:
    """Current ngspice has in a branch, from its first node to its second."""
    for name in ("i(@i{}[current])", "i(@b{}[i])", "i(@d{}[id])", "i(@r{}[i])"):
        if (key := name.format(element.name)) in read:
            return read[key]
    return -read[f"i(v{element.name})"]


def part_amps(point: Circuit, there: list[Element], amps: list[float]) -> dict[str, float]:
    """Current of every part and way, as an operating point names them."""
    found: dict[str, float] = {}
    for e, i in zip(there, amps, strict=True):
        part = point.parts.get(e.owner)
        if part is None or e.role.startswith("leak"):
            continue
        ways = part.ways()
        for way in ways:
            last = way == ways[-1] and e.role.startswith("short")
            if len(ways) == 1:
                found[e.owner] = found.get(e.owner, 0.0) + (
                    -i if e.role.startswith("reversed") else i
                )
            elif last or e.role in part.roles(way):
                key = f"{e.owner} {way[0]}-{way[1]}"
                found[key] = found.get(key, 0.0) + i
    return found


def unrest(point: Circuit, states: Mapping[str, str], volts: Mapping[str, float | None],
           amps: Mapping[str, float]) -> list[str]:  # fmt: skip  # rows that a reader compares
    """Devices whose state does not go with these voltages and currents."""
    found = []

    def across(id: str, first: str, second: str) -> float:
        a, b = (volts.get(point.node_of.get(f"{id}:{t}", "")) for t in (first, second))
        return 0.0 if a is None or b is None else a - b

    for id, part in point.parts.items():
        model = part.model(point.state_of(id))
        device, state = model.device, states.get(id, "")
        ends = {branch.role: (branch.first, branch.second) for branch in model.branches}
        if isinstance(device, Trip) and state == "intact":
            rests = abs(amps.get(id, 0.0)) <= device.amps * (1 + 1e-6)
        elif isinstance(device, Pull):
            ohms = {b.role: 1 / b.law.conductance for b in model.branches}
            if isinstance(part, Solenoid):
                # Of as many turns: what both carry against what sound ones would at the threshold.
                i = abs(
                    sum(
                        across(id, *ends) / ohms[role]
                        for role, ends in (("hold", ("50", "31")), ("pull", ("50", "45")))
                        if role in ohms
                    )
                )
                low, high = part.thresholds(12.0)[1], part.thresholds(12.0)[0]
                out, into = low / part.coil, high * (1 / part.coil + 1 / part.pull)
                rests = i > out - 1e-6 if state == "pulled in" else i < into + 1e-6
            else:
                coils = [ends[role] for role in (device.coil, device.other) if role in ends]
                v = max((abs(across(id, *coil)) for coil in coils), default=0.0)
                rests = (
                    v > device.drop_out - 1e-6
                    if state == part.states[1]
                    else v < device.pull_in + 1e-6
                )
        elif isinstance(device, CutOut):
            v = across(id, *ends[device.role])
            rests = v > device.cut_out - 1e-6 if state == "on" else v < device.restart + 1e-6
        elif isinstance(device, CurrentLimit):
            i, v = amps[id], across(id, "+", "-")
            rests = i <= device.amps + 1e-6 and v < device.emf + 1e-6
        else:
            rests = True
        if not rests:
            found.append(f"{id} {state}")
    return found


def _compared(name: str, mine: float | None, right: float | None) -> Check:
    """Compare a voltage or current; what floats in one and not in the other is far off."""
    if mine is None or right is None:
        return Check(name, 0.0 if mine is right else math.inf, 0.0, 0.0)
    right = float(right)
    slack = 1e-6 * max(1.0, abs(right))
    return Check(name, mine, right - slack, right + slack, right, least=1.0)


def _exactly(name: str, mine: float | None, right: Any) -> Check:
    """Compare with a value of many digits, to 1e-12 V."""
    if mine is None or right is None:
        return _compared(name, mine, right)
    return near(name, float(Decimal(mine) - right), 0.0, 1e-12)


def point_checks(point: Circuit, solved: OperatingPoint, volts: Mapping[str, float | None],
                 amps: Mapping[str, float]) -> list[Check]:  # fmt: skip  # in rows
    """Every voltage and current of a solved point against the reference's."""
    found = [
        _compared(f"{name_of(point)}: volts at {member}", solved.volts[member], volts[label])
        for member, label in point.node_of.items()
    ]
    for id, mine in solved.amps.items():
        known = id in amps or not any(key.startswith(f"{id} ") for key in amps)
        right = amps.get(id, 0.0)
        if not known:  # the sum of its ways, or a relay's coil
            counted = point.parts[id].counted()
            right = sum(amps.get(f"{id} {a}-{b}", 0.0) for a, b in counted)
        found.append(_compared(f"{name_of(point)}: amps of {id}", mine, right))
    return found


def reference_checks(path: Path, folder: Path, all_of_them: bool = True) -> dict[str, list[Check]]:
    """Compare a shipped circuit, in every position and with every fault, with its reference.

    Parameters
    ----------
    path : Path
        Of the circuit.
    folder : Path
        For ngspice to work in.
    all_of_them : bool
        Every fault in every position, or fewer; see `points`.

    Returns
    -------
    dict of str to list of Check
        Every voltage and current of every point that settles, by the point's name; a device that
        does not rest, or a point without a reference, is a check that fails.
    """
    tried, solved = zip(*solved_points(path, all_of_them), strict=True)
    settled = [n for n, s in enumerate(solved) if not s.chattering]
    there = {n: elements(tried[n], solved[n].states) for n in settled}
    hang = {n for n in settled if hang_by_junctions(there[n])}
    netlists = {n: "\n".join(_cards(to_spice(tried[n], solved[n].states)))
                for n in settled if n not in hang}  # fmt: skip  # rows that a reader compares
    unique = list(dict.fromkeys(netlists.values()))
    answers = dict(zip(unique, run_ngspice(unique, folder), strict=True))
    return {
        name_of(tried[n]): _in_many_digits(tried[n], solved[n]) if n in hang
        else _by_ngspice(tried[n], solved[n], there[n], answers[netlists[n]])
        for n in settled
    }  # fmt: skip  # rows that a reader compares


def _by_ngspice(
    point: Circuit, solved: OperatingPoint, there: list[Element], read: dict[str, float] | None
) -> list[Check]:
    if read is None:  # at the very kink between charging and discharging it goes to and fro
        return _in_many_digits(point, solved)
    volts = volts_of(point, there, read)
    amps = part_amps(point, there, [branch_amps(e, read) for e in there])
    restless = unrest(point, solved.states, volts, amps)
    return [
        *point_checks(point, solved, volts, amps),
        *(_fails(f"{name_of(point)}: {text} does not rest") for text in restless),
    ]


def _in_many_digits(point: Circuit, solved: OperatingPoint) -> list[Check]:
    guess = {label: solved.volts[m] for m, label in point.node_of.items()}
    precise = precise_volts(point, solved.states, guess)
    steered = any(e.number for e in elements(point, solved.states))
    check = _compared if steered else _exactly  # of what is steered the last digits are not sought
    return [
        check(f"{name_of(point)}: volts at {m}", solved.volts[m], precise[label])
        for m, label in point.node_of.items()
    ]


def chatter_checks(path: Path, folder: Path, all_of_them: bool = True) -> list[Check]:
    """For each point said to chatter: how many of its states can rest, which must be none."""
    tried = []
    for point, solved in solved_points(path, all_of_them):
        choices = [point.parts[id].states[:2] for id in solved.chattering]
        tried += [
            (point, {**solved.states, **dict(zip(solved.chattering, chosen, strict=True))})
            for chosen in itertools.product(*choices)
            if solved.chattering
        ]
    answers = run_ngspice([to_spice(point, states) for point, states in tried], folder)
    resting: dict[str, float] = {}
    for (point, states), read in zip(tried, answers, strict=True):
        name = f"{name_of(point)}: states it rests in"
        rests = math.inf  # without an answer nothing is known
        if read is not None:
            there = elements(point, states)
            amps = part_amps(point, there, [branch_amps(e, read) for e in there])
            rests = float(not unrest(point, states, volts_of(point, there, read), amps))
        resting[name] = resting.get(name, 0.0) + rests
    return [Check(name, count, 0.0, 0.0) for name, count in resting.items()]


def _fails(name: str) -> Check:
    return Check(name, math.inf, 0.0, 0.0)


def volts_of(
    point: Circuit, there: list[Element], read: Mapping[str, float]
) -> dict[str, float | None]:
    """Voltage by label as ngspice has it, None where nothing ties a node to DC-."""
    floats = floating_nodes(point, there)
    names = node_names(point)
    return {
        label: None if label in floats else 0.0 if name == GROUND else read[f"v({name})"]
        for label, name in names.items()
    }


def name_of(point: Circuit) -> str:
    return f"{point.file} {dict(point.positions)} {[str(fault) for fault in point.faults]}"


def _cards(netlist: str) -> list[str]:
    """A netlist without its comments, so that alike points are solved once."""
    return [line for line in netlist.splitlines() if not line.startswith("*")]
