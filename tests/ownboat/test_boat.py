"""Readings and their moves as a boat foretells them, beside a boat solved anew."""

from dataclasses import replace
from types import MappingProxyType

import pytest

from labkit.diagnosis.evidence import Measurement
from labkit.measuring.meter import read
from labkit.ownboat.boat import Boat
from tests.ownboat.boats import described


@pytest.fixture(scope="module")
def boat():
    return Boat(described("water"))


@pytest.mark.parametrize(
    "m",
    [
        Measurement("volts", "X1:1", "DC-", {"S2": "on"}),
        Measurement("clamp", "W2:1", "", {"S2": "on"}),
        Measurement("ohms", "W2:1", "W2:2", {}, frozenset({"W2:1"})),
        Measurement("amps", "S2:1", "F1:2", {"S2": "on"}, frozenset({"F1:2"})),
    ],
    ids=str,
)
def test_a_reading_and_its_moves_are_those_of_the_boat_solved_anew(boat, m):
    sound = boat.sets[:1] * 0
    found, moved = boat.reading(m, sound)
    at = boat.known.brought(m)
    assert found[1, 0] == pytest.approx(
        read(at, m.red, m.black or "DC-", m.function).value, rel=1e-3
    )
    for k, figure in enumerate(boat.figures):
        ends = []
        for part in (figure.up, figure.down):
            parts = MappingProxyType({**at.parts, part.id: part})
            changed = replace(at, parts=parts)
            ends.append(read(changed, m.red, m.black or "DC-", m.function).value)
        right = (ends[0] - ends[1]) / 2
        assert moved[0, k] == pytest.approx(right, rel=0.15, abs=2e-3)


def test_the_battery_discharged_is_no_suspect(boat):
    assert not any(name.endswith(" low") for name in boat.known.names)
    assert "G1 weak" in boat.known.names
