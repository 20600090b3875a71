"""Every shipped circuit agrees with its reference; what is said to chatter cannot rest."""

from __future__ import annotations

from pathlib import Path

import pytest

from labkit.circuits.circuit_file import load_circuit

from ..boats import share
from ..outside.checks import failures
from .shipped import (
    CIRCUITS,
    MOST_POSITIONS,
    chatter_checks,
    name_of,
    points,
    positions,
    reference_checks,
    single_faults,
    solved_points,
)


@pytest.fixture(scope="module", params=share(CIRCUITS, 2), ids=lambda path: path.stem)
def path(request: pytest.FixtureRequest) -> Path:
    """A shipped circuit, put to all tests before the next, so that its points are solved once.

    One in two of them; `python -m tests.outside.table` compares them all.
    """
    return request.param


def test_every_voltage_and_current_agrees_with_the_reference(path: Path, tmp_path: Path) -> None:
    compared = reference_checks(path, tmp_path, all_of_them=False)
    wrong = failures(check for checks in compared.values() for check in checks)
    assert not wrong, f"{len(wrong)} differences:\n" + "\n".join(wrong[:20])
    tried = solved_points(path, all_of_them=False)
    assert [name_of(point) for point, solved in tried if not solved.chattering] == list(compared)
    assert all(compared.values())


def test_what_is_said_to_chatter_has_no_state_to_rest_in(path: Path, tmp_path: Path) -> None:
    assert failures(chatter_checks(path, tmp_path, all_of_them=False)) == []


def test_every_fault_is_tried_in_each_position_of_each_switch(path: Path) -> None:
    circuit = load_circuit(path)
    met = {
        (str(fault), *at)
        for point in points(circuit, all_of_them=False)
        for fault in point.faults
        for at in point.positions.items()
    }
    each = {at for here in positions(circuit) for at in here.items()}
    faults = {str(f) for fault in single_faults(circuit) for f in circuit.with_fault(fault).faults}
    assert faults
    assert {(fault, *at) for fault in faults for at in each} <= met


def test_no_circuit_has_more_switch_positions_than_are_tried() -> None:
    assert CIRCUITS
    assert max(len(positions(load_circuit(path))) for path in CIRCUITS) <= MOST_POSITIONS
