"""The sheet's own eyes: what it must see, it sees."""

from __future__ import annotations

import pytest

from labkit.drawing.geometry import Box, Label, Shape, Sheet
from labkit.drawing.text import text_width, wrap
from tests.drawing.clashes import clashes, crossings


def label(text: str, box: Box) -> Label:
    return Label(text, box.left, box.bottom, box)


def test_a_label_on_a_symbol_is_seen() -> None:
    sheet = Sheet(
        labels=[label("pump", Box(0, 0, 30, 12))], symbols=[Shape("M1", Box(20, 5, 60, 40))]
    )

    assert [str(clash) for clash in clashes(sheet)] == ["label on symbol: pump and M1"]


def test_a_label_on_a_wire_is_seen_and_one_beside_it_is_not() -> None:
    sheet = Sheet(labels=[label("on", Box(0, 0, 30, 12)), label("off", Box(0, 20, 30, 32))])
    sheet.wire("panel", (-10, 6), (50, 6), (50, 40))

    assert [str(clash) for clash in clashes(sheet)] == ["label on wire: on and panel"]


def test_two_labels_on_one_another_are_seen() -> None:
    sheet = Sheet(labels=[label("a", Box(0, 0, 30, 12)), label("b", Box(29, 11, 60, 24))])

    assert [clash.what for clash in clashes(sheet)] == ["label on label"]


def test_a_wire_through_a_symbol_is_seen() -> None:
    sheet = Sheet(symbols=[Shape("F1", Box(0, 0, 36, 40))])
    sheet.wire("panel", (18, -20), (18, 80))

    assert [clash.what for clash in clashes(sheet)] == ["wire through symbol"]


def test_wires_of_two_nodes_along_one_another_are_seen_but_not_of_one_node() -> None:
    sheet = Sheet()
    sheet.wire("a", (0, 0), (100, 0))
    sheet.wire("a", (50, 0), (150, 0))
    assert not list(clashes(sheet))

    sheet.wire("b", (20, 2), (60, 2))
    assert {clash.what for clash in clashes(sheet)} == {"wire along wire"}


def test_a_crossing_of_two_nodes_is_found_where_it_is() -> None:
    sheet = Sheet()
    sheet.wire("a", (0, 10), (100, 10))
    sheet.wire("b", (40, 0), (40, 50))

    assert crossings(sheet) == [(40, 10)]


@pytest.mark.parametrize("width", [40, 70, 88, 120])
def test_a_label_breaks_only_at_spaces_and_keeps_every_word(width: float) -> None:
    text = "bolted stack behind the extraordinarily long galley locker"

    lines = wrap(text, width)

    assert " ".join(lines) == text
    assert all(text_width(line) <= width or " " not in line for line in lines)


def test_lines_of_a_label_come_out_even() -> None:
    assert wrap("a coil of wire", text_width("a coil of wir")) == ["a coil", "of wire"]
