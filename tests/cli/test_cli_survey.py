"""The commands size and survey, and the warnings of check, as a person gives them."""

from __future__ import annotations

import json

import pytest

from tests.cli.test_cli import run
from tests.survey.test_survey import MUSEUM


def test_size_prints_the_promised_json() -> None:
    out, _, status = run("size", "--current", "5 A", "--length", "6 m", "--json")
    data = json.loads(out)
    assert status == 0
    assert (data["mm2"], data["awg"], data["because"]) == (4.0, "12 AWG", "drop")
    assert data["least_mm2"] == 2.9
    assert data["drop"] == 0.026
    assert data["fuse_most"] == "60 A"
    assert any("33 CFR 183.425" in source for source in data["sources"])


def test_numbers_alone_are_in_the_unit_that_is_asked_for() -> None:
    with_units = {
        "--current": "5.5 A", "--length": "6 m", "--system": "12 V", "--drop": "3 %",
        "--insulation": "105 C", "--fuse": "7.5 A",
    }  # fmt: skip  # rows that a reader compares
    bare = {option: text.split()[0].replace(".", ",") for option, text in with_units.items()}
    said = [run("size", *(w for pair in typed.items() for w in pair), "--json")
            for typed in (with_units, bare)]  # fmt: skip  # rows that a reader compares
    assert said[0][2] == 0
    assert said[0] == said[1]


def test_size_of_a_boat_names_the_wires_that_are_too_thin() -> None:
    out, _, status = run("size", str(MUSEUM / "thirsty-pump.toml"), "M1")
    assert status == 0
    assert out.rstrip().endswith("Too thin: W4, W5")


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--current", "5 V", "--length", "6 m"), '"V" is the unit of another kind of quantity'),
        (("--current", "five", "--length", "6 m"), '--current: found "five"; write a current'),
        (("--current", "5 A"), "size needs --current and --length"),
        (("--current", "0 A", "--length", "6 m"), '--current: found "0 A"; write more than 0'),
        (
            ("--current", "5 A", "--length", "6 m", "--insulation", "40 C"),
            "the table begins at 60 C",
        ),
    ],
)
def test_size_says_in_a_sentence_what_it_cannot_read(arguments: tuple, says: str) -> None:
    out, err, status = run("size", *arguments)
    assert (out, status) == ("", 1)
    assert says in err


def test_check_warns_and_passes_and_fails_where_it_is_strict() -> None:
    bad = str(MUSEUM / "pump-held-fast.toml")
    out, _, status = run("check", bad)
    assert status == 0
    (warning,) = [line for line in out.splitlines() if line.startswith("warning:")]
    assert bad in warning
    assert "part F3: locked rotor" in warning
    out, err, status = run("check", bad, "--strict")
    assert status == 1
    assert "warning:" in out
    assert "Traceback" not in err


def test_a_strict_check_passes_what_has_no_warning() -> None:
    out, _, status = run("check", str(MUSEUM / "good.toml"), "--strict")
    assert status == 0
    assert "warning:" not in out


def test_survey_prints_a_report_to_keep() -> None:
    out, _, status = run("survey", str(MUSEUM / "no-main-fuse.toml"))
    assert status == 0
    assert "1. W1, no protection:" in out
    assert "To put it right:" in out
    assert "replaces neither" in out
