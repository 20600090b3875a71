"""A hunt in one file, opened from the disk with the network cut, worked to its proof and marked."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Download, Page, expect
from typer.testing import CliRunner

from labkit.cli.main import app
from labkit.exercises.exercise import load_exercise
from tests.boats import EXERCISES

HUNT, OTHER = EXERCISES / "slow-washdown.toml", EXERCISES / "chart-lamp-dark.toml"
PATIENCE = 180_000  # of a machine that has other things to do [ms]


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("anywhere") / "hunt.html"
    hunts = ["--exercises", str(HUNT), "--exercises", str(OTHER)]
    words = ["page", str(made), "--quick", *hunts]
    result = CliRunner().invoke(app, words)
    assert result.exit_code == 0, result.exception
    return made


@pytest.fixture(scope="module")
def page(browser: Browser, file: Path) -> Iterator[Page]:
    context = browser.new_context(
        viewport={"width": 360, "height": 780}, color_scheme="dark", offline=True
    )
    made, errors, asked = context.new_page(), list[str](), list[str]()
    made.set_default_timeout(PATIENCE)
    made.on("pageerror", lambda error: errors.append(str(error)))
    made.on("console", lambda said: errors.append(said.text) if said.type == "error" else None)
    made.on("request", lambda request: asked.append(request.url))
    made.goto(file.as_uri())
    made.get_by_label("Your name").fill("Ada")
    made.get_by_role("link", name="The washdown pump that only dribbles").click()
    expect(made.locator(".probe").first).to_be_visible()
    yield made
    context.close()
    assert errors == []
    assert all(url.startswith(("file:", "blob:", "data:")) for url in asked)


def point(page: Page, terminal: str) -> None:
    page.locator(f'.probe[aria-label*="{terminal}"]').first.press("Enter")


def test_one_file_stays_below_thirteen_megabytes(file: Path) -> None:
    assert file.stat().st_size < 13e6


def test_a_hunt_is_worked_to_its_proof_kept_over_a_reload_and_marked(
    page: Page, tmp_path: Path
) -> None:
    page.locator('[data-key="part S2"]').press("Enter")  # waits for Python
    expect(page.locator(".lines li")).to_have_count(1, timeout=PATIENCE)
    point(page, "X1:1")
    point(page, "X1:2")
    expect(page.locator(".lines li")).to_have_count(2)
    before = page.locator(".log .lines").inner_text()
    page.reload()
    expect(page.locator(".lines li")).to_have_count(2, timeout=PATIENCE)
    assert page.locator(".log .lines").inner_text() == before
    fault = load_exercise(HUNT).deal("Ada").circuit.faults[0]
    assert fault.part == "X1"
    page.get_by_label("Part", exact=True).select_option("X1")
    page.get_by_label("How", exact=True).select_option("high resistance")
    page.get_by_role("button", name="Name it").click()
    expect(page.locator(".verdict")).to_contain_text("X1 it is", timeout=PATIENCE)
    page.get_by_label("Do", exact=True).select_option("repair")
    page.get_by_label("Part").last.select_option("X1")
    page.get_by_role("button", name="Do it").press("Enter")
    page.keyboard.press("Enter")  # Yes has the focus, and gives it back
    expect(page.locator(".lines li")).to_have_count(3, timeout=PATIENCE)
    expect(page.get_by_role("button", name="Do it")).to_be_focused()
    page.get_by_role("button", name="Prove the repair").click()
    expect(page.locator(".chosen .over")).to_contain_text("Why it failed", timeout=PATIENCE)
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save this attempt as a file").click()
    saved.value.save_as(tmp_path / saved.value.suggested_filename)
    (mark,) = marks(tmp_path)
    assert mark["proven"]
    assert mark["learner"] == "Ada"


def marks(folder: Path) -> list[dict[str, Any]]:
    """What the attempts of a folder come to, played again."""
    words = ["marks", str(folder), "--exercises", str(EXERCISES), "--json"]
    result = CliRunner().invoke(app, words)
    assert result.exit_code == 0, result.exception
    found: list[dict[str, Any]] = json.loads(result.output)
    return found


def test_the_attempts_of_two_hunts_come_out_together_and_are_both_marked(
    page: Page, tmp_path: Path
) -> None:
    page.get_by_role("link", name="All hunts").click()
    expect(page.locator("#hunts")).to_contain_text("✓ proven")
    page.get_by_role("link", name="No light to plot by").click()
    page.locator(".chosen .handle").first.press("Enter")
    expect(page.locator(".lines li")).to_have_count(1, timeout=PATIENCE)
    files: list[Download] = []
    page.on("download", lambda file: files.append(file))
    page.get_by_role("button", name="Save all 2 attempts").click()
    while len(files) < 2:
        page.wait_for_timeout(50)
    for file in files:
        file.save_as(tmp_path / file.suggested_filename)
    assert {mark["exercise"]: mark["proven"] for mark in marks(tmp_path)} == {
        "The washdown pump that only dribbles": True, "No light to plot by": False,
    }  # fmt: skip  # rows that a reader compares


def test_hunts_are_listed_by_what_they_teach_or_by_level(page: Page) -> None:
    page.get_by_role("link", name="All hunts").click()
    taught = page.locator("#hunts h2").all_inner_texts()
    assert len(taught) == 2
    assert all(heading.startswith("Against ") for heading in taught)
    page.get_by_label("by how hard they are").check()
    assert page.locator("#hunts h2").all_inner_texts() == ["Level 1 of 5", "Level 3 of 5"]
    page.get_by_label("by what they teach").check()
    assert page.locator("#hunts h2").all_inner_texts() == taught


@pytest.mark.parametrize("place", ["", "#hunt-slow-washdown"])
def test_nothing_is_wrong_for_who_cannot_see_it_and_nothing_is_clipped(
    page: Page, place: str
) -> None:
    page.evaluate("place => location.hash = place", place)
    expect(page.locator("#list")).to_be_visible(visible=not place)
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate("document.documentElement.scrollWidth") <= 360


DENIED = """Object.defineProperty(window, "localStorage", {
    get() { throw new DOMException("denied", "SecurityError"); },
});"""


def test_a_browser_that_keeps_nothing_is_said_to_keep_nothing(browser: Browser, file: Path) -> None:
    context = browser.new_context(offline=True)
    context.add_init_script(DENIED)
    page = context.new_page()
    page.goto(file.as_uri())
    expect(page.locator("#kept")).to_contain_text("This browser keeps nothing for this page")
    expect(page.get_by_role("link", name="No light to plot by")).to_be_visible()
    context.close()


@pytest.mark.parametrize("scripts", [False, True])
def test_a_worksheet_prints_whole_and_dark_on_white(
    browser: Browser, file: Path, scripts: bool
) -> None:
    context = browser.new_context(
        java_script_enabled=scripts, offline=True, viewport={"width": 700, "height": 900},
        color_scheme="dark",
    )  # fmt: skip  # rows that a reader compares
    page = context.new_page()
    page.emulate_media(media="print", color_scheme="dark")
    page.goto(f"{file.as_uri()}#hunt-slow-washdown")
    drawing = page.locator("#hunt-slow-washdown figure svg")
    box = drawing.bounding_box()
    assert box is not None
    assert box["x"] + box["width"] <= 700
    assert page.locator("#hunt-slow-washdown .to-write").is_visible()
    if scripts:
        expect(page.locator(".table")).to_have_count(2)
        assert not page.locator(".labkit-bench").first.is_visible()
        ink = drawing.evaluate("one => getComputedStyle(one).getPropertyValue('--ink')")
        assert ink.strip() == "#000"
    context.close()


def test_where_scripts_are_off_it_is_a_worksheet(browser: Browser, file: Path) -> None:
    context = browser.new_context(java_script_enabled=False, offline=True)
    page = context.new_page()
    page.goto(file.as_uri())
    expect(page.locator("figure svg").first).to_be_visible()
    expect(page.locator(".to-write").first).to_be_visible()
    expect(page.get_by_label("Your name")).to_be_hidden()
    context.close()
