"""What can be in the hand, and what a touch then does."""

from pathlib import Path

import pytest

from labkit import load_circuit
from labkit.aboard.bench import Bench
from labkit.widgets import ClickBench, PlainBench
from labkit.widgets.model import BenchModel

CIRCUITS = Path(__file__).parents[2] / "exercises" / "circuits"


@pytest.fixture
def washdown() -> BenchModel:
    circuit = load_circuit(CIRCUITS / "washdown.toml").with_fault("X1 resistance 0.8 ohm")
    return BenchModel(Bench(circuit), live=True)


def test_the_jumper_goes_on_at_two_points_and_the_leads_are_in_hand_again(
    washdown: BenchModel,
) -> None:
    washdown.take("jumper")
    washdown.touch("W2:2")
    assert washdown.bench.log == []
    assert washdown.message == "One end of the jumper on 7 (W2:2); choose where the other goes."
    assert [(what, place.key) for what, place in washdown.held] == [("jumper", "W2:2")]
    washdown.touch("X1:2")
    (entry,) = washdown.bench.log
    assert (entry.action, entry.args) == ("jumper", {"first": "W2:2", "second": "X1:2"})
    assert (washdown.hand, washdown.held) == ("both", [])


def test_the_jumper_is_taken_away_by_operating_it(washdown: BenchModel) -> None:
    washdown.do("jumper", first="W2:2", second="X1:2")
    assert "jumper" in [spot.id for spot in washdown.drawing.hot_spots]
    washdown.operate("jumper")
    assert washdown.bench.log[-1].action == "lift"
    assert washdown.bench.drawn.bridges == ()


def test_the_first_end_comes_off_again_by_touching_or_lifting_or_changing_hands(
    washdown: BenchModel,
) -> None:
    for undo in (lambda: washdown.touch("panel"), washdown.lift, lambda: washdown.take("red")):
        washdown.take("test lamp")
        washdown.touch("panel")
        assert washdown.clip == "panel"
        undo()
        assert washdown.clip == ""
        assert washdown.message
    assert washdown.bench.log == []


def test_the_test_lamp_shines_on_the_drawing_until_something_is_changed(
    washdown: BenchModel,
) -> None:
    washdown.take("test lamp")
    washdown.touch("W2:2")
    washdown.touch("DC-")
    assert washdown.message == "test lamp 7 (W2:2) to 1 (DC-): is bright"
    assert "test lamp, is bright" in washdown.drawing.svg
    washdown.operate("S1")
    assert "is bright" not in washdown.drawing.svg


def test_the_tool_takes_any_terminal_apart_and_joins_it_again(washdown: BenchModel) -> None:
    washdown.take("take apart")
    assert "M1:1" in [place.key for place in washdown.targets]
    washdown.touch("M1:1")
    assert washdown.seen.parted == {"M1:1"}
    washdown.touch("M1:1")
    assert washdown.seen.parted == frozenset()
    assert [entry.action for entry in washdown.bench.log] == ["part", "join"]


def test_taking_a_tool_in_hand_leaves_the_leads_where_they_are(washdown: BenchModel) -> None:
    washdown.touch("panel")
    washdown.touch("DC-")
    before = [(place.x, place.y) for _, place in washdown.held]
    washdown.take("take apart")
    assert [(place.x, place.y) for _, place in washdown.held] == before


def test_a_load_touched_is_looked_at_and_drawn_as_it_was_seen(washdown: BenchModel) -> None:
    still = washdown.drawing.svg
    washdown.operate("S2")
    washdown.touch("W2:2")
    washdown.touch("X1:2")
    washdown.operate("M1")
    assert [entry.action for entry in washdown.bench.log] == ["switch", "read", "look"]
    assert "M1, motor 7 A, washdown pump, turns noticeably slowly" in washdown.drawing.svg
    washdown.operate("S2")
    assert washdown.drawing.svg == still


def test_a_fuse_that_came_out_blown_is_drawn_so_and_one_put_in_is_not() -> None:
    circuit = load_circuit(CIRCUITS / "horn.toml").with_fault("F3 blown")
    model = BenchModel(Bench(circuit))
    sound = model.drawing.svg
    model.operate("F3")
    assert "F3, fuse 3 A, horn control, out of its holder, blown" in model.drawing.svg
    model.operate("F3")
    assert model.drawing.svg == sound
    model.operate("F3")
    model.do("repair", id="F3")
    assert model.drawing.svg == sound


def test_every_touch_is_said_aloud(washdown: BenchModel) -> None:
    view = ClickBench(washdown.bench)
    for ask, args in (
        ("touch", {"key": "panel"}), ("swap", {}), ("lift", {}), ("take", {"hand": "take apart"}),
        ("touch", {"key": "X1:1"}), ("touch", {"key": "X1:1"}), ("take", {"hand": "jumper"}),
        ("touch", {"key": "X1:1"}), ("touch", {"key": "DC-"}), ("operate", {"id": "F1"}),
    ):  # fmt: skip  # rows that a reader compares
        before = view.said["message"]
        view.handle({"ask": ask, "with": args})
        assert view.said["message"] not in ("", before), (ask, args)


def test_both_benches_log_the_same_for_the_same_acts() -> None:
    circuit = load_circuit(CIRCUITS / "washdown.toml")
    click, plain = ClickBench(Bench(circuit)), PlainBench(Bench(circuit))
    click.handle({"ask": "take", "with": {"hand": "test lamp"}})
    for key in ("X1:2", "DC-"):
        click.handle({"ask": "touch", "with": {"key": key}})
    plain.model.do("test lamp", first="X1:2", second="DC-")
    plain.refresh()
    assert click.history == [line._asdict() for line in plain.model.lines]
    assert click.model.drawing.svg == plain.model.drawing.svg


def test_what_was_seen_is_drawn_again_whenever_the_boat_is_as_it_was_then(
    washdown: BenchModel,
) -> None:
    washdown.operate("S2")
    washdown.operate("M1")
    turning = washdown.drawing.svg
    washdown.operate("S2")
    assert "turns" not in washdown.drawing.svg
    washdown.operate("S2")
    assert washdown.drawing.svg == turning
    washdown.do("repair", id="X1")
    assert "turns" not in washdown.drawing.svg


def test_a_lead_put_down_by_mistake_goes_back_and_the_reading_stays_in_the_log(
    washdown: BenchModel,
) -> None:
    washdown.touch("panel")
    washdown.touch("DC-")
    shown = washdown.display
    washdown.put("red", "X1:2")
    washdown.undo()
    assert (washdown.red, washdown.black, washdown.display) == ("panel", "DC-", shown)
    assert len(washdown.bench.log) == 2
    for _ in range(3):
        washdown.undo()
    assert (washdown.red, washdown.black) == ("", "")
    assert washdown.message == "No lead was moved yet."
