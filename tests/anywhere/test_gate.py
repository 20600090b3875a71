"""The page's own Python shows what this one shows; `python -m tests.anywhere 10000` does more."""

import html
import io
import json
import os
import re
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from labkit.anywhere.build import exercises_zip
from labkit.anywhere.laid import lay, worked_out
from labkit.anywhere.pack import learners_modules
from labkit.circuits.circuit_file import load_circuit
from labkit.exercises.dealing import read_story
from labkit.exercises.exercise import load_exercise
from labkit.hunts.debrief import debrief
from labkit.hunts.hunt import Hunt
from labkit.hunts.replay import replay
from labkit.hunts.surveying import graded
from labkit.record.lines import parse
from tests.anywhere import hunts
from tests.anywhere.acts import differing
from tests.anywhere.gate import CIRCUITS, gate
from tests.boats import EXERCISES, ROOT


def test_the_same_acts_show_the_same_in_the_pages_python():
    boats, differs = gate(100, seed=20261127)
    assert differs == []
    acts = [row for _, _, rows in boats for row in rows]
    assert len(acts) == 100
    assert sum(was[0] != "refused" for _, _, was in acts) > 60


def test_an_act_that_shows_otherwise_is_found():
    reading = ["read", {"red": "G1:+", "black": "DC-", "function": "volts"}, ["12.71 V", [], 0, ""]]
    (found,) = differing(CIRCUITS, [["circuits/washdown.toml", "X1 open", [reading]]])
    assert found[:3] == ["circuits/washdown.toml", "X1 open", 0]
    assert load_circuit(CIRCUITS / "circuits" / "washdown.toml").title


def test_hunts_are_worked_as_they_are_by_command_and_one_that_fails_is_said(tmp_path, monkeypatch):
    files = ("slow-washdown", "bilge-fuse-again", "surveys/new-loads")
    laid = [lay(EXERCISES / f"{name}.toml") for name in files]
    zipfile.ZipFile(io.BytesIO(exercises_zip(laid))).extractall(tmp_path)
    rows = hunts.worked(tmp_path / "exercises", "Ada")
    assert [row[:2] for row in rows] == [[Path(name).name, ""] for name in files]
    monkeypatch.setattr(hunts, "surveyed", lambda *_: False)
    monkeypatch.setattr(hunts, "_named", lambda *_: False)
    assert all(failed for _, failed, _ in hunts.worked(tmp_path / "exercises", "Ada"))


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
    return told
ask("do", action="switch", id="S2", to="on")
hints = [ask("hint")["states"]["naming"]["said"] for _ in range(3)]
ask("touch", key="X1:1")
ask("touch", key="X1:2")
while json.loads(page.weigh(0.05)):
    pass
ask("name", part="X1", mode="high resistance")
named = told["states"]["naming"]["said"]
ask("do", action="repair", id="X1")
ask("prove")
end, whole = told, lines
again = json.loads(page.open("slow-washdown", "Ada", "a.jsonl", whole))
broken = json.loads(page.open("slow-washdown", "Ada", "a.jsonl", whole[:-20]))
survey = json.loads(page.open("new-loads", "Ada"))
kept = survey["lines"] + ask("answer", ticked=[])["lines"]
first = told["states"]["survey"]
ask("answer", ticked=[])
boat = json.loads(page.open("plotter-goes-dark", "Ada"))["states"]
print(json.dumps({
    "lines": whole, "told": end, "again": again, "broken": broken, "hints": hints,
    "named": named, "survey": [survey["states"]["survey"], first, told["states"]["survey"]],
    "kept": kept, "boat": boat,
}))
"""


@pytest.fixture(scope="module")
def played(tmp_path_factory) -> dict:
    folder = tmp_path_factory.mktemp("page")
    files = ("slow-washdown", "surveys/new-loads", "whole-boat/plotter-goes-dark")
    laid = [lay(EXERCISES / f"{name}.toml") for name in files]
    laid[0] = worked_out(laid[0], folder, whole=False)
    zipfile.ZipFile(io.BytesIO(exercises_zip(laid))).extractall(folder)
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        [sys.executable, "-c", HUNT],
        capture_output=True, text=True, cwd=folder, check=False, env=environment,
    )  # fmt: skip  # rows that a reader compares
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_a_hunt_is_worked_to_its_proof_with_nothing_heavy_at_hand(played):
    told = played["told"]
    assert told["states"]["naming"]["proven"]
    said = told["end"]["said"]
    assert said[0].startswith("Repair proven")
    assert any(text.startswith("Why it failed") for text in said)
    assert any(text.startswith("Cost:") for text in said)


def test_known_or_lucky_hints_and_the_review_are_those_of_the_notebook(played):
    hunt = Hunt(load_exercise(EXERCISES / "slow-washdown.toml"), "Ada")
    hunt.bench.switch("S2", "on")
    assert played["hints"][0] == f"Hint (2 min): {hunt.hint().text}"
    assert [hint.split(":")[0] for hint in played["hints"]] == [
        f"Hint ({minutes} min)" for minutes in (2, 4, 6)
    ]
    hunt.bench.read("X1:1", "X1:2", "volts")
    verdict = hunt.name("X1", "high resistance")
    assert "Known: " in verdict.text or "Lucky, so far: " in verdict.text
    assert played["named"] == verdict.text
    hunt.bench.repair("X1")
    hunt.prove()
    (row,) = debrief(hunt).rows
    for cell in (row.did, row.shows, f"{row.before} → {row.left}"):
        assert html.escape(cell) in played["told"]["end"]["path"]


def test_a_survey_is_taken_in_a_page(played, tmp_path):
    asked, first, second = played["survey"]
    assert len(asked["claims"]) > 4
    assert not asked["said"]
    assert "missed" in first["said"]
    assert not first["report"]
    assert second["report"]
    record = parse(tmp_path / "s.jsonl", played["kept"].encode())
    exercise = read_story(EXERCISES / "surveys" / "new-loads.toml")
    ((verdict, same),) = graded(record, exercise)
    assert verdict.right is False
    assert same


def test_a_large_boat_is_laid_out_by_sheets(played):
    sheets = played["boat"]["drawing"]["sheets"]
    assert len(sheets["all"]) > 3


def test_what_a_page_writes_is_an_attempt_and_comes_out_the_same_when_played_again(
    played, tmp_path
):
    record = parse(tmp_path / "a.jsonl", played["lines"].encode())
    assert record.finished
    assert not record.damage
    made = replay(record, load_exercise(ROOT / "exercises" / "slow-washdown.toml"))
    assert made.differs == ""
    assert made.hunt.proven is not None
    assert f"{made.hunt.bill}" in played["told"]["end"]["said"]  # hints and all


def test_an_attempt_goes_on_and_a_damaged_one_is_left_alone_and_said(played):
    again, broken = played["again"], played["broken"]
    assert again["trouble"] == ""
    assert again["lines"] == ""
    assert len(again["states"]["more"]["lines"]) == 4
    assert broken["trouble"].startswith("a.jsonl: line")
    assert broken["file"] != "a.jsonl"


def test_no_module_of_the_page_loads_what_a_page_does_not_have():
    names = {re.sub(r".*labkit/", "", path.as_posix()) for path in learners_modules()}
    assert {
        "anywhere/play.py",
        "diagnosis/weigher.py",
        "widgets/screen.py",
        "solving/solver.py",
    } <= names
    assert not {"solving/bulk.py", "widgets/click.py", "diagnosis/session.py"} & names
