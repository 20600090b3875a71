"""Circuits solved in textbooks give the answers printed there."""

import re

import pytest

from .checks import failures
from .worked import Example, examples

ALL = [example for group in examples().values() for example in group]


@pytest.mark.parametrize("example", ALL, ids=lambda example: example.name)
def test_a_worked_example_gives_its_printed_answers(example: Example) -> None:
    assert not failures(example.checks()), example.source


def test_at_least_fifty_published_examples_are_worked() -> None:
    published = {re.sub(r"(?<=\d)[a-f]$", "", example.name) for example in ALL}
    assert len(published) >= 50


def test_every_worked_example_names_where_it_was_read_and_has_a_name_of_its_own() -> None:
    books = ("University Physics", "College Physics", "Lessons")
    assert all(example.source.startswith(books) for example in ALL)
    assert len({example.name for example in ALL}) == len(ALL)
