import contextlib
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labkit.text.quantities import (
    CHARGE,
    CURRENT,
    FRACTION,
    LENGTH,
    RESISTANCE,
    SATURATION,
    TEMPERATURE,
    TIME,
    VOLTAGE,
    QuantityError,
    show,
)


@pytest.mark.parametrize(
    ("kind", "text", "value"),
    [
        (RESISTANCE, "8 mohm", 0.008),
        (RESISTANCE, "1.5 kΩ", 1500.0),
        (RESISTANCE, "2 Mohm", 2e6),
        (VOLTAGE, "12.7 V", 12.7),
        (CURRENT, "20 mA", 0.02),
        (LENGTH, "18 ft", 18 * 0.3048),  # the foot is 0.3048 m exactly, 1959 agreement
        (LENGTH, "2 in", 0.0508),
        (TIME, "10 min", 600.0),
        (FRACTION, "85 %", 0.85),
        (CHARGE, "80 Ah", 80 * 3600.0),
        (TEMPERATURE, "-5 C", -5.0),
        (VOLTAGE, "  .5V ", 0.5),
    ],
)
def test_a_quantity_is_read_with_the_unit_the_shop_writes(kind, text, value):
    assert math.isclose(kind.parse(text), value, rel_tol=1e-12)


@pytest.mark.parametrize(
    ("kind", "found", "says"),
    [
        (RESISTANCE, 0.4, 'found 0.4 without a unit; write it with one, such as "0.4 ohm"'),
        (RESISTANCE, "0.4", 'found "0.4" without a unit; write it with one, such as "0.4 ohm"'),
        (RESISTANCE, "4 V", '"V" is the unit of another kind of quantity'),
        (LENGTH, "2 furlong", '"furlong" is not a unit known here'),
        (LENGTH, "-2 m", "a length is at least 0"),
        (VOLTAGE, "many", 'write a voltage, such as "12.7 V"'),
        (VOLTAGE, True, "found true"),
        (VOLTAGE, None, "without a unit"),
        (TEMPERATURE, "-300 C", "a temperature is at least -273.15"),
    ],
)
def test_a_quantity_that_cannot_be_read_is_refused_in_a_sentence(kind, found, says):
    with pytest.raises(QuantityError) as refusal:
        kind.parse(found)
    assert says in str(refusal.value)


@given(st.text(max_size=60))
def test_no_text_makes_a_quantity_fail_otherwise(text):
    for kind in (RESISTANCE, LENGTH, FRACTION):
        with contextlib.suppress(QuantityError):
            assert math.isfinite(kind.parse(text))


@given(st.floats(1e-6, 1e6))
def test_what_is_shown_can_be_read_again(ohms):
    assert math.isclose(RESISTANCE.parse(show(ohms, "ohm", 9)), ohms, rel_tol=1e-8)


def test_a_junction_saturates_at_less_than_any_other_current_aboard():
    assert SATURATION.parse("1e-18 A") == 1e-18  # a light-emitting diode's
    with pytest.raises(QuantityError, match="beyond any current aboard"):
        SATURATION.parse("1e-25 A")


@pytest.mark.parametrize("text", ["1e299 A", "9e307 A", "1e-299 A", "1e-320 A", "-2e12 A"])
def test_what_no_boat_has_is_refused_before_a_formula_overflows(text):
    with pytest.raises(QuantityError, match='beyond any current aboard; write one such as "'):
        CURRENT.parse(text)
