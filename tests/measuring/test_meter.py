import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labkit.measuring.meter import AMPS_BURDEN, FUNCTIONS, LEADS, VOLTS_RESISTANCE, read
from labkit.parts.laws import Linear
from labkit.solving.solver import solve
from labkit.text.messages import CircuitError
from tests.boats import lamp, pump, relay, resistors, shipped


def test_a_corroded_joint_reads_full_voltage_with_no_load():
    boat = pump().with_fault("X1 resistance 2 ohm").with_position(S1="off")
    reading = read(boat, "X1:2")
    assert abs(reading.value - 12.6) < 1e-3
    assert reading.display == "12.60 V"


def test_the_same_joint_under_load_shows_its_drop():
    boat = pump().with_fault("X1 resistance 2 ohm")
    amps = solve(boat).amps["X1"]
    across = read(boat, "X1:1", "X1:2").value
    assert abs(across - amps * 2.0005) < 1e-5  # the joint's own 0.5 mohm included


@pytest.mark.parametrize(
    ("ohms", "display"),
    [("4.7 ohm", "4.9 ohm"), ("470 ohm", "470.2 ohm"), ("4.7 kohm", "4.700 kohm"),
     ("470 kohm", "470.0 kohm"), ("4.7 Mohm", "4.700 Mohm"), ("100 Mohm", "OL")],
)  # fmt: skip  # rows that a reader compares
def test_ohms_picks_its_range_and_adds_the_leads(ohms, display):
    boat = resistors(1.0).with_fault(f"R1 resistance {ohms}").with_parted("R1:1")
    reading = read(boat.without_faults("G1"), "R1:1", "R1:2", "ohms")
    scale = {"k": 1e3, "M": 1e6}.get(display.split()[-1][0], 1.0)
    if display == "OL":
        assert reading.display == "OL"
        assert reading.value is None
    else:
        shown = float(display.split()[0]) * scale + 1.0  # the resistor's own ohm
        assert abs(reading.value - shown) <= 0.006 * shown + 0.05


def test_relative_zero_takes_the_leads_off():
    boat = resistors(47.0).with_parted("R1:1")
    plain = read(boat, "R1:1", "R1:2", "ohms").value
    zeroed = read(boat, "R1:1", "R1:2", "ohms", zeroed=True).value
    assert abs(plain - 47.0 - LEADS) < 1e-9
    assert abs(zeroed - 47.0) < 1e-9


def test_ohms_on_a_live_circuit_is_a_hazard_and_no_resistance():
    reading = read(pump(), "X1:1", "X1:2", "ohms")
    live = read(pump(), "M1:1", "M1:2", "ohms")
    assert live.display == "OL"
    assert [h.kind for h in live.hazards] == ["ohms live"]
    assert not reading.hazards  # three millivolts across a sound joint harm nothing


def test_continuity_sounds_below_its_threshold_only():
    dead = resistors(10.0, 100.0).with_parted("R1:1")
    assert read(dead, "R1:1", "R1:2", "continuity").tone
    assert not read(dead, "R2:1", "R2:2", "continuity").tone


def test_a_meter_of_ten_megohm_loads_a_weak_source():
    # 12 V through 1 Mohm: the meter's own 10 Mohm make a divider.
    boat = resistors(1e6, 1.0).with_parted("R2:1")
    assert abs(read(boat, "R1:2").value - 12.0 * 10 / 11) < 1e-9


def test_low_impedance_kills_the_ghost():
    boat = resistors(1e6, 1.0).with_parted("R2:1")
    assert read(boat, "R1:2", function="low-z").value < 0.05


def test_amps_in_line_reads_the_current_less_its_burden():
    boat = lamp().with_parted("E1:1")
    inline = read(boat, "X1:2", "E1:1", "amps")
    before = solve(lamp()).amps["E1"]
    assert 0.97 * before < inline.value < before
    assert not inline.hazards


def test_amps_across_the_battery_blows_the_meters_fuse_and_says_so():
    reading = read(pump(), "stud", "DC-", "amps")
    assert reading.display == "0.000 A"
    assert [h.kind for h in reading.hazards] == ["meter short"]
    assert "meter" in reading.opened


def test_amps_across_a_lit_lamp_opens_its_fuse_and_says_so():
    lit = shipped("meter-board").with_position(S2="on")
    reading = read(lit, "8", "1", "amps")
    assert reading.opened == ("F2",)
    (hazard,) = reading.hazards
    assert hazard.kind == "meter short"
    assert hazard.text.startswith("F2 opened")


def test_a_clamp_needs_one_wire():
    boat = lamp()
    assert abs(read(boat, "X1:1", function="clamp").value - solve(boat).amps["X1"]) < 1e-12
    with pytest.raises(CircuitError, match="one wire"):
        read(boat, "stud", function="clamp")


def test_a_diode_reads_its_drop_one_way_and_open_the_other():
    boat = relay().with_fault("K1 coil open").with_parted("F1:1")
    forward = read(boat, "V1:1", "V1:2", "diode")
    assert 0.5 < forward.value < 0.6  # 1 mA through 1e-12 A: 0.02585 ln(1e9) = 0.536 V
    assert abs(forward.value - 0.02585 * math.log((3.0 - forward.value) / 2500 / 1e-12)) < 1e-4
    assert read(boat, "V1:2", "V1:1", "diode").display == "OL"


def test_a_point_on_no_path_is_said_to_float_and_reads_nothing():
    boat = lamp().with_position(S1="off", X1="parted")
    reading = read(boat, "E1:1")
    assert reading.floating
    assert reading.value == 0.0


def test_swapped_leads_show_a_minus():
    assert read(pump(), "DC-", "stud").display.startswith("-12.")


def test_a_relay_that_chatters_gives_no_steady_reading():
    boat = relay().with_position(S1="on").with_fault("G1 resistance 30 ohm")
    assert read(boat, "E1:1").display == "unsteady"


def test_an_unknown_function_is_refused_with_a_hint():
    with pytest.raises(CircuitError, match="did you mean 'volts'"):
        read(pump(), "stud", function="volt")


def test_the_spoken_reading_says_minus_and_over_range():
    assert "minus 12." in read(pump(), "DC-", "stud").spoken
    assert "over range" in read(lamp().with_parted("E1:1", "E1:2"), "E1:1", "S1:1", "ohms").spoken


@given(st.floats(0.001, 59.0))
def test_the_sensed_value_always_lies_in_the_interval_and_near_the_display(volts):
    reading = read(resistors(100.0, emf=f"{volts!r} V"), "stud")
    assert reading.low <= reading.value <= reading.high
    number, unit = reading.display.split()
    shown = float(number) * (1e-3 if unit == "mV" else 1.0)
    assert reading.low <= shown <= reading.high
    assert abs(shown - reading.value) <= 0.5 * max(shown, 0.06) / 599


@given(st.sampled_from(sorted(FUNCTIONS)), st.sampled_from(["X1:1", "S1:2", "M1:1", "stud", "DC-"]))
def test_every_function_reads_everywhere(function, red):
    boat = pump()
    if function == "clamp" and ":" not in red:
        return
    reading = read(boat, red, "W1:1", function)
    assert reading.low <= reading.high
    assert reading.unit in ("V", "ohm", "A")


def test_the_meter_is_part_of_the_circuit_while_it_reads():
    # Lessons in Electric Circuits I, ch. 8: a 10 Mohm meter on a divider of equal resistors.
    boat = resistors(10e6, 10e6)
    law = Linear.resistor(VOLTS_RESISTANCE)
    loaded = solve(boat.with_bridge("meter", "meter", "R2:1", "DC-", law)).volts["R2:1"]
    assert abs(read(boat, "R2:1").value - loaded) < 1e-12
    assert abs(loaded - 4.0) < 1e-9  # 5 Mohm under 10 Mohm of 12 V


def test_amps_have_a_burden():
    boat = resistors(1.0).with_parted("R1:1")
    assert abs(read(boat, "stud", "R1:1", "amps").value - 12.0 / (1.0 + AMPS_BURDEN)) < 1e-6
