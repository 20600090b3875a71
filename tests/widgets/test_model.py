"""What a bench on screen does, without a screen."""

from pathlib import Path

import pytest

from labkit import load_circuit
from labkit.aboard.acts import ACTS
from labkit.aboard.bench import Bench
from labkit.parts import Battery
from labkit.widgets.model import BLANK, BenchModel
from tests.boats import share

CIRCUITS = Path(__file__).parents[2] / "exercises" / "circuits"


def model(name: str, *faults: str, live: bool = True) -> BenchModel:
    return BenchModel(Bench(load_circuit(CIRCUITS / f"{name}.toml").with_fault(*faults)), live)


@pytest.fixture
def washdown() -> BenchModel:
    return model("washdown", "X1 resistance 0.8 ohm")


def test_touches_put_red_then_black_and_then_start_anew(washdown: BenchModel) -> None:
    washdown.touch("W2:2")
    assert (washdown.red, washdown.black, washdown.display) == ("W2:2", "", BLANK)
    washdown.touch("DC-")
    assert (washdown.red, washdown.black) == ("W2:2", "DC-")
    assert washdown.bench.readings[-1].black == "DC-"
    assert (washdown.message, washdown.spoken) == ("", washdown.bench.readings[-1].spoken)
    washdown.touch("panel")
    assert (washdown.red, washdown.black, washdown.display) == ("panel", "", BLANK)
    assert len(washdown.bench.log) == 1


def test_with_the_black_lead_parked_each_touch_reads(washdown: BenchModel) -> None:
    washdown.put("black", "DC-")
    washdown.take("red")
    washdown.touch("W2:2")
    washdown.touch("panel")
    assert [entry.args["red"] for entry in washdown.bench.log] == ["W2:2", "panel"]


def test_swapped_leads_show_the_minus_sign_of_print(washdown: BenchModel) -> None:
    washdown.touch("panel")
    washdown.touch("DC-")
    upright = washdown.display
    washdown.swap()
    assert washdown.display == "\N{MINUS SIGN}" + upright
    assert "minus 12" in washdown.spoken


def test_a_meter_left_on_reads_again_when_a_switch_is_moved(washdown: BenchModel) -> None:
    washdown.touch("panel")
    washdown.touch("DC-")
    washdown.operate("S1")
    assert [entry.action for entry in washdown.bench.log] == ["read", "switch", "read"]
    assert washdown.message == "switch S1: off"
    assert washdown.reading is washdown.bench.readings[-1]


def test_a_fuse_is_pulled_by_one_touch_and_fitted_by_the_next(washdown: BenchModel) -> None:
    washdown.operate("F1")
    assert "F1" in washdown.bench.pulled
    assert "F1, fuse 60 A, main fuse, out of its holder" in washdown.drawing.svg
    washdown.operate("F1")
    assert "F1" not in washdown.bench.pulled


def test_a_changeover_switch_goes_round_its_positions() -> None:
    bilge = model("bilge-pump")
    part = next(p for p in bilge.bench.drawn.parts.values() if p.kind == "changeover")
    words = list(part.positions)  # type: ignore[attr-defined]
    seen = []
    for _ in words:
        bilge.operate(part.id)
        seen.append(bilge.bench.drawn.positions[part.id])
    assert sorted(seen) == sorted(words)


def test_a_connection_apart_has_a_place_on_either_side_of_the_gap(washdown: BenchModel) -> None:
    before = len(washdown.places)
    washdown.do("part", terminal="X1:2")
    places = {place.key: place for place in washdown.places}
    assert len(places) == before + 1
    assert places["X1:2"].number == "8'"
    rest = next(p for p in places.values() if p.number == "8")
    assert (rest.x, rest.y) != (places["X1:2"].x, places["X1:2"].y)


def test_amps_are_read_across_a_connection_taken_apart(washdown: BenchModel) -> None:
    for switch in ("S1", "S2"):
        washdown.do("switch", id=switch, to="on")
    washdown.do("part", terminal="X1:2")
    gap = washdown.place("X1:2")
    assert gap is not None
    rest = next(p for p in washdown.places if gap.number == f"{p.number}'")
    washdown.turn_to("amps")
    washdown.touch(gap.key)
    washdown.touch(rest.key)
    assert washdown.reading is not None
    assert 3.0 < washdown.reading.value < 7.0  # type: ignore[operator]


def test_the_clamp_needs_no_black_lead(washdown: BenchModel) -> None:
    washdown.turn_to("clamp")
    washdown.touch("X1:1")
    assert washdown.bench.log[-1].args["function"] == "clamp"
    assert washdown.lines[-1].done == "clamp, 7 (X1:1)"


def test_a_lead_on_a_gap_is_still_on_the_wire_when_the_gap_is_closed(washdown: BenchModel) -> None:
    washdown.do("part", terminal="X1:2")
    washdown.touch("X1:2")
    washdown.do("join", terminal="X1:2")
    place = washdown.place(washdown.red)
    assert place is not None
    assert "X1:2" in place.terminals


def test_a_hazard_is_said_when_it_happens_and_gone_with_the_next_act(washdown: BenchModel) -> None:
    for switch in ("S1", "S2"):
        washdown.do("switch", id=switch, to="on")
    washdown.do("part", terminal="X1:2")
    live, arc = washdown.hazards
    assert "not isolated" in live
    assert "arc" in arc
    washdown.do("join", terminal="X1:2")
    assert washdown.hazards == []


def test_a_hazard_of_moving_a_switch_outlives_the_reading_that_follows(
    washdown: BenchModel,
) -> None:
    for switch in ("S1", "S2"):
        washdown.do("switch", id=switch, to="on")
    washdown.touch("panel")
    washdown.touch("DC-")
    washdown.do("part", terminal="X1:2")
    assert washdown.bench.log[-1].action == "read"
    assert any("arc" in text for text in washdown.hazards)


def test_a_line_of_the_log_is_done_again(washdown: BenchModel) -> None:
    washdown.touch("W2:2")
    washdown.touch("X1:2")
    washdown.lift()
    assert washdown.again(1)
    first, second = washdown.bench.log
    assert (first.args, first.shows) == (second.args, second.shows)
    assert (washdown.red, washdown.black) == ("W2:2", "X1:2")
    assert not washdown.again(99)
    assert "no line 99" in washdown.message


def test_what_is_impossible_is_said_and_not_logged(washdown: BenchModel) -> None:
    assert not washdown.do("pull", id="X1")
    assert "X1 is a joint" in washdown.message
    assert not washdown.do("sing")
    assert washdown.bench.log == []


@pytest.mark.parametrize("path", share(sorted(CIRCUITS.glob("*.toml")), 2), ids=lambda p: p.stem)
def test_every_act_on_offer_can_be_done(path: Path) -> None:
    made = BenchModel(Bench(load_circuit(path)))
    offered = {offer.action for offer in made.offers}
    assert offered <= set(ACTS)
    for offer in made.offers:
        args = {f.name: f.options[-1][1] for f in offer.fields if f.options[-1][1]}
        assert made.do(offer.action, **args), made.message
    batteries = [part for part in made.bench.circuit.parts.values() if isinstance(part, Battery)]
    lead = any(part.chemistry != "lifepo4" for part in batteries)
    assert ("load test" in offered) == lead  # half the cranking amps is a test for lead alone
    depends = {"pull", "fit", "zero", "load test"}  # on what is aboard
    assert offered | {"join", "lift"} | {"read", "switch"} >= set(ACTS) - depends
    assert {"join", "lift"} <= {offer.action for offer in made.offers}


@pytest.mark.parametrize("path", share(sorted(CIRCUITS.glob("*.toml")), 3), ids=lambda p: p.stem)
def test_every_test_point_can_be_read_from_every_function(path: Path) -> None:
    made = BenchModel(Bench(load_circuit(path)), live=True)
    made.take("red")
    for function in ("volts", "clamp", "ohms"):
        made.turn_to(function)
        made.put("black", "DC-")
        for place in made.places:
            made.touch(place.key)
            assert made.reading is not None, made.message
            assert made.place(place.key) == place
