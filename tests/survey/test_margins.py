"""Every figure beside its limit says the same as the survey."""

from __future__ import annotations

from pathlib import Path

import pytest

from labkit.circuits.circuit_file import load_circuit
from labkit.survey.margins import margins
from labkit.survey.survey import survey
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
