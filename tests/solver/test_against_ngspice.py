"""Every shipped circuit, in all switch positions, sound and with each single fault.

Two references. ngspice solves every point except those that it cannot represent: where a node is
tied to DC- by nothing but diodes. A diode that is off passes 1e-12 A or less, below what its
matrix resolves (ngspice lays a gmin of the same size across every junction for that reason). The
rule looks at the circuit alone, not at any answer: see `oracles.hang_by_junctions`. Those points
are solved by Newton's method in 80 digits instead.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest

from labkit.circuit import Circuit
from labkit.circuit_file import load_circuit
from labkit.parts import CurrentLimit, CutOut, Pull, Trip
from labkit.solver import OperatingPoint, solve
from labkit.spice import GROUND, Element, elements, node_names, to_spice

from .engine import run_ngspice
from .oracles import floating_nodes, hang_by_junctions, precise_volts

CIRCUITS = sorted((Path(__file__).parents[2] / "exercises" / "circuits").glob("*.toml"))
MOST_POSITIONS = 64
"""Positions of one circuit's switches that are tried; no shipped circuit has more."""


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


def points(circuit: Circuit) -> Iterator[Circuit]:
    shaken = circuit.with_disturbed(*circuit.parts)  # so that what is intermittent shows
    for at in positions(circuit):
        here = shaken.with_position(**at)
        yield here
        for fault in single_faults(circuit):
            yield here.with_fault(fault)


def close(found: float, right: float) -> bool:
    return abs(found - right) <= max(1e-6, 1e-6 * abs(right))


def branch_amps(element: Element, read: Mapping[str, float]) -> float:
    """Current ngspice has in a branch, from its first node to its second."""
    for name in ("i(@i{}[current])", "i(@b{}[i])", "i(@d{}[id])", "i(@r{}[i])"):
        if (key := name.format(element.name)) in read:
            return read[key]
    return -read[f"i(v{element.name})"]


def part_amps(there: list[Element], amps: list[float]) -> dict[str, float]:
    """Current of every part and way, as an operating point names them."""
    found: dict[str, float] = {}
    for e, i in zip(there, amps, strict=True):
        if e.role in ("main", "short", "reversed"):
            way = " 30-87" if e.owner.startswith("K") else ""
            found[e.owner + way] = found.get(e.owner + way, 0.0) + (
                -i if e.role == "reversed" else i
            )
        elif not e.role.startswith("leak") and e.role != "bridge":
            way = {"coil": "86-85", "make": "30-87", "rest": "30-87a"}.get(e.role, e.role)
            found[f"{e.owner} {way}"] = found.get(f"{e.owner} {way}", 0.0) + i
    return found


def unrest(point: Circuit, states: Mapping[str, str], volts: Mapping[str, float | None],
           amps: Mapping[str, float]) -> list[str]:  # fmt: skip
    """Devices whose state does not go with these voltages and currents."""
    found = []

    def across(id: str, first: str, second: str) -> float:
        a, b = (volts.get(point.node_of.get(f"{id}:{t}", "")) for t in (first, second))
        return 0.0 if a is None or b is None else a - b

    for id, part in point.parts.items():
        model = part.model(point.state_of(id))
        device, state = model.device, states.get(id, "")
        if isinstance(device, Trip) and state == "intact":
            rests = abs(amps.get(id, 0.0)) <= device.amps * (1 + 1e-6)
        elif isinstance(device, Pull):
            coil = any(branch.role == device.coil for branch in model.branches)
            v = abs(across(id, "86", "85")) if coil else 0.0
            rests = (
                v > device.drop_out - 1e-6 if state == "pulled in" else v < device.pull_in + 1e-6
            )
        elif isinstance(device, CutOut):
            v = across(id, "1", "2") * (-1 if device.role == "reversed" else 1)
            rests = v > device.cut_out - 1e-6 if state == "on" else v < device.restart + 1e-6
        elif isinstance(device, CurrentLimit):
            i, v = amps[id], across(id, "+", "-")
            rests = i <= device.amps + 1e-6 and v < device.emf + 1e-6
        else:
            rests = True
        if not rests:
            found.append(f"{id} {state}")
    return found


def differences(point: Circuit, solved: OperatingPoint, volts: Mapping[str, float | None],
                amps: Mapping[str, float]) -> list[str]:  # fmt: skip
    """What of a solved point is not as the reference has it."""
    found = []
    for member, label in point.node_of.items():
        mine, right = solved.volts[member], volts[label]
        if (mine is None) != (right is None) or not (
            mine is None or right is None or close(mine, right)
        ):
            found.append(f"{member}: {mine} V, reference {right} V")
    for id, mine in solved.amps.items():
        known = id in amps or not any(key.startswith(f"{id} ") for key in amps)
        right = amps.get(id, 0.0)
        if not known:  # the sum of its ways, or a relay's coil
            ways = [i for key, i in amps.items() if key.startswith(f"{id} ")]
            right = amps.get(f"{id} 86-85", 0.0) if id.startswith("K") else sum(ways)
        if mine is None or not close(mine, right):
            found.append(f"{id}: {mine} A, reference {right} A")
    return found


@pytest.mark.parametrize("path", CIRCUITS, ids=lambda path: path.stem)
def test_every_voltage_and_current_agrees_with_the_reference(path: Path, tmp_path: Path) -> None:
    circuit = load_circuit(path)
    tried = list(points(circuit))
    solved = [solve(point) for point in tried]
    settled = [n for n, s in enumerate(solved) if not s.chattering]
    there = {n: elements(tried[n], solved[n].states) for n in settled}
    hang = [n for n in settled if hang_by_junctions(there[n])]
    plain = [n for n in settled if not hang_by_junctions(there[n])]
    netlists = {n: "\n".join(_cards(to_spice(tried[n], solved[n].states))) for n in plain}
    unique = list(dict.fromkeys(netlists.values()))
    answers = dict(zip(unique, run_ngspice(unique, tmp_path), strict=True))
    wrong = []
    for n in plain:
        read = answers[netlists[n]]
        if read is None:
            wrong.append(f"{_name(tried[n])}: ngspice found no operating point")
            continue
        volts = _volts(tried[n], there[n], read)
        amps = part_amps(there[n], [branch_amps(e, read) for e in there[n]])
        wrong += _wrong(tried[n], solved[n], volts, amps)
    for n in hang:
        point = tried[n]
        guess = {label: solved[n].volts[m] for m, label in point.node_of.items()}
        precise = precise_volts(point, solved[n].states, guess)
        wrong += [
            f"{_name(point)}: {m}: {solved[n].volts[m]} V, exactly {precise[label]} V"
            for m, label in point.node_of.items()
            if (solved[n].volts[m] is None) != (precise[label] is None)
            or abs((solved[n].volts[m] or 0.0) - (precise[label] or 0)) > 1e-12
        ]
    assert not wrong, f"{len(wrong)} differences:\n" + "\n".join(wrong[:20])
    assert len(plain) + len(hang) + sum(bool(s.chattering) for s in solved) == len(tried)


@pytest.mark.parametrize("path", CIRCUITS, ids=lambda path: path.stem)
def test_what_is_said_to_chatter_has_no_state_to_rest_in(path: Path, tmp_path: Path) -> None:
    circuit = load_circuit(path)
    words = {"relay": ("at rest", "pulled in"), "electronics": ("on", "off"),
             "supply": ("constant voltage", "limiting")}  # fmt: skip
    tried = []
    for point in points(circuit):
        solved = solve(point)
        choices = [words[circuit.parts[id].kind] for id in solved.chattering]
        tried += [
            (point, {**solved.states, **dict(zip(solved.chattering, chosen, strict=True))})
            for chosen in itertools.product(*choices)
            if solved.chattering
        ]
    answers = run_ngspice([to_spice(point, states) for point, states in tried], tmp_path)
    resting = []
    for (point, states), read in zip(tried, answers, strict=True):
        assert read is not None, f"{_name(point)}: ngspice found no operating point"
        there = elements(point, states)
        volts = _volts(point, there, read)
        amps = part_amps(there, [branch_amps(e, read) for e in there])
        if not unrest(point, states, volts, amps):
            resting.append(f"{_name(point)} rests with {states}")
    assert not resting, "\n".join(resting[:10])


def test_no_circuit_has_more_switch_positions_than_are_tried() -> None:
    assert CIRCUITS
    assert max(len(positions(load_circuit(path))) for path in CIRCUITS) <= MOST_POSITIONS


def _volts(
    point: Circuit, there: list[Element], read: Mapping[str, float]
) -> dict[str, float | None]:
    """Voltage by label as ngspice has it, None where nothing ties a node to DC-."""
    floats = floating_nodes(point, there)
    names = node_names(point)
    return {
        label: None if label in floats else 0.0 if name == GROUND else read[f"v({name})"]
        for label, name in names.items()
    }


def _wrong(point: Circuit, solved: OperatingPoint, volts: Mapping[str, float | None],
           amps: Mapping[str, float]) -> list[str]:  # fmt: skip
    found = differences(point, solved, volts, amps)
    found += [f"{text} does not rest" for text in unrest(point, solved.states, volts, amps)]
    return [f"{_name(point)}: {text}" for text in found]


def _name(point: Circuit) -> str:
    return f"{point.file} {dict(point.positions)} {[str(fault) for fault in point.faults]}"


def _cards(netlist: str) -> list[str]:
    """A netlist without its comments, so that alike points are solved once."""
    return [line for line in netlist.splitlines() if not line.startswith("*")]
