"""A large boat at the bench: the sheet of the work, and what stands on the others."""

from __future__ import annotations

import pytest

from labkit.aboard.bench import Bench
from labkit.drawing.sheets import draw_sheets, pages_of
from labkit.widgets.model import BenchModel
from labkit.widgets.plain_bench import PlainBench
from labkit.widgets.state import drawing_state, meter_state
from tests.boats import shipped
from tests.large_boats import large_boat

BOAT = large_boat(12, panels=3)


@pytest.fixture
def model() -> BenchModel:
    return BenchModel(Bench(BOAT), live=True, about="E10")


def drawn(model: BenchModel) -> set[str]:
    return {placed.step.id for placed in model.drawing.placement.parts}


def test_the_bench_begins_with_the_sheet_of_the_complaint_and_has_the_printed_ones(
    model: BenchModel,
) -> None:
    assert "E10" in drawn(model)
    assert "E4" not in drawn(model)
    printed = draw_sheets(BOAT)
    assert [(one.number, one.name) for one in printed.circuits] == [
        (page.number, page.name) for page in pages_of(BOAT)[1:]
    ]
    assert "sheets" not in drawing_state(BenchModel(Bench(shipped("washdown"))))


def test_sheets_beside_it_are_those_that_share_a_node(model: BenchModel) -> None:
    told = drawing_state(model)["sheets"]
    nodes = {page.number: {*page.nodes} - {"DC-"} for page in pages_of(BOAT)}
    beside = {n for one in told["beside"] for n in one["sheets"]}
    here = told["here"]
    assert beside == {n for n, met in nodes.items() if n != here and met & nodes[here]}
    assert 1 in beside
    assert len(beside) < len(nodes) - 1


def test_a_lead_on_another_sheet_is_told_in_words_and_still_read(model: BenchModel) -> None:
    model.touch("F10:2")
    model.turn_sheet(1)
    assert model.held == []
    assert meter_state(model)["red"].endswith("(F10:2), sheet 5")
    model.touch("DC-")
    assert [what for what, _ in model.held] == ["black"]
    assert model.reading == Bench(BOAT).read("F10:2", "DC-", "volts")


def test_clips_and_leads_move_nothing_and_a_clip_elsewhere_is_told(model: BenchModel) -> None:
    places = [(p.key, p.x, p.y) for p in model.targets]
    model.do("jumper", first="F10:1", second="F10:2")
    assert [(p.key, p.x, p.y) for p in model.targets] == places
    assert [spot.id for spot in model.drawing.hot_spots].count("jumper") == 1
    assert drawing_state(model)["sheets"]["away"] == []
    model.turn_sheet(1)
    [away] = drawing_state(model)["sheets"]["away"]
    assert away.startswith("jumper from ")
    assert "(F10:2), sheet 5" in away


def test_what_is_done_to_a_part_elsewhere_brings_its_sheet(model: BenchModel) -> None:
    model.do("look", id="E8")
    assert "E8" in drawn(model)
    model.do("wait", time="1 min")
    assert "E8" in drawn(model)
    model.turn_sheet(99)
    assert "E8" in drawn(model)


def test_lists_offer_every_point_aboard_once(model: BenchModel) -> None:
    numbers = [label.partition(":")[0] for label, _ in model.points]
    assert numbers == [str(point.number) for point in BOAT.test_points]
    plain = PlainBench(Bench(BOAT), "E10")
    plain.sheet.value = 1
    plain.red.value = "F10:2"
    assert plain.model.sheets is not None
    assert plain.model.sheets.page.number == 1
    assert "what feeds her" in plain.drawing.value
