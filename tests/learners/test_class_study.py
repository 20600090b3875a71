"""The class study: its lots, its analysis beside scipy's, its hunts, and its board's figures."""

import csv
import importlib.util
import re
import sys

import numpy as np
import pytest
from scipy import stats

from labkit.circuits.circuit_file import load_circuit
from labkit.exercises.exercise import load_exercise
from labkit.measuring.meter import read
from labkit.text.quantities import VOLTAGE
from tests.boats import EXERCISES, ROOT

FOLDER = EXERCISES / "study"
SPEC = importlib.util.spec_from_file_location("class_study", FOLDER / "class_study.py")
study = importlib.util.module_from_spec(SPEC)
sys.modules["class_study"] = study
SPEC.loader.exec_module(study)


def one_class(tmp_path, effect, n=40, seed=3):
    """A simulated class as files."""
    costs, plan, met = study.classes(1, n, 6, effect, seed)
    for name, rows in {
        "book": study.written_as_book(costs[0], plan, met),
        "plan": [tuple(plan[0]), *(tuple(row.values()) for row in plan)],
    }.items():
        with (tmp_path / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows(rows)
    return tmp_path / "book.csv", tmp_path / "plan.csv"


def test_lots_put_as_many_into_each_group_and_order_and_are_the_same_for_one_seed():
    codes = [f"K{n:03}" for n in range(30)]
    plan = study.lots(codes, 5)
    cells = [(row["group"], row["order"]) for row in plan]
    assert {cells.count(cell) for cell in set(cells)} <= {7, 8}
    assert len(set(cells)) == 4
    assert plan == study.lots(codes[::-1], 5) != study.lots(codes, 6)
    with pytest.raises(ValueError, match="stands there twice"):
        study.lots(["A", "A"], 1)


def test_the_comparison_says_what_student_s_t_says(tmp_path):
    """scipy's t test with equal variances, of the same gains; order is worth little here."""
    found = study.gains(study.read(*one_class(tmp_path, np.log(0.75)))[0])
    mine = study.compare(found)
    theirs = stats.ttest_ind(found.value[found.first], found.value[~found.first])
    interval = theirs.confidence_interval(0.95)
    assert mine.learners == 40
    assert mine.difference == pytest.approx(
        np.mean(found.value[found.first]) - np.mean(found.value[~found.first])
    )
    assert mine.p == pytest.approx(theirs.pvalue, abs=0.02)
    assert (mine.low, mine.high) == pytest.approx((interval.low, interval.high), abs=0.04)


def test_nothing_is_found_where_nothing_is_in_more_than_one_class_of_twenty():
    """400 classes each; two standard errors of 0.05 are 0.022."""
    for k, n in ((3, 20), (6, 12), (6, 40)):
        assert study.found_in(*study.classes(400, n, k, 0.0, seed=n)) <= 0.075


@pytest.mark.parametrize(
    ("k", "n", "effect", "found"),
    [(3, 20, 0.6, 0.65), (6, 20, 0.6, 0.88), (6, 40, 0.7, 0.88), (6, 16, 0.5, 0.96)],
)
def test_what_is_there_is_found_as_often_as_the_formula_of_the_t_test_says(k, n, effect, found):
    """Noncentral t of scipy: scatter of a gain is hypot(0.20, 0.50 times root of 2 over k)."""
    scatter = np.hypot(study.OWN_GAINS, study.REST * np.sqrt(2 / k))
    shift = abs(np.log(effect)) / (scatter * np.sqrt(4 / n))
    formula = stats.nct.sf(stats.t.ppf(0.975, n - 2), n - 2, shift)
    assert formula == pytest.approx(found, abs=0.05)
    seen = study.found_in(*study.classes(400, n, k, np.log(effect), seed=n))
    assert seen == pytest.approx(formula, abs=0.08)


def test_a_class_alone_before_and_after_finds_teaching_where_there_was_none():
    assert study.one_class_alone(study.classes(1000, 40, 6, 0.0)[0]) > 0.2


def test_what_is_left_out_is_what_was_settled_and_is_told_of(tmp_path):
    book, plan = one_class(tmp_path, 0.0, n=12)
    with book.open(encoding="utf-8", newline="") as file:
        head, *cells = csv.reader(file)
    cells[0][head.index("minutes")] = cells[2][head.index("minutes")] = "1.5"
    cells[1][head.index("checked")] = "no"
    who = cells[0][head.index("learner")]
    with book.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([head, *cells])
    hunted, left_out = study.read(book, plan)
    assert len(hunted) == 12 * 12 - 3
    assert "left within 2 minutes" in left_out[0]
    assert "does not play again" in left_out[1]
    found = study.gains(hunted)
    assert len(found.value) == 11
    assert sum(found.without.values()) == 1
    assert sum(one.learner == who for one in hunted) == 9


def test_hunts_of_both_forms_are_shipped_played_by_no_lesson_and_as_hard_as_one_another():
    with (FOLDER / "hunts.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["form"] for row in rows] == ["A"] * 6 + ["B"] * 6
    lessons = "".join(path.read_text("utf-8") for path in (ROOT / "notebooks").glob("*.toml"))
    for row in rows:
        assert load_exercise(EXERCISES / f"{row['file']}.toml").title == row["title"]
        assert f"{row['file']}.toml" not in lessons
    for key, most in (("failed", 0.05), ("cost", 6.0)):
        a, b = ([float(row[key]) for row in rows if row["form"] == form] for form in "AB")
        assert abs(np.mean(a) - np.mean(b)) <= most, key


LEADS = {
    "fuse F1, outlet, and minus": ("F1:2", "DC-"),
    "switch S2, outlet, and minus": ("S2:2", "DC-"),
    "lamp, plus side, and minus": ("E1:1", "DC-"),
    "lamp, minus side, and minus": ("E1:2", "DC-"),
    "both sides of the lamp": ("E1:1", "E1:2"),
    "both sides of box A": ("X1:1", "X1:2"),
    "both sides of box B": ("X2:1", "X2:2"),
    "both sides of the fan": ("M1:1", "M1:2"),
}


def test_the_board_s_table_is_what_its_circuit_gives():
    sound = load_circuit(FOLDER / "circuits" / "board.toml").with_position(S2="on", S3="on")
    boats = [sound, *(sound.with_fault(f"{id} resistance 3.3 ohm") for id in ("X2", "X1"))]
    lines = (FOLDER / "board.md").read_text("utf-8").splitlines()
    rows = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines]
    table = {row[0]: row[1:] for row in rows if row[0] in LEADS}
    assert table.keys() == LEADS.keys()
    for place, leads in LEADS.items():
        for said, boat in zip(table[place], boats, strict=True):
            volts = VOLTAGE.parse(re.sub(r" \(.*", "", said))
            assert volts == pytest.approx(read(boat, *leads).value, abs=0.006), place


@pytest.mark.parametrize("file", sorted(FOLDER.glob("*.md")), ids=lambda file: file.stem)
def test_its_pages_fit_a_printed_line(file):
    for line in file.read_text("utf-8").splitlines():
        assert len(line) <= 80 or line.startswith(("|", "    ")), line
