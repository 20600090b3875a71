"""A strip chart says in words what it draws."""

from __future__ import annotations

import pytest

from labkit import CircuitError
from labkit.clock.course import Course
from labkit.clock.playing import play
from labkit.clock.program import parse_program
from labkit.paper.strip_chart import chart, strip_chart
from tests.boats import shipped


def test_a_strip_chart_tells_lines_and_events() -> None:
    circuit = shipped("washdown").with_fault("X1 resistance 1.6 ohm")
    course = Course(circuit, parse_program(["10 s S2=on"], circuit), ["X1", "X1:2"]).play(120.0)
    chart = strip_chart(course.chronicle)
    assert chart.alt.startswith("Strip chart over 120 s: X1:2 ")
    assert "X1 25 C to " in chart.alt
    assert "S2 is put to on." in chart.alt
    assert chart.png.startswith(b"\x89PNG")


def test_lines_that_lie_on_one_another_are_drawn_once() -> None:
    circuit = shipped("washdown").with_position(S2="on")
    chart = strip_chart(Course(circuit).play(60.0).chronicle)
    assert "more" in chart.alt


def test_a_notebook_plays_and_draws_in_one_line() -> None:
    boat = shipped("washdown").with_fault("X1 resistance 1.6 ohm")
    course = play(boat, "2 min", "10 s S2=on", "90 s S2=off", show=["X1", "M1:1", "G1"])
    assert course.seconds == 120.0
    drawn = chart(course)
    assert "S2 is put to off." in drawn.alt
    with pytest.raises(CircuitError, match="S9"):
        play(boat, "2 min", "10 s S9=on")
