"""A circuit is a value: what is done to it makes a new one, and what cannot be done is refused."""

from __future__ import annotations

from dataclasses import replace

import pytest

from labkit.circuits.circuit import Circuit, Via, build_circuit, run
from labkit.parts import Battery, Changeover, Connector, Fault, Joint, Relay, Resistor, Switch
from labkit.parts.laws import Linear
from labkit.solving.solver import solve
from labkit.text.messages import CircuitError
from tests.boats import shipped


def lamp() -> Circuit:
    return build_circuit(
        "one load",
        run("DC-", "stud", Battery("G1", emf="12 V", resistance="10 mohm")),
        run("stud", "DC-", Switch("S1"), Joint("X1"), Connector("X2"),
            Resistor("R1", resistance="6 ohm"), name="load"),
        file="boat.toml",
    )  # fmt: skip  # rows that a reader compares


def refused(*args: object) -> str:
    """The sentence a method refuses with: its name, then its arguments."""
    method, *rest = args
    keys = rest.pop() if rest and isinstance(rest[-1], dict) else {}
    with pytest.raises(CircuitError) as error:
        getattr(lamp(), str(method))(*rest, **keys)
    (sentence,) = error.value.problems
    return sentence


# -- nodes and terminals ------------------------------------------------------------------------


def test_neighbours_in_a_run_share_a_node() -> None:
    node_of = lamp().node_of
    assert node_of["S1:2"] == node_of["X1:1"]
    assert node_of["S1:1"] == node_of["G1:+"] == "stud"
    assert node_of["G1:-"] == node_of["R1:2"] == "DC-"
    assert node_of["X1:1"] != node_of["X1:2"]


def test_test_points_are_numbered_as_a_technician_traces() -> None:
    points = lamp().test_points
    assert [p.number for p in points] == list(range(1, len(points) + 1))
    assert [p.node for p in points][:2] == ["DC-", "stud"]
    assert {t for p in points for t in p.terminals} == {m for m in lamp().node_of if ":" in m}
    assert lamp().point("2") == "G1:+"


def test_a_terminal_taken_apart_has_a_node_of_its_own() -> None:
    circuit = lamp().with_parted("X1:2")
    assert circuit.node_of["X1:2"] == "X1:2"
    assert circuit.node_of["X2:1"] != "X1:2"
    assert circuit.with_joined("X1:2").node_of == lamp().node_of
    assert circuit.with_joined().parted == frozenset()
    assert circuit.test_points == lamp().test_points


def test_three_wires_on_a_node_part_one_at_a_time() -> None:
    circuit = build_circuit(
        "node",
        run("DC-", "stud", Battery("G1", emf="12 V")),
        run("stud", "DC-", Resistor("R1", resistance="6 ohm")),
        run("stud", "DC-", Resistor("R2", resistance="3 ohm")),
    )
    one, two = circuit.with_parted("R1:1"), circuit.with_parted("R1:1", "R2:1")
    assert solve(one).amps["R1"] == 0.0
    assert solve(one).amps["R2"] == pytest.approx(4, rel=0.01)
    assert solve(two).amps["G1"] == 0.0


def test_a_named_node_stays_where_all_its_terminals_are_taken_away() -> None:
    circuit = lamp().with_parted("G1:+", "S1:1")
    assert circuit.node_of["stud"] == "stud"
    assert solve(circuit).volts["stud"] is None
    assert solve(circuit).volts["G1:+"] == pytest.approx(12.0)


# -- a value ------------------------------------------------------------------------------------


def test_what_is_done_to_a_circuit_makes_a_new_one() -> None:
    circuit = lamp()
    made = (
        circuit.with_position(S1="on")
        .with_fault("X1 resistance 0.8 ohm", "R1 open")
        .with_parted("X2:1")
        .with_bridge("J1", "jumper", "X1:1", "X1:2", Linear.resistor(0.02))
        .with_disturbed("X1")
    )
    assert circuit == lamp()
    assert (circuit.positions["S1"], made.positions["S1"]) == ("off", "on")
    assert [str(fault) for fault in made.faults] == ["X1 resistance 0.8 ohm", "R1 open"]
    assert made.parted == {"X2:1"}
    assert [bridge.id for bridge in made.bridges] == ["J1"]
    assert made.disturbed == {"X1"}
    back = made.without_faults().with_joined().without_bridge("J1").with_disturbed()
    assert back == lamp().with_position(S1="on")


def test_faults_are_mended_part_by_part() -> None:
    circuit = lamp().with_fault("X1 open", "X2 open", "X1 resistance 1 ohm")
    assert [str(f) for f in circuit.without_faults("X1").faults] == ["X2 open"]
    assert circuit.without_faults().faults == ()


def test_a_circuit_cannot_be_written_to() -> None:
    circuit = lamp()
    with pytest.raises(AttributeError):
        circuit.title = "another"  # type: ignore[misc]
    with pytest.raises(TypeError):
        circuit.positions["S1"] = "on"  # type: ignore[index]
    with pytest.raises(TypeError):
        circuit.parts["X9"] = Joint("X9")  # type: ignore[index]


def test_a_jumper_bridges_what_it_is_put_across() -> None:
    circuit = lamp().with_position(S1="on").with_fault("X1 open")
    jumped = circuit.with_bridge("J1", "jumper", "X1:1", "X1:2", Linear.resistor(0.02))
    assert solve(circuit).amps["R1"] == 0.0
    assert solve(jumped).amps["R1"] == pytest.approx(2.0, rel=0.01)


# -- what cannot be done ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("args", "sentence"),
    [
        (("point", "X1:3"), "boat.toml: no terminal or node 'X1:3'; "
         "did you mean 'X1:2' or 'X1:1'?"),
        (("part", "X9"), "boat.toml: no part 'X9'; there are 'X1', 'X2', 'G1', 'S1', 'R1'"),
        (("with_position", {"S1": "up"}), "boat.toml: S1: no position 'up'; it has 'on', 'off'"),
        (("with_position", {"R1": "on"}),
         "boat.toml: R1: no position 'on'; a resistor is not operated"),
        (("with_parted", "stud"),
         "boat.toml: 'stud' is a node; part a terminal, such as 'X1:2'"),
        (("with_fault", "X1 burnt"), None),
        (("with_fault", "X9 open"), None),
        (("with_fault", "nonsense"), None),
        (("with_fault", "X1 resistance 3 V"), None),
        (("with_fault", "X1 open 3 ohm"), None),
        (("with_fault", "X1:7 leak 3 ohm"), None),
        (("with_fault", "X1:1 open"), None),
        (("with_disturbed", "Q1"), None),
    ],
)  # fmt: skip  # rows that a reader compares
def test_what_cannot_be_done_is_refused_in_a_sentence(
    args: tuple[object, ...], sentence: str | None
) -> None:
    found = refused(*args)
    assert found.startswith("boat.toml: ")
    assert "; " in found or "takes no amount" in found
    assert sentence is None or found == sentence


@pytest.mark.parametrize(
    ("text", "mode", "terminal", "value"),
    [
        ("X1 resistance 0.8 ohm", "resistance", "", 0.8),
        ("X1 resistance", "resistance", "", 0.8),
        ("x1 open".replace("x", "X"), "open", "", None),
        ("R1:2 leak 30 ohm", "leak", "2", 30.0),
        ("R1 short 50 mohm", "short", "", 0.05),
        ("G1 low 20 %", "low", "", 0.2),
        ("G1 dead cell", "dead cell", "", None),
        ("G1:- leak 1 kohm", "leak", "-", 1000.0),
    ],
)
def test_a_fault_is_read_as_it_is_written(
    text: str, mode: str, terminal: str, value: float | None
) -> None:
    (fault,) = lamp().with_fault(text).faults
    assert (fault.mode, fault.terminal) == (mode, terminal)
    assert fault.value == (pytest.approx(value) if value is not None else None)
    assert lamp().with_fault(str(fault)).faults == (fault,)


# -- building -----------------------------------------------------------------------------------


def test_parts_of_several_ways_are_met_again() -> None:
    circuit = build_circuit(
        "relay",
        run("DC-", "plus", Battery("G1", emf="12 V")),
        run("plus", "DC-", Via(Relay("K1"), "86-85")),
        run("plus", "DC-", Via("K1", "30-87"), Resistor("R1", resistance="6 ohm")),
    )
    assert list(circuit.parts) == ["G1", "K1", "R1"]
    assert circuit.node_of["K1:30"] == circuit.node_of["K1:86"] == "plus"


@pytest.mark.parametrize(
    ("parts", "problem"),
    [
        ((Joint("X1"), Joint("X1")), "is already met"),
        ((Via("K1", "30-87"),), "is met before it is described"),
        ((Relay("K1"),), "via is missing"),
        ((Via(Changeover("S1"), "2-3"),), 'found via = "2-3"'),
        ((Resistor("R1", resistance="0 ohm"),), "leave the part out"),
        ((Resistor("R1"),), "is missing"),
    ],
)
def test_what_does_not_fit_together_is_refused(parts: tuple[object, ...], problem: str) -> None:
    with pytest.raises(CircuitError) as error:
        build_circuit(
            "wrong",
            run("DC-", "plus", Battery("G1", emf="12 V")),
            run("plus", "DC-", *parts),  # type: ignore[arg-type]
        )
    assert any(problem in text for text in error.value.problems)


def test_what_is_kept_of_a_circuit_is_what_would_be_worked_out_anew() -> None:
    boat = shipped("washdown")
    for warm in (False, True):
        if warm:
            assert boat.node_of
            assert boat.test_points
        for made in (
            boat.with_fault("X1 resistance 2 ohm"), boat.with_position(S2="on"),
            boat.with_parted("X1:2"), boat.with_parted("X1:2").with_joined(),
            boat.with_bridge("jumper", "jumper", "X1:1", "X1:2", Linear()),
            boat.with_disturbed("X1"),
            boat.but(runs=boat.runs[:2]), boat.but(parts={**boat.parts}),
        ):  # fmt: skip  # rows that a reader compares
            anew = replace(made)
            assert made == anew
            assert made.node_of == anew.node_of
            assert made.junctions == anew.junctions
            assert made.test_points == anew.test_points


@pytest.mark.parametrize(
    ("fault", "said"),
    [
        (Fault("X1", "resistance", amount="-1 ohm", value=-1.0), "at least 0"),
        (Fault("X9", "resistance", amount="1 ohm", value=1.0), "no part 'X9'"),
        (Fault("X1", "blown"), "cannot be 'blown'"),
        (Fault("X1", "open", amount="1 ohm", value=1.0), "takes no amount"),
    ],
)
def test_a_fault_given_as_a_value_is_refused_as_its_text_is(fault: Fault, said: str) -> None:
    with pytest.raises(CircuitError, match=said):
        shipped("washdown").with_fault(fault)


def test_a_fault_given_as_a_value_is_the_one_its_text_reads_as() -> None:
    circuit = shipped("washdown")
    for text in ("X1 resistance 1.6 ohm", "X1 open", "W2 leak 30 ohm", "M1 dragging 60 %"):
        (read,) = circuit.with_fault(text).faults
        assert circuit.with_fault(read).faults == (read,)
