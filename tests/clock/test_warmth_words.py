"""What a hand, a nose and a spot thermometer tell of a temperature."""

from __future__ import annotations

import pytest

from labkit.clock.bodies import ContactBody, ProtectionBody, WindingBody
from labkit.clock.hot_spot import HotSpot
from labkit.clock.warmth_words import felt, levels, smelt, spot_thermometer, surface_of, too_hot


@pytest.mark.parametrize(
    ("celsius", "says"),
    [
        (25.0, "is not warm"),
        (35.0, "is lukewarm"),
        (40.0, "is warm"),
        (48.0, "is hot, and can be held"),
        (55.0, "is too hot to hold"),  # bare metal burns in 30 s at 55 C (a burn institute's chart)
        (90.0, "burns at a touch"),  # and in 1 s at 70 C (EN 563, second hand)
    ],
)
def test_a_hand_tells_how_warm_bare_metal_is(celsius: float, says: str) -> None:
    assert felt(celsius, 25.0) == says


def test_in_hot_air_what_makes_no_heat_is_as_warm_as_the_air() -> None:
    assert felt(50.0, 50.0) == "is as warm as the air"


@pytest.mark.parametrize(("surface", "shows"), [("tape", 146.0), ("copper", 114.0), ("lug", 54.5)])
def test_a_spot_thermometer_is_fooled_by_bright_metal(surface: str, shows: float) -> None:
    # 150 C in air of 25 C: (e 423.15^4 + (1 - e) 298.15^4)^(1/4) - 273.15.
    assert spot_thermometer(150.0, 25.0, surface) == pytest.approx(shows, abs=0.5)


def test_a_heavy_lug_is_bright_and_a_crimp_has_a_sleeve() -> None:
    lug = ContactBody("X1", 25.0, (25.0, 25.0), spot=HotSpot((53e-6, 53e-6)))
    assert surface_of(lug) == "lug"
    assert surface_of(ContactBody("X2", 25.0, (25.0, 25.0))) == "sleeve"
    assert surface_of(None) == "sleeve"


def test_plastic_may_be_warmer_than_metal_before_it_is_too_hot() -> None:
    metal = ContactBody("X1", 25.0, (25.0, 25.0))
    assert too_hot(metal) < too_hot(ProtectionBody("F1", 25.0, (0.0, 0.0, 25.0, 25.0)))


def test_levels_rise_and_the_last_one_passed_is_smelt() -> None:
    body = WindingBody("M1", 25.0, (230.0,))
    rising = [level for level, _ in levels(body)]
    assert rising == sorted(rising)
    assert smelt(body) == "smells burnt"
    assert smelt(WindingBody("M1", 25.0, (100.0,))) == ""
