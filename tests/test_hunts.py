"""Every hunt shipped can be named and proven by what a learner has at hand."""

import json
import re
import tomllib
from collections import Counter

import pytest

from labkit.exercises.exercise import load_exercise
from labkit.hunts.kept import KeptHunt
from labkit.parts import KINDS, UNIVERSAL
from labkit.questions import NameFault
from labkit.widgets import HuntCard
from tests.boats import ROOT, share
from tests.families import all_families

FILES = sorted((ROOT / "exercises").glob("*.toml"))


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_every_fault_dealt_has_a_name_the_learner_can_choose(file):
    exercise = load_exercise(file)
    for number in range(len(exercise.variants)):
        dealt = exercise.variant(number)
        question = NameFault(dealt)
        for fault in dealt.circuit.faults:
            assert any(question.grade(fault.part, word).right for word in question.modes), fault


def test_every_mode_a_part_has_can_be_named():
    modes = {mode for kind in KINDS.values() for mode in kind.modes}
    assert modes <= set(NameFault(load_exercise(FILES[0]).variant(0)).modes.values())


def test_the_hunts_cover_every_family_over_many_boats():
    found = all_families()
    counted = Counter(name for names in found.values() for name in names)
    assert len(found) >= 14
    assert len({load_exercise(file).circuit.file for file in found}) >= 8
    modes = [mode for kind in KINDS.values() for mode in ({**kind.modes, **UNIVERSAL}).values()]
    assert {mode.family for mode in modes} <= {*counted, "something else"}
    assert counted["return side"] >= 3
    assert counted["undrawn"] >= 2
    assert counted["points elsewhere"] >= 2
    assert counted["two at once"] >= 2
    assert counted["the fuse is the victim"] >= 1


def test_no_two_boats_have_one_name():
    files = (ROOT / "exercises").rglob("circuits/*.toml")
    titles = [tomllib.loads(file.read_text(encoding="utf-8"))["title"] for file in files]
    names = [re.search(r"the [a-z -]+ ((?:[A-Z]\w+ ?)+)", title) for title in titles]
    counted = Counter(found[1].strip() for found in names if found)
    assert len(counted) > 40
    assert not [name for name, times in counted.items() if times > 1]


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_every_hunt_is_told_in_full(file):
    table = tomllib.loads(file.read_text(encoding="utf-8"))
    assert table.keys() >= {"complaint", "par", "cautions", "proof"}
    told = [{**table, **variant} for variant in table.get("variant", [{}])]
    assert all(one.keys() >= {"seen", "cause"} and len(one["seen"]) >= 2 for one in told)
    assert len(table["cautions"]) >= 2
    exercise = load_exercise(file)
    assert all(len(cause) > 40 for cause in exercise.causes)  # what failed, and why
    circuit = tomllib.loads((file.parent / table["circuit"]).read_text(encoding="utf-8"))
    parts = [part for run in circuit["run"] for part in run.get("parts", []) if "is" in part]
    assert all("reach" in part for part in parts)


def states(widget):
    """What the page is told of a widget and of all within it."""
    yield json.dumps(widget.get_state(), default=str)
    for child in getattr(widget, "children", ()):
        yield from states(child)


@pytest.mark.parametrize("file", share(FILES, 2, first=1), ids=lambda file: file.stem)
def test_a_hunt_just_begun_gives_nothing_away(file, tmp_path):
    exercise = load_exercise(file)
    hunt = KeptHunt(exercise, "Ada", tmp_path)
    card = HuntCard(hunt)
    hunt.bench.read("G1:+")
    kept = hunt.attempt.path.read_text(encoding="utf-8")
    told = " ".join([*states(card), repr(card), repr(hunt.bench), str(hunt.bench.log), kept])
    for faults, cause in zip(exercise.variants, exercise.causes, strict=True):
        assert not any(fault in told for fault in faults)
        assert cause[:40] not in told
    for part in exercise.circuit.parts.values():
        assert not part.hidden or not re.search(rf"\b{part.id}\b", told)
