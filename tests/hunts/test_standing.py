"""A long hunt goes on from where it was last written down, and stands there as if never left."""

import random

import pytest

from labkit.aboard.bench import Bench
from labkit.exercises.exercise import load_exercise
from labkit.hunts.kept import KeptHunt
from labkit.hunts.replay import replay
from labkit.hunts.standing import EVERY, KIND
from labkit.record import read_record
from labkit.record.lines import encode
from labkit.text.messages import CircuitError
from tests.boats import EXERCISES

EXERCISE = load_exercise(EXERCISES / "slow-washdown.toml")
LAST = (
    ("look", {"id": "M1"}), ("infrared", {"id": "X1"}), ("switch", {"id": "S2", "to": "on"}),
    ("read", {"red": "W2:1", "black": "DC-", "function": "clamp"}), ("wait", {"time": "20 min"}),
    ("touch", {"id": "X1"}), ("read", {"red": "X1:1", "black": "X1:2"}),
)  # fmt: skip  # rows that a reader compares


def _act(hunt: KeptHunt, dice: random.Random) -> None:
    """Do something at random, of every sort that leaves a trace in the boat or the person."""
    bench = hunt.bench
    points = [terminal for point in bench.drawn.test_points for terminal in point.terminals]
    parts, apart = list(bench.drawn.parts), sorted(bench.drawn.parted)
    does = [
        lambda: bench.switch("S2", dice.choice(["on", "off"])),
        lambda: bench.look("M1"),
        lambda: bench.touch(dice.choice(parts)),
        lambda: bench.join(apart[0]) if apart else bench.part(dice.choice(points)),
        lambda: bench.jumper(dice.choice(points), dice.choice(points)),
        lambda: bench.test_lamp(dice.choice(points), dice.choice(points)),
        lambda: bench.lift(dice.choice(["jumper", "test lamp"])),
        lambda: bench.isolate(dice.choice(parts)),
        lambda: bench.fit(dice.choice(["F1", "F2"]), dice.choice(["", "10 A"])),
        lambda: bench.zero(),
        lambda: bench.read(dice.choice(points), function="clamp"),
        *[lambda: bench.read(dice.choice(points), dice.choice(points))] * 8,
        *[lambda: bench.read(dice.choice(points), dice.choice(points), "ohms")] * 2,
    ]  # fmt: skip  # rows that a reader compares
    try:
        dice.choice(does)()
    except CircuitError:
        return


@pytest.fixture(scope="module")
def left(tmp_path_factory):
    """A hunt of 170 acts, with a wrong name and two proofs, left and closed."""
    hunt, dice = KeptHunt(EXERCISE, "Ada", tmp_path_factory.mktemp("attempts")), random.Random(4)
    while len(hunt.bench.log) < 170:
        _act(hunt, dice)
        if len(hunt.bench.log) == 120 and not hunt.named:
            hunt.name("M1", "seized")
            hunt.prove()
            hunt.hint()
    hunt.attempt.close()
    return hunt


def _as_it_is(hunt: KeptHunt) -> tuple:
    bench = hunt.bench
    log = [(e.as_json(), e.minutes, e.setting, e.reading) for e in bench.log]
    seen = bench.traced, bench.seen_open, bench.pulled, bench.needless, bench.reached
    told = hunt.named, hunt.proven, hunt.proofs, hunt.hints, hunt.minutes, hunt.bill
    return log, seen, bench.circuit, told


def test_it_stands_as_it_was_left_and_everything_done_from_there_on_shows_the_same(
    left, tmp_path, monkeypatch
):
    played = []
    act = Bench.act
    monkeypatch.setattr(
        Bench, "act", lambda self, name, /, **args: played.append(name) or act(self, name, **args)
    )
    (tmp_path / left.attempt.path.name).write_bytes(left.attempt.path.read_bytes())
    again = KeptHunt(EXERCISE, "Ada", tmp_path)
    assert len(played) < EVERY < len(again.bench.log)
    assert _as_it_is(again) == _as_it_is(left)

    twin = KeptHunt(EXERCISE, "Ada", tmp_path / "elsewhere")
    for entry in left.bench.log:  # one that was never left
        twin.bench.act(entry.action, **entry.args)
    for name, args in LAST:
        assert again.bench.act(name, **args).as_json() == twin.bench.act(name, **args).as_json()
    again.attempt.close()
    assert replay(read_record(again.attempt.path), EXERCISE).differs == ""


def test_what_is_written_down_tells_nothing_to_whoever_reads_the_file(left):
    text = left.attempt.path.read_text("utf-8")
    assert KIND in text
    for fault in left.dealt.faults:
        assert fault not in text
    assert "celsius" not in text


def test_where_it_does_not_fit_all_is_played_again(left, tmp_path):
    record = read_record(left.attempt.path)
    lines = [record.head, *record.lines]
    at = next(n for n, line in enumerate(lines) if line["kind"] == KIND)
    other = {**lines[at], "box": lines[at]["box"][:-1] + "~"}
    for number, changed in enumerate((other, {**lines[at], "kind": "act's"}, {"kind": KIND})):
        folder = tmp_path / str(number)
        folder.mkdir()
        given = [*lines[:at], changed, *lines[at + 1 :]]
        (folder / left.attempt.path.name).write_bytes(b"".join(
            encode(n, line["kind"],
                   {key: value for key, value in line.items() if key not in ("n", "kind", "sum")})
            for n, line in enumerate(given)
        ))  # fmt: skip  # rows that a reader compares
        said: list[str] = []
        again = KeptHunt(EXERCISE, "Ada", folder, tell=said.append)
        assert said == []
        assert _as_it_is(again) == _as_it_is(left)
