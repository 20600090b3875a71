"""The page's own Python shows what this one shows; `python -m tests.anywhere 10000` does more."""

import json
import re
import subprocess
import sys

import pytest

from labkit.anywhere.pack import learners_modules
from labkit.circuits.circuit_file import load_circuit
from labkit.exercises.exercise import load_exercise
from labkit.hunts.replay import replay
from labkit.record.lines import parse
from tests.anywhere.acts import differing
from tests.anywhere.gate import CIRCUITS, gate
from tests.boats import ROOT


def test_the_same_acts_show_the_same_in_the_pages_python():
    boats, differs = gate(200, seed=20261127)
    assert differs == []
    acts = [row for _, _, rows in boats for row in rows]
    assert len(acts) == 200
    assert sum(was[0] != "refused" for _, _, was in acts) > 120


def test_an_act_that_shows_otherwise_is_found():
    reading = ["read", {"red": "G1:+", "black": "DC-", "function": "volts"}, ["12.71 V", [], 0, ""]]
    (found,) = differing(CIRCUITS, [["washdown.toml", "X1 open", [reading]]])
    assert found[:3] == ["washdown.toml", "X1 open", 0]
    assert load_circuit(CIRCUITS / "washdown.toml").title


HUNT = """
import json, sys
for name in ("numpy", "matplotlib", "scipy", "ipywidgets", "anywidget"):
    sys.modules[name] = None
from pathlib import Path
from labkit.anywhere.play import Page
page = Page(Path("exercises"))
told = json.loads(page.open("slow-washdown", "Ada"))
lines = told["lines"]
def ask(what, **given):
    global lines, told
    told = json.loads(page.ask(json.dumps({"ask": what, "with": given})))
    lines += told["lines"]
ask("do", action="switch", id="S2", to="on")
ask("touch", key="X1:1")
ask("touch", key="X1:2")
ask("name", part="X1", mode="high resistance")
ask("do", action="repair", id="X1")
ask("prove")
again = json.loads(page.open("slow-washdown", "Ada", "a.jsonl", lines))
broken = json.loads(page.open("slow-washdown", "Ada", "a.jsonl", lines[:-20]))
print(json.dumps([lines, told, again, broken]))
"""


@pytest.fixture(scope="module")
def played() -> list:
    done = subprocess.run(
        [sys.executable, "-c", HUNT], capture_output=True, text=True, cwd=ROOT, check=False
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_a_hunt_is_worked_to_its_proof_with_nothing_heavy_at_hand(played):
    _, told, _, _ = played
    assert told["states"]["naming"]["proven"]
    assert told["end"]["said"][0].startswith("Why it failed")
    assert any(text.startswith("Cost:") for text in told["end"]["said"])


def test_what_a_page_writes_is_an_attempt_and_comes_out_the_same_when_played_again(
    played, tmp_path
):
    record = parse(tmp_path / "a.jsonl", played[0].encode())
    assert record.finished
    assert not record.damage
    made = replay(record, load_exercise(ROOT / "exercises" / "slow-washdown.toml"))
    assert made.differs == ""
    assert made.hunt.proven is not None


def test_an_attempt_goes_on_and_a_damaged_one_is_left_alone_and_said(played):
    _, _, again, broken = played
    assert again["trouble"] == ""
    assert again["lines"] == ""
    assert len(again["states"]["more"]["lines"]) == 4
    assert broken["trouble"].startswith("a.jsonl: line")
    assert broken["file"] != "a.jsonl"


def test_no_module_of_the_page_loads_what_a_page_does_not_have():
    names = {re.sub(r".*labkit/", "", path.as_posix()) for path in learners_modules()}
    assert {"anywhere/play.py", "widgets/screen.py", "solving/solver.py"} <= names
    assert not {"solving/bulk.py", "widgets/click.py", "diagnosis/session.py"} & names
