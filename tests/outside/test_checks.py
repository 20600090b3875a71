"""The checks themselves: printed values are read with their precision, and a wrong one is seen."""

import pytest

from .checks import failures, near, printed
from .worked import Example


@pytest.mark.parametrize(
    ("text", "value", "tolerance"),
    [
        ("11.9 V", 11.9, 0.05),
        ("2.00e2 W", 200.0, 0.5),
        ("179 W", 179.0, 0.5),
        ("0.4 mA", 4e-4, 5e-5),
        ("-2.00 A", -2.0, 0.005),
        ("2.40 kW", 2400.0, 5.0),
        ("0.99990", 0.9999, 5e-6),
        ("8/15 A", 8 / 15, 8 / 15 * 1e-6),
    ],
)
def test_a_printed_value_is_good_to_half_a_unit_of_its_last_digit(
    text: str, value: float, tolerance: float
) -> None:
    assert printed(text) == pytest.approx((value, tolerance), rel=1e-12)


def test_a_value_without_a_number_is_refused() -> None:
    with pytest.raises(ValueError, match="is no printed value"):
        printed("twelve volts")


def test_a_value_half_a_digit_away_passes_and_a_little_more_fails() -> None:
    assert not failures([near("half", 11.95, 11.9, 0.05), near("half", 11.85, 11.9, 0.05)])
    assert failures([near("more", 11.951, 11.9, 0.05)]) == [
        "more: found 11.951, right is 11.85 to 11.95"
    ]


def test_an_example_with_a_wrong_answer_fails() -> None:
    lines = ("G1 1 0 12 V", "R1 1 0 6 ohm")
    expect = ("current R1 = 2.00 A", "current R1 = 2.01 A", "voltage R1 at most 11 V")
    example = Example("made up", "", lines, expect, (), 1.0)

    assert [check.passed for check in example.checks()] == [True, False, False]


def test_an_example_that_states_no_relation_is_refused() -> None:
    example = Example("made up", "", ("G1 1 0 12 V", "R1 1 0 6 ohm"), ("current R1 2 A",), (), 1.0)
    with pytest.raises(ValueError, match='says neither "="'):
        example.checks()
