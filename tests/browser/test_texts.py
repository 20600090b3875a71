"""Texts of a drawing take no more room in a browser than the layout reckons with."""

from __future__ import annotations

from playwright.sync_api import Browser

from labkit import load_circuit
from labkit.drawing import draw
from tests.boats import ROOT

CIRCUITS = sorted((ROOT / "exercises" / "circuits").glob("*.toml"))
MEASURE = """() => [...document.querySelectorAll('svg > .words > text')].map(t => {
    const b = t.getBBox();
    return [t.textContent, b.x, b.y, b.x + b.width, b.y + b.height]; })"""


def test_in_a_browser_every_text_lies_within_the_box_we_reckon_with(browser: Browser) -> None:
    page = browser.new_page()
    for path in CIRCUITS:
        drawing = draw(load_circuit(path), wires=True)
        labels = drawing.placement.sheet.labels
        page.set_content(f"<body style='margin:0'>{drawing.svg}</body>")
        for font in ("Helvetica, Arial, sans-serif", "DejaVu Sans"):
            page.eval_on_selector("svg", "(svg, font) => { svg.style.fontFamily = font }", font)
            boxes = page.evaluate(MEASURE)
            assert [box[0] for box in boxes] == [label.text for label in labels]
            for (text, left, top, right, bottom), label in zip(boxes, labels, strict=True):
                assert left >= label.box.left - 1.5, text
                assert right <= label.box.right + 1.5, text
                assert top >= label.box.top - 1.5, text
                assert bottom <= label.box.bottom + 1.5, text
    page.close()
