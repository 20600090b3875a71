"""The bench under fingers: pinched, dragged, tapped on a touch screen that a browser emulates."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, CDPSession, Page, expect

from labkit import load_circuit
from labkit.aboard.bench import Bench
from labkit.widgets import ClickBench
from tests.browser.lab import ROOT
from tests.browser.test_hands import PAGE, WIDGETS, state

PLACED = """() => {
    const box = document.querySelector('.sheet').getBoundingClientRect();
    return [box.left, box.top, box.width];
}"""


@pytest.fixture(scope="module")
def telephone(browser: Browser) -> Iterator[Page]:
    view = ClickBench(Bench(load_circuit(ROOT / "exercises" / "circuits" / "washdown.toml")))
    context = browser.new_context(viewport={"width": 400, "height": 800}, has_touch=True)
    page = context.new_page()

    def handle(asked: str) -> str:
        view.handle(json.loads(asked))
        return state(view)

    page.expose_function("handle", handle)
    script = json.dumps(ClickBench._esm)
    style = (WIDGETS / "bench.css").read_text(encoding="utf-8")
    page.set_content(PAGE.format(
        colors="", style=style, light="true", paper="#fff", script=script, state=state(view),
    ))  # fmt: skip  # rows that a reader compares
    page.locator(".sheet .probe").first.wait_for()
    page.wait_for_timeout(500)  # laid out anew for a narrow page
    yield page
    context.close()


@pytest.fixture
def fingers(telephone: Page) -> CDPSession:
    telephone.get_by_role("button", name="whole").click()
    return telephone.context.new_cdp_session(telephone)


def drawn(fingers: CDPSession, *ways: tuple[tuple[float, float], tuple[float, float]]) -> None:
    """Put a finger at the beginning of each way, move all to their ends, and lift them."""

    def points(share: float) -> list[dict[str, Any]]:
        return [
            {"x": a[0] + share * (b[0] - a[0]), "y": a[1] + share * (b[1] - a[1]), "id": n}
            for n, (a, b) in enumerate(ways)
        ]

    send = fingers.send
    send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": points(0)})
    for step in range(1, 11):
        send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": points(step / 10)})
    send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def middle(page: Page) -> tuple[float, float]:
    box = page.locator(".view").bounding_box()
    assert box
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def spread(page: Page, fingers: CDPSession) -> None:
    x, y = middle(page)
    drawn(fingers, ((x - 30, y), (x - 90, y)), ((x + 30, y), (x + 90, y)))


def test_two_fingers_spread_make_the_drawing_larger_and_not_the_page(
    telephone: Page, fingers: CDPSession
) -> None:
    before = telephone.evaluate(PLACED)[2]
    spread(telephone, fingers)
    assert telephone.evaluate(PLACED)[2] > 1.5 * before
    assert telephone.evaluate("visualViewport.scale") == 1


def test_one_finger_moves_a_drawing_larger_than_its_window_and_clicks_nothing(
    telephone: Page, fingers: CDPSession
) -> None:
    spread(telephone, fingers)
    lines = telephone.locator(".lines li").count()
    left, top, _ = telephone.evaluate(PLACED)
    x, y = middle(telephone)
    drawn(fingers, ((x, y), (x - 60, y - 40)))
    now = telephone.evaluate(PLACED)
    assert now[0] - left == pytest.approx(-60, abs=8)
    assert now[1] - top == pytest.approx(-40, abs=8)
    assert telephone.locator(".lines li").count() == lines
    assert telephone.evaluate("scrollY") == 0


def test_a_tap_puts_a_lead_on_a_point(telephone: Page, fingers: CDPSession) -> None:
    point = telephone.locator(".probe[data-key='W2:2']")
    point.focus()  # which brings it into the drawing's window
    point.tap()
    expect(telephone.locator(".where .red + dd")).to_contain_text("W2:2")
