"""Every number of a lesson's prose comes from a boat, a reckoning or a source, or is refused."""

import json

import pytest

from labkit.lessons.checking import check_lesson
from labkit.lessons.numbers import quantities
from tests.boats import EXERCISES

CIRCUIT = EXERCISES / "circuits" / "washdown.toml"
LESSON = f"""\
title = "A lesson"
circuit = "{CIRCUIT}"

[boats]
"on" = {{ faults = ["X1 resistance 1.6 ohm"], positions = {{ S2 = "on" }} }}

[reckoned]
"19 W" = "{{X1:1 X1:2 @ on}} * {{X1 amps @ on}}"

[sources]
"35 W" = "NBSIR 76-1011"

[heat]
choose = "{{X1:1 X1:2 @ on}} times {{X1 amps @ on}}: how many watts?"
right = 1
answers = [["19 W.", "As much as a soldering iron."], ["77 W.", "Too many."]]

[why]
after = "heat"
[[why.show]]
say = "Other joints made up to 35 W."
"""
PROSE = "The splice has 1.6 ohms. Questions that need no computer: 99 V?"


@pytest.fixture
def checked(tmp_path):
    def check(old: str = "", new: str = "") -> list[str]:
        lesson, prose = LESSON.replace(old, new), PROSE.replace(old, new)
        assert not old or (lesson, prose) != (LESSON, PROSE)
        cells = [{"cell_type": "markdown", "id": "splice", "source": [prose]}]
        (tmp_path / "lesson.ipynb").write_text(json.dumps({"cells": cells}))
        (tmp_path / "lesson.toml").write_text(lesson)
        return check_lesson(tmp_path / "lesson.toml")[1]

    return check


def test_numbers_of_boats_reckonings_and_sources_are_accepted(checked):
    assert checked() == []


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("1.6 ohms", "1.7 ohms", "splice: 1.7 ohms is neither measured"),
        ("up to 35 W", "up to 36 W", "why: 36 W is neither measured"),
        ("soldering iron", "kettle of 900 W", "heat: 900 W is neither measured"),
        ('"19 W" = "{', '"18 W" = "{', "reckoned: '18 W': {X1:1 X1:2 @ on} * {X1 amps @ on} is"),
        ("amps @ on}\"\n\n[s", "amps @ on} * {X1 amps @ on}\"\n\n[s", "is 64"),
        ("{X1:1 X1:2 @ on} * ", "print() * ", "only numbers, + - * / **"),
        ('"35 W" = "N', '"35 W, 8 kg" = "N', ""),
        ('"35 W" = "N', '"8 kg" = "N', "sources: '8 kg' stands nowhere in the text"),
        ("19 W.", "21 W.", "heat: 21 W is neither measured"),
    ],
)  # fmt: skip  # rows that a reader compares
def test_a_number_without_an_origin_is_refused_with_its_place(checked, old, new, said):
    found = checked(old, new)
    assert any(said in problem for problem in found) if said else found == []


def test_wrong_choices_and_questions_for_thinking_are_not_held_to_the_boat(checked):
    assert checked("77 W", "78 W") == checked("99 V", "98 V") == []


@pytest.mark.parametrize(
    ("text", "value", "meant", "not_meant"),
    [
        ("1,400 amperes", 1400, 1449, 1460),
        ("100 A", 100, 104, 106),
        ("0.56 thousandths of an ohm", 0.56e-3, 0.5649e-3, 0.57e-3),
        ("12.7 volts", 12.7, 12.74, 12.76),
        ("10 min", 600, 620, 640),
    ],
)
def test_a_number_means_what_its_digits_mean(text, value, meant, not_meant):
    (found,) = quantities(text)
    assert found.value == pytest.approx(value)
    assert found.means(meant)
    assert not found.means(not_meant)


def test_both_ends_of_a_range_are_read_and_letters_are_no_units():
    assert [q.text for q in quantities("25 to 50 mA, point 7 against 8, 12 ABYC")] == [
        "25 mA",
        "50 mA",
    ]
