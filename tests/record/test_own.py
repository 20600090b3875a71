"""Only this user's own plain files are read, written or moved, whatever lies under their names."""

import os
import sys
import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from labkit.record import attempt as attempts
from labkit.record import begin, read_folder, read_record, records_folder, resume, unfinished
from labkit.record.own import own_folder, own_path
from labkit.text.messages import CircuitError

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="links and user ids as on Unix")


def _named(folder, title="Slow pump", learner="Ada", stamp="99990101t000000000000"):
    stem = f"{attempts.file_word(title)}--{attempts.file_word(learner)}"
    return folder / f"{stem}-{stamp}-00000000.jsonl"


def test_a_link_planted_as_an_attempt_leaves_its_target_whole(tmp_path):
    essay = tmp_path / "essay.txt"
    essay.write_text("Forty pages on the bilge pump.", encoding="utf-8")
    folder = tmp_path / "attempts"
    folder.mkdir()
    planted = _named(folder)
    planted.symlink_to(essay)
    said = []
    assert unfinished("Slow pump", "Ada", folder, said.append) == []
    assert resume(planted, said.append) is None
    assert essay.read_text(encoding="utf-8") == "Forty pages on the bilge pump."
    assert planted.is_symlink()
    assert [("is a link" in text, "left alone" in text) for text in said] == [
        (True, True), (True, False),
    ]  # fmt: skip  # rows that a reader compares
    assert os.listdir(folder) == [planted.name]


def test_a_pipe_planted_as_an_attempt_stops_nobody(tmp_path):
    os.mkfifo(_named(tmp_path))
    assert unfinished("Slow pump", "Ada", tmp_path, lambda text: None) == []
    kept = begin("Slow pump", "Ada", tmp_path, pytest.fail)
    kept.add("act", number=1)
    assert len(read_record(kept.path).lines) == 1


def test_an_essay_of_ones_own_under_an_attempts_name_is_moved_and_stays_whole(tmp_path):
    path = _named(tmp_path, stamp="20260101t000000000000")
    path.write_text("no attempt at all", encoding="utf-8")
    said = []
    assert resume(path, said.append) is None
    (aside,) = tmp_path.iterdir()
    assert aside.name == f"{path.name}.damaged-1"
    assert aside.read_text(encoding="utf-8") == "no attempt at all"
    assert aside.name in said[0]


def test_a_file_with_a_second_name_is_left_alone(tmp_path):
    kept = begin("Slow pump", "Ada", tmp_path, pytest.fail)
    kept.add("act", number=1)
    kept.close()
    os.link(kept.path, tmp_path / "second")
    said = []
    assert resume(kept.path, said.append) is None
    assert "has a second name" in said[0]


needs_root = pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() != 0, reason="only root can act as two users"
)


def _let_others_in(folder):
    """Let any user walk down to a folder of this test's."""
    top = Path(tempfile.gettempdir()).resolve()
    for parent in (folder, *folder.parents):
        if parent.resolve() == top:
            return
        parent.chmod(0o755)


def _as_user(uid, work):
    """Do some work as another user in a process of its own, and return its exit code."""
    child = os.fork()
    if child:
        return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    code = 1
    try:
        os.setgroups([])
        os.setgid(uid)
        os.setuid(uid)
        work()
        code = 0
    finally:
        os._exit(code)


@needs_root
@pytest.mark.parametrize("mode", [0o777, 0o1777])
def test_in_a_shared_folder_each_learner_has_a_part_of_their_own(tmp_path_factory, mode):
    shared = tmp_path_factory.mktemp("shared")
    _let_others_in(shared)
    shared.chmod(mode)
    ada, bo = 64001, 64002

    def plant():
        path = _named(shared)
        path.write_text("planted", encoding="utf-8")
        path.chmod(0o666)
        (shared / f"uid-{bo}").mkdir()

    def practise():
        for number in (1, 2):
            kept = begin("Slow pump", "Ada", shared, _never)
            kept.add("act", number=number)
            kept.close()
        found = unfinished("Slow pump", "Ada", shared, _never)
        assert len(found) == 2
        assert all(path.parent == shared.resolve() / f"uid-{ada}" for path in found)
        assert os.stat(found[0].parent).st_mode & 0o777 == 0o700

    def look():
        assert os.listdir(shared / f"uid-{ada}")

    assert _as_user(bo, plant) == 0
    assert _as_user(ada, practise) == 0
    assert _as_user(bo, look) != 0
    records, problems = read_folder(shared)
    assert len(records) == 2
    assert len(problems) == 1
    assert "planted" not in problems[0]


def _never(text):
    raise AssertionError(text)


@needs_root
def test_a_part_planted_by_somebody_else_is_not_used(tmp_path_factory):
    shared = tmp_path_factory.mktemp("shared")
    _let_others_in(shared)
    shared.chmod(0o1777)
    ada, bo = 64001, 64002

    def practise():
        said = []
        kept = begin("Slow pump", "Ada", shared, said.append)
        kept.add("act", number=1)
        assert "belongs to another user" in said[0]
        assert "practice goes on" in said[0]

    assert _as_user(bo, lambda: (shared / f"uid-{ada}").mkdir(0o777)) == 0
    assert _as_user(ada, practise) == 0
    assert os.listdir(shared / f"uid-{ada}") == []


def test_a_folder_of_ones_own_is_closed_to_others(tmp_path):
    tmp_path.chmod(0o777)
    kept = begin("Slow pump", "Ada", tmp_path, pytest.fail)
    kept.add("act", number=1)
    assert tmp_path.stat().st_mode & 0o022 == 0


def test_a_folder_that_is_a_link_of_the_users_own_choice_serves(tmp_path):
    (tmp_path / "disk").mkdir()
    (tmp_path / "attempts").symlink_to("disk", target_is_directory=True)
    assert own_path(tmp_path / "attempts") == (tmp_path / "disk").resolve()
    planted = tmp_path / "attempts"
    with pytest.raises(OSError, match=r"directory|symbolic link"), own_folder(planted):
        pass


def test_a_clock_put_back_does_not_bring_an_older_attempt_to_the_front(tmp_path, monkeypatch):
    first = begin("Slow pump", "Ada", tmp_path, pytest.fail)
    first.add("act", number=1)

    class Earlier(datetime):
        @classmethod
        def now(cls, tz=None):
            return datetime.now(UTC) - timedelta(days=400)

    monkeypatch.setattr(attempts, "datetime", Earlier)
    second = begin("Slow pump", "Ada", tmp_path, pytest.fail)
    second.add("act", number=2)
    assert unfinished("Slow pump", "Ada", tmp_path)[0] == second.path


def test_the_longest_words_of_any_script_make_a_name_that_every_disk_takes(tmp_path):
    kept = begin("船" * 62, "李" * 62, tmp_path, pytest.fail)
    kept.add("act", number=1)
    assert len(f"{kept.path.name}.damaged-999".encode()) <= 255
    assert unfinished("船" * 62, "李" * 62, tmp_path) == [kept.path]


def test_two_hundred_hunts_opened_hold_a_handful_of_files(tmp_path):
    if not os.path.isdir("/proc/self/fd"):
        pytest.skip("open files are counted where the system lists them")
    before = len(os.listdir("/proc/self/fd"))
    kept = [begin(f"Hunt {number}", "Ada", tmp_path, pytest.fail) for number in range(200)]
    for attempt in kept:
        attempt.add("act", number=1)
    assert len(os.listdir("/proc/self/fd")) <= before + attempts.HELD
    for attempt in kept:
        attempt.add("act", number=2)
    assert {len(read_record(attempt.path).lines) for attempt in kept} == {2}


def test_an_attempt_that_let_its_file_go_does_not_write_into_what_went_on_since(tmp_path):
    said = []
    kept = begin("Slow pump", "Ada", tmp_path, said.append)
    kept.add("act", number=1)
    kept._let_go()
    with open(kept.path, "ab") as file:
        file.write(b"another window wrote this\n")
    kept.add("act", number=2)
    assert "went on elsewhere" in said[0]
    assert kept.path.read_bytes().endswith(b"another window wrote this\n")


def test_a_home_that_is_not_there_is_said_in_a_sentence(monkeypatch):
    monkeypatch.setenv("LABKIT_RECORDS", "~nosuchuser/x")
    with pytest.raises(CircuitError, match="no such home"):
        records_folder()
