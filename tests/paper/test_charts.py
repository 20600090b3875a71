import re
from itertools import pairwise

import pytest

from labkit.circuits.paths import path_through
from labkit.diagnosis import Diagnosis, parse_seen
from labkit.measuring.meter import read
from labkit.paper.charts import interval, remains, staircase
from labkit.text.messages import CircuitError
from tests.boats import lamp, pump, relay, shipped

PNG = b"\x89PNG"


def test_the_path_goes_from_the_source_through_the_load_and_back():
    steps = path_through(pump(), "M1")
    assert [s.part for s in steps] == ["F1", "X1", "S1", "M1", "W1"]


def test_the_path_of_a_relays_lamp_goes_through_its_contact():
    steps = path_through(relay(), "E1")
    assert [(s.part, s.enter, s.leave) for s in steps][:2] == [("F2", "1", "2"), ("K1", "30", "87")]


@pytest.mark.parametrize("name", ["cabin-panel", "windlass", "bilge-pump", "nav-lights"])
def test_every_load_of_a_boat_has_a_path(name):
    boat = shipped(name)
    for part in boat.parts.values():
        if part.kind in ("motor", "lamp", "electronics"):
            steps = path_through(boat, part.id)
            assert part.id in [s.part for s in steps]
            for one, following in pairwise(steps):
                assert boat.node_of[one.second] == boat.node_of[following.first]
            assert boat.node_of[steps[-1].second] == "DC-"


def test_a_part_on_no_path_is_refused():
    with pytest.raises(CircuitError, match="no part"):
        path_through(pump(), "M9")


def test_the_staircase_says_its_numbers_in_words():
    boat = pump()
    chart = staircase({"sound": boat, "corroded": boat.with_fault("X1 resistance 2 ohm")}, "M1")
    assert "corroded: 12." in chart.alt
    assert repr(chart) == chart.alt
    assert chart.png.startswith(PNG)


def test_a_floating_point_has_no_mark():
    chart = staircase({"apart": lamp().with_position(S1="off", X1="parted")}, "E1")
    assert "none" in chart.alt
    assert chart.png.startswith(PNG)


def test_the_same_chart_is_drawn_the_same():
    charts = [staircase({"sound": pump()}, "M1") for _ in range(2)]
    assert charts[0].svg == charts[1].svg
    assert "#000000" not in charts[0].svg  # ink in the page's colour, light or dark
    one, two = (chart.png for chart in charts)
    assert one == two


def test_a_readings_interval_is_drawn_and_said():
    chart = interval({"across X1": read(pump(), "X1:1", "X1:2")})
    assert "shows" in chart.alt
    assert chart.png.startswith(PNG)


def test_what_remains_names_parts_by_id_and_label_and_their_share_of_belief():
    boat = shipped("washdown")
    slow = parse_seen("M1 look turns at about half speed S2=on", boat)
    unloaded = parse_seen("8 1 volts 12.70 V", boat)
    loaded = parse_seen("8 1 volts 7.04 V S2=on", boat)
    chart = remains(Diagnosis(boat).see(slow, unloaded, loaded), most=3)
    assert "2. point 8 (X1:2) to point 1 (DC-), 12.70 V: strikes out nothing." in chart.alt
    left, struck = chart.alt.split("Left: ")[1].split("Struck out: ")
    assert left.startswith("X1 (crimped splice in the chain locker): corroded, ")
    assert "X2 (splice in the pump's negative tail): corroded, by no. 3" in struck
    assert chart.png.startswith(PNG)


def test_what_remains_counts_everything_once_and_its_shares_make_a_whole():
    boat = shipped("washdown")
    diagnosis = Diagnosis(boat).see(parse_seen("M1 look stands still S2=on", boat))
    for most in (1, 4, 100):
        alt = remains(diagnosis, most).alt
        left, struck = alt.split("Left: ")[1].split("Struck out: ")
        shares = [int(n) for n in re.findall(r"(\d+) %", left)]
        assert sum(shares) == pytest.approx(100, abs=len(shares) / 2)
        others = sum(int(n) for n in re.findall(r"(\d+) others?,", left + struck))
        assert others + left.count("): ") + struck.count("): ") == len(diagnosis.known.names)


def test_before_anything_is_seen_all_suspects_remain():
    alt = remains(Diagnosis(shipped("washdown"))).alt
    assert "Nothing seen yet" in alt
    assert alt.endswith("Struck out: none.")


def test_a_chart_in_a_notebook_has_its_words_as_alt_text():
    chart = staircase({"sound": pump()}, "M1")
    bundle = chart._repr_mimebundle_()
    assert bundle["text/plain"] == chart.alt
    assert f'<img alt="{chart.alt}" ' in bundle["text/html"]
