"""A job's file: read and changed by hand, every slip one sentence, and never half written."""

import os
import signal
import subprocess
import sys
import time

import pytest

from labkit.jobs.interview import templates
from labkit.jobs.job_file import job_text, read_job
from labkit.text.messages import CircuitError

SLIPS = {
    'boat = "mine.toml"\nload = M1': 'line 2: found M1; write text and quantities in quotes, "M1"',
    'boat = "mine.tml"': "boat: {folder}/mine.tml: no such file or directory",
    'boat = "mine.toml"\nload = "M9"': "load: no part 'M9' in mine.toml",
    'load = "M1"': 'boat: is missing; write it, such as boat = "..."',
    'boat = "mine.toml"\ncomplaint = ["M1 ded"]': 'complaint "M1 ded": is not a known complaint',
    'boat = "mine.toml"\nseen = [\n  "G1:+ G1:- volts 12.31"\n  "X1:2 DC- volts 0.5"\n]':
        "line 3: a comma is missing at its end",
    'boat = "mine.toml"\nwithuot = ["clamp"]': "a job has no such key; did you mean 'without'?",
    'boat = "mine.toml"\nwithout = ["clmap"]':
        "without clmap: is not a tool or an act here; did you mean 'clamp'?",
    'boat = "mine.toml"\nseen = ["X1:3 DC- volts 12"]': "no terminal or node 'X1:3'",
    'boat = "mine.toml"\nseen = ["G1:+ G1:- volts 12.31 ohm"]': "unit of another kind of quantity",
    'boat = "mine.toml"\nseen = ["X1:2 DC- volts 0.5 S2=onn"]': "S2: no position 'onn'",
    'boat = "mine.toml"\nout_of_reach = ["under the tank"]':
        "out_of_reach: no part 'under the tank' in mine.toml",
    'boat = "mine.toml"\n[done]\npart = "X9"': "done.part: no part 'X9' in mine.toml",
    'boat = "mine.toml"\n[proof]\nsource = "twelve"': 'proof.source: found "twelve"',
}  # fmt: skip  # rows that a reader compares


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "mine.toml").write_text(templates()["water"])
    return tmp_path


@pytest.mark.parametrize(("text", "sentence"), SLIPS.items())
def test_a_slip_of_the_hand_is_told_in_a_sentence(folder, text, sentence):
    file = folder / "pump.job.toml"
    file.write_text(text)
    with pytest.raises(CircuitError) as refused:
        read_job(file)
    (said,) = refused.value.problems
    assert said.startswith(str(file))
    assert sentence.format(folder=folder) in said


def test_what_is_plainly_meant_is_taken(folder):
    file = folder / "pump.job.toml"
    file.write_text(
        'boat = "mine.toml"\nstarted = 2026-05-01\ncomplaint = "M1 dead"\nwithout = "clamp"\n'
        "[proof]\nsource = 12.2\nload = 11.9\n"
    )
    job = read_job(file)[0]
    assert (job.started, job.complaint, job.without) == ("2026-05-01", ["M1 dead"], ["clamp"])
    assert (job.proof.source, job.proof.load) == ("12.2", "11.9")
    file.write_text(job_text(job))
    assert read_job(file)[0] == job


WRITES = """\
import sys
from pathlib import Path
from labkit.jobs.job_file import Job, write_job
seen = []
while True:
    seen.append(f"G1:+ G1:- volts 12.{len(seen) % 10}")
    write_job(Path(sys.argv[1]), Job(boat="mine.toml", seen=seen[-200:]))
"""


def test_a_job_is_whole_however_its_writer_is_killed(folder):
    file = folder / "pump.job.toml"
    for n in range(3):
        writer = subprocess.Popen([sys.executable, "-c", WRITES, str(file)])
        end = time.monotonic() + 60
        while not file.exists() or (n == 0 and file.stat().st_size < 200):
            assert time.monotonic() < end
        time.sleep(0.013 * n)
        os.kill(writer.pid, signal.SIGKILL)
        writer.wait()
        assert read_job(file)[0].seen
