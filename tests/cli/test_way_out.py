"""Ctrl-C stops what takes long: it says so, and leaves nothing half written."""

import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from labkit.cli import main
from labkit.drawing.sheets import Sheets
from tests.boats import EXERCISES, ROOT

CURLEW = EXERCISES / "whole-boat" / "curlew.toml"
STOPPED = "stopped; nothing is left half written"


def test_ctrl_c_ends_a_long_command_without_a_traceback() -> None:
    code = (  # what runs in the background is deaf to Ctrl-C, and hands that on
        "import signal; signal.signal(signal.SIGINT, signal.default_int_handler);"
        "print('begun', flush=True); from labkit.cli.main import main; main()"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code, "check", str(EXERCISES)], cwd=ROOT, text=True,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    ) as child:  # fmt: skip  # rows that a reader compares
        assert child.stdout is not None
        assert child.stdout.readline() == "begun\n"
        time.sleep(2.0)  # it is at work by then, and has nearly all of it before it
        child.send_signal(signal.SIGINT)
        out, errors = child.communicate(timeout=60)
    assert (child.returncode, out) == (130, "")
    assert errors.endswith(f"{STOPPED}\n")
    assert "Traceback" not in errors


def test_a_boat_s_drawing_that_is_broken_off_leaves_no_sheets(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    made: list[object] = []
    sheet = Sheets.sheet

    def broken_off(self: Sheets, *args: object) -> str:
        if len(made) == 3:
            raise KeyboardInterrupt
        made.append(args)
        return sheet(self, *args)  # type: ignore[arg-type]

    monkeypatch.setattr(Sheets, "sheet", broken_off)
    monkeypatch.setattr(sys, "argv", ["labkit", "draw", str(CURLEW), "-o", str(tmp_path / "a.svg")])
    with pytest.raises(SystemExit) as stopped:
        main.main()
    assert stopped.value.code == 130
    assert capsys.readouterr().err.endswith(f"{STOPPED}\n")
    assert len(made) == 3
    assert list(tmp_path.iterdir()) == []
