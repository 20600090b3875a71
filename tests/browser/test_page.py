"""The page to take aboard on a telephone without network: opened from a file, tapped and typed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, expect
from typer.testing import CliRunner

from labkit.cli.main import app
from tests.jobs.test_page import BOAT

TWO = """\
title = "Bilge pump of a 24 V boat"
system = "24 V"
[[run]]
name = "house"
from = "DC-"
to = "house stud"
parts = [{ id = "G1", is = "battery", label = "house battery", emf = "?", capacity = "200 Ah" }]
[[run]]
name = "start"
from = "DC-"
to = "start stud"
parts = [{ id = "G2", is = "battery", label = "start battery", emf = "25.2 V" }]
[[run]]
name = "link"
from = "start stud"
to = "house stud"
parts = [{ id = "S3", is = "switch", label = "both" }]
[[run]]
name = "pump"
from = "house stud"
to = "DC-"
parts = [
  { id = "F2", is = "fuse", rating = "7.5 A" },
  { id = "S2", is = "switch", label = "bilge pump" },
  { id = "W2", is = "cable", size = "2.5 mm2", length = "about 8 m" },
  { id = "M1", is = "motor", label = "bilge pump", voltage = "24 V", current = "4 A" },
]
"""

SMALL = """[...document.querySelectorAll('a, button, summary, input, textarea')]
  .filter((e) => e.checkVisibility() && !e.closest('.skip'))
  .map((e) => [e.outerHTML.slice(0, 80), e.getBoundingClientRect()])
  .filter(([, box]) => box.width < 44 || box.height < 44).map(([text]) => text)"""


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return written(tmp_path_factory.mktemp("aboard"), BOAT, "E1", "dim", 6)


def written(folder: Path, boat: str, load: str, complaint: str, steps: int) -> Path:
    """The page of a new job on a boat."""
    (folder / "boat.toml").write_text(boat)
    run, job = CliRunner().invoke, str(folder / "light.job.toml")
    new = ["job", "new", job, "--boat", str(folder / "boat.toml"), "--load", load]
    for words in (
        [*new, "--complaint", complaint, "--without", "clamp"],
        ["job", "page", job, "--steps", str(steps), "--out", str(folder / "light.html")],
    ):
        result = run(app, words)
        assert result.exit_code == 0, result.exception
    return folder / "light.html"


@pytest.fixture(scope="module")
def telephone(browser: Browser) -> Iterator[BrowserContext]:
    made = browser.new_context(viewport={"width": 360, "height": 780}, has_touch=True, offline=True)
    yield made
    made.close()


@pytest.fixture
def page(telephone: BrowserContext, file: Path) -> Iterator[Page]:
    errors: list[str] = []
    asked: list[str] = []
    made = telephone.new_page()
    made.on("pageerror", lambda error: errors.append(str(error)))
    made.on("console", lambda said: errors.append(said.text) if said.type == "error" else None)
    made.on("request", lambda request: asked.append(request.url))
    made.goto(file.as_uri())
    made.evaluate("localStorage.clear()")
    made.reload()
    yield made
    made.close()
    assert errors == []
    assert all(url.startswith(("file:", "blob:")) for url in asked)


def test_it_fits_a_telephone_and_everybody_can_use_it(page: Page) -> None:
    page.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
    page.locator("#rest-0").fill("12,41")
    page.locator(".yours").last.fill("3")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert page.evaluate(SMALL) == []
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        found = Axe().run(page).response["violations"]
        assert [(v["id"], v["nodes"][0]["html"]) for v in found] == []


def test_the_bands_follow_the_battery_that_is_typed(page: Page) -> None:
    cell, box = page.locator("#sound .band").first, page.locator(".yours").first
    page.locator("#sound summary").first.tap()
    expect(cell).to_contain_text("below")
    page.locator("#rest-0").fill("12,40")
    first = float(cell.inner_text().split()[-2])
    page.locator("#rest-0").fill("12.90")
    assert float(cell.inner_text().split()[-2]) == pytest.approx(first + 0.5, abs=0.02)
    box.fill("12.88")
    expect(box.locator("+ .verdict")).to_have_text("as a sound boat")
    box.fill("11.0")
    expect(box.locator("+ .verdict")).to_contain_text("too low")
    page.locator("#rest-0").fill("11,9")
    expect(page.locator("#rested")).to_contain_text("Charge it")


def test_the_plan_is_tapped_through_and_what_is_read_is_written_down(page: Page) -> None:
    step = page.locator(".step:visible")
    expect(step).to_have_count(1)
    step.get_by_role("link", name="Cannot get there").tap()
    expect(page.locator(".step:visible h3")).to_have_text("Step 2")
    expect(page.locator(".step:visible h3")).to_be_focused()
    expect(page.locator("#said")).to_contain_text("Step 2")
    page.get_by_role("button", name="One step back").tap()
    expect(page.locator(".step:visible h3")).to_have_text("Step 1")
    for _ in range(8):  # along what is typed and what is seen, to an end
        here = page.locator(".step:visible")
        if here.locator(".reads").count():
            here.locator(".reads").fill("11,5")
            here.locator(".reads").press("Enter")
        elif here.locator(".ways .way").count():
            here.locator(".ways .way").first.focus()
            page.keyboard.press("Enter")
        else:
            break
    expect(here).to_contain_text(re.compile("It is|goes no further"))
    assert len(page.locator("#readings").input_value().splitlines()) >= 1


def test_what_is_typed_is_kept_and_comes_out_as_text(page: Page) -> None:
    page.locator("#rest-0").fill("12.4")
    page.locator("#remarks").fill("green at the mast foot")
    page.locator("#part").fill("X1")
    page.locator("#source").fill("12.21")
    page.locator("#load").fill("11,78")
    expect(page.locator("#proven")).to_contain_text("3.6 %")
    expect(page.locator("#kept")).to_contain_text("kept on this device")
    page.reload()
    text = page.locator("#text").input_value()
    assert "G1:+ G1:- volts 12.4 V" in text.splitlines()
    assert "# green at the mast foot" in text
    assert '# labkit job prove light.job.toml --source 12.21 --load 11,78 --part "X1"' in text
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save as a file").tap()
    assert Path(saved.value.path()).read_text() == text


def test_it_says_so_where_nothing_can_be_kept(telephone: BrowserContext, file: Path) -> None:
    page = telephone.new_page()
    page.add_init_script(
        "Object.defineProperty(window, 'localStorage', { get() { throw new Error('no'); } })"
    )
    page.goto(file.as_uri())
    expect(page.locator("#kept")).to_contain_text("keeps nothing")
    page.locator("#rest-0").fill("12.4")
    expect(page.locator("#text")).to_have_value("# light.job.toml\nG1:+ G1:- volts 12.4 V\n")
    page.close()


def test_without_scripts_the_whole_plan_is_there_to_be_followed(
    browser: Browser, file: Path
) -> None:
    context = browser.new_context(
        viewport={"width": 360, "height": 780}, java_script_enabled=False, offline=True
    )
    page = context.new_page()
    page.goto(file.as_uri())
    assert page.locator(".step:visible").count() > 6
    way = page.locator(".step .way").first
    target = way.get_attribute("href")
    way.click()
    assert page.url.endswith(str(target))
    context.close()


def test_each_of_two_batteries_moves_the_bands_that_follow_it(
    telephone: BrowserContext, tmp_path: Path
) -> None:
    page = telephone.new_page()
    page.goto(written(tmp_path, TWO, "M1", "slow", 1).as_uri())
    page.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
    house, start = (
        page.locator(f"#sound .band[data-k^='{k}']").first for k in ("1.000 0", "0.000 1")
    )
    page.locator("#rest-0").fill("24,4")
    expect(house).to_have_text(re.compile(r"24\.\d\d to 24\.\d\d V"))
    expect(start).to_have_text(re.compile("below G2"))
    page.locator("#rest-1").fill("25.6")
    expect(start).to_have_text(re.compile(r"25\.\d\d to 25\.\d\d V"))
    page.locator("#rest-1").fill("24.1")
    expect(page.locator("#rested")).to_have_text("Charge G2 before anything else is judged.")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    page.close()
