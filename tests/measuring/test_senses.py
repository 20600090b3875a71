import pytest

from labkit.measuring.senses import sensed
from labkit.parts import Now
from labkit.solving.solver import solve
from tests.boats import lamp, pump, relay, shipped


def does(boat, id):
    return sensed(boat, solve(boat))[id]


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        (None, "runs as it should"),
        ("X1 open", "stands still"),
        ("M1 seized", "hums but stands still"),
        ("M1 reversed", "runs as it should, backwards"),
        ("X1 resistance 0.5 ohm", "turns noticeably slowly"),
        ("X1 resistance 2 ohm", "turns at about half speed"),
        ("M1 dry", "runs as it should"),  # a fifth faster, which an ear takes for normal
    ],
)
def test_a_pump_is_heard(fault, words):
    boat = pump().with_fault(fault) if fault else pump()
    if fault == "M1 seized":
        boat = boat.with_fault("F1 wrong fuse 60 A")
    assert does(boat, "M1") == words


def test_a_lamp_dims_long_before_its_voltage_is_low():
    # Light goes with V^3.4 (Fink and Beaty, Standard Handbook): 10 % less voltage, 30 % less light.
    boat = lamp().with_fault("X1 resistance 0.7 ohm")
    point = solve(boat)
    volts = point.volt("E1:1", "E1:2")
    _, light = boat.parts["E1"].sign(Now(12.0, point.amps["E1"], volts))
    assert abs(light - (volts / 12.0) ** 3.4) < 1e-9
    assert sensed(boat, point)["E1"] in ("is dim", "is bright")
    assert does(lamp().with_fault("X1 resistance 4 ohm"), "E1") == "is dim"
    assert does(lamp().with_fault("X1 open"), "E1") == "is dark"


def test_a_relay_that_cannot_hold_itself_is_heard_to_chatter():
    boat = relay().with_position(S1="on").with_fault("G1 resistance 30 ohm")
    assert does(boat, "K1") == "chatters"


def test_a_radio_that_cuts_out_is_off():
    radio = shipped("radio")
    assert does(radio.with_position(S1="on"), "A1") == "works"
    assert does(radio.with_position(S1="off"), "A1") == "is off"
