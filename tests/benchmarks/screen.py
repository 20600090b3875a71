"""A bench on screen: click to reading, ten benches in a notebook, a notebook's start.

Times are of the clock, since a learner waits by it, so the machine's load stands beside them.
"""

from __future__ import annotations

import os
import statistics
import time
from collections.abc import Iterator

import psutil

from tests.benchmarks.goals import Line
from tests.browser.lab import Laboratory, Server, laboratory, opened, run_all

ROUNDS = 2
# Between a reading and the next click. [ms]
PACES = {"at leisure": 200, "at once": 0}
CLICKS = """async (pause) => {
    const frame = () => new Promise((done) => requestAnimationFrame(done));
    const rest = () => new Promise((done) => setTimeout(done, pause));
    const count = () => document.querySelectorAll(".lines li").length;
    const probes = document.querySelectorAll(".probe");
    const took = [];
    for (let n = 0; n < 100; n++) {
        if (pause) await rest();
        const [before, start] = [count(), performance.now()];
        probes[1 + (n % (probes.length - 1))].click();
        while (count() === before) await frame();
        took.push(performance.now() - start);
    }
    return took;
}"""
RESTART = """async () => {
    const panel = window.jupyterapp.shell.currentWidget;
    const cells = panel.content.widgets.filter((cell) => cell.model.type === "code");
    cells.forEach((cell) => cell.model.clearExecution());
    await panel.sessionContext.session.kernel.restart();
}"""


def screen() -> Iterator[Line]:
    """All figures that need a browser."""
    with laboratory() as lab:
        for n in range(ROUNDS):
            yield from _clicks(lab, n + 1)
        yield from _start(lab)
        yield from _many(lab)


def _clicks(lab: Laboratory, number: int) -> Iterator[Line]:
    """From a click on a test point to the frame that shows its reading, a hundred of them."""
    with opened(lab, "clicks", "click") as page:
        page.locator(".labkit-bench .probe").first.wait_for()
        page.get_by_role("radio", name="black", exact=True).check()
        page.locator(".probe[data-key='DC-']").click()
        page.get_by_role("radio", name="red", exact=True).check()
        page.locator(".probe[data-key='panel']").click()
        page.locator(".lines li").first.wait_for()
        for pace, pause in PACES.items():
            took = sorted(page.evaluate(CLICKS, pause))
            name = f"click to reading, {pace}, round {number}"
            yield f"{name}: median", "", f"{statistics.median(took):.0f} ms", _load()
            yield f"{name}: p99", "100 ms", f"{took[98]:.0f} ms", _load()


def _start(lab: Laboratory) -> Iterator[Line]:
    """From a kernel's start to the first bench, everything imported on the way."""
    with opened(lab, "start", "click") as page:
        start = time.perf_counter()
        page.evaluate(RESTART)
        ready = time.perf_counter()
        run_all(page)
        page.locator(".labkit-bench .probe").first.wait_for()
        shown = time.perf_counter()
    yield "kernel's start", "", f"{ready - start:.1f} s", _load()
    yield "from there to the first bench, imports included", "", f"{shown - ready:.1f} s", _load()
    yield "kernel's start to first bench", "", f"{shown - start:.1f} s", _load()


def _many(lab: Laboratory) -> Iterator[Line]:
    """Ten benches in one notebook: time to show them all, and the kernel's memory."""
    memory = {}
    for benches in (1, 10):
        views = ["ClickBench(Bench(circuit))"] * benches
        with opened(lab, f"benches-{benches}", *views) as page:
            start = time.perf_counter()
            page.evaluate(RESTART)
            run_all(page)
            page.locator(".labkit-bench .probe").first.wait_for()
            page.wait_for_function(
                f"document.querySelectorAll('.labkit-bench').length === {benches}"
            )
            took = time.perf_counter() - start
            memory[benches] = _kernel_memory(lab.server)
        yield f"Run All from a new kernel, benches: {benches}", "", f"{took:.1f} s", _load()
        yield f"kernel's memory, benches: {benches}", "", f"{memory[benches]:.0f} MB", ""
    yield "kernel's memory for each more", "", f"{(memory[10] - memory[1]) / 9:.2f} MB", ""


def _kernel_memory(server: Server) -> float:
    """Resident memory of the one kernel that runs. [MB]"""
    children = psutil.Process(server.process.pid).children(recursive=True)
    [kernel] = [child for child in children if "ipykernel_launcher" in " ".join(child.cmdline())]
    return float(kernel.memory_info().rss) / 1e6


def _load() -> str:
    return f"load {os.getloadavg()[0]:.1f}"
