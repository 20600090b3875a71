"""A kernel killed in the middle of an attempt loses at most the act in progress."""

import os
import signal
import time
from pathlib import Path

import pytest
from jupyter_client.manager import KernelManager

from labkit.exercises.exercise import load_exercise
from labkit.hunts.kept import KeptHunt
from labkit.record import read_folder
from tests.boats import EXERCISES, ROOT

PATIENCE = 120.0  # [s]
EXERCISE = EXERCISES / "slow-washdown.toml"

# What a learner's notebook does, only for ever: before each act its number goes to a file.
SOURCE = f"""\
import os
from pathlib import Path
from labkit.exercises.exercise import load_exercise
from labkit.hunts.kept import KeptHunt
from labkit.widgets import HuntCard

card = HuntCard(KeptHunt(load_exercise({str(EXERCISE)!r}), "Ada"), plain=True)
begun = os.open("begun", os.O_WRONLY | os.O_CREAT | os.O_APPEND)
number = 0
while True:
    number += 1
    os.write(begun, b"%d\\n" % number)
    card.hunt.bench.read("X1:1", "X1:2") if number % 5 else card.hunt.name("M1", "seized")
"""


@pytest.fixture
def kernel(tmp_path):
    env = {**os.environ, "PYTHONPATH": str(ROOT), "LABKIT_RECORDS": str(tmp_path / "attempts")}
    manager = KernelManager(kernel_name="python3")
    manager.start_kernel(cwd=str(tmp_path), env=env)
    yield manager
    if manager.is_alive():
        manager.shutdown_kernel(now=True)
    manager.cleanup_resources()


def begun(folder: Path) -> int:
    file = folder / "begun"
    lines = file.read_text().split("\n") if file.exists() else [""]
    return len(lines) - 1


@pytest.mark.parametrize("acts", [1, 42])
def test_a_killed_kernel_loses_at_most_the_act_in_progress(kernel, tmp_path, acts):
    client = kernel.client()
    client.start_channels()
    try:
        client.wait_for_ready(timeout=PATIENCE)
        client.execute(SOURCE)
        end = time.monotonic() + PATIENCE
        while begun(tmp_path) < acts:
            assert time.monotonic() < end, "the kernel did nothing"
            time.sleep(0.001)
        os.kill(kernel.provisioner.pid, signal.SIGKILL)
        kernel.provisioner.process.wait(timeout=PATIENCE)
    finally:
        client.stop_channels()
    records, problems = read_folder(tmp_path / "attempts")
    kept = sum(len(record.lines) for record in records)  # no file before the first act is done
    assert begun(tmp_path) - 1 <= kept <= begun(tmp_path)
    assert len(problems) <= 1  # the line in progress may break off, and is then said to

    said = []
    hunt = KeptHunt(load_exercise(EXERCISE), "Ada", tmp_path / "attempts", tell=said.append)
    assert [record.path for record in records] == [hunt.attempt.path][: len(records)]
    assert len(hunt.bench.log) + len(hunt.named) == kept
    assert len(said) == len(problems)
    hunt.bench.repair("X1")
    assert hunt.prove().ok
    (record,), problems = read_folder(tmp_path / "attempts")
    assert record.finished
    assert problems == []
    hunt.attempt.close()
