"""What is in the hand, on the drawing: by mouse, by keyboard alone, narrow and dark.

The page holds the bench alone, its script and style as shipped, and asks the bench in this process:
quicker than a notebook, and the same from there on.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from itertools import pairwise
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from labkit import load_circuit
from labkit.aboard.bench import Bench
from labkit.widgets import ClickBench
from tests.browser.lab import ROOT
from tests.large_boats import large_boat

CIRCUITS = sorted((ROOT / "exercises" / "circuits").glob("*.toml"))
WIDGETS = ROOT / "labkit" / "widgets"
STATE = ("title", "drawing", "meter", "said", "history", "offers", "naming")
DARK = {
    "layout-color0": "#111", "layout-color1": "#212121", "layout-color2": "#424242",
    "content-font-color1": "#fff", "content-font-color2": "#bdbdbd", "border-color1": "#616161",
    "brand-color1": "#64b5f6",
}  # fmt: skip  # rows that a reader compares
PAGE = """<!doctype html><html lang="en"><head><title>Bench</title><style>{colors}{style}</style>
</head><body data-jp-theme-light="{light}" style="background:{paper}"><main id="place"></main>
<script type="module">
  const script = new Blob([{script}], {{ type: "text/javascript" }});
  const bench = (await import(URL.createObjectURL(script))).default;
  const state = {state}, told = {{}};
  const model = {{
    get: (name) => state[name],
    on: (event, tell) => (told[event] = tell),
    off: () => {{}},
    send: async (asked, called) => {{
      const tell = (state) => called?.iopub?.status({{ content: {{ execution_state: state }} }});
      if (!called) return; // a word to keep the line busy
      const news = JSON.parse(await window.handle(JSON.stringify(asked)));
      for (const [name, value] of Object.entries(news)) {{
        if (JSON.stringify(value) === JSON.stringify(state[name])) continue;
        state[name] = value;
        told[`change:${{name}}`]?.();
      }}
      tell("idle");
    }},
  }};
  bench.render({{ model, el: document.getElementById("place") }});
</script></body></html>"""


def state(view: ClickBench) -> str:
    return json.dumps({name: getattr(view, name) for name in STATE})


Shower = Callable[..., Page]


@pytest.fixture
def show(browser: Browser) -> Iterator[Shower]:
    """Show a bench in a page of its own; complain of errors in its console."""
    errors: list[str] = []
    contexts = []

    def shown(bench: Bench, *, width: int = 1100, dark: bool = False, about: str = "") -> Page:
        view = ClickBench(bench, about=about)

        def handle(asked: str) -> str:
            view.handle(json.loads(asked))
            return state(view)

        context = browser.new_context(
            viewport={"width": width, "height": 900}, color_scheme="dark" if dark else "light"
        )
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda m: errors.append(m.text) if m.type == "error" else None)
        page.on("pageerror", lambda error: errors.append(str(error)))
        page.expose_function("handle", handle)
        colors = "".join(f"--jp-{name}:{color};" for name, color in DARK.items() if dark)
        page.set_content(PAGE.format(
            colors=f":root{{{colors}}}", style=(WIDGETS / "bench.css").read_text(),
            light=json.dumps(not dark), paper="#111" if dark else "#fff",
            script=json.dumps(ClickBench._esm), state=state(view),
        ))  # fmt: skip  # rows that a reader compares
        page.locator(".probe").first.wait_for()
        return page

    yield shown
    for context in contexts:
        context.close()
    assert errors == []


def horn(*faults: str) -> Bench:
    return Bench(load_circuit(ROOT / "exercises" / "circuits" / "horn.toml").with_fault(*faults))


def put(page: Page, *keys: str) -> None:
    for key in keys:
        point = page.locator(f".probe[data-key='{key}']")
        point.focus()  # which brings it into the drawing's window
        point.click()


def take(page: Page, what: str) -> None:
    page.get_by_role("radio", name=what, exact=True).check()


def done(bench: Bench) -> list[tuple[str, ...]]:
    return [(entry.action, *entry.args.values()) for entry in bench.log]


def serious(page: Page) -> list[str]:
    found = Axe().run(page).response["violations"]
    return [f"{v['id']}: {v['help']}" for v in found if v["impact"] in ("serious", "critical")]


def test_jumper_lamp_tool_connector_and_fuse_by_mouse(show: Shower) -> None:
    bench = horn("X2 resistance 2 ohm")
    page = show(bench)
    message = page.locator(".message")
    take(page, "jumper")
    expect(message).to_contain_text("choose the two points it is to join")
    put(page, "W2:2")
    expect(message).to_contain_text("One end of the jumper on 7 (W2:2)")
    expect(page.locator(".leads .labkit-lead-clip")).to_have_count(1)
    before = page.locator(".probe").evaluate_all("all => all.map(e => e.style.cssText)")
    put(page, "K1:87")
    expect(message).to_contain_text("in place")
    after = page.locator(".probe").evaluate_all("all => all.map(e => e.style.cssText)")
    assert after == before  # nothing has moved
    expect(page.locator("[data-part='jumper']")).to_have_count(1)
    expect(page.get_by_role("radio", name="red, then black")).to_be_checked()
    page.locator("[data-key='part M1']").click()
    expect(page.locator("[data-part='M1'] title")).to_contain_text("turns")
    page.locator("[data-key='part jumper']").click()
    expect(page.locator("[data-part='jumper']")).to_have_count(0)

    take(page, "test lamp")
    put(page, "panel", "DC-")
    expect(message).to_contain_text("is bright")
    expect(page.locator("[data-part='test lamp'] title")).to_contain_text("is bright")
    take(page, "take apart")
    put(page, "X2:2")
    expect(message).to_contain_text("apart")
    expect(page.locator("[data-terminal='X2:2']")).to_have_count(1)
    put(page, "X2:2")
    expect(page.locator("[data-terminal='X2:2']")).to_have_count(0)
    page.locator("[data-key='part X1']").click()
    expect(page.locator("[data-part='X1'] title")).to_contain_text("parted")
    page.locator("[data-key='part F3']").click()
    expect(page.locator("[data-part='F3'] title")).to_contain_text("out of its holder")
    assert [act[0] for act in done(bench)] == [
        "jumper", "look", "lift", "test lamp", "part", "join", "switch", "pull",
    ]  # fmt: skip  # rows that a reader compares
    assert serious(page) == []


def test_the_same_by_keyboard_alone_and_said_aloud(show: Shower) -> None:
    bench = horn()
    page = show(bench)
    live = page.locator(".message[role='status']")

    def tab_to(key: str, way: str) -> None:
        for _ in range(90):
            if page.evaluate("document.activeElement?.dataset.key ?? ''") == key:
                return
            page.keyboard.press(way)
        raise AssertionError(f"{way} does not reach {key}")

    def take_by_key(what: str) -> None:
        for _ in range(90):
            if page.evaluate("document.activeElement?.name?.endsWith('-hand')"):
                break
            page.keyboard.press("Tab")
        for _ in range(6):
            if page.evaluate("document.activeElement.value") == what:
                break
            page.keyboard.press("ArrowRight")
        said = {"jumper": "The fused jumper", "take apart": "Choose a terminal to take it apart"}
        expect(live).to_contain_text(said.get(what, f"The {what}"))

    page.locator("body").press("Tab")
    take_by_key("test lamp")
    tab_to("DC-", "Shift+Tab")
    page.keyboard.press("Enter")
    expect(live).to_contain_text("One end of the test lamp on 1 (DC-)")
    page.keyboard.press("Escape")
    expect(live).to_contain_text("The test lamp is off again.")
    for what, keys in (("jumper", ("W2:2", "K1:87")), ("test lamp", ("panel", "DC-"))):
        take_by_key(what)
        tab_to(keys[0], "Shift+Tab")
        page.keyboard.press("Enter")
        expect(live).to_contain_text(f"One end of the {what} on")
        tab_to(keys[1], "Tab" if what == "jumper" else "Shift+Tab")
        page.keyboard.press("Enter")
        expect(live).to_contain_text("in place" if what == "jumper" else "is bright")
    take_by_key("take apart")
    tab_to("X2:1", "Shift+Tab")
    page.keyboard.press("Enter")
    expect(live).to_contain_text("take apart X2:1: apart")
    page.keyboard.press("Enter")
    expect(live).to_contain_text("join X2:1: joined")
    for key, said in (("X1", "parted"), ("F3", "whole"), ("M1", "look at M1")):
        tab_to(f"part {key}", "Tab")
        page.keyboard.press("Enter")
        expect(live).to_contain_text(said)
    tab_to("part jumper", "Tab")
    page.keyboard.press("Enter")
    expect(live).to_contain_text("taken away")
    assert done(bench)[:2] == [
        ("jumper", "W2:2", "K1:87"), ("test lamp", "panel", "DC-"),
    ]  # fmt: skip  # rows that a reader compares
    assert [act[0] for act in done(bench)[2:]] == ["part", "join", "switch", "pull", "look", "lift"]


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_the_hand_fits_a_telephone_in_either_theme(show: Shower, dark: bool) -> None:
    bench = horn()
    page = show(bench, width=400, dark=dark)
    take(page, "test lamp")
    put(page, "panel", "DC-")
    expect(page.locator(".message")).to_contain_text("is bright")
    take(page, "take apart")
    put(page, "X2:1")
    expect(page.locator(".message")).to_contain_text("apart")
    inside = page.evaluate("""() => {
        const right = document.querySelector(".labkit-bench").getBoundingClientRect().right + 1;
        return [...document.querySelectorAll(".labkit-bench *")]
            .filter((e) => !e.closest(".view, .spoken, .choice, .row"))
            .filter((e) => e.getBoundingClientRect().right > right).map((e) => e.outerHTML);
    }""")
    assert inside == []
    assert serious(page) == []


COVERED = """() => {
    const flags = [...document.querySelectorAll(".leads g[transform] :is(circle, rect, path)")];
    const words = [...document.querySelectorAll(".labkit-drawing :is(.words, .point) text")];
    const symbols = [...document.querySelectorAll(".labkit-drawing g.part")];
    const box = (element) => element.getBoundingClientRect();
    const meet = (a, b) =>
        a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
    const on = flags.flatMap((flag) => [...words, ...symbols, ...flags]
        .filter((other) => other !== flag && meet(box(flag), box(other)))
        .map((other) => other.textContent || other.tagName));
    return [flags.length, on];
}"""


# Where flags go on each drawing is held in tests/drawing; here, that they stand there on screen.
@pytest.mark.parametrize("path", CIRCUITS[::5], ids=lambda path: path.stem)
def test_on_screen_no_flag_covers_a_word_a_symbol_or_the_other_flag(
    show: Shower, path: Path
) -> None:
    page = show(Bench(load_circuit(path)))
    keys = [probe.get_attribute("data-key") for probe in page.locator(".probe").all()]
    page.get_by_role("radio", name="low-z").check()  # reads as volts do, and leads stay put
    for red, black in [(key, key) for key in keys[::3]] + list(pairwise(keys))[::4]:
        page.evaluate(
            """async ([red, black]) => {
                const press = (key, lead) => document.querySelector(`.probe[data-key="${key}"]`)
                    .dispatchEvent(new KeyboardEvent("keydown", { key: lead }));
                press(red, "r");
                press(black, "b");
            }""",
            [red, black],
        )
        expect(
            page.locator(f".probe[aria-label*='black lead here'][data-key='{black}']")
        ).to_have_count(1)
        flags, covered = page.evaluate(COVERED)
        assert flags == 2
        assert covered == [], (red, black)


def test_a_large_boat_is_worked_at_sheet_by_sheet(show: Shower) -> None:
    bench = Bench(large_boat(12, panels=3))
    page = show(bench, about="E10", width=400)
    sheet, message = page.get_by_role("combobox", name="Sheet"), page.locator(".message")
    expect(page.locator("[data-key='part E10']")).to_have_count(1)
    assert serious(page) == []
    put(page, "F10:2")
    expect(page.locator(".leads .labkit-lead-red")).to_have_count(1)
    nav = page.get_by_role("navigation", name="Sheets that share a node with this one")
    nav.get_by_role("button", name="to sheet 1, what feeds her").press("Enter")
    expect(message).to_have_text("Sheet 1: what feeds her.")
    expect(sheet).to_be_focused()  # the button that was pressed is no more
    expect(page.locator(".leads .labkit-lead-red")).to_have_count(0)
    expect(page.locator(".where")).to_contain_text("(F10:2), sheet 5")
    put(page, "DC-")
    expect(page.locator(".lines li")).to_have_count(1)
    sheet.select_option("5")
    expect(page.locator("[data-key='part E10']")).to_have_count(1)
    expect(page.locator(".leads .labkit-lead-red")).to_have_count(1)
    page.get_by_role("button", name="the sheet before").click()
    expect(message).to_have_text("Sheet 4: circuit 7.")
    wide = page.evaluate("[document.body.scrollWidth, document.body.clientWidth]")
    assert wide[0] <= wide[1]
