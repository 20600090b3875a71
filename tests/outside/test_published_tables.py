"""Wires, fuses, batteries, lamps and motors keep to published tables and limits."""

from itertools import pairwise

import pytest

from . import heat, protection_and_loads, shipped, symbolic, wires
from .checks import Row, failures
from .protection_and_loads import battery_at_rest
from .wires import gauge_number

ROWS = [
    *wires.rows(),
    *protection_and_loads.rows(),
    *heat.rows(),
    *symbolic.rows(),
    *shipped.rows()[:-1],
]
"""All but ngspice on what is shipped, which has tests of its own, one a circuit."""


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.what)
def test_labkit_keeps_to_the_published_figures(row: Row) -> None:
    checks = row.checks()

    assert checks, "no figure was compared"
    assert not failures(checks), row.against


def test_a_fuller_battery_rests_at_a_higher_voltage() -> None:
    volts = [battery_at_rest(percent) for percent in range(0, 101, 5)]
    assert all(low < high for low, high in pairwise(volts))


@pytest.mark.parametrize(
    ("text", "number"), [("12", 12), ("1/0", 0), ("0", 0), ("4/0", -3), ("0000", -3)]
)
def test_aught_sizes_are_read_in_both_spellings(text: str, number: int) -> None:
    assert gauge_number(text) == number
