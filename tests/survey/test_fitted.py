"""What is fitted counts in a survey, and not what is drawn."""

from __future__ import annotations

from labkit.circuits.circuit_file import load_circuit
from labkit.survey.survey import survey
from tests.survey.test_survey import MUSEUM


def broken(*faults: str) -> list[tuple[str, str]]:
    good = load_circuit(MUSEUM / "good.toml")
    return [(f.part, f.rule.name) for f in survey(good.with_fault(*faults)).findings]


def test_a_thinner_wire_than_drawn_loses_too_much() -> None:
    assert broken() == []
    # 4 m of 4 mm2 replaced by 0.75 mm2: 4 A lose 0.37 V there, and the pump may lose 0.36 in all
    assert ("M1", "voltage drop") in broken("W4 too thin 0.75 mm2")


def test_a_bigger_fuse_than_drawn_carries_a_motor_held_fast() -> None:
    assert broken("F3 wrong fuse 20 A") == [("F3", "locked rotor")]
