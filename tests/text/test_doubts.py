"""Quantities that nobody knows exactly: a middle, limits, and how far one is from the other."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labkit.text.doubts import doubtful, read_doubt
from labkit.text.quantities import CURRENT, LENGTH, QuantityError


@pytest.mark.parametrize(
    ("text", "middle", "low", "high"),
    [
        ("6 m +- 20 %", 6.0, 4.8, 7.2),
        ("6 m +- 0.5 m", 6.0, 5.5, 6.5),
        ("6 m ± 50 cm", 6.0, 5.5, 6.5),
        ("about 6 m", 6.0, 4.8, 7.2),
        ("5..7 m", 6.0, 5.0, 7.0),
        ("50 cm..7 m", 3.75, 0.5, 7.0),
    ],
)
def test_a_doubt_has_a_middle_and_limits(text, middle, low, high):
    found = read_doubt(text, LENGTH.parse)
    assert (found.low, found.middle, found.high) == pytest.approx((low, middle, high))
    assert LENGTH.parse(found.taken) == pytest.approx(middle)


@pytest.mark.parametrize("text", ["6 m", "12 AWG", "-3 V", "0.5 ohm", "", "2.5 mm2"])
def test_an_exact_quantity_is_no_doubt(text):
    assert not doubtful(text)


@given(st.floats(0.1, 50), st.floats(1.05, 20))
def test_an_even_interval_spreads_by_its_width_over_the_root_of_twelve(low, ratio):
    # the standard deviation of an even distribution, NIST/SEMATECH e-Handbook 1.3.6.6.2
    text = f"{low:.6f} A..{low * ratio:.6f} A"
    found = read_doubt(text, CURRENT.parse)
    assert found.spread == pytest.approx((found.high - found.low) / math.sqrt(12))
    assert found.share == pytest.approx(math.log(found.high / found.low) / math.sqrt(12))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("4..6 ohm", "unit of another kind"),
        ("6 m +- 120 %", "less than 100 %"),
        ("about six m", "a length"),
        ("1..2", "without a unit"),
    ],
)
def test_what_is_no_doubt_of_the_kind_is_refused_in_a_sentence(text, said):
    with pytest.raises(QuantityError, match=said):
        read_doubt(text, LENGTH.parse)
