"""The command that lets time pass, as a person gives it."""

from __future__ import annotations

import json

import pytest
from typer.testing import CliRunner

from labkit.cli.clock import clock_time
from labkit.cli.main import app
from labkit.text.messages import CircuitError
from tests.boats import EXERCISES

WASHDOWN = str(EXERCISES / "circuits" / "washdown.toml")


def run(*args: str) -> str:
    done = CliRunner().invoke(app, ["time", *args])
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    assert done.exit_code == 0, done.output
    return str(done.output)


def test_time_prints_the_promised_json() -> None:
    data = json.loads(
        run(WASHDOWN, "--for", "10 min", "--at", "30 s S2=on", "--at", "9 min S2=off",
            "--fault", "X1 resistance 1.6 ohm", "--show", "X1:1", "--show", "X1", "--json")
    )  # fmt: skip  # rows that a reader compares
    assert set(data) >= {"events", "seconds", "volts", "amps", "celsius", "charge", "end"}
    assert set(data["volts"]) == {"X1:1"}
    assert set(data["amps"]) == set(data["celsius"]) == {"X1"}
    assert len(data["seconds"]) == len(data["volts"]["X1:1"]) == len(data["celsius"]["X1"])
    assert len(data["seconds"]) <= 2000
    assert max(data["celsius"]["X1"]) > 300
    assert data["events"][0] == {
        "seconds": 30.0, "part": "S2", "state": "on", "text": "S2 is put to on.",
    }  # fmt: skip  # rows that a reader compares
    assert [e["state"] for e in data["events"] if e["part"] == "X1"][:2] == ["warm", "too hot"]
    assert data["end"]["states"]["S2"] == "off"
    assert set(data["end"]) >= {"volts", "amps", "watts", "speeds", "states", "floating"}


def test_time_prints_all_parts_where_nothing_is_named() -> None:
    data = json.loads(run(WASHDOWN, "--for", "1 min", "--set", "S2=on", "--json"))
    assert set(data["amps"]) >= {"G1", "F1", "X1", "M1"}
    assert "battery stud" in data["volts"]


def test_time_tells_people_what_happens(tmp_path) -> None:  # type: ignore[no-untyped-def]
    chart = tmp_path / "strip.png"
    said = run(WASHDOWN, "--for", "5 min", "--set", "S2=on", "--fault", "M1 seized",
               "--chart", str(chart))  # fmt: skip  # rows that a reader compares
    assert "M1's winding has burnt" in said
    assert chart.read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (("--for", "10"), '--for: found "10" without a unit'),
        (("--for", "9 week", "--at", "3 s"), '--at "3 s": is not a time and what is done then'),
        (("--for", "99 week"), "a year is the most"),
        (("--for", "1 min", "--at", "3 s Q9=on"), "--at \"3 s Q9=on\": no part 'Q9'"),
        (("--for", "1 min", "--at", "3 s S2=up"), "no position 'up'"),
        (("--for", "1 min", "--at", "3 s F1=on"), 'set again: "F1=set"'),
        (("--for", "1 min", "--at", "3 s sea=high"), "sea is on or off"),
        (("--for", "1 min", "--at", "3 s X1 melted"), "cannot be 'melted'"),
        (("--for", "1 min", "--show", "Q9"), "no terminal or node 'Q9'"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(args: tuple[str, ...], says: str) -> None:
    with pytest.raises(CircuitError) as error:
        run(WASHDOWN, *args)
    assert any(says in problem for problem in error.value.problems)


def test_times_are_written_for_people() -> None:
    assert [clock_time(s) for s in (12.34, 245.0, 11520.0, 187200.0)] == [
        "12.3 s", "4 min 05 s", "3 h 12 min", "2 d 04 h",
    ]  # fmt: skip  # rows that a reader compares
