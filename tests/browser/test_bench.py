"""The bench in a browser, as a learner meets it: by mouse, by keyboard, narrow, dark, plain."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from labkit import load_circuit
from labkit.aboard.bench import Bench
from labkit.measuring.meter import read
from labkit.widgets.line import typeset
from labkit.widgets.model import BLANK
from tests.browser.lab import ROOT, Server, run_all

CIRCUITS = ROOT / "exercises" / "circuits"
Opener = Callable[..., Page]
Writer = Callable[..., Path]


@pytest.fixture
def bench() -> Bench:
    """The same bench as in the notebook: what it shows is what the page must show."""
    return Bench(load_circuit(CIRCUITS / "washdown.toml").with_fault("X1 resistance 0.8 ohm"))


def violations(page: Page, where: str) -> list[str]:
    """Serious things a checker of accessibility finds in a part of the page."""
    found = Axe().run(page, context=where).response["violations"]
    return [
        f"{v['id']}: {v['help']}: {[node['html'][:160] for node in v['nodes']]}"
        for v in found
        if v["impact"] in ("serious", "critical")
    ]


def unseen(page: Page) -> list[str]:
    """Pictures among the outputs that did not load or say nothing to a screen reader."""
    broken = page.locator(".jp-OutputArea img").evaluate_all(
        "all => all.filter((i) => !i.complete || !i.naturalWidth).map((i) => i.alt)"
    )
    rules = {"runOnly": ["image-alt", "role-img-alt", "svg-img-alt"]}
    found = Axe().run(page, context=".jp-Notebook", options=rules).response
    assert any(p["id"] == "image-alt" and p["nodes"] for p in found["passes"])
    return broken + [node["html"][:160] for v in found["violations"] for node in v["nodes"]]


def put(page: Page, *keys: str) -> None:
    for key in keys:
        point = page.locator(f".probe[data-key='{key}']")
        point.focus()  # which brings it into the drawing's window
        point.click()


def test_the_corroded_joint_is_found_with_the_mouse(
    open_notebook: Opener, notebook: Writer, bench: Bench
) -> None:
    page = open_notebook(notebook("click"))
    display, lines = page.locator(".labkit-bench .display"), page.locator(".lines li")
    expect(page.locator(".message")).to_contain_text("Click a numbered point")
    put(page, "W2:2", "X1:2")
    expect(display).to_have_text(typeset(bench.read("W2:2", "X1:2").display))
    bench.switch("S2", "on")
    page.locator("[data-key='part S2']").click()
    expect(display).to_have_text(typeset(bench.read("W2:2", "X1:2").display))
    expect(page.locator(".labkit-bench .spoken")).to_contain_text("red on W2:2, black on X1:2")
    expect(lines).to_have_count(3)
    expect(page.locator(".minutes")).to_have_text(f"{bench.minutes:.1f} min spent")

    page.get_by_label("Do", exact=True).select_option("part")
    page.get_by_label("at", exact=True).select_option("X1:2")
    page.get_by_role("button", name="Do it").click()
    expect(page.get_by_role("alert").filter(has_text="Caution")).to_contain_text("draws an arc")
    page.get_by_label("Do", exact=True).select_option("join")
    page.get_by_role("button", name="Do it").click()
    expect(page.locator(".cautions")).to_be_empty()
    before = lines.count()
    page.get_by_role("button", name="do line 1 again: volts").click()
    expect(lines).to_have_count(before + 1)
    expect(lines.last).to_contain_text(typeset(bench.read("W2:2", "X1:2").display))

    page.get_by_role("radio", name="ohms").check()
    expect(page.locator(".cautions")).to_contain_text("means nothing")
    assert violations(page, ".labkit-bench") == []


def test_the_corroded_joint_is_found_with_the_keyboard_alone(
    open_notebook: Opener, notebook: Writer, bench: Bench
) -> None:
    page = open_notebook(notebook("click"))
    cells = page.locator(".jp-Notebook .jp-Cell").count()
    page.locator(".probe").first.wait_for()

    def key() -> str | None:
        return page.evaluate("document.activeElement?.dataset.key")

    def tab_to(wanted: str) -> None:
        for _ in range(80):
            if key() == wanted:
                return
            page.keyboard.press("Tab")
        raise AssertionError(f"Tab does not reach {wanted}")

    tab_to("DC-")
    outline = "getComputedStyle(document.activeElement).outlineStyle"
    assert page.evaluate(outline) == "solid"
    page.keyboard.press("b")
    expect(page.locator(".where .black + dd")).to_contain_text("1 (DC-)")
    tab_to("W2:2")
    page.keyboard.press("Enter")
    display = page.locator(".labkit-bench .display")
    assert key() == "W2:2"
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Enter")
    expect(display).to_have_text(typeset(bench.read("W2:2", "X1:2").display))
    tab_to("part S2")
    page.keyboard.press("Space")
    bench.switch("S2", "on")
    expect(display).to_have_text(typeset(bench.read("W2:2", "X1:2").display))
    assert key() == "part S2"

    box = page.locator(".labkit-bench .view").bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] - 40)  # blank paper
    for letter in "baxz":
        page.keyboard.press(letter)
    assert page.locator(".jp-Notebook .jp-Cell").count() == cells

    def scale() -> float:
        return float(page.locator(".sheet").evaluate("e => e.style.getPropertyValue('--scale')"))

    whole = scale()
    page.keyboard.press("+")
    assert scale() > 1.2 * whole
    page.keyboard.press("0")
    assert scale() == whole
    page.mouse.move(box["x"] + 200, box["y"] + 100)
    page.keyboard.down("Control")
    page.mouse.wheel(0, -200)
    page.keyboard.up("Control")
    expect(page.locator(".view.larger")).to_have_count(1)
    tab_to("W2:2")  # panned back into sight where it was out of it
    point = page.locator(".probe[data-key='W2:2']").bounding_box()
    assert point is not None
    assert box["x"] <= point["x"] <= point["x"] + point["width"] <= box["x"] + box["width"]
    assert page.evaluate("visualViewport.scale") == 1


def test_the_bench_fits_a_telephone(open_notebook: Opener, notebook: Writer, bench: Bench) -> None:
    page = open_notebook(notebook("click"), width=400, height=800)
    put(page, "panel", "DC-")
    expect(page.locator(".display")).to_have_text(typeset(bench.read("panel", "DC-").display))
    too_wide = page.evaluate("""() => {
        const bench = document.querySelector(".labkit-bench");
        const right = bench.getBoundingClientRect().right + 1;
        return [...bench.querySelectorAll("*")]
            .filter((e) => !e.closest(".view, .spoken, .choice, .row"))
            .filter((e) => e.getBoundingClientRect().right > right).map((e) => e.outerHTML);
    }""")
    assert too_wide == []
    box = page.locator(".probe").first.bounding_box()
    assert box is not None
    assert min(box["width"], box["height"]) >= 24
    drawn, read = (
        page.locator(f".labkit-bench {part}").bounding_box() for part in (".view", ".meter")
    )
    assert drawn is not None
    assert read is not None
    assert (
        read["y"] + read["height"] - drawn["y"] <= 690
    )  # in one screen, below the notebook's bars


def test_the_bench_is_legible_in_the_dark_theme(open_notebook: Opener, notebook: Writer) -> None:
    page = open_notebook(notebook("click", circuit="windlass"), theme="Dark")
    page.locator(".probe").nth(3).click()
    page.locator(".probe").nth(0).click()
    expect(page.locator(".lines li")).to_have_count(1)
    drawn = page.evaluate("""() => {
        const words = document.querySelector(".labkit-drawing .words text");
        const paper = document.querySelector(".labkit-drawing rect.paper");
        return [getComputedStyle(words).fill, getComputedStyle(paper).fill];
    }""")
    ink, paper = (sum(int(n) for n in c[4:-1].split(",")[:3]) for c in drawn)
    assert ink - paper > 450
    assert violations(page, ".labkit-bench") == []


def test_the_plain_bench_finds_the_joint_by_lists_and_buttons(
    open_notebook: Opener, notebook: Writer, bench: Bench
) -> None:
    page = open_notebook(notebook("plain"))
    out = page.locator(".jp-OutputArea-output")
    out.get_by_label("Red lead").select_option(
        label="7: W2:2, X1:1 (supply to the bow; crimped splice in the chain locker)"
    )
    out.get_by_label("Black lead").select_option(label="1: G1:-, X3:2 (DC-)")
    page.get_by_role("button", name="Read the meter").click()
    shown = typeset(bench.read("W2:2", "DC-").display)
    expect(out.get_by_text(shown, exact=True)).to_be_visible()
    page.get_by_role("button", name="on", exact=True).last.click()
    expect(out.locator("ol li")).to_have_count(2)  # each act draws lists and buttons anew
    page.get_by_role("button", name="Read the meter").click()
    bench.switch("S2", "on")
    shown = typeset(bench.read("W2:2", "DC-").display)
    expect(out.get_by_text(shown, exact=True)).to_be_visible()
    expect(out.locator("ol li")).to_have_count(3)
    assert violations(page, ".jp-OutputArea-output") == []


def test_the_lesson_of_the_joint_has_no_dead_widget_before_it_is_run_and_a_bench_after(
    server: Server, open_notebook: Opener
) -> None:
    for folder in ("notebooks", "exercises"):
        shutil.copytree(ROOT / folder, server.files / folder, dirs_exist_ok=True)
    path = server.files / "notebooks" / "05-corroded-joint.ipynb"
    page = open_notebook(path, height=6000, run=False, fresh=True)
    page.locator(".jp-OutputArea-output").first.wait_for()
    for words in ("Error displaying", "Loading widget", "model not found"):
        assert page.get_by_text(words).count() == 0
    pictures = page.locator(".jp-OutputArea img")
    kept = path.read_text(encoding="utf-8").count("<img ")
    assert kept >= 3  # what answers a question is kept out of the stored pages
    expect(pictures).to_have_count(kept)  # also SVG, in a notebook nobody has trusted yet
    assert unseen(page) == []
    run_all(page)

    card = page.locator(".labkit-card", has_text="behind the splice (point 8). What now?")
    card.get_by_role("textbox").fill("12.7 mV")
    card.get_by_role("textbox").press("Enter")
    expect(card.get_by_role("alert")).to_contain_text("Volts, or thousandths of a volt?")
    expect(card.get_by_role("alert")).not_to_contain_text("12.70")  # a hint first
    card.get_by_role("textbox").press("Enter")
    expect(card.get_by_role("alert")).to_contain_text("You said 12.7 mV; the meter shows 12.70 V")
    expect(card.get_by_role("alert")).to_contain_text("a thousand millivolts make a volt")
    choice = page.locator(".labkit-card", has_text="What did his reading prove?")
    expect(choice.locator("input:checked")).to_have_count(0)
    choice.get_by_text("That there is some path").click()
    expect(choice.get_by_role("alert")).to_contain_text("Right.")

    benches = page.locator(".labkit-bench")
    expect(benches).to_have_count(2)
    expect(page.get_by_role("radio", name="volts", checked=True)).to_have_count(2)
    bench = benches.first
    circuit = load_circuit(CIRCUITS / "washdown.toml").with_fault("X1 resistance 1.6 ohm")
    for key in ("W2:2", "X1:2"):
        bench.locator(f".probe[data-key='{key}']").click()
    bench.locator("[data-key='part S2']").click()
    shown = read(circuit.with_position(S2="on"), "W2:2", "X1:2").display
    expect(bench.locator(".display")).to_have_text(typeset(shown))
    expect(benches.last.locator(".display")).to_have_text(BLANK)
    assert violations(page, ".labkit-bench") == []
    assert violations(page, ".labkit-card") == []
    assert unseen(page) == []


def test_a_notebook_taken_up_another_day_shows_its_bench_as_it_was_and_no_error(
    server: Server, open_notebook: Opener, notebook: Writer
) -> None:
    path = notebook('_ = bench.read("panel", "DC-")', "click", "plain")
    page = open_notebook(path)
    expect(page.locator(".lines li")).to_have_count(1)
    page.evaluate("window.jupyterapp.commands.execute('docmanager:save')")
    expect(page.locator(".jp-mod-dirty")).to_have_count(0)
    server.end_kernels()
    page = open_notebook(path, run=False, fresh=True)
    shown = page.locator(".jp-OutputArea img")
    expect(shown).to_have_count(2)
    for picture in shown.all():
        expect(picture).to_have_attribute("alt", re.compile("red 5 .panel., black 1 .DC-.: 12.70"))
    assert page.get_by_text("Error displaying").count() == 0
