"""Cards as a learner meets them: by keyboard alone, narrow and dark, said by a screen reader."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.boats import EXERCISES
from tests.browser.test_bench import violations

Opener = Callable[..., Page]
Writer = Callable[..., Path]

IMPORTS = f"""\
from labkit.hunts.debrief import debrief
from labkit.exercises.exercise import load_exercise
from labkit.hunts.hunt import Hunt
from labkit.questions import NameFault, Predict, PredictBoth, Remains, Repair, Separate
from labkit.widgets import HuntCard, ask

exercise = load_exercise({str(EXERCISES / "slow-washdown.toml")!r})
splice, ring = "X1 resistance 1.6 ohm", "X3 resistance 1.6 ohm"
off, on = {{"S2": "off"}}, {{"S2": "on"}}
proofs = {{"off": off, "on": on}}
"""
CARDS = (
    'ask(Predict(circuit, "X1:2"))',
    'ask(PredictBoth(circuit, "X1:2", "DC-", off, on))',
    "ask(Separate(exercise.circuit, splice, ring))",
    'ask(Remains(exercise.circuit, ["X1:2 DC- volts 7.04 V S2=on"], [splice, ring]))',
    "ask(NameFault(exercise.deal(), []))",
    'ask(Repair(exercise, exercise.deal(), {"a splice": ["repair X1"]}, proofs))',
)
HUNT = """\
hunt = Hunt(exercise, "Ana")
_ = hunt.bench.switch("S2", "on"), hunt.bench.look("M1"), hunt.bench.read("X1:1", "X1:2")
_ = hunt.name("X1", "high resistance"), hunt.bench.repair("X1")
HuntCard(hunt, plain=True)
"""


def card(page: Page, text: str) -> Locator:
    return page.locator(".labkit-card").filter(has_text=text).last


def answered(which: Locator, with_: str) -> None:
    expect(which.get_by_role("alert")).to_contain_text(with_)


def test_every_card_is_answered_from_the_keyboard_and_its_answer_is_said(
    open_notebook: Opener, notebook: Writer
) -> None:
    page = open_notebook(notebook(IMPORTS, *CARDS))

    predict = page.get_by_label("I expect")
    hears = {"1 V": "Not yet.", "2 V": "You said 2 V;", "3,5": "You said 3,5;", "12.7": "Right."}
    for said, hear in hears.items():  # typed as fast as can be, none cut short
        predict.fill("")
        predict.press_sequentially(said, delay=0)
        predict.press("Enter")
        answered(card(page, "what will the meter show"), hear)

    page.get_by_label("load off").fill("12.7 V")
    page.get_by_label("load on").fill("12.7 V")
    page.get_by_label("load on").press("Enter")
    answered(card(page, "what with the load on"), "Not yet.")

    separate = card(page, "Where do you put the leads")
    separate.get_by_label("Red lead").select_option(
        "8: X1:2, S2:1 (crimped splice in the chain locker; switch beside the pump)"
    )
    separate.get_by_label("S2 switch beside the pump").select_option("on")
    separate.get_by_role("button", name="Commit").press("Enter")
    answered(separate, "Right.")

    remains = card(page, "still possible")
    remains.get_by_label("X1 (crimped splice").press("Space")
    remains.get_by_role("button", name="Commit").press("Enter")
    answered(remains, "Right.")

    name = card(page, "Which part is at fault")
    name.get_by_label("Part").select_option("X1 crimped splice in the chain locker")
    name.get_by_label("How").select_option("high resistance")
    name.get_by_role("button", name="Commit").press("Enter")
    answered(name, "A guess, though")

    repair = card(page, "What do you do about it")
    repair.get_by_label("a splice").press("Space")
    repair.get_by_label("on", exact=True).press("Space")
    repair.get_by_role("button", name="Commit").press("Enter")
    answered(repair, "Right.")

    assert violations(page, ".labkit-card") == []


@pytest.mark.parametrize("theme", ["Light", "Dark"])
def test_a_proven_hunt_is_looked_back_on_within_a_narrow_page(
    open_notebook: Opener, notebook: Writer, theme: str
) -> None:
    page = open_notebook(notebook(IMPORTS, HUNT), width=400, theme=theme)
    page.get_by_role("button", name="Prove the repair").press("Enter")
    steps = page.locator(".labkit-steps").first  # of the learner; the advised ones are folded
    expect(steps).to_contain_text("told most")
    chart = page.locator("img[alt^='Suspects left']")
    expect(chart).to_be_visible()
    room = page.locator(".jp-OutputArea-output").last.bounding_box()
    assert room is not None
    for what in (steps, chart):
        box = what.bounding_box()
        assert box is not None
        assert box["x"] + box["width"] <= room["x"] + room["width"] + 1
    assert violations(page, ".labkit-steps") == []
