"""Fuses and breakers warm, remember, cool and open."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labkit.circuits.circuit import build_circuit, run
from labkit.clock.bodies import individuals
from labkit.clock.melting import COLD, MELTING, melting_of
from labkit.parts import Battery, Breaker, Fuse, Resistor
from labkit.parts.protection import opening_time
from tests.outside.heat import melting_integral

BREAKER = MELTING["breaker"]


@given(st.sampled_from(sorted(MELTING)), st.floats(1.0, 20.0), st.floats(1.0, 3.0))
def test_more_current_never_opens_later(kind: str, share: float, more: float) -> None:
    melting = MELTING[kind]
    later = melting.opens_after(COLD, share**2, melting.reference)
    sooner = melting.opens_after(COLD, (share * more) ** 2, melting.reference)
    assert sooner <= later * (1 + 1e-9)


@given(st.sampled_from(sorted(MELTING)), st.floats(0.0, 5.0), st.floats(0.01, 1e4))
def test_two_steps_end_where_one_does(kind: str, share: float, seconds: float) -> None:
    melting = MELTING[kind]
    once = melting.after((0.1, 0.2), share**2, seconds)
    half = melting.after((0.1, 0.2), share**2, 0.3 * seconds)
    assert melting.after(half, share**2, 0.7 * seconds) == pytest.approx(once, rel=1e-9, abs=1e-12)


def test_a_breaker_remembers_that_it_was_warm() -> None:
    cold = BREAKER.opens_after(COLD, 4.0, 23.0)
    warm = BREAKER.after(COLD, 4.0, 0.9 * cold)
    rested = BREAKER.after(warm, 0.0, 120.0)
    at_once = BREAKER.opens_after(BREAKER.after(warm, 0.0, 20.0), 4.0, 23.0)
    assert at_once < BREAKER.opens_after(rested, 4.0, 23.0) < cold


def test_a_breaker_in_hot_air_opens_sooner_and_at_less() -> None:
    assert BREAKER.opens_after(COLD, 4.0, 60.0) < 0.6 * BREAKER.opens_after(COLD, 4.0, 23.0)
    assert BREAKER.opens_after(COLD, 1.19**2, 23.0) == math.inf
    assert BREAKER.opens_after(COLD, 1.19**2, 60.0) < math.inf


def test_a_fuse_carries_its_rating_for_ever() -> None:
    for kind, melting in MELTING.items():
        assert melting.opens_after(COLD, 1.0, melting.reference) == math.inf, kind


def test_what_has_reached_its_limit_opens_at_once() -> None:
    assert BREAKER.opens_after((0.6, 0.5), 0.0, 23.0) == 0.0


def test_inrush_of_a_lamp_is_nothing_to_a_blade_fuse() -> None:
    # 55 W: 0.84 A2s more than its running current makes; a 7.5 A blade needs over ten times that.
    assert melting_integral(melting_of("blade", 7.5)) * 7.5**2 > 10 * 0.84


def test_the_large_blades_have_limits_of_their_own() -> None:
    assert melting_of("blade", 40.0) == MELTING["blade 35-40"] != melting_of("blade", 30.0)
    assert melting_of("anl", 200.0) == MELTING["maxi"]


def test_every_boats_own_fuse_opens_within_the_limits_of_its_kind_and_always_alike() -> None:
    circuit = build_circuit(
        "fuses",
        run("DC-", "plus", Battery("G1", emf="12 V")),
        run("plus", "DC-", Fuse("F1", rating="10 A"), Breaker("F2", rating="15 A"),
            Resistor("R1", resistance="10 ohm")),
    )  # fmt: skip  # rows that a reader compares
    lots = [individuals(circuit, str(n)) for n in range(100)]
    assert individuals(circuit, "7") == lots[7]
    assert len({lot["F1"] for lot in lots}) == len(lots)
    for id, curve, rating in (("F1", "blade", 10.0), ("F2", "breaker", 15.0)):
        low, high = opening_time(curve, 2.0, rating)
        for lot in lots:
            kind = melting_of(curve, rating)
            took = kind.opens_after(COLD, 4.0, kind.reference, sample=lot[id])
            assert low <= took <= high
