"""Accepted findings, what is fitted, and every shipped circuit."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from labkit.circuits.circuit_file import circuit_from, load_circuit
from labkit.survey.report import report
from labkit.survey.survey import survey
from labkit.text.messages import CircuitError
from labkit.text.toml_file import read_toml
from tests.boats import EXERCISES, ROOT

MUSEUM = Path(__file__).parent / "museum"
SHIPPED = [
    *sorted((EXERCISES / "circuits").glob("*.toml")),
    *sorted((EXERCISES / "surveys" / "circuits").glob("*.toml")),
    *sorted((ROOT / "labkit" / "desk" / "templates").glob("*.toml")),
]


def museum(name: str, **extra: object) -> dict[str, Any]:
    return read_toml(MUSEUM / f"{name}.toml") | extra


def accept(rule: str, part: str) -> list[dict[str, str]]:
    return [{"rule": rule, "part": part, "why": "the lesson is about it"}]


@pytest.mark.parametrize("file", SHIPPED, ids=lambda file: file.stem)
def test_a_shipped_circuit_has_no_warning_that_is_not_accepted_for_a_reason(file: Path) -> None:
    assert survey(load_circuit(file)).lines() == []


def test_an_accepted_finding_is_kept_with_its_reason_and_no_warning() -> None:
    circuit = circuit_from(museum("pump-held-fast", accepts=accept("locked rotor", "F3")))
    found = survey(circuit)
    assert found.findings == ()
    ((finding, reason),) = found.accepted
    assert (finding.part, reason.why) == ("F3", "the lesson is about it")
    assert any("Why it stays: the lesson is about it" in line for line in report(found))


def test_what_is_accepted_and_not_broken_is_a_warning_of_its_own() -> None:
    circuit = circuit_from(museum("good", accepts=accept("locked rotor", "F3")), "good.toml")
    (line,) = survey(circuit).lines()
    assert line == (
        'warning: good.toml: part F3: accepted for nothing: "locked rotor" is accepted here, '
        "and not broken; take that line out"
    )


def test_a_rule_that_does_not_exist_cannot_be_accepted() -> None:
    circuit = circuit_from(museum("good", accepts=accept("fuse to big", "F3")))
    (line,) = survey(circuit).lines()
    assert "is not a rule of the survey; the rules are" in line


@pytest.mark.parametrize(
    ("accepts", "says"),
    [
        ("all of it", "write a list"),
        ([{"rule": "locked rotor", "part": "F3"}], "needs rule, part and why"),
        (accept("locked rotor", "F33"), "no part"),
        ([accept("locked rotor", "F3")[0] | {"who": "me"}], "no such key"),
    ],
)
def test_accepts_that_cannot_be_read_are_said_in_a_sentence(accepts: object, says: str) -> None:
    with pytest.raises(CircuitError, match=says):
        circuit_from(museum("good", accepts=accepts))


def test_a_bigger_fuse_and_a_thinner_piece_are_found_where_they_are_fitted() -> None:
    circuit = load_circuit(MUSEUM / "good.toml")
    fitted = survey(circuit.with_fault("F2 wrong fuse 40 A")).findings
    assert [(f.part, f.rule.name) for f in fitted] == [("F2", "fuse too big")]
    pieced = survey(circuit.with_fault("W1 too thin 2.5 mm2")).findings
    assert ("F1", "fuse too big") not in [(f.part, f.rule.name) for f in pieced]  # 35 A, 52.5 A
    pieced = survey(circuit.with_fault("W1 too thin 18 AWG")).findings
    assert ("F1", "fuse too big") in [(f.part, f.rule.name) for f in pieced]


def test_of_a_rating_in_doubt_the_middle_is_taken_and_said() -> None:
    table = museum("good")
    fuse = table["run"][2]["parts"][0]
    assert fuse["id"] == "F2"
    fuse["rating"] = "3..10 A"
    found = survey(circuit_from(table))
    assert found.findings == ()
    lines = list(report(found))
    assert "Taken where the file is in doubt: look at these aboard first" in lines
    assert any('F2 rating "3..10 A"' in line for line in lines)


def test_a_report_says_of_each_finding_the_standard_whom_it_binds_and_what_to_do() -> None:
    lines = list(report(survey(load_circuit(MUSEUM / "no-main-fuse.toml"))))
    assert any(line.startswith("1. W1, no protection: ") for line in lines)
    assert any("Standard: 33 CFR 183.455(a)" in line and "petrol" in line for line in lines)
    assert any("To put it right: fit a fuse or breaker at G1" in line for line in lines)
    assert any("first protection" in line for line in lines)
