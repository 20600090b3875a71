"""Make the pictures that README.md and the notebooks show: ``python -m tests.pictures``.

Drawings come out the same everywhere; the pixels of charts and of the bench on screen depend on the
fonts of the day, and on the browser.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from playwright.sync_api import Locator, Page

from labkit.aboard.bench import Bench
from labkit.drawing import draw
from labkit.paper.charts import staircase
from labkit.widgets.model import BenchModel
from tests.boats import ROOT, shipped
from tests.browser.lab import laboratory, opened

FOLDER = ROOT / "notebooks" / "pictures"
MOST = 150_000
"""Of a picture. [byte]"""


def drawings() -> dict[str, str]:
    """File name to SVG."""
    return {"washdown.svg": draw(shipped("washdown")).svg}


def charts() -> dict[str, bytes]:
    """File name to PNG."""
    healthy = shipped("washdown")
    corroded = healthy.with_fault("X1 resistance 1.6 ohm")
    cases = {
        "healthy, pump off": healthy,
        "healthy, pump running": healthy.with_position(S2="on"),
        "corroded splice, pump off": corroded,
        "corroded splice, pump running": corroded.with_position(S2="on"),
    }
    return {"staircase.png": staircase(cases, "M1").png}


def clicked(page: Page) -> Locator:
    """The bench on which the corroded splice was found by clicks."""
    for key in ("W2:2", "X1:2"):
        point = page.locator(f".probe[data-key='{key}']")
        point.focus()  # which brings it into the drawing's window
        point.click()
    page.locator("[data-key='part S2']").focus()
    page.locator("[data-key='part S2']").click()
    page.locator(".lines li").nth(2).wait_for()
    page.mouse.move(0, 0)
    return page.locator(".labkit-bench")


def listed(page: Page) -> Locator:
    """The bench of lists on which the same was read."""
    labels = {key: label for label, key in BenchModel(Bench(shipped("washdown"))).points}
    out = page.locator(".jp-OutputArea-output")
    page.get_by_role("button", name="on", exact=True).last.click()
    for lead, point in (("Red lead", "W2:2"), ("Black lead", "X1:2")):
        out.get_by_label(lead).select_option(label=labels[point])
    page.get_by_role("button", name="Read the meter").click()
    out.locator("ol li").nth(1).wait_for()
    return out


class Screen(NamedTuple):
    """A view of the bench, what is done at it, and the page it stands on."""

    view: str
    do: Callable[[Page], Locator]
    width: int = 1000
    theme: str = "Light"


SICK = 'Bench(circuit.without_faults().with_fault("X1 resistance 1.6 ohm"))'
SCREENS = {
    "bench-light.png": Screen(f"ClickBench({SICK})", clicked),
    "bench-dark.png": Screen(f"ClickBench({SICK})", clicked, theme="Dark"),
    "bench-400.png": Screen(f"ClickBench({SICK})", clicked, width=400),
    "bench-plain.png": Screen(f"PlainBench({SICK})", listed),
}
"""File name to what is shown: the bench in JupyterLab."""


def screens() -> dict[str, bytes]:
    """File name to PNG."""
    made = {}
    with laboratory() as lab:
        for name, screen in SCREENS.items():
            at = {"width": screen.width, "height": 2000}
            with opened(lab, name, screen.view, theme=screen.theme, **at) as page:
                made[name] = screen.do(page).screenshot()
    return made


def main() -> None:
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name, svg in drawings().items():
        (FOLDER / name).write_text(svg, encoding="utf-8", newline="\n")
    for name, png in (charts() | screens()).items():
        (FOLDER / name).write_bytes(png)


if __name__ == "__main__":
    main()
