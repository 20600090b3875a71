"""Circuit files that leave open what nobody knows."""

import json

import pytest
from typer.testing import CliRunner

from labkit.circuits.circuit_file import circuit_from
from labkit.circuits.in_doubt import in_doubt
from labkit.cli.main import app
from labkit.drawing import draw
from labkit.solving.solver import solve
from labkit.text.messages import CircuitError

FEED = {"from": "DC-", "to": "stud", "parts": [{"id": "G1", "is": "battery", "emf": "12.7 V"}]}


def circuit(*parts, system="12 V", feed=FEED):
    run = {"from": "stud", "to": "DC-", "parts": list(parts)}
    return circuit_from({"title": "A boat half known", "system": system, "run": [feed, run]})


def cable(**keys):
    return {"id": "W1", "is": "cable", "size": "2 mm2", "length": "6 m", **keys}


PUMP = {"id": "M1", "is": "motor", "current": "5 A"}


@pytest.mark.parametrize(
    ("doubt", "exact"),
    [
        ({"length": "6 m +- 20 %"}, {"length": "6 m"}),
        ({"length": "about 6 m"}, {"length": "6 m"}),
        ({"length": "5..7 m"}, {"length": "6 m"}),
        ({"size": "1.5..2.5 mm2"}, {"size": "2 mm2"}),
        ({"size": "14..10 AWG"}, {"size": "12 AWG"}),
        ({"joints": "0..2"}, {"joints": "1"}),
    ],
)
def test_what_is_in_doubt_solves_as_its_middle(doubt, exact):
    half_known = solve(circuit(cable(**doubt), PUMP))
    known = solve(circuit(cable(**exact), PUMP))
    assert half_known.volts["M1:1"] == pytest.approx(known.volts["M1:1"], abs=1e-12)


def test_a_joint_nobody_has_seen_adds_its_resistance():
    bare, joined = circuit(cable(), PUMP), circuit(cable(joints="2"), PUMP)
    more = joined.parts["W1"].own_resistance - bare.parts["W1"].own_resistance
    assert more == pytest.approx(2 * 0.5e-3)  # the default of a joint


def test_a_question_mark_takes_what_the_trade_uses():
    found = circuit({"id": "F1", "is": "fuse", "rating": "?"}, {**PUMP, "current": "?"})
    doubt = found.parts["F1"].doubts["rating"]
    assert doubt.low < doubt.middle < doubt.high
    assert found.parts["F1"].rated == doubt.middle


def test_an_unknown_battery_is_one_of_the_boats_voltage():
    feed = {"from": "DC-", "to": "stud", "parts": [{"id": "G1", "is": "battery", "emf": "?"}]}
    assert circuit(PUMP, feed=feed, system="24 V").parts["G1"].emf == pytest.approx(25.0)


def test_doubts_outlive_a_fault_and_a_switch_moved():
    boat = circuit(cable(length="about 6 m"), PUMP).with_fault("W1 open")
    assert in_doubt(boat) == ['W1 length "about 6 m" as 6 m']


def test_the_drawing_says_about():
    assert "about 2 mm² 6 m" in draw(circuit(cable(size="1.5..2.5 mm2"), PUMP)).svg


def test_a_bad_doubt_is_refused_with_its_key():
    with pytest.raises(CircuitError, match=r"part W1, length: found .*less than 100 %"):
        circuit(cable(length="6 m +- 200 %"), PUMP)


def test_solve_and_check_say_what_is_in_doubt(tmp_path):
    file = tmp_path / "mine.toml"
    file.write_text(
        'title = "Mine"\n[[run]]\nfrom = "DC-"\nto = "stud"\n'
        'parts = [{ id = "G1", is = "battery", emf = "12.7 V" }]\n[[run]]\nfrom = "stud"\n'
        'to = "DC-"\nparts = [{ id = "W1", is = "cable", size = "?", length = "4..6 m" },\n'
        '{ id = "E1", is = "lamp", power = "10 W" }]\n'
    )
    run = CliRunner().invoke
    assert 'W1 length "4..6 m" as 5 m' in run(app, ["solve", str(file)]).output
    data = json.loads(run(app, ["solve", str(file), "--json"]).output)
    assert data["doubts"]["W1"]["size"] == {"written": "?", "taken": "2.5 mm2"}
    assert "2 figures in doubt" in run(app, ["check", str(file)]).output
