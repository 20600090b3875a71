"""What holds in any circuit: Kirchhoff, power balance, and what drawing it anew cannot change."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from random import Random
from types import MappingProxyType

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from labkit.circuits.circuit import Circuit
from labkit.circuits.tracing import Pass, Run
from labkit.parts import KINDS, Cable, Joint, Part, Switch
from labkit.parts.laws import Linear
from labkit.solving.netlist import elements
from labkit.solving.network import Network, flatten
from labkit.solving.newton import Solution
from labkit.solving.settling import settle
from labkit.solving.solver import OperatingPoint, solve

from ..generators import circuits, disturb, random_circuit, seeds, sound_circuit
from .oracles import floating_nodes, precise_volts

EPS = 2.0**-52
many = settings(suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
randoms = seeds.map(Random)
STEERED = ("alternator", "converter", "solar controller")
"""What is steered from elsewhere is found to 1e-10 of its range, not to the last digit."""


def leftovers(net: Network, solution: Solution) -> list[tuple[float, float]]:
    """For every node but DC-: the sum of currents out of it, and what rounding may leave.

    A voltage near zero may be the difference of larger ones, so the largest of all sets the scale.
    """
    total, allowed = [0.0] * net.nodes, [0.0] * net.nodes
    largest = max(map(abs, solution.volts))
    for n, wire in enumerate(net.wires):
        i, g = solution.amps[n], solution.slopes[n]
        for node, sign in ((wire.first, 1.0), (wire.second, -1.0)):
            total[node] += sign * i
            allowed[node] += 16 * EPS * (g * largest + abs(i))
            if i == 0.0:  # a current that rounding of its voltages alone could make is called none
                allowed[node] += 1.6e-14 * g * largest
    return list(zip(total, allowed, strict=True))[1:]


@many
@given(circuits())
def test_what_flows_into_a_node_flows_out(circuit: Circuit) -> None:
    net = flatten(circuit)
    solution, _ = settle(net)[-1]
    for left, allowed in leftovers(net, solution):
        assert abs(left) <= allowed + 1e-300


@many
@given(circuits())
def test_the_power_of_all_branches_adds_up_to_nothing(circuit: Circuit) -> None:
    net = flatten(circuit)
    solution, _ = settle(net)[-1]
    v, i = solution.volts, solution.amps
    powers = [(v[w.first] - v[w.second]) * i[n] for n, w in enumerate(net.wires)]
    slack = sum(abs(v[k + 1]) * s for k, (_, s) in enumerate(leftovers(net, solution)))
    assert abs(sum(powers)) <= 1e-11 * sum(map(abs, powers)) + slack


@many
@given(circuits())
def test_no_voltage_lies_outside_what_the_sources_can_make(circuit: Circuit) -> None:
    net = flatten(circuit)
    solution, _ = settle(net)[-1]
    tied = [v for v, h in zip(solution.volts, solution.tied, strict=True) if h]
    assert max(map(abs, tied)) <= net.bound


@many
@given(circuits())
def test_a_node_floats_where_no_branch_ties_it(circuit: Circuit) -> None:
    solved = solve(circuit)
    assume(not solved.chattering)
    expected = floating_nodes(circuit, elements(circuit, solved.states))
    assert set(solved.floating) == {label for label in expected if label in solved.floating} | {
        label for label in expected if any(n == label for n in circuit.node_of.values())
    }


@settings(many, max_examples=15)
@given(circuits(most=20, without=STEERED))
def test_newtons_method_in_many_digits_finds_the_same(circuit: Circuit) -> None:
    solved = solve(circuit)
    assume(not solved.chattering)
    guess = {label: solved.volts[member] for member, label in circuit.node_of.items()}
    right = precise_volts(circuit, solved.states, guess)
    for label, mine in guess.items():
        assert (mine is None) == (right[label] is None)
        assert mine is None or abs(Decimal(mine) - right[label]) <= 1e-12


SERIES = ("cable", "joint", "fuse", "breaker", "switch", "float", "connector", "ammeter", "lamp",
          "heater", "resistor", "motor", "diode", "indicator")  # fmt: skip  # in rows


@many
@given(
    circuits(without=("electronics", "led lamp", *STEERED)),
    randoms,
    st.sampled_from((1e-3, 0.1, 1.0, 50.0, 1e6)),
)
def test_more_series_resistance_never_means_more_current(
    circuit: Circuit, rng: Random, ohms: float
) -> None:
    ids = [id for id, part in circuit.parts.items() if part.kind in SERIES]
    assume(ids)
    id = rng.choice(ids)
    assume(not any(f.part == id and f.mode in ("short", "leak") for f in circuit.faults))
    before = solve(circuit)
    after = solve(circuit.with_fault(f"{id} resistance {ohms!r} ohm"))
    assume(not before.chattering and not after.chattering)
    # A fuse that now holds, or a relay that now drops out, is another circuit.
    settled = [{k: w for k, w in s.states.items() if circuit.parts[k].kind != "supply"}
               for s in (before, after)]  # fmt: skip  # rows that a reader compares
    assume(settled[0] == settled[1])
    # Below a thousandth of its volts a motor without friction goes by a chord of its own.
    spare = 1e-4 if circuit.parts[id].kind == "motor" else 1e-9
    assert abs(after.amps[id] or 0.0) <= abs(before.amps[id] or 0.0) * (1 + 1e-9) + spare


# -- drawn another way, the same circuit --------------------------------------------------------


def agree(one: OperatingPoint, other: OperatingPoint, name: dict[str, str] | None = None) -> None:
    """Compare the terminals that both have; `name` gives the other's id for the one's."""
    name = name or {}
    assert set(one.chattering) == {back(name, id) for id in other.chattering}
    for member, mine in one.volts.items():
        id, _, terminal = member.partition(":")
        theirs = f"{name.get(id, id)}:{terminal}" if terminal else name.get(member, member)
        if theirs not in other.volts:
            continue
        right = other.volts[theirs]
        assert (mine is None) == (right is None), f"{member}: {mine}, {right}"
        assert mine is None or right is None or abs(mine - right) <= 1e-12 * max(1, abs(mine)), (
            f"{member}: {mine}, {right}"
        )


def back(name: dict[str, str], id: str) -> str:
    return next((mine for mine, theirs in name.items() if theirs == id), id)


def with_runs(circuit: Circuit, runs: tuple[Run, ...], *new: Part) -> Circuit:
    parts = {**circuit.parts, **{part.id: part for part in new}}
    positions = {
        **circuit.positions,
        **{p.id: p.start_position() for p in new if p.start_position()},
    }
    return replace(
        circuit, runs=runs, parts=MappingProxyType(parts), positions=MappingProxyType(positions)
    )


@many
@given(circuits(without=STEERED), randoms)
def test_names_and_order_of_runs_change_nothing(circuit: Circuit, rng: Random) -> None:
    name = {id: f"{id[0]}{900 + n}" for n, id in enumerate(circuit.parts)}
    runs = [replace(r, passes=tuple(Pass(name[p.part], p.enter, p.leave) for p in r.passes))
            for r in circuit.runs]  # fmt: skip  # rows that a reader compares
    rng.shuffle(runs)
    renamed = replace(
        circuit,
        runs=tuple(runs),
        parts=MappingProxyType(
            {
                name[id]: part.model_copy(update={"id": name[id]})
                for id, part in circuit.parts.items()
            }
        ),
        positions=MappingProxyType({name[id]: word for id, word in circuit.positions.items()}),
        faults=tuple(replace(fault, part=name[fault.part]) for fault in circuit.faults),
        parted=frozenset(_renamed(t, name) for t in circuit.parted),
        bridges=tuple(
            replace(b, first=_renamed(b.first, name), second=_renamed(b.second, name))
            for b in circuit.bridges
        ),
        disturbed=frozenset(name[id] for id in circuit.disturbed),
    )
    agree(solve(circuit), solve(renamed), name)


def _renamed(member: str, name: dict[str, str]) -> str:
    id, _, terminal = member.partition(":")
    return f"{name[id]}:{terminal}" if terminal else member


@many
@given(circuits(without=STEERED), randoms, st.floats(0.05, 0.95))
def test_a_wire_drawn_as_two_pieces_changes_nothing(
    circuit: Circuit, rng: Random, share: float
) -> None:
    touched = {f.part for f in circuit.faults} | {t.split(":")[0] for t in circuit.parted}
    cables = [p for p in circuit.parts.values() if p.kind == "cable" and p.id not in touched]
    assume(cables)
    whole = rng.choice(cables)
    ohms = whole.own_resistance
    pieces = [Cable("W901", resistance=f"{ohms * share!r} ohm"),
              Cable("W902", resistance=f"{ohms * (1 - share)!r} ohm")]  # fmt: skip  # in rows
    assume(all(piece.own_resistance > 1e-6 for piece in pieces))

    def split(run: Run) -> Run:
        passes: list[Pass] = []
        for step in run.passes:
            ends = [Pass("W901", "1", "2"), Pass("W902", "1", "2")]
            passes += ends if step.part == whole.id else [step]
        return replace(run, passes=tuple(passes))

    bridges = tuple(
        replace(b, first=_moved(b.first, whole.id), second=_moved(b.second, whole.id))
        for b in circuit.bridges
    )
    drawn = with_runs(circuit, tuple(map(split, circuit.runs)), *pieces)
    parts = {id: part for id, part in drawn.parts.items() if id != whole.id}
    agree(solve(circuit), solve(replace(drawn, parts=MappingProxyType(parts), bridges=bridges)))


def _moved(member: str, id: str) -> str:
    return {f"{id}:1": "W901:1", f"{id}:2": "W902:2"}.get(member, member)


@many
@given(circuits(without=STEERED), randoms)
def test_a_branch_that_leads_nowhere_changes_nothing(circuit: Circuit, rng: Random) -> None:
    named = sorted({run.start for run in circuit.runs} - {"DC-"}) or ["DC-"]
    stub = Run("stub", rng.choice(named), "DC-", (Pass("X901", "1", "2"), Pass("S901", "1", "2")))
    drawn = with_runs(circuit, (*circuit.runs, stub), Joint("X901"), Switch("S901"))
    agree(solve(circuit), solve(drawn))


@many
@given(circuits(without=STEERED), randoms)
def test_taking_a_connection_apart_is_as_an_open_part_for_the_rest(
    circuit: Circuit, rng: Random
) -> None:
    spared = {f.part for f in circuit.faults} | {t.split(":")[0] for t in circuit.parted}
    ends = {b for bridge in circuit.bridges for b in (bridge.first, bridge.second)}
    ids = [
        id for id, p in circuit.parts.items()
        if p.kind in ("cable", "joint", "lamp", "resistor") and id not in spared
        and not ends & {f"{id}:1", f"{id}:2"}
    ]  # fmt: skip  # rows that a reader compares
    assume(ids)
    id = rng.choice(ids)
    assume(circuit.node_of[f"{id}:2"] != f"{id}:2")  # else the node is named after what is parted
    parted, opened = solve(circuit.with_parted(f"{id}:2")), solve(circuit.with_fault(f"{id} open"))
    assume(not parted.chattering and not opened.chattering)
    for member, mine in opened.volts.items():
        if not member.startswith(f"{id}:"):
            right = parted.volts[member]
            assert (mine is None) == (right is None)
            assert mine is None or right is None or abs(mine - right) <= 1e-12 * max(1, abs(mine))


@many
@given(circuits(without=STEERED), randoms)
def test_turning_the_meter_leads_round_turns_the_sign(circuit: Circuit, rng: Random) -> None:
    places = list(circuit.node_of)
    red, black = rng.choice(places), rng.choice(places)
    meter = Linear.resistor(10e6)
    one = solve(circuit.with_bridge("P999", "voltmeter", red, black, meter))
    other = solve(circuit.with_bridge("P999", "voltmeter", black, red, meter))
    agree(one, other)
    a, b = one.volt(red, black), other.volt(black, red)
    assert (a is None) == (b is None)
    assert a is None or b is None or a == pytest.approx(-b, abs=1e-11)


def test_seeded_random_circuits_of_all_kinds_have_an_operating_point_each() -> None:
    kinds: set[str] = set()
    for seed in range(300):  # `python -m tests.solving.charging` and `frictionless` try thousands
        circuit = random_circuit(Random(seed))
        assert 2 <= len(circuit.parts) <= 40
        kinds |= {part.kind for part in circuit.parts.values()}
        solve(circuit)
    assert kinds == set(KINDS)


def test_a_seed_makes_the_same_circuit_again() -> None:
    assert solve(random_circuit(Random(5))).volts == solve(random_circuit(Random(5))).volts
    sound = sound_circuit(Random(6))
    assert not sound.faults
    assert disturb(Random(7), sound).parts == sound.parts
