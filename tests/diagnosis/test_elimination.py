"""A part named with a reading at it, and one named because nothing else was left."""

import pytest

from labkit.diagnosis.elimination import by_elimination
from labkit.diagnosis.said import parse_seen
from tests.boats import shipped

BOAT = shipped("washdown")


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("X1 resistance", "X1:1 X1:2 volts 2.1 V S2=on"),
        ("X1 intermittent", "X1 M1 wiggle M1 stutters"),
        ("F1 blown", "F1 pull blown"),
        ("M1 open winding", "M1:1 M1:2 ohms OL M1:1=parted"),
        ("M1 dragging", "M1:1 clamp 9 A S2=on"),
        ("W2:1 leak", "W2:1 DC- ohms 30 ohm S1=off"),
    ],
)
def test_a_reading_at_the_part_bears_out_its_name(name, text):
    assert by_elimination(name, [parse_seen(text, BOAT)], BOAT) == ""


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("X1 resistance", "X1:1 DC- volts 12.1 V S2=on"),
        ("X1 resistance", "M1 look stands still S2=on"),
        ("X1 resistance", "X1:1 DC- ohms 3 ohm S1=off"),
        ("F1 blown", "F2 pull set"),
        ("X1 resistance", "X1 M1 wiggle M1 does not change"),
    ],
)
def test_a_reading_elsewhere_leaves_it_named_by_elimination(name, text):
    said = by_elimination(name, [parse_seen(text, BOAT)], BOAT)
    assert said.startswith(f"Right by elimination: no reading was taken at {name[:2]} itself")
