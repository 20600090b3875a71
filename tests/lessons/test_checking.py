"""Lessons are checked: what is wrong is said in a sentence, and the shipped ones are right."""

import json
from pathlib import Path

import pytest

from labkit.lessons.checking import check_lesson, is_lesson
from labkit.lessons.lesson import Lesson
from labkit.parts.conductors import (
    ampacity,
    awg_area,
    cable_resistance,
    wire_area,
)
from labkit.parts.protection import opening_time
from labkit.solving.solver import solve
from labkit.survey.standards import FUSE_SHARE
from tests.boats import EXERCISES, ROOT, shipped

FILES = sorted((ROOT / "notebooks").glob("*.toml"))
CIRCUIT = EXERCISES / "circuits" / "washdown.toml"
GOOD = f"""\
title = "A lesson"
circuit = "{CIRCUIT}"
points = ["8 X1:2"]

[boats]
"off" = {{ faults = ["X1 resistance 1.6 ohm"] }}
"on" = {{ faults = ["X1 resistance 1.6 ohm"], positions = {{ S2 = "on" }} }}

[figures]
"X1:1 X1:2 @ on" = "5.5 V"

[behind]
predict = "X1:2"
boat = "off"
twin = "on"
ask = "Red behind the splice?"
right = ["12.7 V"]
wrong = {{ "7 V" = "drop without current" }}

[why]
after = "behind"
[[why.show]]
say = "It shows {{X1:2 @ off}}."
"""


@pytest.fixture
def checked(tmp_path):
    def check(*changes: tuple[str, str]) -> list[str]:
        text = GOOD
        for old, new in changes:
            assert old in text
            text = text.replace(old, new)
        (tmp_path / "lesson.toml").write_text(text)
        return check_lesson(tmp_path / "lesson.toml")[1]

    return check


@pytest.mark.parametrize("file", FILES, ids=lambda f: f.stem)
def test_every_shipped_lesson_is_right(file):
    assert is_lesson(file)
    assert check_lesson(file)[1] == []


def test_a_good_lesson_is_found_good(checked):
    assert checked() == []


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('"8 X1:2"', '"7 X1:2"', "point 7 is W2:2"),
        ('"5.5 V"', '"5.6 V"', "the text says 5.6 V; it is 5.4"),
        ('right = ["12.7 V"]', 'right = ["7 V"]', "right: '7 V' is not; the meter shows 12.70 V"),
        ('"drop without current"', '"return is zero"', "not of 'return is zero'"),
        ('wrong = { "7 V"', 'wrong = { "12.7 V"', "'12.7 V' is not wrong"),
        ('ask = "Red', 'ask = "It is 12.70 V. Red', "ask: holds the answer, 12.70 V"),
        ('after = "behind"', 'after = "behid"', "no question 'behid' before it; did you mean"),
        ('[why]\nafter = "behind"\n', "[why]\n", "why: tells 12.70 V, which 'behind' asks for"),
        ("{X1:2 @ off}", "{X9:2 @ off}", "no terminal or node 'X9:2'"),
        ("{X1:2 @ off}", "{X1:2 @ of}", "no boat 'of'; did you mean 'off'"),
        ('boat = "off"', 'boot = "off"', "'predict' has no such key; did you mean 'boat'"),
        ('[behind]\npredict = "X1:2"', "[behind]", "does not say what it is"),
    ],
)
def test_what_is_wrong_in_a_lesson_is_said_with_its_place(checked, old, new, said):
    problems = checked((old, new))
    assert any(said in problem and "lesson.toml" in problem for problem in problems), problems


@pytest.mark.parametrize("file", FILES, ids=lambda f: f.stem)
def test_a_notebook_shows_each_table_of_its_lesson_once_and_in_its_order(file):
    cells = json.loads(file.with_suffix(".ipynb").read_text("utf-8"))["cells"]
    code = ["".join(c["source"]) for c in cells if c["cell_type"] == "code"]
    asked = [line[6:-2] for line in code[1:]]
    lesson = Lesson(file)
    hidden = {name for name in lesson.places if name == "heard"}  # asked again, with more known
    assert asked == [name for name in lesson.places if name not in hidden]
    assert code[0] == f'from labkit import lesson\nhere = lesson("{file.stem}")'


def test_what_lessons_say_of_wires_and_fuses_is_what_the_tables_say():
    said = {Path(f).stem[:2]: f.read_text("utf-8") for f in FILES}
    for gauge in (18, 16, 14, 12, 10, 8):
        row = f'"{gauge} AWG", "{ampacity(gauge):g} A", "{FUSE_SHARE * ampacity(gauge):g} A"'
        assert row in said["07"]
        if gauge > 10:
            assert f'"{gauge} AWG", "{ampacity(gauge):g} A"' in said["03"]
    assert opening_time("blade", 1.1)[0] == pytest.approx(100 * 3600)
    assert opening_time("glass", 1.1)[0] == pytest.approx(4 * 3600)
    assert opening_time("blade", 1.35) == pytest.approx((0.75, 600))
    assert opening_time("glass", 1.35)[1] == pytest.approx(3600)
    assert opening_time("blade", 2.0) == pytest.approx((0.15, 5))
    assert opening_time("blade", 3.5) == pytest.approx((0.04, 0.5))
    assert opening_time("blade", 6.0)[1] == pytest.approx(0.1)
    assert opening_time("blade", 17 / 15)[0] / 3600 == pytest.approx(15, abs=1)
    assert opening_time("blade", 17 / 7.5)[1] == pytest.approx(3, abs=0.1)


FEET = (8 + 4 + 5) / 0.3048
"""What has no unit in the text, or comes of a table; the rest stands in the lessons' `reckoned`."""
RECKONED = {
    "2: R2 and the meter, of 12.7 V": (12.7 * 0.909 / 1.909, 6.05, 0.005),
    "1: salt-wet hands, in milliamperes": (12.7 / 2.33, 5.5, 0.06),
    "18: two in series, shorted, in amperes": (25.4 / 0.012, 2100, 30),
    "3: circular mils of the formula": (10.75 * 2.1 * FEET / 0.36, 3500, 30),
    "4: readings, walking": (sum([*range(1, 12), 11]) / 12, 6.4, 0.05),
    "7: days, about a week": (49.5 / 7.5, 7, 0.5),
    "3: 12 AWG, thousandths of an ohm a metre": (
        cable_resistance(awg_area(12), 1) * 1e3,
        5.2,
        0.05,
    ),
    "3: 1/0 AWG, ohm a kilometre": (cable_resistance(wire_area("1/0 AWG"), 1000), 0.32, 0.005),
    "8: what the coil gets behind 25 ohm": (12.7 * 12 / 37, 4.1, 0.05),
}


@pytest.mark.parametrize("what", RECKONED)
def test_what_lessons_reckon_in_their_texts_is_reckoned_rightly(what):
    reckoned, said, slack = RECKONED[what]
    assert reckoned == pytest.approx(said, abs=slack)


def test_what_lesson_8b_says_of_a_motor_at_standstill_is_so():
    hoist = shipped("hoist")
    motor = hoist.parts["M1"]
    assert 12 / motor.winding(12) == pytest.approx(240)
    assert motor.draws(12) * 6 == pytest.approx(240)
    held = hoist.with_position(S1="on").with_fault("M1 seized")
    assert solve(held.with_fault("X1 resistance 0.15 ohm")).chattering == ("K1",)
    assert solve(held.with_fault("X1 resistance 0.1 ohm")).chattering == ()


def test_splitting_twelve_takes_less_than_four_readings_on_average():
    taken = [halved(1, 12, bad) for bad in range(1, 13)]
    assert max(taken) == 4
    assert sum(taken) / 12 == pytest.approx(3.7, abs=0.05)


def halved(first: int, last: int, bad: int, taken: int = 0) -> int:
    """Readings until the bad part of a row is known, the middle one read each time."""
    if first == last:
        return taken
    middle = (first + last) // 2
    left = (first, middle) if bad <= middle else (middle + 1, last)
    return halved(*left, bad, taken + 1)
