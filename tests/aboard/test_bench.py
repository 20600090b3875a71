import pytest

from labkit.aboard.acts import ACTS
from labkit.aboard.bench import Bench
from labkit.circuits.circuit import Via, build_circuit, run
from labkit.parts import Battery, Relay, Resistor
from labkit.text.messages import CircuitError
from tests.boats import lamp, played_again, pump, shipped


def kinds(bench):
    return [hazard.kind for hazard in bench.hazards]


def test_a_hunt_from_complaint_to_proof():
    bench = Bench(pump().with_fault("X1 resistance 2 ohm"))
    assert "slow" in bench.look("M1").shows or "half" in bench.look("M1").shows
    assert bench.read("X1:1", "X1:2").value > 3.0
    bench.switch("S1", "off")
    assert bench.read("X1:1", "X1:2").value < 1e-3
    bench.isolate("F1")
    assert bench.act("prove dead", place="X1:1", source="G1").shows.endswith("dead")
    bench.repair("X1")
    bench.fit("F1")
    bench.switch("S1", "on")
    assert bench.look("M1").shows == "runs as it should"
    assert bench.read("X1:1", "X1:2").value < 0.01
    assert not bench.hazards


def test_a_place_is_reached_once_and_costs_its_floorboard_once():
    bench = Bench(pump())
    first = bench.act("read", red="X1:1", black="DC-", function="volts")
    second = bench.act("read", red="X1:1", black="DC-", function="volts")
    assert first.minutes > second.minutes == ACTS["read"].minutes


def test_parting_a_connection_under_load_draws_an_arc():
    bench = Bench(pump())
    bench.part("X1:1")
    assert kinds(bench) == ["worked live", "parted under load"]
    assert bench.look("M1").shows == "stands still"
    bench.join("X1:1")
    bench.switch("S1", "off")
    bench.isolate("F1")
    bench.part("X1:1")
    assert kinds(bench) == ["worked live", "parted under load"]


def test_a_jumper_across_a_load_blows_its_own_fuse_only():
    bench = Bench(pump())
    assert bench.jumper("M1:1", "M1:2").shows == "its fuse blew"
    assert kinds(bench) == ["jumper short"]
    assert bench.point.states["F1"] == "intact"
    assert not bench.circuit.bridges


def test_a_jumper_over_an_open_joint_makes_the_pump_run():
    bench = Bench(pump().with_fault("X1 open"))
    assert bench.look("M1").shows == "stands still"
    bench.jumper("X1:1", "X1:2")
    assert bench.look("M1").shows == "runs as it should"
    bench.lift("jumper")
    assert bench.look("M1").shows == "stands still"


def test_a_jumper_over_a_fuse_is_a_hazard():
    bench = Bench(pump())
    bench.jumper("F1:1", "F1:2")
    assert kinds(bench) == ["fuse bypassed"]


def test_a_test_lamp_is_a_load_and_tells_a_bad_joint_from_a_good_one():
    good, bad = Bench(pump()), Bench(pump().with_fault("X1 resistance 30 ohm"))
    for bench in (good, bad):
        bench.switch("S1", "off")
    assert good.test_lamp("X1:2", "DC-").shows == "is bright"
    assert bad.test_lamp("X1:2", "DC-").shows in ("is dark", "glows")
    assert bad.read("X1:1", "DC-").value > 12.5


def test_a_fuse_that_opens_stays_open_until_another_is_fitted():
    bench = Bench(pump().with_fault("M1 short 0.05 ohm"))
    assert bench.point.states["F1"] == "open"
    assert bench.pull("F1").shows == "blown"
    bench.fit("F1")
    assert kinds(bench)[-1] == "fuse opened"  # the short is still there
    bench.repair("M1")
    bench.fit("F1")
    assert bench.look("M1").shows == "runs as it should"


def test_a_fuse_too_big_for_its_wire_is_named():
    bench = Bench(pump())
    bench.pull("F1")
    bench.fit("F1", "80 A")
    assert "fuse too big" in kinds(bench)  # 14 AWG: 35 A, so 52.5 A at most (33 CFR 183.455)


def test_a_wire_that_carries_too_much_is_named():
    bench = Bench(shipped("blower").with_position(S1="on", S2="on"))
    assert "hot wire" not in kinds(bench)
    bench = Bench(pump().with_fault("F1 wrong fuse 200 A", "W1:1 leak 0.05 ohm"))
    bench.switch("S1", "off")
    bench.switch("S1", "on")
    assert "hot wire" not in kinds(bench)  # the leak is before the wire: it carries none of it
    bench = Bench(pump().with_fault("F1 wrong fuse 200 A", "M1 short 0.05 ohm"))
    bench.switch("S1", "off")
    bench.switch("S1", "on")
    assert "hot wire" in kinds(bench)


def test_an_intermittent_joint_answers_a_wiggle():
    bench = Bench(lamp().with_fault("X1 intermittent"))
    assert bench.look("E1").shows == "is bright"
    assert bench.wiggle("X1", "E1").shows == "E1 is dark"
    assert bench.wiggle("F1", "E1").shows == "E1 does not change"


def test_tracing_a_run_brings_a_hidden_part_to_light():
    radio = shipped("radio")
    run = next(r.name for r in radio.runs if any(radio.parts[p.part].hidden for p in r.passes))
    bench = Bench(radio)
    assert "found" in bench.trace(run).shows
    assert run in bench.traced


def test_what_is_drawn_for_the_learner_holds_no_fault():
    bench = Bench(pump().with_fault("X1 resistance 2 ohm"))
    assert not bench.drawn.faults


@pytest.mark.parametrize(
    ("do", "says"),
    [
        (lambda b: b.switch("S9", "on"), "no part 'S9'"),
        (lambda b: b.switch("S1", "sideways"), "no position 'sideways'"),
        (lambda b: b.switch("M1", "on"), "a motor is not operated"),
        (lambda b: b.read("X7:1"), "no terminal or node 'X7:1'"),
        (lambda b: b.part("stud"), "is a node"),
        (lambda b: b.join("X1:1"), "is not apart"),
        (lambda b: b.pull("X1"), "X1 is a joint"),
        (lambda b: b.fit("F1", "many"), "write a current, such as"),
        (lambda b: b.look("W1"), "does nothing you can see"),
        (lambda b: b.lift("jumper"), "there is no 'jumper'"),
        (lambda b: b.trace("nowhere"), "no run 'nowhere'"),
        (lambda b: b.act("hope"), "there is no act 'hope'"),
        (lambda b: b.act("switch", id="S1"), "'switch' needs id, to; found id"),
    ],
)
def test_what_cannot_be_done_is_said_and_not_logged(do, says):
    bench = Bench(pump())
    before = bench.circuit
    with pytest.raises(CircuitError) as refusal:
        do(bench)
    assert says in str(refusal.value)
    assert not bench.log
    assert bench.circuit is before


def test_a_log_plays_again_to_the_same_readings():
    boat = pump().with_fault("X1 resistance 2 ohm")
    bench = Bench(boat)
    bench.look("M1")
    bench.read("X1:1", "X1:2")
    bench.switch("S1", "off")
    bench.isolate("F1")
    bench.part("X1:1")
    bench.read("X1:1", "X1:2", "ohms")
    again = played_again(bench, boat)
    assert again.log == bench.log
    assert again.minutes == bench.minutes
    assert "resistance" not in str([entry.as_json() for entry in bench.log])
    assert played_again(bench, pump()).log != bench.log


def test_the_jumper_and_the_lamp_take_points_by_their_numbers():
    bench = Bench(pump().with_fault("X1 open"))
    bench.jumper("3", "4")  # either side of the joint
    assert bench.look("M1").shows == "runs as it should"
    bench.lift("jumper")
    assert bench.test_lamp("2", "1").shows == "is bright"


def test_a_relay_of_which_only_the_contacts_are_drawn_can_be_mended():
    contacts = build_circuit(
        "contacts alone, invented",
        run("DC-", "stud", Battery("G1", emf="12 V")),
        run("stud", "DC-", Via(Relay("K1"), "30-87"), Resistor("R1", resistance="6 ohm")),
    )
    assert Bench(contacts).repair("K1").shows == "mended"


def test_minutes_asked_for_between_acts_are_those_of_all_acts():
    bench = Bench(pump())
    for red in list(bench.drawn.node_of)[:3]:
        bench.read(red)
        assert bench.minutes == bench.minutes == sum(entry.minutes for entry in bench.log)
