"""Which fuses are made, against published ranges and interrupting capacities."""

from __future__ import annotations

import pytest

from labkit.parts import Breaker, Fuse
from labkit.parts.fuse_kinds import INTERRUPTING, RATINGS, is_made, kinds_of, largest_made
from labkit.parts.protection import COLD_RESISTANCE, OPENING_TIMES

MAKER_S_RANGES = {  # a marine maker's fuse selection chart, 2015, page 134 [A]
    "glass": (0.25, 30), "blade": (1, 30), "maxi": (30, 80), "midi": (30, 200),
    "terminal": (30, 300), "anl": (35, 400),
}  # fmt: skip  # rows that a reader compares


@pytest.mark.parametrize(("kind", "ends"), MAKER_S_RANGES.items())
def test_both_ends_of_a_maker_s_range_are_made(kind: str, ends: tuple[float, float]) -> None:
    assert all(is_made(kind, rating) for rating in ends)


def test_no_blade_fuse_is_made_above_40_a_and_bolted_ones_are() -> None:
    assert not is_made("blade", 50)
    assert not is_made("blade", 8)
    assert {"midi", "mega", "terminal", "anl"} <= set(kinds_of(60))


def test_blades_interrupt_1000_a_as_iso_8820_3_asks() -> None:
    assert Fuse("F1", rating="30 A").interrupting == 1000
    assert Fuse("F1", rating="50 A", kind="maxi").interrupting == 1000


def test_a_thermal_breaker_of_30_a_interrupts_900_a_as_federal_item_data_has_it() -> None:
    assert Breaker("F1", rating="30 A").interrupting == 900


def test_what_is_printed_on_the_part_holds() -> None:
    assert Breaker("F1", rating="120 A", interrupts="5000 A").interrupting == 5000


def test_every_kind_has_ratings_a_resistance_an_opening_time_and_a_capacity() -> None:
    assert set(RATINGS) < set(INTERRUPTING)
    assert set(RATINGS) | {"breaker"} == set(COLD_RESISTANCE) == set(OPENING_TIMES)
    for kind, made in RATINGS.items():
        assert list(made) == sorted(made)
        assert Fuse("F1", rating=f"{made[0]} A", kind=kind).own_resistance > 0


def test_the_largest_fuse_made_stays_within_what_is_allowed() -> None:
    assert largest_made(67.5) == 60
    assert largest_made(0.5) == 0
