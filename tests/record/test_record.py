"""What is practised is kept: through crashes, damage, full disks and two windows at once."""

import json
import os
import subprocess
import sys
import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labkit.desk.marks import mark
from labkit.exercises.exercise import load_exercise
from labkit.hunts.kept import KeptHunt
from labkit.questions import Predict
from labkit.record import (
    PROGRAM,
    begin,
    read_folder,
    read_record,
    records_folder,
    resume,
    unfinished,
)
from labkit.record.lines import decode, encode
from labkit.text.messages import CircuitError
from labkit.widgets import Card, ask, keep
from tests.boats import ROOT, shipped


def _attempt(folder, lines=3):
    said = []
    attempt = begin("Slow pump", "Ada", folder, said.append)
    for number in range(lines):
        attempt.add("act", action="look", args={"id": "M1"}, shows="is dim", number=number)
    assert not said
    return attempt


def test_each_thing_done_is_in_the_file_as_soon_as_it_is_done(tmp_path):
    attempt = _attempt(tmp_path, lines=0)
    for number in range(5):
        attempt.add("act", number=number)
        record = read_record(attempt.path)
        assert [line["number"] for line in record.lines] == list(range(number + 1))
        assert not record.damage


def test_every_line_of_the_file_is_json(tmp_path):
    lines = _attempt(tmp_path).path.read_text(encoding="utf-8").splitlines()
    assert [json.loads(line)["kind"] for line in lines] == ["attempt", "act", "act", "act"]
    assert json.loads(lines[0])["schema"] == 1


facts = st.dictionaries(
    st.text(min_size=1).filter(lambda key: key not in ("n", "kind", "sum")),
    st.recursive(
        st.none() | st.booleans() | st.integers() | st.text()
        | st.floats(allow_nan=False, allow_infinity=False),
        lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
        max_leaves=6,
    ),
)  # fmt: skip  # rows that a reader compares


@given(st.integers(0, 10**6), st.text(), facts)
def test_whatever_is_written_is_read_again(number, kind, written):
    line = encode(number, kind, written)
    assert line.count(b"\n") == 1
    assert decode(line[:-1]) == {"n": number, "kind": kind, **written}


@given(st.data())
def test_a_byte_changed_in_a_line_is_noticed(data):
    line = encode(3, "act", {"shows": "12.70 V", "minutes": 0.5})[:-1]
    place = data.draw(st.integers(0, len(line) - 1))
    byte = data.draw(st.integers(32, 126).filter(lambda b: b != line[place]))
    changed = line[:place] + bytes([byte]) + line[place + 1 :]
    assert decode(changed) in (None, decode(line))  # the same only where it means the same


def test_a_file_cut_off_at_any_byte_loses_no_whole_line(tmp_path):
    whole = _attempt(tmp_path / "whole").path
    data = whole.read_bytes()
    ends = [n for n, byte in enumerate(data, 1) if byte == ord("\n")]
    for cut in range(len(data) + 1):
        path = tmp_path / f"cut-{cut}" / whole.name
        path.parent.mkdir()
        path.write_bytes(data[:cut])
        kept = sum(end <= cut for end in ends)
        said = []
        opened = resume(path, said.append)
        asides = list(path.parent.glob("*.damaged-*"))
        if kept == 0:
            assert opened is None
            assert not path.exists()
        else:
            attempt, record = opened
            assert len(record.lines) == kept - 1
            attempt.add("act", number="after")
            attempt.close()
            again = read_record(path)
            assert not again.damage
            assert [line["number"] for line in again.lines] == [*range(kept - 1), "after"]
        if cut in ends:
            assert not said
            assert not asides
        else:
            assert len(said) == 1
            assert "kept as" in said[0]
            assert [aside.read_bytes() for aside in asides] == [data[:cut]]


@pytest.mark.parametrize("place", [0, 10, -3])
def test_a_file_changed_in_the_middle_goes_on_from_the_last_good_line(tmp_path, place):
    path = _attempt(tmp_path).path
    lines = path.read_bytes().splitlines(keepends=True)
    bad = bytearray(lines[2])
    bad[place] ^= 1
    path.write_bytes(lines[0] + lines[1] + bytes(bad) + lines[3])
    said = []
    attempt, record = resume(path, said.append)
    assert len(record.lines) == 1
    assert "line 3 is not as it was written" in said[0]
    assert attempt.path == path


def test_a_file_set_aside_twice_overwrites_nothing(tmp_path):
    path = _attempt(tmp_path).path
    for number in (1, 2, 3):
        with open(path, "ab") as file:
            file.write(b"rubbish %d" % number)
        attempt, _ = resume(path, lambda text: None)
        attempt.close()
    asides = sorted(tmp_path.glob("*.damaged-*"))
    assert [aside.read_bytes()[-1:] for aside in asides] == [b"1", b"2", b"3"]


def test_a_file_of_a_later_version_is_left_alone(tmp_path):
    path = tmp_path / "later.jsonl"
    path.write_bytes(encode(0, "attempt", {"schema": 2, "title": "t", "learner": "l"}))
    before = path.read_bytes()
    with pytest.raises(CircuitError, match="has schema 2; this program reads 1"):
        resume(path)
    assert path.read_bytes() == before
    assert read_folder(tmp_path)[0] == []


def test_an_attempt_goes_on_in_the_latest_file_left_unfinished(tmp_path):
    first, second = _attempt(tmp_path), _attempt(tmp_path)
    assert unfinished("Slow pump", "Ada", tmp_path) == [second.path, first.path]
    second.add("finished")
    assert unfinished("Slow pump", "Ada", tmp_path) == [first.path]
    assert unfinished("Slow pump", "Bo", tmp_path) == []
    assert unfinished("Slow", "Ada", tmp_path) == []


@pytest.mark.parametrize("learner", ["../../etc/passwd", "a/b\\c", "", "ÅSA 2", "*", "con.", "é"])
def test_no_name_leads_out_of_the_folder(tmp_path, learner):
    attempt = begin("../Title / *", learner, tmp_path, pytest.fail)
    assert attempt.path.parent == tmp_path
    attempt.add("act")
    attempt.close()
    assert read_record(attempt.path).head["title"] == "../Title / *"
    assert unfinished("../Title / *", learner, tmp_path) == [attempt.path]


# -- two at once ----------------------------------------------------------------------------


def test_many_attempts_at_once_keep_apart(tmp_path):
    code = (
        "import sys; from pathlib import Path; from labkit.record import begin\n"
        "a = begin('Slow pump', 'Ada', Path(sys.argv[1]))\n"
        "[a.add('act', number=n, who=sys.argv[2]) for n in range(100)]"
    )
    running = [
        subprocess.Popen([sys.executable, "-c", code, str(tmp_path), str(who)]) for who in range(4)
    ]
    assert [process.wait() for process in running] == [0] * 4
    records, problems = read_folder(tmp_path)
    assert problems == []
    assert len(records) == 4
    for record in records:
        assert [line["number"] for line in record.lines] == list(range(100))
        assert len({line["who"] for line in record.lines}) == 1


def _elsewhere(path):
    code = (
        "import sys; from pathlib import Path; from labkit.record import resume\n"
        "opened = resume(Path(sys.argv[1])); print('open' if opened else 'held')"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(path)], capture_output=True, text=True, check=True
    )
    return done.stdout.strip(), done.stderr


def test_an_attempt_open_in_one_program_is_not_taken_by_another(tmp_path):
    attempt = _attempt(tmp_path)
    before = attempt.path.read_bytes()
    answer, said = _elsewhere(attempt.path)
    assert answer == "held"
    assert "open in another window" in said
    assert attempt.path.read_bytes() == before
    attempt.close()
    assert _elsewhere(attempt.path)[0] == "open"


def test_a_program_that_dies_lets_go_of_its_attempt(tmp_path):
    code = (
        "import os, sys; from pathlib import Path; from labkit.record import begin\n"
        "a = begin('Slow pump', 'Ada', Path(sys.argv[1])); a.add('act', number=0)\n"
        "os.kill(os.getpid(), 9)"
    )
    subprocess.run([sys.executable, "-c", code, str(tmp_path)], check=False)
    (path,) = unfinished("Slow pump", "Ada", tmp_path)
    attempt, record = resume(path, pytest.fail)
    assert [line["number"] for line in record.lines] == [0]
    attempt.close()


def test_the_same_program_may_open_an_attempt_again_and_the_former_lets_go(tmp_path):
    said = []
    former = begin("Slow pump", "Ada", tmp_path, said.append)
    former.add("act", number="first")
    attempt, _ = resume(former.path, pytest.fail)
    attempt.add("act", number="kept")
    former.add("act", number="lost")
    former.add("act", number="lost too")
    assert [line["number"] for line in read_record(attempt.path).lines] == ["first", "kept"]
    assert len(said) == 1
    assert "went on elsewhere" in said[0]


# -- nowhere to write -----------------------------------------------------------------------


def test_where_nothing_can_be_written_one_sentence_says_so_and_practice_goes_on(tmp_path):
    blocked = tmp_path / "a file, not a folder"
    blocked.write_text("")
    said = []
    attempt = begin("Slow pump", "Ada", blocked / "attempts", said.append)
    attempt.add("act", number=0)
    attempt.add("act", number=1)
    assert len(said) == 1
    assert "cannot be written, not a directory; practice goes on" in said[0]
    blocked.unlink()
    attempt.add("act", number=2)
    assert attempt.trouble == ""
    assert [line["number"] for line in read_record(attempt.path).lines] == [0, 1, 2]


def test_a_disk_that_fills_up_leaves_no_half_line_and_loses_none(tmp_path):
    resource = pytest.importorskip("resource")
    if not hasattr(resource, "RLIMIT_FSIZE"):
        pytest.skip("needs a limit on the size of files")
    attempt = _attempt(tmp_path)
    said = []
    attempt.tell = said.append
    size = attempt.path.stat().st_size
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size + 20, hard))  # room for part of a line
    try:
        attempt.add("act", number=3)
        attempt.add("act", number=4)
        assert attempt.path.stat().st_size == size
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert len(said) == 1
    assert "practice goes on" in said[0]
    attempt.add("act", number=5)
    record = read_record(attempt.path)
    assert not record.damage
    assert [line["number"] for line in record.lines] == list(range(6))


def test_records_live_where_the_environment_says(monkeypatch, tmp_path):
    monkeypatch.setenv("LABKIT_RECORDS", str(tmp_path / "mine"))
    assert records_folder() == tmp_path / "mine"
    monkeypatch.delenv("LABKIT_RECORDS")
    assert "labkit" in records_folder().parts
    assert records_folder() != tmp_path / "mine"


def test_reading_a_folder_changes_nothing_and_names_what_is_damaged(tmp_path):
    good, bad = _attempt(tmp_path), _attempt(tmp_path)
    for attempt in (good, bad):
        attempt.close()
    with open(bad.path, "ab") as file:
        file.write(b"half a li")
    (tmp_path / "empty.jsonl").write_bytes(b"")
    before = {path: path.read_bytes() for path in tmp_path.iterdir()}
    records, problems = read_folder(tmp_path)
    assert [len(record.lines) for record in records] == [3, 3]
    assert len(problems) == 2
    assert any("line 5 breaks off; 3 lines before it used" in text for text in problems)
    assert {path: path.read_bytes() for path in tmp_path.iterdir()} == before


# -- hunts ----------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def exercise():
    return load_exercise(ROOT / "exercises" / "slow-washdown.toml")


def test_a_hunt_goes_on_where_it_was_left(tmp_path, exercise):
    hunt = KeptHunt(exercise, "Ada", tmp_path, tell=pytest.fail)
    hunt.bench.switch("S2", "on")
    shown = hunt.bench.read("X1:1", "X1:2").display
    hunt.name("M1", "seized")
    hunt.attempt.close()
    on = KeptHunt(exercise, "Ada", tmp_path, tell=pytest.fail)
    assert on.attempt.path == hunt.attempt.path
    assert on.bench.log == hunt.bench.log
    assert on.bench.reading.display == shown
    assert [verdict.right for verdict in on.verdicts] == [False]
    assert len(read_record(on.attempt.path).lines) == 3  # nothing written twice


def test_a_proven_repair_ends_the_attempt_and_the_next_begins_anew(tmp_path, exercise):
    hunt = KeptHunt(exercise, "Ada", tmp_path)
    hunt.name("X1", "high resistance")
    hunt.bench.repair("X1")
    assert hunt.prove().ok
    kinds = [line["kind"] for line in read_record(hunt.attempt.path).lines]
    assert kinds == ["named", "act", "proof", "finished"]
    assert KeptHunt(exercise, "Ada", tmp_path).attempt.path != hunt.attempt.path


def test_a_hunt_of_an_exercise_that_has_changed_begins_anew(tmp_path, exercise):
    hunt = KeptHunt(exercise, "Ada", tmp_path)
    hunt.attempt.add("act", action="read", args={"red": "X9:1"}, shows="12 V")
    hunt.attempt.close()
    said = []
    anew = KeptHunt(exercise, "Ada", tmp_path, tell=said.append)
    assert anew.bench.log == []
    assert anew.attempt.path != hunt.attempt.path
    assert "the exercise has changed since; starting a new attempt" in said[0]


def test_an_act_refused_is_not_kept(tmp_path, exercise):
    hunt = KeptHunt(exercise, "Ada", tmp_path)
    with pytest.raises(CircuitError):
        hunt.bench.read("X9:1")
    assert os.listdir(tmp_path) == []  # a file is there from the first act on
    hunt.bench.read("X1:1")
    assert len(read_record(hunt.attempt.path).lines) == 1


def test_an_attempt_at_which_nothing_was_done_leaves_no_file(tmp_path, exercise):
    begin("Slow pump", "Ada", tmp_path).close()
    KeptHunt(exercise, "Ada", tmp_path)
    assert os.listdir(tmp_path) == []


# -- lessons --------------------------------------------------------------------------------


def test_answers_on_cards_are_kept_under_the_lesson_and_go_on_another_day(tmp_path, monkeypatch):
    monkeypatch.setenv("LABKIT_RECORDS", str(tmp_path))
    monkeypatch.setattr(Card, "attempt", None)  # put back afterwards, as is what was answered
    monkeypatch.setattr(Card, "former", {})
    for answer in ("12.7 V", "7 V", "seven"):  # each on another day
        attempt = keep("5. The joint", "Ada")
        card = ask(Predict(shipped("washdown"), "X1:2"))
        card.answer(answer)
        attempt.close()
    (record,), problems = read_folder(tmp_path)
    assert problems == []
    assert record.head["title"] == "5. The joint"
    answers = record.of("answer")
    assert [line["said"] for line in answers] == [["12.7 V"], ["7 V"]]
    assert [line["right"] for line in answers] == [True, False]
    assert (mark(record).answered, mark(record).correct) == (2, 1)


def test_without_a_lesson_nothing_is_kept(tmp_path, monkeypatch):
    monkeypatch.setenv("LABKIT_RECORDS", str(tmp_path))
    monkeypatch.setattr("labkit.widgets.cards.Card.attempt", None)
    ask(Predict(shipped("washdown"), "X1:2")).answer("12.7 V")
    assert os.listdir(tmp_path) == []


def test_the_version_in_a_record_is_that_of_the_project():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["version"] == PROGRAM
