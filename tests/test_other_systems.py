"""What Windows and macOS do otherwise: encodings, line ends, locks, names of files, code pages."""

import ast
import getpass
import os
import re
import subprocess
import sys
import types

import pytest

from labkit.desk.starter import start, templates
from labkit.record import begin, disk
from labkit.record.attempt import user
from tests.boats import ROOT

SOURCES = sorted((ROOT / "labkit").rglob("*.py"))


def _calls(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            function = node.func
            name = function.attr if isinstance(function, ast.Attribute) else getattr(
                function, "id", "")  # fmt: skip  # rows that a reader compares
            owner = getattr(getattr(function, "value", None), "id", "")
            yield node, owner, name, {keyword.arg for keyword in node.keywords}


def _is_binary(call):
    words = [a.value for a in call.args if isinstance(a, ast.Constant) and isinstance(a.value, str)]
    return any("b" in word and len(word) <= 3 for word in words)


def _without_encoding(path):
    for call, owner, name, keys in _calls(path):
        place = f"{path.relative_to(ROOT)}:{call.lineno}: {name}"
        encodings = [a for a in call.args if isinstance(a, ast.Constant)
                     and str(a.value).startswith("utf-8")]  # fmt: skip  # in rows
        told = "encoding" in keys or bool(encodings)
        text_file = name in ("read_text", "write_text") or (
            name == "open" and owner in ("", "path")
        )
        if text_file and not told and not _is_binary(call):
            yield place
        if "text" in keys and name in ("run", "Popen", "check_output") and not told:
            yield f"{place} of another program"


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_text_is_read_and_written_in_a_named_encoding(path):
    assert list(_without_encoding(path)) == []


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_lines_written_end_alike_everywhere(path):
    loose = [f"{path}:{call.lineno}" for call, _, name, keys in _calls(path)
             if name == "write_text" and "newline" not in keys]  # fmt: skip  # in rows
    assert loose == []


def test_the_rule_finds_what_it_is_for():
    bad = ROOT / "labkit" / "no-such-file.py"
    code = (
        'path.write_text("x")\nopen("a")\nopen("a", "rb")\np.read_text("utf-8")\nrun(x, text=True)'
    )
    fake = types.SimpleNamespace(
        read_text=lambda encoding: code, relative_to=lambda root: bad.relative_to(root)
    )
    assert [text.split(": ")[1] for text in _without_encoding(fake)] == [
        "write_text", "open", "run of another program"]  # fmt: skip  # rows that a reader compares


def test_a_file_is_locked_on_windows_beyond_anything_written(monkeypatch, tmp_path):
    asked = []

    def locking(handle, mode, count):
        asked.append((os.lseek(handle, 0, os.SEEK_CUR), mode, count))
        if len(asked) > 1:
            raise PermissionError(13, "Permission denied")

    monkeypatch.setitem(sys.modules, "msvcrt", types.SimpleNamespace(locking=locking, LK_NBLCK=2))
    monkeypatch.setattr(disk.sys, "platform", "win32")
    handle = os.open(tmp_path / "a", os.O_RDWR | os.O_CREAT | os.O_APPEND)
    assert disk.locked(handle)
    disk.append(handle, b"line\n", forced=True)
    assert not disk.locked(handle)
    os.close(handle)
    assert (tmp_path / "a").read_bytes() == b"line\n"
    assert {(place > 2**30, mode, count) for place, mode, count in asked} == {(True, 2, 1)}


def test_somebody_without_a_name_is_a_learner(monkeypatch):
    def nameless():
        raise ModuleNotFoundError("No module named 'pwd'")  # as on Windows

    monkeypatch.delenv("JUPYTERHUB_USER", raising=False)
    monkeypatch.setattr(getpass, "getuser", nameless)
    assert user() == "learner"


@pytest.mark.parametrize("name", ["con", "Ada: 12:30?", 'a"b<c>d|e', "nul.", "x" * 300])
def test_every_system_takes_the_names_of_attempts(tmp_path, name):
    attempt = begin(name, name, tmp_path, pytest.fail)
    attempt.close()
    file = attempt.path.name
    assert not re.search(r'[<>:"/\\|?*]|[. ]$', file)
    assert file.split(".")[0].lower() not in ("con", "nul", "aux", "prn")
    assert len(file) < 200


@pytest.mark.parametrize("page", ["cp1252", "cp850", "ascii"])
def test_a_terminal_of_few_letters_is_no_trouble(page, tmp_path):
    circuit = templates()["lamp"].replace('title  = "', 'title  = "Ω − ✓ ', 1)
    assert "Ω" in circuit
    path = tmp_path / "boat.toml"
    path.write_text(circuit, encoding="utf-8", newline="\n")
    done = subprocess.run(
        [sys.executable, "-m", "labkit.cli.main", "solve", str(path)],
        capture_output=True, check=False,
        env={**os.environ, "PYTHONIOENCODING": page}, cwd=ROOT,
    )  # fmt: skip  # rows that a reader compares
    assert done.returncode == 0, done.stderr
    assert b"?" in done.stdout
    assert b"volts to DC-" in done.stdout


CHANGES = {
    "line ends of Windows": lambda data: data.replace(b"\n", b"\r\n"),
    "a byte order mark": lambda data: b"\xef\xbb\xbf" + data,
}


@pytest.mark.parametrize("change", CHANGES)
def test_a_circuit_saved_on_windows_is_used_where_it_lies(change, tmp_path):
    circuit = tmp_path / "circuits" / "mine.toml"
    circuit.parent.mkdir()
    circuit.write_bytes(CHANGES[change](templates()["lamp"].encode()))
    before = circuit.read_bytes()
    assert start(tmp_path / "hunt.toml", str(circuit)) == [tmp_path / "hunt.toml"]
    assert circuit.read_bytes() == before
