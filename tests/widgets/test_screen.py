"""The door between a page and Python: asks in, changed states out."""

from labkit import load_circuit
from labkit.aboard.bench import Bench
from labkit.widgets.screen import Screen
from tests.boats import ROOT

WASHDOWN = load_circuit(ROOT / "exercises" / "circuits" / "washdown.toml")


def test_first_all_states_are_told_and_then_only_what_changed() -> None:
    screen = Screen(Bench(WASHDOWN))
    assert {*screen.news()} == {"drawing", "meter", "said", "more", "offers", "naming"}
    assert screen.news() == {}
    screen.handle({"ask": "touch", "with": {"key": "X1:1"}})
    assert {*screen.news()} == {"meter", "said"}
    screen.handle({"ask": "touch", "with": {"key": "X1:2"}})
    assert {*screen.news()} == {"meter", "said", "more"}


def test_a_page_asks_for_more_where_more_is_offered_and_for_nothing_else() -> None:
    named = []
    screen = Screen(Bench(WASHDOWN), {"name": lambda part: named.append(part)})
    screen.news()
    screen.handle({"ask": "name", "with": {"part": "X1"}})
    screen.handle({"ask": "bench"})
    screen.handle({})
    assert named == ["X1"]
    assert screen.news() == {}


def test_of_the_log_only_what_is_new_is_told() -> None:
    screen = Screen(Bench(WASHDOWN))
    screen.news()
    for number in range(3):
        screen.model.bench.look("M1")
        told = screen.news()["more"]
        assert told["from"] == number
        assert [line["number"] for line in told["lines"]] == [number + 1]
    assert [line["number"] for line in screen.history] == [1, 2, 3]
