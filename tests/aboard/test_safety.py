"""Each kind of hazard beside its harmless twin: the same act, done safely, says nothing."""

from __future__ import annotations

import pytest

from labkit.aboard.bench import Bench
from labkit.aboard.habits import made_safe
from labkit.aboard.isolating import isolation, still_live
from labkit.aboard.safety.heat import too_hot
from labkit.aboard.safety.kinds import HAZARDS
from labkit.aboard.safety.live import work_on
from labkit.circuits.circuit import build_circuit, run
from labkit.parts import Battery, Connector, Fuse, Lampholder, Switch
from labkit.text.messages import CircuitError
from tests.boats import mend, pump, shipped


def plug():
    """A deck lamp on a plug."""
    return build_circuit(
        "invented deck lamp",
        run("DC-", "stud", Battery("G1", emf="12.6 V", resistance="10 mohm")),
        run(
            "stud", "DC-", Fuse("F1", rating="10 A"), Switch("S1", position="on"),
            Connector("X1"), Lampholder("E1", power="40 W"),
        ),
    )  # fmt: skip  # rows that a reader compares


def mid_charge():
    return shipped("two-batteries").with_position(S2="on")


def cranking():
    return shipped("engine-start").with_position(S3="on")


def hot_joint():
    return pump().with_fault("X1 resistance 1 ohm")


CASES = {
    "live: mend a splice that carries current": (
        pump, ["repair X1"], {"worked live"}, ["switch S1 off", "isolate F1", "repair X1"]),
    "live: mend a splice with volts on it": (
        pump, ["switch S1 off", "repair X1"], {"worked live"}, ["isolate G1", "repair X1"]),
    "live: a spanner on a live lug": (
        pump, ["switch S1 off", "part X1:1"], {"worked live"},
        ["switch S1 off", "isolate F1", "part X1:1"]),
    "live: a new battery with the old one on": (
        pump, ["switch S1 off", "repair G1"], {"worked live"},
        ["switch S1 off", "part G1:-", "repair G1"]),
    "live: an alternator that turns": (
        lambda: shipped("charging").with_position(G3="cruise"), ["pull F1", "repair G3"],
        {"worked live"}, ["isolate G3", "isolate F1", "repair G3"]),
    "live: an alternator that stands, with a battery on its stud": (
        lambda: shipped("charging"), ["repair G3"], {"worked live"}, ["isolate F1", "repair G3"]),
    "load: a lit plug by hand": (
        plug, ["switch X1 parted"], {"parted under load"}, ["switch S1 off", "switch X1 parted"]),
    "load: a lit plug by spanner": (
        plug, ["part X1:1"], {"parted under load", "worked live"},
        ["switch S1 off", "part X1:1"]),
    "load: a fuse pulled under load": (
        pump, ["pull F1"], {"parted under load"}, ["switch S1 off", "pull F1"]),
    "load: the battery switch while cranking": (
        cranking, ["switch S1 off"], {"parted under load"}, ["switch S3 off", "switch S1 off"]),
    "load: the battery switch isolated while cranking": (
        cranking, ["isolate S1"], {"parted under load"}, ["switch S3 off", "isolate S1"]),
    "order: the positive off first": (
        pump, ["switch S1 off", "part G1:+"], {"positive first"},
        ["switch S1 off", "part G1:-", "part G1:+"]),
    "order: the last lug on the positive post": (
        pump, ["switch S1 off", "part F1:1"], {"positive first"},
        ["switch S1 off", "isolate G1", "part F1:1"]),
    "guard: a jumper across the neutral switch": (
        lambda: shipped("engine-start"), ["jumper S4:1 S4:2"], {"interlock bridged"},
        ["jumper W4:1 W4:2"]),
    "guard: a jumper past it, from further off": (
        lambda: shipped("engine-start"), ["jumper X3:2 W6:2"], {"interlock bridged"},
        ["jumper X3:1 X3:2"]),
    "charge: the selector to off": (
        mid_charge, ["switch S1 off"], {"source dropped"}, ["switch S2 off", "switch S1 off"]),
    "charge: the selector past off": (
        mid_charge, ["switch S1 start"], {"source dropped"}, ["switch S2 off", "switch S1 start"]),
    "charge: a battery taken off": (
        mid_charge, ["part G1:-"], {"source dropped", "parted under load", "worked live"},
        ["switch S2 off", "part G1:-"]),
    "charge: a fuse out of the charge lead": (
        lambda: mid_charge().with_fault("F4 blown"), ["pull F3"],
        {"source dropped", "parted under load"}, ["switch S2 off", "pull F3"]),
    "charge: a lamp takes what little charge there is": (
        lambda: mid_charge().with_fault("F3 resistance 2 ohm"), ["part G1:-"],
        {"source dropped"}, ["switch S3 on"]),
    "lamp: on electronics": (
        lambda: shipped("radio"), ["lamp A1:1 A1:2"], {"lamp on electronics"},
        ["lamp F1:1 DC-"]),
    "lamp: one clip on electronics": (
        lambda: shipped("radio"), ["lamp A1:1 DC-"], {"lamp on electronics"},
        ["lamp F1:2 DC-"]),
    "fuse: too big for its own run": (
        lambda: shipped("nav-lights"), ["pull F2", "fit F2 100"], {"fuse too big"},
        ["pull F2", "fit F2"]),
    "fuse: too big for a tail further on": (
        lambda: shipped("cabin-heater"), ["fit F2 80"], {"fuse too big"}, ["fit F2"]),
    "fuse: too big for what is really fitted": (
        lambda: pump().with_fault("W1 too thin 18 AWG"), ["switch S1 off", "fit F1 40"],
        {"fuse too big"}, ["switch S1 off", "fit F1"]),
    "fuse: a new one of the rating drawn, for a wire that was found too thin": (
        lambda: pump().with_fault("W1 too thin 26 AWG", "F1 blown"),
        ["switch S1 off", "pull F1", "fit F1"],
        {"fuse too big"}, ["switch S1 off", "pull F1", "repair W1", "fit F1"]),
    "fuse: the wrong one that stood there": (
        lambda: pump().with_fault("F1 wrong fuse 80 A"), ["pull F1", "fit F1 80"],
        {"fuse too big"}, ["switch S1 off", "pull F1", "fit F1"]),
    "fuse: out and in again, on a wire that is too thin": (
        lambda: pump().with_fault("W1 too thin 26 AWG"), ["switch S1 off", "pull F1", "fit F1 15"],
        {"fuse too big"}, ["switch S1 off", "pull F1", "fit F1"]),
    "fuse: too big for the motor behind it, and not for its wire": (
        lambda: shipped("blower"), ["fit F2 30"], {"fuse too big"}, ["fit F2 10"]),
    "fuse: bridged": (
        pump, ["jumper F1:1 F1:2"], {"fuse bypassed"}, ["jumper X1:1 X1:2"]),
    "jumper: across the load": (
        pump, ["jumper M1:1 M1:2"], {"jumper short"}, ["jumper S1:1 S1:2"]),
    "fuse: opened by a short": (
        lambda: pump().with_fault("M1 short 0.05 ohm", "F1 wrong fuse 5 A"), ["fit F1"],
        {"fuse opened"}, ["isolate G1", "fit F1"]),
    "wire: more than it may carry": (
        lambda: pump().with_fault("F1 wrong fuse 200 A", "M1 short 0.2 ohm"),
        ["switch S1 off", "switch S1 on"], {"hot wire"}, ["switch S1 off"]),
    "heat: touched while it is hot": (
        hot_joint, ["wait 120s", "touch X1"], {"too hot"}, ["switch S1 off", "touch X1"]),
    "meter: ohms on a live circuit": (
        pump, ["read X1:1 DC- ohms"], {"ohms live"}, ["isolate G1", "read X1:1 X1:2 ohms"]),
    "meter: amps across the supply": (
        pump, ["read stud DC- amps"], {"meter short"},
        ["switch S1 off", "read S1:1 S1:2 amps"]),
}  # fmt: skip  # rows that a reader compares
"""A boat, what is done dangerously, the kinds said, and the same done safely."""


def done(boat, acts):
    bench = Bench(boat())
    for act in acts:
        name, *args = act.split()
        if name == "fit" and len(args) == 2:
            args[1] = f"{args[1]} A"
        getattr(bench, {"lamp": "test_lamp"}.get(name, name))(*args)
    return bench


def kinds(bench):
    return {hazard.kind for hazard in bench.log[-1].hazards}


@pytest.mark.parametrize("case", CASES)
def test_a_danger_is_named_for_what_it_is(case):
    boat, acts, said, _ = CASES[case]
    assert kinds(done(boat, acts)) == said


@pytest.mark.parametrize("case", CASES)
def test_the_same_done_safely_says_nothing(case):
    boat, _, _, acts = CASES[case]
    last = done(boat, acts).log[-1]
    assert not last.hazards


def test_every_kind_of_hazard_has_a_case_and_its_harmless_twin():
    assert set().union(*(said for _, _, said, _ in CASES.values())) == set(HAZARDS)


def test_a_wire_that_carries_too_much_is_told_of_once_while_it_does():
    bench = Bench(pump().with_fault("F1 wrong fuse 200 A", "M1 short 0.2 ohm"))
    bench.switch("S1", "off")
    assert "hot wire" in [h.kind for h in bench.switch("S1", "on").hazards]
    assert bench.act("test lamp", first="X1:1", second="DC-").hazards == ()
    bench.switch("S1", "off")
    assert "hot wire" in [h.kind for h in bench.switch("S1", "on").hazards]


def test_leads_in_line_are_not_accused_when_a_fuse_opens():
    bench = Bench(pump().with_fault("M1 short 0.05 ohm", "F1 wrong fuse 5 A"))
    bench.switch("S1", "off")
    bench.fit("F1")
    bench.read("S1:1", "S1:2", "amps")
    (hazard,) = bench.log[-1].hazards
    assert hazard.kind == "fuse opened"
    assert "in line, where it belongs" in hazard.text


def test_what_is_too_hot_is_named_and_what_is_warm_is_not():
    found = too_hot({"X1": 140.0, "X2": 40.0, "X3": 300.0}, {"X1": 105.0, "X2": 105.0})
    assert list(found) == ["X1"]
    assert found["X1"].kind == "too hot"
    assert "140 °C" in found["X1"].text


# -- made safe ---------------------------------------------------------------------------------


def safe(*acts):
    bench = done(pump, acts)
    return made_safe((e.action, e.args, e.shows) for e in bench.log)


def test_made_safe_is_isolated_tagged_and_proved_before_hands_go_in():
    assert safe("look M1").ok is None
    assert safe("repair X1").ok is False
    assert safe("isolate F1", "repair X1").ok is False
    by_hand = ["read G1:+ G1:- volts", "read X1:1 DC- volts", "read G1:+ G1:- volts"]
    assert safe("switch S1 off", "isolate F1", *by_hand, "repair X1").ok is True
    assert safe("switch S1 off", "isolate F1", by_hand[1], "repair X1").ok is False
    assert safe(*by_hand, "isolate F1", "repair X1").ok is False
    assert safe("repair X1", "isolate F1", *by_hand).ok is False


def test_the_negative_taken_off_is_the_way_to_isolate_and_no_hands_in_the_circuit():
    assert safe("switch S1 off", "part G1:-").ok is None


def test_what_is_proved_dead_is_dead_and_the_meter_was_tried_on_something_live():
    bench = done(pump, ["switch S1 off"])
    assert bench.act("prove dead", place="X1:1", source="G1").shows.endswith(": live")
    bench.isolate("F1")
    assert bench.act("prove dead", place="X1:1", source="G1").shows.endswith(": dead")
    flat = Bench(pump().with_fault("G1 open"))
    assert "proves nothing" in flat.act("prove dead", place="X1:1", source="G1").shows


def test_where_nothing_aboard_is_live_the_meter_is_tried_on_a_battery_brought_along():
    assert still_live(pump(), ["F1"]) == "G1"
    assert still_live(pump().with_fault("G1 open"), ["F1"]) == "another"
    bench = Bench(pump().with_fault("G1 open"))
    mend(bench, "G1")
    assert made_safe((e.action, e.args, e.shows) for e in bench.log).ok is True
    assert bench.act("prove dead", place="F1:1", source="another").shows.endswith(": live")
    with pytest.raises(CircuitError, match="F1 is not a source; sources are G1, or 'another'"):
        bench.act("prove dead", place="F1:1", source="F1")


# -- how to make a part dead -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "on"),
    [
        ("washdown", {}), ("washdown", {"S2": "on"}), ("two-batteries", {"S2": "on"}),
        ("engine-start", {}), ("engine-start", {"S3": "on"}),
    ],
)  # fmt: skip  # rows that a reader compares
def test_every_part_can_be_made_dead_without_danger(name, on):
    state = shipped(name).with_position(**on)
    for id in state.parts:
        bench = Bench(state)
        mend(bench, id)
        assert not bench.hazards, (id, bench.log)
        assert bench.circuit.positions == state.positions


def test_a_meter_tried_on_one_battery_of_two_in_series_was_tried_on_something_live():
    bench = Bench(shipped("series-bank"))
    for one in isolation(bench.circuit, "G2"):
        bench.isolate(one)
    assert bench.act("prove dead", place="G2:-", source="G1").shows.endswith(": dead")


@pytest.mark.parametrize("fault", ["W4 open", "W3 open", "X1 open"])
def test_a_broken_part_is_isolated_as_if_it_were_whole(fault):
    boat = shipped("two-chargers").with_position(G3="cruise").with_fault(fault)
    bench, id = Bench(boat), fault.split()[0]
    way = isolation(boat, id)
    assert way
    for one in way:
        bench.isolate(one)
    assert not work_on(bench.circuit.without_faults(id), id)


def test_the_nearest_thing_that_does_it_is_isolated():
    boat = shipped("washdown")
    assert isolation(boat.with_position(S2="on"), "M1") == ("S2",)
    assert isolation(boat, "M1") == ("S2",)
    assert isolation(boat, "G1")[-1] == "G1"
