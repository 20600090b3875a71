"""Every shipped circuit agrees with its reference; what is said to chatter cannot rest."""

from __future__ import annotations

from pathlib import Path

import pytest

from labkit.circuits.circuit_file import load_circuit
from labkit.solving.solver import solve

from ..outside.checks import failures
from .shipped import (
    CIRCUITS,
    MOST_POSITIONS,
    chatter_checks,
    name_of,
    points,
    positions,
    reference_checks,
)


@pytest.mark.parametrize("path", CIRCUITS, ids=lambda path: path.stem)
def test_every_voltage_and_current_agrees_with_the_reference(path: Path, tmp_path: Path) -> None:
    compared = reference_checks(path, tmp_path)
    wrong = failures(check for checks in compared.values() for check in checks)
    assert not wrong, f"{len(wrong)} differences:\n" + "\n".join(wrong[:20])
    steady = [point for point in points(load_circuit(path)) if not solve(point).chattering]
    assert [name_of(point) for point in steady] == list(compared)
    assert all(compared.values())


@pytest.mark.parametrize("path", CIRCUITS, ids=lambda path: path.stem)
def test_what_is_said_to_chatter_has_no_state_to_rest_in(path: Path, tmp_path: Path) -> None:
    assert failures(chatter_checks(path, tmp_path)) == []


def test_no_circuit_has_more_switch_positions_than_are_tried() -> None:
    assert CIRCUITS
    assert max(len(positions(load_circuit(path))) for path in CIRCUITS) <= MOST_POSITIONS
