"""A whole class at a real hub, all at once: what it takes, and whether any work is lost.

    python -m tests.hub 30

Everybody logs in, opens the first lesson and a hunt, and measures. Then every third kernel and
every sixth server is killed; all go on, name, mend and prove. The suite does the same with three.
"""

from __future__ import annotations

import os
import signal
import statistics
import sys
import tempfile
import time
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

import psutil

from labkit.desk.marks import replayed
from labkit.exercises.exercise import load_exercise
from labkit.record import read_folder
from tests.hub.hunting import CELL, EXERCISE, NOTEBOOK, WHO, acts, finish, look
from tests.hub.learner import Learner
from tests.hub.school import School, school

SYSTEM = 1.5e9  # what a machine needs for itself; our choice [bytes]
CARRIES = 16 * 2**30  # [bytes]


@dataclass
class Visit:
    """One learner's morning."""

    name: str
    ready: float = 0.0  # from the click to a server that answers [s]
    bench: float = 0.0  # and to a bench on the page [s]
    clicks: list[float] = field(default_factory=list)  # [s]
    server: float = 0.0  # memory [bytes]
    kernel: float = 0.0
    work: float = 0.0  # processor, server and kernel, to the bench [s]
    seen: int = 0
    lost: int = 0
    proven: bool = False
    learner: Learner | None = None

    def come(self, hub: School) -> None:
        """Log in, open the lesson, show the hunt, look."""
        self.learner = learner = Learner(hub.plan.url, self.name, hub.folders.password)
        began = time.monotonic()
        learner.start()
        self.ready = time.monotonic() - began
        learner.open(NOTEBOOK)
        learner.run(CELL)
        self.bench = time.monotonic() - began
        kernel, server = map(psutil.Process, map(int, learner.run(WHO).split()))
        used = [process.cpu_times() for process in (kernel, server)]
        self.work = sum(one.user + one.system for one in used)
        look(learner)
        self.seen = acts(learner)
        for place in ("E1:1", "E1:2", "S2:1", "S2:2", "F2:2"):
            at = time.monotonic()
            learner.act("touch", key=place)
            self.clicks.append(time.monotonic() - at)
        self.seen = acts(learner)

    def weigh(self) -> None:
        """Note what server and kernel hold in memory, their share of what is shared included."""
        assert self.learner is not None
        kernel, server = map(psutil.Process, map(int, self.learner.run(WHO).split()))
        self.kernel, self.server = kernel.memory_full_info().pss, server.memory_full_info().pss

    def kill(self, which: int) -> None:
        """Kill the kernel (0) or the server (1), and come back."""
        learner = self.learner
        assert learner is not None
        os.kill(int(learner.run(WHO).split()[which]), signal.SIGKILL)
        learner.close()
        while which and learner.up:
            time.sleep(0.5)
        if which:
            learner.start()
        learner.open(NOTEBOOK)
        learner.run(CELL)
        self.lost = self.seen - acts(learner)

    def end(self) -> None:
        """Name, mend, prove."""
        assert self.learner is not None
        finish(self.learner)
        self.proven = self.learner.state["naming"]["proven"]
        self.learner.close()


def spread(values: list[float]) -> str:
    """Return median and worst."""
    return f"{statistics.median(values):.1f} / {max(values):.1f}"


def main(count: int) -> None:
    """Run a class of so many and print what it took."""
    visits = [Visit(f"l{number:02}") for number in range(1, count + 1)]
    before = psutil.virtual_memory().available
    with (
        tempfile.TemporaryDirectory() as folder,
        school(Path(folder), *(visit.name for visit in visits)) as hub,
        ThreadPoolExecutor(count) as class_,
    ):
        print(f"{count} learners, load {os.getloadavg()[0]:.0f} on {os.cpu_count()}", flush=True)
        list(class_.map(lambda visit: visit.come(hub), visits))
        print(f"all at their benches, load {os.getloadavg()[0]:.0f}", flush=True)
        taken = before - psutil.virtual_memory().available
        show(arrival(visits) | memory_of(hub, visits, taken))
        killed = [*((v, 0) for v in visits[::3]), *((v, 1) for v in visits[1::6])]
        list(class_.map(lambda pair: pair[0].kill(pair[1]), killed))
        print(f"{len(killed)} killed and back", flush=True)
        list(class_.map(lambda visit: visit.end(), visits))
        records, problems = read_folder(hub.folders.records)
    exercise = load_exercise(EXERCISE)
    marks, doubts = replayed(records, {exercise.title: exercise})
    good = sum(one.played and one.proven and bool(one.right) for one in marks)
    show(outcome(visits) | {"marks: played again alike, named, proven": f"{good} of {count}"})
    for sentence in (*problems, *doubts):
        print(sentence)
    sys.exit(0 if good == count and not problems and not any(v.lost for v in visits) else 1)


def show(rows: Mapping[str, str]) -> None:
    """Print rows of a table as they become known."""
    for what, value in rows.items():
        print(f"| {what} | {value} |", flush=True)


def arrival(visits: list[Visit]) -> dict[str, str]:
    """Return how long everybody waited, and for how much work."""
    return {
        "server answers after, median / last [s]": spread([v.ready for v in visits]),
        "first bench after, median / last [s]": spread([v.bench for v in visits]),
        "processor to the first bench, each [s]": spread([v.work for v in visits]),
        "a click, median / worst [ms]": spread([1e3 * c for v in visits for c in v.clicks]),
    }


def outcome(visits: list[Visit]) -> dict[str, str]:
    """Return what was killed, and what came of it."""
    return {
        "killed: kernels, servers": f"{len(visits[::3])}, {len(visits[1::6])}",
        "lines of their logs lost": f"{sum(v.lost for v in visits)}",
        "proven on the page": f"{sum(v.proven for v in visits)} of {len(visits)}",
    }


def memory_of(hub: School, visits: list[Visit], taken: float) -> dict[str, str]:
    """Return what hub and learners hold while all are at their benches."""
    for visit in visits:
        visit.weigh()
    own = [hub.process.pid, *_proxies(hub)]
    house = sum(psutil.Process(pid).memory_full_info().pss for pid in own)
    server = statistics.mean(visit.server for visit in visits)
    kernel = statistics.mean(visit.kernel for visit in visits)
    carried = (CARRIES - SYSTEM - house) / (server + kernel)
    return {
        "memory of a server [MB]": f"{server / 1e6:.0f}",
        "memory of a kernel [MB]": f"{kernel / 1e6:.0f}",
        "taken from the machine, each [MB]": f"{taken / len(visits) / 1e6:.0f}",
        "hub and proxy [MB]": f"{house / 1e6:.0f}",
        "16 GB carry, a notebook open each": f"{carried:.0f} learners",
    }


def _proxies(hub: School) -> list[int]:
    own = psutil.Process(hub.process.pid).children()
    return [child.pid for child in own if any("proxy" in word for word in child.cmdline())]


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 30)
