"""A hunt in one file, opened from the disk with the network cut, worked to its proof and marked."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect
from typer.testing import CliRunner

from labkit.cli.main import app
from labkit.exercises.exercise import load_exercise
from tests.boats import EXERCISES

HUNT = EXERCISES / "slow-washdown.toml"
PATIENCE = 180_000  # of a machine that has other things to do [ms]


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("anywhere") / "hunt.html"
    words = ["page", str(made), "--quick", "--exercises", str(HUNT)]
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
    expect(page.locator(".over")).to_contain_text("Why it failed", timeout=PATIENCE)
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save this attempt as a file").click()
    saved.value.save_as(tmp_path / saved.value.suggested_filename)
    result = CliRunner().invoke(
        app, ["marks", str(tmp_path), "--exercises", str(EXERCISES), "--json"]
    )
    assert result.exit_code == 0, result.exception
    assert re.search(r'"proven": true', result.output)
    assert '"learner": "Ada"' in result.output


def test_nothing_is_wrong_for_who_cannot_see_it_and_nothing_is_clipped(page: Page) -> None:
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate("document.documentElement.scrollWidth") <= 360


def test_where_scripts_are_off_it_is_a_worksheet(browser: Browser, file: Path) -> None:
    context = browser.new_context(java_script_enabled=False, offline=True)
    page = context.new_page()
    page.goto(file.as_uri())
    expect(page.locator("figure svg")).to_be_visible()
    expect(page.locator("table.to-write")).to_be_visible()
    expect(page.get_by_label("Your name")).to_be_hidden()
    context.close()
