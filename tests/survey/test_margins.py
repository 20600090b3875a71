"""Every figure beside its limit says the same as the survey."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given

from labkit.circuits.circuit import Circuit
from labkit.circuits.circuit_file import load_circuit
from labkit.survey.margins import margins
from labkit.survey.report import report
from labkit.survey.survey import survey
from tests.generators import circuits
from tests.survey.test_survey import MUSEUM, SHIPPED

LIMITED = {"fuse too big", "cannot interrupt", "voltage drop", "locked rotor"}


@pytest.mark.parametrize(
    "file", [*sorted(MUSEUM.glob("*.toml")), *SHIPPED], ids=lambda file: file.stem
)
def test_what_is_over_its_limit_is_what_the_survey_finds(file: Path) -> None:
    circuit = load_circuit(file)
    found = survey(circuit)
    findings = [*found.findings, *(finding for finding, _ in found.accepted)]
    assert {(m.rule.name, m.part) for m in margins(circuit) if m.broken} == {
        (f.rule.name, f.part) for f in findings if f.rule.name in LIMITED
    }


def test_the_worst_stands_first() -> None:
    shares = [m.share for m in margins(load_circuit(MUSEUM / "forty-on-a-tail.toml"))]
    assert shares == sorted(shares, reverse=True)
    assert shares[0] == pytest.approx(40 / 37.5)


@given(circuits(30))
def test_whatever_is_wired_can_be_surveyed_and_the_figures_agree(circuit: Circuit) -> None:
    found = survey(circuit)
    assert all(line.startswith("warning: ") for line in found.lines())
    assert list(report(found))
    assert {(m.rule.name, m.part) for m in margins(circuit) if m.broken} == {
        (f.rule.name, f.part) for f in found.findings if f.rule.name in LIMITED
    }
