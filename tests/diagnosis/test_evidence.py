"""Evidence as it is written, and what is said when it cannot be read."""

from __future__ import annotations

import math

import pytest

from labkit.aboard.bench import Bench
from labkit.diagnosis import Diagnosis, parse_seen
from labkit.diagnosis.evidence import outcomes
from labkit.diagnosis.faults import candidates
from labkit.diagnosis.logbook import evidence_of
from labkit.diagnosis.menu import Menu
from labkit.measuring.meter import FUNCTIONS
from labkit.text.messages import CircuitError
from tests.boats import CIRCUITS, shipped

BOAT = shipped("washdown")


def test_a_reading_is_read_with_its_leads_its_function_and_its_switches():
    seen = parse_seen("X1:1 DC- volts 12.6 V S2=on", BOAT)
    assert (seen.red, seen.black, seen.function) == ("X1:1", "DC-", "volts")
    assert dict(seen.positions) == {"S2": "on"}
    assert seen.value == pytest.approx(12.6)
    assert seen.rounding == pytest.approx(0.05)


def test_black_is_on_the_negative_bus_where_nothing_else_is_said():
    assert parse_seen("X1:1 volts 0.42 V", BOAT).black == "DC-"


@pytest.mark.parametrize(
    ("text", "value", "rounding"),
    [
        ("X1:1 X1:2 volts 5.478 V", 5.478, 0.0005),
        ("X1:1 X1:2 volts -3.2 mV", -3.2e-3, 0.05e-3),
        ("M1:1 M1:2 ohms 0.9 ohm", 0.9, 0.05),
        ("W2:1 clamp 6.93 A", 6.93, 0.005),
        ("M1:1 M1:2 ohms OL", math.inf, 0.0),
    ],
)
def test_a_display_is_a_number_and_half_its_last_digit(text, value, rounding):
    seen = parse_seen(text, BOAT)
    assert seen.value == pytest.approx(value)
    assert seen.rounding == pytest.approx(rounding)


@pytest.mark.parametrize(
    "text",
    [
        "M1 look turns at about half speed",
        "X1 M1 wiggle M1 stutters",
        "X1 M1 wiggle M1 does not change",
        "F2 pull tripped",
        "F1 pull blown",
        "F1 fit holds",
        "X1:2 DC- test lamp is bright S2=on",
        "W2:2 DC- ohms OL S1=off X1:2=parted",
        "M1 look runs as it should jumper=X1:1/X1:2",
    ],
)
def test_what_is_seen_without_a_meter_can_be_written_and_read_back(text):
    seen = parse_seen(text, BOAT)
    assert parse_seen(str(seen), BOAT) == seen


def test_a_terminal_apart_and_a_jumper_are_part_of_the_state():
    seen = parse_seen("W2:2 DC- volts 0 V X1:2=parted jumper=S2:1/S2:2", BOAT)
    assert seen.parted == {"X1:2"}
    assert seen.jumper == ("S2:1", "S2:2")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("X1:1 DC- volt 3 V", "names no function; did you mean 'volts'?"),
        ("X1:1", "cannot be read; write it as"),
        ("X9:1 volts 3 V", "no terminal or node 'X9:1'"),
        ("X1:1 DC- volts high", 'found "high"; write a number with its unit, such as "12.6 V"'),
        ("X1:1 DC- volts 3 A", "unit of another kind of quantity"),
        ("X1:1 DC- volts", "does not say what was seen"),
        ("X1:1 DC- volts 3 V S2=of", "S2: no position 'of'; it has 'on', 'off'"),
        ("X1:1 DC- volts 3 V X1:2=loose", 'a terminal can only be "X1:2=parted"'),
        ("X1:1 DC- W1:1 volts 3 V", "found 3 leads"),
        ("M1 look is dim", "nothing is seen as 'is dim'"),
        ("W1 look is dim", "W1 shows nothing there"),
        ("F2 pull bent", "there are 'set', 'switched off', 'tripped'"),
        ("M1 look races jumper=X1:1", 'write the two points bridged, "jumper=X1:1/X1:2"'),
    ],
)
def test_what_cannot_be_read_is_said_in_one_sentence(text, message):
    with pytest.raises(CircuitError) as caught:
        parse_seen(text, BOAT)
    (problem,) = caught.value.problems
    assert problem.startswith(f'seen "{text}": ')
    assert message in problem
    assert "\n" not in problem


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("4 DC- volts 12.3", "X1:1 DC- volts 12.3 V"),
        ("battery stud X1:1 volts 0,2 V S2=on", "battery stud X1:1 volts 0.2 V S2=on"),
        ("battery stud to panel 12,3 V", "battery stud panel volts 12.3 V"),
        ("Battery Stud volts 12.3V", "battery stud DC- volts 12.3 V"),
        ("X1:1 X1:2 120 mV S2=on", "X1:1 X1:2 volts 120 mV S2=on"),
        ("F1 look blown", "F1 pull blown"),
        ("F2 pull blown", "F2 pull tripped"),
        ("M1 dead", "M1 look stands still"),
        ("M1 look hums", "M1 look hums but stands still"),
        ("M1 look runs with S2 on", "M1 look runs as it should S2=on"),
        ("0.35 A with all off", "G1:+ clamp 0.35 A S1=off S2=off"),
        ("M1:1 M1:2 ohms over range", "M1:1 M1:2 ohms OL"),
    ],
)
def test_what_people_type_is_read_as_they_mean_it(typed, meant):
    seen, right = parse_seen(typed, BOAT), parse_seen(meant, BOAT)
    if "4 DC-" in typed:  # by its number on the drawing
        assert seen.red == BOAT.point("4")
        assert seen.seen == right.seen
    else:
        assert seen == right


@pytest.mark.parametrize("name", [path.stem for path in CIRCUITS])
def test_whatever_is_advised_can_be_typed_back_exactly_as_it_is_printed(name):
    boat = shipped(name)
    menu = Menu(Diagnosis(boat, candidates(boat, only=["open"])))
    places = {(b.function, leads): b.measurement(n) for b in menu.blocks
              for n, leads in enumerate(b.leads)}  # fmt: skip  # rows that a reader compares
    states = {m.state: m for b in menu.blocks for m in [b.measurement(0)]}
    for m in (*places.values(), *states.values()):
        printed = m.saw(f"0.123 {FUNCTIONS[m.function].unit}")
        assert parse_seen(str(printed), boat) == printed
    for m in menu.sights:
        for outcome in outcomes(m, boat):
            assert parse_seen(str(m.saw(outcome)), boat) == m.saw(outcome)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("f1 BLOWN", "F1 pull blown"),
        ("fuse F1 blown", "F1 pull blown"),
        ("12.3 V at X1:1", "X1:1 DC- volts 12.3 V"),
        ("volts X1:1 12,3 S2 on", "X1:1 DC- volts 12.3 V S2=on"),
        ("battery at rest 12.3 V", "G1:+ G1:- volts 12.3 V"),
        ("G1 12,31", "G1:+ G1:- volts 12.31 V"),
        ("the pump is dead", "M1 look stands still"),
        ("look M1 dead s2=on", "M1 look stands still S2=on"),
        ("M1 2.5 ohm", "M1:1 M1:2 ohms 2.5 ohm"),
        ("M1 6.9 A S2=on", "M1:1 clamp 6.9 A S2=on"),
    ],
)
def test_the_order_and_the_spelling_are_the_typists(typed, meant):
    assert parse_seen(typed, BOAT) == parse_seen(meant, BOAT)


def test_a_relay_is_heard():
    boat = shipped("windlass")
    assert parse_seen("K1 clicks", boat) == parse_seen("K1 look is pulled in", boat)
    assert parse_seen("K1 does not click", boat) == parse_seen("K1 look is at rest", boat)


def test_a_number_without_a_unit_is_asked_for_one():
    with pytest.raises(CircuitError, match='gives no unit; write such as "X1:1 DC- 12,3 V"'):
        parse_seen("X1:1 DC- 12,3", BOAT)


def test_a_clamp_round_a_fuse_that_was_pulled_is_evidence_and_shows_nothing():
    bench = Bench(BOAT)
    bench.pull("F2")
    assert bench.read("F2:1", function="clamp").display == "0.00 A"
    (_, seen) = evidence_of(bench.log, BOAT)
    assert (seen.function, seen.red, seen.value) == ("clamp", "F2:1", 0.0)
    known = Diagnosis(BOAT, candidates(BOAT))
    assert known.see(seen).remaining
