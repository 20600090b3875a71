"""What happens while time passes: fuses tire, joints glow, pumps cycle, batteries empty."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from labkit.circuits.circuit import Circuit, Via, build_circuit, run
from labkit.circuits.water import Water
from labkit.clock.chronicle import Event
from labkit.clock.course import Course
from labkit.clock.program import parse_program
from labkit.parts import Battery, Breaker, Cable, Float, Fuse, Joint, MotorLoad, Relay, Resistor
from labkit.parts.protection import opening_time
from labkit.solving.solver import solve
from tests.boats import shipped


def played(circuit: Circuit, seconds: float, *at: str, **keys: object) -> Course:
    return Course(circuit, parse_program(at, circuit), **keys).play(seconds)  # type: ignore[arg-type]


def events(course: Course, part: str) -> list[Event]:
    return [event for event in course.chronicle.events if event.part == part]


def states(course: Course, part: str) -> list[str]:
    return [event.state for event in sorted(events(course, part), key=lambda e: e.seconds)]


def loaded(protection: Fuse | Breaker, share: float) -> Circuit:
    """A protection that carries so many times its rating at 12 V when cold."""
    ohms = 12.0 / (protection.rated * share) - protection.own_resistance
    return build_circuit(
        "a fuse and its load",
        run("DC-", "stud", Battery("G1", emf="12 V", resistance="0 ohm")),
        run("stud", "DC-", protection, Resistor("R1", resistance=f"{ohms!r} ohm")),
    )


# -- fuses ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("share", [1.6, 2.0, 3.5, 6.0])
def test_a_fuse_opens_within_its_published_limits(share: float) -> None:
    course = played(loaded(Fuse("F1", rating="10 A"), share), 3600.0)
    (event,) = [e for e in events(course, "F1") if e.state == "open"]
    least, most = opening_time("blade", share)
    assert least <= event.seconds <= most
    assert course.point.states["F1"] == "open"
    assert course.point.amps["F1"] == 0.0


def test_a_fuse_carries_its_rating_for_a_day() -> None:
    course = played(loaded(Fuse("F1", rating="10 A"), 1.0), 86400.0)
    assert "open" not in states(course, "F1")


def test_a_hot_fuse_drops_more_than_a_cold_one() -> None:
    circuit = loaded(Fuse("F1", rating="40 A", kind="maxi"), 1.0)
    cold = solve(circuit).volt("F1:1", "F1:2")
    hot = played(circuit, 3600.0).point.volt("F1:1", "F1:2")
    assert hot / cold == pytest.approx(1.34, abs=0.02)  # type: ignore[operator]


def test_a_breaker_set_again_while_warm_trips_sooner() -> None:
    circuit = loaded(Breaker("F1", rating="15 A"), 2.0)
    course = played(circuit, 120.0, "60 s F1=set")
    first, second = [e.seconds for e in events(course, "F1") if e.state == "open"]
    assert 15.0 < first < 60.0
    assert second - 60.0 < 0.8 * first


def test_a_seized_bilge_pump_opens_its_fuse_and_says_so() -> None:
    circuit = shipped("bilge-pump").with_fault("M1 seized")
    course = played(circuit, 60.0, "10 s S2=on")
    (event,) = events(course, "F1")
    assert event.state == "open"
    assert 10.2 < event.seconds < 10.8
    assert event.text.startswith("F1 opens at 18.")
    assert course.point.states["F1"] == "open"


def test_a_seized_washdown_pump_burns_behind_a_breaker_that_never_trips() -> None:
    circuit = shipped("washdown").with_fault("M1 seized")
    course = played(circuit, 600.0, "10 s S2=on")
    assert "burnt" in states(course, "M1")
    assert "open" not in states(course, "F2")


def test_a_relay_that_chatters_warms_its_fuse_over_the_whole_cycle() -> None:
    # Pulled in, 100 A flow; let go, none: half the time each, so 71 A by their heat.
    circuit = build_circuit(
        "a buzzer",
        run("DC-", "stud", Battery("G1", emf="12 V", resistance="0.1 mohm")),
        run("stud", "plus", Fuse("F1", rating="30 A", kind="maxi"),
            Resistor("R9", resistance="0.11 ohm")),
        run("plus", "DC-", Via(Relay("K1", pull_in="8 V", drop_out="3 V"), "86-85")),
        run("plus", "DC-", Via("K1", "30-87"), Resistor("R1", resistance="8 mohm")),
    )  # fmt: skip  # rows that a reader compares
    course = played(circuit, 30.0)
    assert "chatters" in states(course, "K1")
    (opened,) = [e for e in events(course, "F1") if e.state == "open"]
    last = solve(circuit.with_fault("F1 wrong fuse 500 A"))
    assert last.chattering == ("K1",)
    least, most = opening_time("maxi", 70.0 / 30.0)
    assert least < opened.seconds < most


# -- joints ---------------------------------------------------------------------------------------


def test_a_corroded_splice_smells_and_smokes_while_its_pump_still_turns() -> None:
    circuit = shipped("washdown").with_fault("X1 resistance 1.6 ohm")
    course = played(circuit, 600.0, "10 s S2=on")
    found = states(course, "X1")
    assert found == ["warm", "too hot", "smells", "melts", "smokes"]
    assert course.point.speeds["M1"] > 0.4  # type: ignore[operator]
    assert 330 < course.world.celsius("X1") < 420


def test_a_joint_that_opens_when_hot_comes_and_goes() -> None:
    circuit = shipped("washdown").with_fault("X1 resistance 1 ohm", "X1 opens hot 80 C")
    course = played(circuit, 60.0, "1 s S2=on")
    found = [s for s in states(course, "X1") if s in ("open", "reset")]
    assert found[:4] == ["open", "reset", "open", "reset"]
    assert solve(circuit.with_position(S2="on")).amps["M1"] > 1.0  # type: ignore[operator]


def test_insulation_that_fails_with_heat_stays_so() -> None:
    circuit = build_circuit(
        "a thin wire",
        run("DC-", "stud", Battery("G1", emf="12 V", resistance="5 mohm")),
        run("stud", "DC-", Fuse("F1", rating="40 A"), Cable("W1", size="18 AWG", length="2 m"),
            Resistor("R1", resistance="0.35 ohm")),
    ).with_fault("W1 leaks hot 90 C")  # fmt: skip  # rows that a reader compares
    course = played(circuit, 120.0)
    assert "leak" in states(course, "W1")
    assert "open" in states(course, "F1")


def test_a_wire_comes_to_its_rating_at_its_ampacity() -> None:
    circuit = build_circuit(
        "a wire",
        run("DC-", "stud", Battery("G1", emf="12 V", resistance="0 ohm")),
        run("stud", "DC-", Cable("W1", size="12 AWG", length="1 m"),
            Resistor("R1", resistance=f"{12 / 45 - 5.21e-3 * 1.334!r} ohm")),
    )  # fmt: skip  # rows that a reader compares
    course = played(replace(circuit, ambient=30.0), 3600.0)
    assert course.point.amps["W1"] == pytest.approx(45.0, rel=0.005)
    assert course.world.celsius("W1") == pytest.approx(105.0, abs=1.0)


# -- batteries, water, relays ----------------------------------------------------------------------


def test_a_battery_empties_by_what_is_taken() -> None:
    circuit = build_circuit(
        "a lamp left on",
        run("DC-", "stud", Battery("G1", charge="100 %", capacity="100 Ah")),
        run("stud", "DC-", Resistor("R1", resistance="2.4 ohm")),
    )
    course = played(circuit, 10 * 3600.0)
    (charge,) = [body.charge for id, body in course.world.bodies.items() if id == "G1"]
    assert charge == pytest.approx(1 - 10 * 12.35 / 2.4 / 100, abs=0.01)


def bilge(leak: str = "1.2 l/min") -> Circuit:
    circuit = build_circuit(
        "a leaking boat",
        run("DC-", "stud", Battery("G1", emf="12.6 V", resistance="5 mohm")),
        run("stud", "DC-", Fuse("F1", rating="10 A"), Cable("W1", size="14 AWG", length="4 m"),
            Joint("X1"), Float("S1"), MotorLoad("M1", current="4 A", resistance="0.6 ohm")),
    )  # fmt: skip  # rows that a reader compares
    water = Water.model_validate({"float": "S1", "pump": "M1", "leak": leak, "flow": "24 l/min"})
    return replace(circuit, water=water)


def test_a_bilge_pump_cycles_as_leak_and_flow_say() -> None:
    course = played(bilge(), 3600.0)
    rises = [e.seconds for e in events(course, "S1") if e.state == "on"]
    assert rises[0] == pytest.approx(12e-3 / 2e-5, rel=1e-6)  # 12 l at 1.2 l/min
    cycle = rises[1] - rises[0]
    assert cycle == pytest.approx(10 / 1.2 * 60 + 10 / (24 - 1.2) * 60, rel=0.05)


def test_water_rises_evenly_between_two_turns_of_the_float_while_a_pump_cools() -> None:
    course = played(bilge(), 3600.0)
    stopped, lifted = [e.seconds for e in events(course, "S1")][1:3]
    rising = [m for m in course.chronicle.moments if stopped + 2.0 < m.seconds < lifted]
    assert len(rising) > 10
    for one in rising:  # 1.2 l/min to the 12 l at which the float is lifted
        assert one.litres == pytest.approx(12.0 - 0.02 * (lifted - one.seconds), abs=1e-3)


def test_a_leak_the_pump_cannot_keep_up_with_floods() -> None:
    course = played(bilge("60 l/min"), 3600.0)
    assert "overflows" in states(course, "M1")
    assert course.bilge is not None
    assert course.bilge.litres > 100.0


def test_a_relay_once_pulled_in_holds_on_less() -> None:
    # The battery alone has no more than 7.1 V for the coil, while a load of 1 ohm is on.
    circuit = build_circuit(
        "a held relay",
        run("DC-", "stud", Battery("G1", emf="12 V", resistance="0.5 ohm")),
        run("stud", "DC-", Via(Relay("K1", pull_in="8 V", drop_out="2 V"), "86-85")),
        run("stud", "DC-", Via("K1", "30-87"), Resistor("R1", resistance="0.5 ohm")),
    )
    course = played(circuit, 60.0)
    assert states(course, "K1") == ["pulled in"]
    assert 2.0 < course.point.volts["K1:86"] < 8.0  # type: ignore[operator]


def test_at_sea_a_loose_joint_lets_go_now_and_then() -> None:
    circuit = shipped("washdown").with_position(S2="on").with_fault("X1 intermittent 1 Mohm")
    course = played(circuit, 600.0, "10 s sea=on")
    _, volts = course.chronicle.series("volts", "X1:2")
    assert min(v for v in volts if v is not None) < 1.0
    assert max(v for v in volts if v is not None) > 11.0
    still = played(circuit, 600.0)
    _, volts = still.chronicle.series("volts", "X1:2")
    assert min(v for v in volts if v is not None) > 11.0


# -- how it steps ----------------------------------------------------------------------------------


def test_two_plays_end_where_one_does() -> None:
    circuit = shipped("washdown").with_fault("X1 resistance 1.6 ohm").with_position(S2="on")
    once = Course(circuit, tolerance=0.1).play(300.0)
    twice = Course(circuit, tolerance=0.1).play(120.0).play(180.0)
    assert twice.world.celsius("X1") == pytest.approx(once.world.celsius("X1"), abs=0.5)
    assert twice.seconds == once.seconds == 300.0


def test_series_are_of_one_length_and_in_time() -> None:
    circuit = shipped("washdown").with_fault("X1 resistance 1.6 ohm")
    data = played(circuit, 600.0, "10 s S2=on", show=["X1:1", "X1", "F2"]).chronicle.as_json()
    seconds = data["seconds"]
    assert seconds == sorted(seconds)
    assert seconds[0] == 0.0
    assert seconds[-1] == 600.0
    assert set(data["volts"]) == {"X1:1"}
    assert set(data["amps"]) == set(data["celsius"]) == {"X1", "F2"}
    for kind in ("volts", "amps", "celsius"):
        assert all(len(values) == len(seconds) for values in data[kind].values())
    assert data["charge"] == {}


def test_a_circuit_without_anything_to_warm_takes_a_few_long_steps() -> None:
    course = played(shipped("anchor-light"), 7 * 86400.0)
    assert course.steps < 120
    assert math.isclose(course.seconds, 7 * 86400.0)


def test_a_position_of_two_words_is_set_while_time_passes() -> None:
    boat = shipped("solar")
    (panel,) = (id for id, part in boat.parts.items() if part.kind == "solar panel")
    deeds = parse_program([f"30 s {panel}=full sun", f"40 s {panel}=dark"], boat)
    assert [(deed.what, deed.to) for deed in deeds] == [(panel, "full sun"), (panel, "dark")]
