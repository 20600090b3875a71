"""The air aboard and the water in the bilge, as a circuit file says them."""

from __future__ import annotations

from typing import Any

import pytest

from labkit.circuits.circuit_file import circuit_from
from labkit.text.messages import CircuitError


def boat(**top: Any) -> dict[str, Any]:
    battery = {"id": "G1", "is": "battery", "emf": "12 V", "resistance": "5 mohm"}
    pump = [
        {"id": "S2", "is": "float", "place": "engine space"},
        {"id": "M1", "is": "motor", "current": "4 A"},
    ]
    runs = [
        {"from": "DC-", "to": "stud", "parts": [battery]},
        {"from": "stud", "to": "DC-", "parts": pump},
    ]
    return {"title": "bilge", "run": runs, **top}


def refused(**top: Any) -> str:
    with pytest.raises(CircuitError) as error:
        circuit_from(boat(**top), "boat.toml")
    (sentence,) = error.value.problems
    return str(sentence)


def test_air_is_as_written_and_hotter_in_an_engine_space() -> None:
    circuit = circuit_from(boat(ambient="30 degC"))
    assert circuit.air_at("M1") == 30.0
    assert circuit.air_at("S2") == 50.0
    assert circuit_from(boat()).ambient == 25.0


def test_water_is_kept_in_cubic_metres() -> None:
    keys = {"float": "S2", "pump": "M1", "leak": "1.2 l/min", "on": "12 l", "off": "2 l"}
    water = circuit_from(boat(water=keys)).water
    assert water is not None
    assert water.leak == pytest.approx(2e-5)
    assert (water.on, water.off) == (0.012, 0.002)


@pytest.mark.parametrize(
    ("top", "says"),
    [
        ({"ambient": "90 C"}, 'boat.toml: ambient: found "90 C"'),
        ({"ambient": 30}, "boat.toml: ambient: found 30 without a unit"),
        ({"water": "wet"}, 'boat.toml: water: found "wet"; write a table'),
        ({"water": {"float": "S2", "pump": "M1"}}, "boat.toml: water, leak: is missing"),
        (
            {"water": {"float": "M1", "pump": "M1", "leak": "1 l/h"}},
            'boat.toml: water, float: found "M1", which is a motor',
        ),
        (
            {"water": {"float": "S2", "pump": "M1", "leak": "1 l/h", "on": "1 l"}},
            "boat.toml: water, on: found off 2 l, on 1 l",
        ),
        (
            {"water": {"float": "S2", "pump": "M1", "leak": "1 l"}},
            'boat.toml: water, leak: found "1 l"',
        ),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(top: dict[str, Any], says: str) -> None:
    assert refused(**top).startswith(says)
