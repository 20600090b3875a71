"""The owner's commands, as typed."""

import json

from typer.testing import CliRunner

from labkit.cli.main import app
from tests.ownboat.boats import FOLDER

WATER = str(FOLDER / "water.toml")


def run(*words):
    return CliRunner().invoke(app, list(words))


def test_remains_as_data_has_names_fit_and_advice():
    words = ["remains", WATER, "--complaint", "M1 dead", "--without", "clamp", "--json"]
    readings = ["G1:+ G1:- volts 12.31 V", "X1:2 DC- volts 12,28 S2=on"]
    data = json.loads(run(*words, *[w for r in readings for w in ("--seen", r)]).output)
    assert {"remains", "unlisted", "fits", "farthest", "struck", "alike", "next"} <= data.keys()
    first = data["remains"][0]
    assert {"id", "mode", "fault", "belief"} <= first.keys()
    beliefs = [left["belief"] for left in data["remains"]]
    assert beliefs == sorted(beliefs, reverse=True)
    assert data["fits"] is True
    assert all(advice["function"] != "clamp" for advice in data["next"])
    assert {"F1 blown", "S2 open"} <= {gone["fault"] for gone in data["struck"]}
    assert all(1 <= gone["by"] <= 2 for gone in data["struck"])


def test_remains_says_what_cannot_be_read_all_at_once():
    result = run("remains", WATER, "--seen", "gibberish", "--complaint", "M9 dead",
                 "--without", "glue")  # fmt: skip  # rows that a reader compares
    said = "\n".join(result.exception.problems)
    assert 'seen "gibberish"' in said
    assert "no part 'M9'" in said
    assert "--without glue" in said
