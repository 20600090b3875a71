"""The meaning of a trade word: by hover, focus and tap, and out of the way again."""

from __future__ import annotations

import json
from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Locator, Page, expect

from labkit.text.glossary import glossary
from tests.browser.test_hands import WIDGETS

TEXT = """<h2>The splice</h2><p>Before the <b>splice</b> and behind the splice; open it. A bus bar,
<a href="#x">a relay</a> and <code>the coil</code>.</p>"""
PAGE = """<!doctype html><html lang="en"><head><title>Lesson</title><style>{style}</style></head>
<body><main id="book" style="height:300px;overflow:auto"><div style="height:250px"></div>
<div class="jp-RenderedMarkdown">{text}</div><div style="height:900px"></div></main>
<script>{script}; explained(document.getElementById("book"), {terms});</script></body></html>"""


@pytest.fixture(scope="module")
def lesson(browser: Browser) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": 400, "height": 500}, has_touch=True)
    page = context.new_page()
    page.set_content(PAGE.format(
        style=(WIDGETS / "head.css").read_text(encoding="utf-8"), text=TEXT,
        script=(WIDGETS / "terms.js").read_text(encoding="utf-8"),
        terms=json.dumps([[term.means, *term.forms] for term in glossary()]),
    ))  # fmt: skip  # rows that a reader compares
    yield page
    context.close()


@pytest.fixture
def word(lesson: Page) -> Locator:
    lesson.keyboard.press("Escape")
    lesson.evaluate("document.activeElement.blur()")
    return lesson.locator(".labkit-term").filter(has_text="splice")


def meaning(page: Page) -> Locator:
    return page.get_by_role("tooltip")


def test_each_word_is_marked_once_in_a_text_and_never_in_headings_links_and_code(
    lesson: Page, word: Locator
) -> None:
    assert lesson.locator(".labkit-term").all_inner_texts() == ["splice", "bus bar"]


def test_the_meaning_comes_by_focus_and_goes_by_escape(lesson: Page, word: Locator) -> None:
    word.focus()  # which scrolls it into sight
    expect(meaning(lesson)).to_contain_text("connects two lengths of wire")
    assert word.get_attribute("aria-describedby") == meaning(lesson).get_attribute("id")
    found = Axe().run(lesson).response["violations"]
    assert [v["id"] for v in found if v["impact"] in ("serious", "critical")] == []
    lesson.keyboard.press("Escape")
    expect(meaning(lesson)).to_have_count(0)


def test_it_comes_by_hover_and_stays_while_it_is_read(lesson: Page, word: Locator) -> None:
    word.hover()
    meaning(lesson).hover()
    lesson.wait_for_timeout(400)
    expect(meaning(lesson)).to_be_visible()
    lesson.mouse.move(5, 5)
    expect(meaning(lesson)).to_have_count(0)


def test_it_comes_by_tap_within_the_page_and_goes_by_a_tap_elsewhere(
    lesson: Page, word: Locator
) -> None:
    word.tap()
    box = meaning(lesson).bounding_box()
    assert box
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= 400
    lesson.touchscreen.tap(200, 450)
    expect(meaning(lesson)).to_have_count(0)
