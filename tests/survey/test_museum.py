"""A museum of bad circuits, each with exactly its warnings, and good ones with none."""

from __future__ import annotations

from pathlib import Path

import pytest

from labkit.circuits.circuit_file import load_circuit
from labkit.survey import standards
from labkit.survey.survey import survey

MUSEUM = Path(__file__).parent / "museum"

EXPECTED = {
    "good": [],
    "starter": [],
    "main-fuse-in-a-sheath": [],
    "charge-lead-fused-at-the-battery": [],
    "no-main-fuse": [("W1", "no protection")],
    "main-fuse-in-the-panel": [("F1", "too far from the source")],
    "charge-lead-bare": [("W6", "no protection")],
    "charge-lead-fused-at-the-charger": [("F4", "at the wrong end")],
    "charger-stronger-than-its-lead": [("W6", "no protection")],
    "light-off-the-starter-cable": [("W3", "no protection")],
    "blade-of-fifty-amperes": [("F1", "not made")],
    "glass-at-a-big-battery": [("F1", "cannot interrupt")],
    "forty-on-a-tail": [("F2", "fuse too big")],
    "tail-of-bell-wire": [("F2", "fuse too big"), ("W6", "wire too thin")],
    "thin-tail": [("W6", "wire too thin")],
    "thin-tail-in-a-sheath": [],
    "hot-bundle": [("F3", "fuse too big"), ("W4", "wire overloaded")],
    "pump-held-fast": [("F3", "locked rotor")],
    "thirsty-pump": [("M1", "voltage drop")],
    "battery-in-backwards": [("G1", "battery reversed")],
    "crowded-post": [("G1", "too many rings")],
}


def test_the_museum_and_its_catalogue_agree() -> None:
    assert {path.stem for path in MUSEUM.glob("*.toml")} == set(EXPECTED)


@pytest.mark.parametrize("name", EXPECTED)
def test_each_exhibit_has_exactly_its_warnings(name: str) -> None:
    found = survey(load_circuit(MUSEUM / f"{name}.toml"))
    assert [(f.part, f.rule.name) for f in found.findings] == EXPECTED[name]


def test_every_rule_has_an_exhibit() -> None:
    shown = {rule for findings in EXPECTED.values() for _, rule in findings}
    assert shown == {rule.name for rule in standards.RULES}


def test_every_rule_can_be_asked_of_a_part() -> None:
    assert all(rule.claim.count("{}") == 1 for rule in standards.RULES)


@pytest.mark.parametrize("name", [name for name, findings in EXPECTED.items() if findings])
def test_a_warning_names_file_part_and_rule_and_a_remedy(name: str) -> None:
    file = MUSEUM / f"{name}.toml"
    found = survey(load_circuit(file))
    for line, (part, rule) in zip(found.lines(), EXPECTED[name], strict=True):
        assert line.startswith(f"warning: {file}: part {part}: {rule}: ")
        assert "; " in line
        assert not line.endswith(".")
