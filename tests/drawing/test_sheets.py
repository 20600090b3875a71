"""A large boat on sheets: every part once, every circuit in the table, names as aboard."""

from __future__ import annotations

import itertools
from xml.etree import ElementTree as ET

import pytest

from labkit.circuits.circuit_file import load_circuit
from labkit.drawing import draw
from labkit.drawing.sheets import Sheets, draw_sheets, is_large
from labkit.drawing.table import WIDEST
from labkit.drawing.text import text_width
from tests.boats import CIRCUITS, EXERCISES, shipped
from tests.drawing.clashes import clashes
from tests.large_boats import large_boat

BOAT = large_boat(12, panels=3)
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def boat() -> Sheets:
    return draw_sheets(BOAT)


def test_boats_of_one_job_stay_on_one_drawing() -> None:
    assert is_large(BOAT)
    assert not is_large(large_boat(8))
    small = [path.stem for path in CIRCUITS if len(shipped(path.stem).parts) <= 60]
    assert not any(is_large(shipped(name)) for name in small)


def test_every_part_is_drawn_once(boat: Sheets) -> None:
    drawings = [boat.feeds, *(one.drawing for one in boat.circuits)]
    drawn = [placed.step.id for drawing in drawings for placed in drawing.placement.parts]
    assert sorted(drawn) == sorted(BOAT.parts)


def test_test_points_have_the_numbers_they_have_aboard(boat: Sheets) -> None:
    aboard = {point.node: point.number for point in BOAT.test_points}
    for drawing in (boat.feeds, *(one.drawing for one in boat.circuits)):
        assert all(aboard[spot.node] == spot.number for spot in drawing.test_points)


def test_sheets_meet_where_their_nodes_do(boat: Sheets) -> None:
    fed = {spot.node for spot in boat.feeds.test_points}
    for one in boat.circuits:
        assert one.bar in fed
        assert one.bar in {spot.node for spot in one.drawing.test_points}


def test_the_table_leads_to_every_sheet_and_back(boat: Sheets) -> None:
    page = ET.fromstring(boat.overview(lambda one: one.file))
    links = [link.get("href") for link in page.iter(f"{SVG}a")]
    assert sorted(links) == sorted(one.file for one in boat.circuits)
    one = ET.fromstring(boat.sheet(boat.circuits[0], "over.svg"))
    assert [link.get("href") for link in one.iter(f"{SVG}a")] == ["over.svg"]


def test_nothing_written_in_the_table_runs_over_its_neighbour_or_off_the_page(
    boat: Sheets,
) -> None:
    page = ET.fromstring(boat.overview())
    width, height = (float(page.attrib[key]) for key in ("width", "height"))
    assert width <= WIDEST
    lines: dict[str, list[tuple[float, float]]] = {}
    (words,) = [g for g in page.findall(f"{SVG}g") if g.get("class") == "words"]
    for text in words.iter(f"{SVG}text"):
        x, y = float(text.attrib["x"]), float(text.attrib["y"])
        bold = "font-weight" in text.attrib
        size = float(text.attrib["font-size"])
        lines.setdefault(text.attrib["y"], []).append(
            (x, x + text_width(text.text or "", size, bold))
        )
        assert y < height
    for spans in lines.values():
        ordered = sorted(spans)
        assert ordered[-1][1] <= width
        assert all(a[1] <= b[0] for a, b in itertools.pairwise(ordered))


def test_a_whole_boat_can_be_drawn_in_one_with_every_part_and_point() -> None:
    boat = large_boat(26, panels=2)
    drawing = draw(boat)
    assert {placed.step.id for placed in drawing.placement.parts} == set(boat.parts)
    assert [spot.number for spot in drawing.test_points] == [p.number for p in boat.test_points]
    assert drawing.width <= 1.3 * WIDEST


def test_every_sheet_of_the_shipped_boat_is_legible_and_fits_its_page() -> None:
    boat = draw_sheets(load_circuit(EXERCISES / "whole-boat" / "curlew.toml"), wires=True)
    for one in boat.circuits[::6]:
        assert one.drawing.width <= WIDEST
        assert [str(clash) for clash in clashes(one.drawing.placement.sheet)] == []
