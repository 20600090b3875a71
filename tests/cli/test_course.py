"""The course opened, with and without a checkout."""

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from labkit.cli import course
from tests.boats import ROOT


@pytest.fixture
def shelf(tmp_path):
    """A small course to start."""
    made = tmp_path / "shelf"
    (made / "notebooks").mkdir(parents=True)
    (made / "notebooks" / "01-start.ipynb").write_text("one")
    return made


@pytest.fixture
def started(shelf, monkeypatch):
    """Start with options; returns what would be run, and its environment."""

    def start(*options, root=False, browser=True):
        ran = {}

        def run(command, env, check):
            ran.update(command=command, env=env)
            return subprocess.CompletedProcess(command, 0)

        monkeypatch.setattr(course.subprocess, "run", run)
        monkeypatch.setattr(course, "_is_root", lambda: root)
        monkeypatch.setattr(course, "_browser", lambda: browser)
        assert course.start(shelf, options) == 0
        return ran["command"], ran["env"]

    return start


def test_root_is_told_so_and_served_on_the_loopback_address_alone(started, capsys):
    command, _ = started(root=True)
    assert {"--allow-root", "--ServerApp.ip=127.0.0.1"} <= {*command}
    assert "You are root here" in capsys.readouterr().out
    assert "--allow-root" not in started()[0]


def test_without_a_browser_the_address_is_printed_with_its_token_and_how_to_stop(started, capsys):
    command, env = started(browser=False)
    said = capsys.readouterr().out
    assert "--no-browser" in command
    assert f"?token={env['JUPYTER_TOKEN']}" in said.replace("\n", "")
    assert "Ctrl+C" in said
    assert not any(env["JUPYTER_TOKEN"] in word for word in command)  # others see command lines


def test_jupyters_own_options_come_last_so_that_they_count(started):
    command, _ = started("--ServerApp.port=9999", browser=False)
    assert command[-1] == "--ServerApp.port=9999"


def test_the_server_starts_without_what_takes_seconds_to_load():
    code = (
        "from labkit.classroom.serve import lean; lean(); import sys, jupyterlab.labapp; "
        "import jsonschema; print(sys.modules['rfc3987_syntax'], "
        "jsonschema.FormatChecker().conforms('a', 'date'))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.stdout.split() == ["None", "False"], done.stderr


def test_a_wheel_carries_the_course_and_lays_it_without_a_checkout(tmp_path):
    build = [sys.executable, "-m", "pip", "wheel", "--no-deps", "--no-build-isolation", "-q"]
    copy = tmp_path / "copy"
    tracked = subprocess.run(
        ["git", "ls-files", "-co", "--exclude-standard"], cwd=ROOT, capture_output=True, text=True,
        check=True,
    ).stdout.split("\n")  # fmt: skip  # rows that a reader compares
    for name in tracked:
        if name and not name.startswith("tests/") and (ROOT / name).is_file():
            (copy / name).parent.mkdir(parents=True, exist_ok=True)
            (copy / name).write_bytes((ROOT / name).read_bytes())
    subprocess.run([*build, "-w", str(tmp_path), str(copy)], check=True)
    (wheel,) = tmp_path.glob("labkit-*.whl")
    with zipfile.ZipFile(wheel) as packed:
        names = packed.namelist()
        packed.extractall(tmp_path / "site")
    for name in ("bench.js", "bench.css"):
        there = (tmp_path / "site" / "labkit" / "widgets" / name).read_bytes()
        assert there == (ROOT / "labkit" / "widgets" / name).read_bytes()
    notebooks = [n for n in names if n.startswith("labkit/course/notebooks/")]
    assert len([n for n in notebooks if n.endswith(".ipynb")]) >= 10
    assert not any(n.endswith("conftest.py") for n in names)
    assert "labkit/classroom/jupyter/jupyter_server_config.d/labkit.json" in names
    code = (
        "from pathlib import Path; from labkit.classroom.course import lay; "
        "print(lay(Path('mine')))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=False,
        env={**os.environ, "PYTHONPATH": str(tmp_path / "site")},
    )  # fmt: skip  # rows that a reader compares
    assert done.stdout == "[]\n", done.stderr
    laid = {p.name for p in Path(tmp_path / "mine" / "notebooks").glob("*.ipynb")}
    assert laid == {p.name for p in (ROOT / "notebooks").glob("*.ipynb")}
