"""Lessons in a real browser: nothing answers a question before the reader does."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Page, expect

from labkit.lessons.lesson import Lesson
from tests.browser import lessons
from tests.browser.lab import Server, run_all

Opener = Callable[..., Page]
FILE = next(file for file in lessons.FILES if file.stem.startswith("05"))


@pytest.fixture
def whole(server: Server) -> Iterator[Server]:
    """A server that puts whole notebooks on the page, with the course on it."""
    shutil.rmtree(server.records, ignore_errors=True)  # what was answered is shown again
    lessons.settle(server)
    lessons.lay(server)
    yield server
    server._set("notebook-extension", "tracker", {"autoStartDefaultKernel": True})


def test_neither_before_it_is_run_nor_after_does_a_lesson_show_an_answer(
    whole: Server, open_notebook: Opener
) -> None:
    path = whole.files / "lessons" / f"{FILE.stem}.ipynb"
    page = open_notebook(path, width=1300, height=800, run=False, fresh=True)
    page.get_by_text("Red behind the splice").first.wait_for()
    assert list(lessons.given_away(Lesson(FILE), page.evaluate(lessons.SEEN))) == []

    run_all(page)
    card = page.locator(".labkit-card").filter(has_text="Red behind the splice")
    card.first.wait_for()
    page.wait_for_timeout(3000)
    assert list(lessons.given_away(Lesson(FILE), page.evaluate(lessons.SEEN))) == []
    assert page.evaluate(lessons.SCROLLED) == 0  # the reader is at its top

    beside = page.locator(".labkit-course a")
    assert [a.partition(":")[0] for a in beside.all_inner_texts()] == ["Before", "Next"]
    expect(page.locator(".labkit-card .labkit-term").first).to_be_visible()

    for place, answer in (("before the splice", "12,7"), ("What now", "12.7"), ("And now", "7 V")):
        box = page.locator(".labkit-card").filter(has_text=place).get_by_label("I expect")
        box.fill(answer)
        box.press("Enter")
    expect(page.locator(".labkit-behind").first).to_contain_text("across X1")
