"""A boat cut down to what is near a complaint reads as the whole boat does, to 1e-9.

The oracle is the whole boat, solved without any of this.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest

from labkit.circuits.circuit import Circuit
from labkit.diagnosis.faults import candidates, in_use
from labkit.measuring.meter import read
from labkit.measuring.readings import readings
from labkit.solving.bulk import solve_many
from labkit.solving.far_side import Curve
from labkit.solving.near import NearCircuit, near_boat
from labkit.solving.solver import solve
from tests.boats import CIRCUITS, shipped
from tests.large_boats import large_boat

GROUPED = large_boat(12, panels=3)
ONE = large_boat(10)


def differences(near: Circuit, whole: Circuit, most: int = 200) -> tuple[float, int]:
    """The worst voltage of any near fault, and how many flags and states differ."""
    listed = [c.faults for c in candidates(whole) if c.faults[0].part in near.parts]
    chosen = listed[:: max(1, len(listed) // most)]
    a = solve_many([replace(near, faults=faults) for faults in chosen])
    b = solve_many([replace(whole, faults=faults) for faults in chosen])
    flags = sum(int((a.floating[key] != b.floating[key]).sum()) for key in a.floating)
    flags += sum(int((a.states[key] != b.states[key]).sum()) for key in a.states)
    flags += sum(int((np.isnan(a.volts[k]) != np.isnan(b.volts[k])).sum()) for k in a.volts)
    return max(float(np.nanmax(np.abs(a.volts[k] - b.volts[k]))) for k in a.volts), flags


@pytest.mark.parametrize(
    ("boat", "named", "positions"),
    [
        (ONE, "E1", {}),
        (ONE, "E1", in_use(ONE)[0]),
        (ONE, "A6", {"S6": "on", "S3": "on"}),
        (GROUPED, "E1", {}),
        (GROUPED, "E1", in_use(GROUPED)[0]),
        (GROUPED, "M3", {"S3": "on", "S900": "off"}),
        (GROUPED, "panel 2", {"S5": "on", "S2": "on"}),
    ],
)
def test_near_faults_read_as_on_the_whole_boat(
    boat: Circuit, named: str, positions: Mapping[str, str]
) -> None:
    near = near_boat(boat, [named], least=0)
    assert isinstance(near, NearCircuit)
    assert len(near.parts) < len(boat.parts)
    worst, flags = differences(near.with_position(**positions), boat.with_position(**positions))
    assert worst < 1e-9
    assert flags == 0


def _cut() -> list[tuple[str, str]]:
    """Shipped boats that can be cut at all, each with a load to cut it for."""
    found = []
    for path in CIRCUITS:
        boat = shipped(path.stem)
        for id, part in boat.parts.items():
            if part.uses() and near_boat(boat, [id], least=0) is not boat:
                found.append((path.stem, id))
                break
    return found


@pytest.mark.parametrize(("name", "load"), _cut())
def test_shipped_boats_that_can_be_cut_read_the_same(name: str, load: str) -> None:
    boat = shipped(name)
    worst, flags = differences(near_boat(boat, [load], least=0), boat, 60)
    assert worst < 1e-9
    assert flags == 0


def test_a_point_beyond_the_stretch_is_solved_with_the_whole_boat() -> None:
    boat = ONE.with_position(S3="on", S5="on")
    near = near_boat(boat, ["E1"], least=0)
    (curve,) = [b.law for b in near.bridges if isinstance(b.law, Curve)]
    tired = near.with_fault("G1 resistance 1 ohm")
    found = solve(tired)
    volts = found.volts["panel"]
    assert volts is not None
    assert abs(volts - curve.middle) > curve.half
    assert found.volts["panel"] == solve(boat.with_fault("G1 resistance 1 ohm")).volts["panel"]
    assert found.circuit is tired


def test_the_meter_reads_the_same_one_by_one_and_in_bulk() -> None:
    near = near_boat(GROUPED, ["E1"], least=0)
    for fault in ("X1 resistance 2 ohm", "F900 blown", "X932 open"):
        a, b = near.with_fault(fault), GROUPED.with_fault(fault)
        for red, black, function in (
            ("E1:1", "E1:2", "volts"), ("panel 1", "DC-", "volts"), ("X1:1", "DC-", "low-z"),
        ):  # fmt: skip  # rows that a reader compares
            assert read(a, red, black, function).display == read(b, red, black, function).display
        pairs = [("E1:1", "E1:2"), ("panel 1", "X932:1")]
        assert readings([a], pairs).volts == pytest.approx(readings([b], pairs).volts, abs=1e-9)


def test_test_points_keep_the_numbers_of_the_boat() -> None:
    near = near_boat(GROUPED, ["E4"], least=0)
    aboard = {point.node: point.number for point in GROUPED.test_points}
    assert near.test_points
    assert all(aboard[point.node] == point.number for point in near.test_points)


def test_small_boats_are_not_cut() -> None:
    boat = shipped("washdown")
    assert near_boat(boat, ["M1"]) is boat
