"""What a wire may carry where it lies."""

from __future__ import annotations

import pytest

from labkit.parts.conductors import (
    CLASS_5_TINNED,
    allowed_amps,
    ampacity_of_area,
    awg_area,
    cable_resistance,
)


def test_a_wire_alone_in_the_open_carries_what_the_table_says() -> None:
    assert allowed_amps(awg_area(12)) == ampacity_of_area(awg_area(12)) == 45


def test_engine_space_and_bundle_each_take_their_share() -> None:
    assert allowed_amps(awg_area(14), engine_space=True) == pytest.approx(29.75)
    assert allowed_amps(awg_area(14), bundle=3) == pytest.approx(24.5)
    assert allowed_amps(awg_area(14), bundle=2) == 35
    assert allowed_amps(awg_area(14), bundle=30, engine_space=True) == pytest.approx(35 * 0.34)


def test_insulation_between_two_columns_takes_the_lower() -> None:
    assert allowed_amps(awg_area(10), insulation=70) == allowed_amps(awg_area(10), insulation=60)


def test_a_wire_thinner_than_the_table_carries_in_proportion() -> None:
    assert allowed_amps(awg_area(18) / 2) == pytest.approx(10)


@pytest.mark.parametrize("mm2", sorted(CLASS_5_TINNED))
def test_a_tinned_flexible_wire_may_have_a_fifth_more_than_its_nominal_area(
    mm2: float,
) -> None:
    """IEC 60228's greatest resistances against rho L / A with the nominal area."""
    nominal = cable_resistance(mm2 * 1e-6, 1000.0)
    assert nominal < CLASS_5_TINNED[mm2] < 1.2 * nominal
