"""The card of all hunts in a browser: one is opened from it, and can be worked at."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Page, expect

from tests.boats import EXERCISES
from tests.browser.lab import Server

SHOW = """\
from labkit.widgets.ladder_card import LadderCard
LadderCard("few", "Ada")"""


def test_a_hunt_is_opened_from_the_list_and_its_bench_reads(
    server: Server, open_notebook: Callable[..., Page], notebook: Callable[..., Path]
) -> None:
    few = server.files / "few"
    shutil.copytree(EXERCISES / "circuits", few / "circuits")
    for name in ("slow-washdown", "washdown-dead"):
        shutil.copy(EXERCISES / f"{name}.toml", few)
    page = open_notebook(notebook(SHOW))
    expect(page.locator("option", has_text="level")).to_have_count(2)
    cells = page.locator(".jp-Cell")
    before = cells.count()
    page.get_by_label("Hunt", exact=True).focus()
    page.keyboard.type("b")  # would add a cell, were it typed beside the card
    page.get_by_role("button", name="Open this one").click()
    probes = page.locator(".labkit-bench .probe")
    probes.nth(2).click()
    probes.nth(0).click()
    expect(page.locator(".lines li")).to_have_count(1)
    for label in ("Part", "Do"):
        page.get_by_label(label, exact=True).focus()
        page.keyboard.type("b")
    page.get_by_role("button", name="Name it").click()
    expect(page.get_by_text("Choose the part, and how it failed.")).to_be_visible()
    expect(cells).to_have_count(before)
