"""Sizes against worked examples, and what always holds of them."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labkit.circuits.circuit_file import circuit_from, load_circuit
from labkit.jobs.interview import templates
from labkit.parts.conductors import awg_area
from labkit.survey.boat_wires import boat_wires, not_sized
from labkit.survey.sizing import Wanted, as_json_of, sentences, size
from labkit.text.messages import CircuitError
from tests.boats import EXERCISES
from tests.outside.wires import CIRCULAR_MIL
from tests.survey.test_survey import MUSEUM


def test_a_pump_of_5_a_six_metres_away_needs_4_mm2_or_12_awg_by_drop() -> None:
    """1.7241e-8 ohm m * 12 m * 5 A / 0.36 V = 2.87 mm2."""
    found = as_json_of(size(Wanted(5, 6)))
    assert found["least_mm2"] == 2.9
    assert (found["mm2"], found["awg"], found["because"]) == (4.0, "12 AWG", "drop")
    assert found["drop"] == 0.026
    assert found["fuse_most"] == "60 A"  # 150 % of 45 A is 67.5 A


@pytest.mark.parametrize(("amps", "metres", "drop"), [(5, 6, 0.03), (20, 4, 0.1), (90, 9, 0.1)])
def test_the_area_agrees_with_the_circular_mil_formula_within_4_per_cent(
    amps: float, metres: float, drop: float
) -> None:
    """CM = 10.75 I L / E, as reprinted with ABYC E-11; its constant is 3.7 % above copper's."""
    area = 10.75 * amps * (2 * metres / 0.3048) / (drop * 12) * CIRCULAR_MIL
    assert Wanted(amps, metres, drop=drop).by_drop == pytest.approx(area, rel=0.04)


def test_a_short_wire_is_sized_by_what_it_may_carry() -> None:
    found = size(Wanted(50, 0.5))
    assert (found.because, found.awg) == ("ampacity", "10 AWG")  # 60 A at 105 C, 12 AWG has 45


def test_engine_space_and_bundle_ask_for_more() -> None:
    alone = size(Wanted(50, 0.5))
    hot = size(Wanted(50, 0.5, bundle=4, engine_space=True))
    assert hot.gauge < alone.gauge
    assert 0.6 * 0.85 * 120 >= 50 > 0.6 * 0.85 * 80  # 6 AWG does, 8 AWG does not
    assert hot.awg == "6 AWG"


def test_a_fuse_that_is_there_may_decide() -> None:
    found = size(Wanted(1, 2, fuse=60))
    assert (found.because, found.awg) == ("fuse", "12 AWG")  # 67.5 A, 14 AWG only 52.5 A


def test_a_tiny_load_still_gets_the_thinnest_wire_allowed() -> None:
    found = size(Wanted(0.1, 1))
    assert (found.because, found.mm2, found.awg) == ("least size", 1, "16 AWG")


def test_a_wire_that_would_pass_by_its_nominal_area_alone_is_warned_of() -> None:
    found = size(Wanted(40, 1))
    assert found.drop_tinned > 0.03 > found.wanted.lost(found.mm2 * 1e-6)
    assert any("take the next size" in line for line in sentences(found))


def test_no_wire_is_thick_enough_for_everything() -> None:
    with pytest.raises(CircuitError, match="no wire up to 120 mm2"):
        size(Wanted(500, 50))


@given(
    st.floats(0.1, 100), st.floats(0.1, 10), st.sampled_from([0.03, 0.1]),
    st.sampled_from([12.0, 24.0]), st.integers(1, 6), st.booleans(),
)  # fmt: skip  # rows that a reader compares
def test_the_size_satisfies_every_rule_and_the_next_smaller_breaks_one(
    amps: float, metres: float, drop: float, system: float, bundle: int, hot: bool
) -> None:
    wanted = Wanted(amps, metres, system, drop, bundle=bundle, engine_space=hot)
    try:
        found = size(wanted)
    except CircuitError:
        return
    for area in (found.mm2 * 1e-6, awg_area(found.gauge)):
        assert wanted.lost(area) <= drop * (1 + 1e-6)
        assert wanted.allows(area) >= amps * (1 - 1e-6)
    if found.gauge < 16:
        thinner = awg_area(found.gauge + (2 if found.gauge > 3 else 1))
        assert wanted.lost(thinner) > drop or wanted.allows(thinner) < amps
    assert found.fuse_most <= 1.5 * wanted.allows(found.smaller_area)


def test_the_thin_wires_of_a_boat_are_named_and_the_others_are_enough() -> None:
    wires = boat_wires(load_circuit(MUSEUM / "thirsty-pump.toml"))
    assert {wire.id for wire in wires} == {"W1", "W2", "W3", "W4", "W5"}
    assert {wire.id for wire in wires if wire.too_thin} == {"W4", "W5"}
    assert all("too thin" in wire.line for wire in wires if wire.too_thin)


def test_wires_that_no_rated_load_hangs_on_are_named_too() -> None:
    starter = load_circuit(MUSEUM / "starter.toml")
    wires = boat_wires(starter)
    assert [wire.id for wire in wires] == ["W3", "W4"]
    assert not_sized(starter, wires) == ["W1", "W2"]


def test_the_wires_of_one_load_alone() -> None:
    washdown = load_circuit(EXERCISES / "circuits" / "washdown.toml")
    wires = boat_wires(washdown, "M1")
    assert [wire.id for wire in wires] == ["W1", "W2", "W3"]
    assert wires[1].amps == pytest.approx(7)
    with pytest.raises(CircuitError, match="without a rated current"):
        boat_wires(washdown, "X1")


def test_a_wire_that_nobody_has_measured_is_said_to_be_about_so_long():
    text = templates()["water"].replace('size = "?"', 'size = "2.5 mm2"')
    lines = {wire.id: wire.line for wire in boat_wires(circuit_from(tomllib.loads(text)))}
    assert "2.5 mm2, about 5 m" in lines["W2"] or "2.5 mm2, about 4 m" in lines["W2"]
    assert "about 2.5 mm2" not in lines["W2"]
