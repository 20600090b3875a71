"""What the page promises by the clock, measured in Chromium: python -m tests.anywhere times.

A processor four times slower is made by stopping the browser's own processes for three quarters of
every 20 ms: Chromium's own throttle slows a page down, but not the worker in which Python runs.
Times are of the clock, so the machine's load stands beside them.
"""

from __future__ import annotations

import contextlib
import os
import signal
import statistics
import tempfile
import threading
import time
from collections.abc import Iterator
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import psutil
from playwright.sync_api import BrowserContext, Page, sync_playwright

from labkit.anywhere.build import build
from labkit.anywhere.laid import chosen, laid_all
from labkit.anywhere.runtime import default_cache
from tests.benchmarks.screen import CLICKS
from tests.boats import EXERCISES
from tests.browser.lab import CHROMIUM, FLAGS

SLOWER = 4
PATIENCE = 240_000
HUNT = "slow-washdown"

Line = tuple[str, str, str, bool]


def times() -> Iterator[Line]:
    """Every promise: what, its goal, what was measured, held or not."""
    with tempfile.TemporaryDirectory() as there, sync_playwright() as playwright:
        folder, cache = Path(there) / "page", default_cache()
        start = time.perf_counter()
        every = laid_all(chosen([EXERCISES]), cache, whole=False)
        single = build(Path(there) / "hunts.html", every, cache)[0]
        took = time.perf_counter() - start
        size = single.stat().st_size / 1e6
        yield f"one file with all {len(every)} hunts", "13 MB", f"{size:.1f} MB", size < 13
        yield "built, its paths and levels apart", "", f"{took:.0f} s", True
        build(folder, laid_all([EXERCISES / f"{HUNT}.toml"], cache, whole=False), cache)
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        for slower, first, again in ((1, 6, 4), (SLOWER, 20, None)):
            with served(folder) as url, throttled(slower):
                yield from _visits(browser.new_context(), url, slower, first, again)
        yield from _from_disk(browser.new_context(offline=True), single)
        browser.close()


def _visits(
    context: BrowserContext, url: str, slower: int, first: float, again: float | None
) -> Iterator[Line]:
    machine = "a desk" if slower == 1 else f"a processor {slower} times slower"
    page, asked = context.new_page(), list[str]()
    page.set_default_timeout(PATIENCE)
    context.on("request", lambda request: asked.append(request.url))
    took = _to_first_click(page, f"{url}#hunt-{HUNT}", 1)
    yield f"first visit to first click, {machine}", f"{first} s", f"{took:.1f} s", took < first
    touch = _touches(page)
    middle, late = statistics.median(touch), sorted(touch)[94]
    yield f"a touch, {machine}: median", "50 ms", f"{middle:.0f} ms", middle < 50
    yield f"a touch, {machine}: p95", "", f"{late:.0f} ms", True
    page.wait_for_function("navigator.serviceWorker.controller !== null")
    before = page.locator(".lines li").count()
    took = _to_first_click(page, f"{url}?again#hunt-{HUNT}", before + 1)
    goal, held = (f"{again} s", took < again) if again else ("", True)
    yield f"again to first click, {machine}", goal, f"{took:.1f} s", held
    if slower == 1:
        context.set_offline(True)
        took = _to_first_click(page, f"{url}?offline#hunt-{HUNT}", before + 2)
        yield "the same offline", "works", f"{took:.1f} s", True
    elsewhere = [one for one in asked if not one.startswith((url, "blob:", "data:"))]
    yield "asked of anybody else", "0", str(len(elsewhere)), not elsewhere
    context.close()


def _from_disk(context: BrowserContext, file: Path) -> Iterator[Line]:
    page = context.new_page()
    page.set_default_timeout(PATIENCE)
    took = _to_first_click(page, f"{file.as_uri()}#hunt-{HUNT}", 1)
    yield "one file with all hunts, from disk, network cut", "works", f"{took:.1f} s", True
    context.close()


def _to_first_click(page: Page, url: str, lines: int) -> float:
    """From opening the page until what was first clicked is in the log; clicked while it starts."""
    start = time.perf_counter()
    page.goto(url, wait_until="commit")
    page.locator('[data-key="part S2"]').first.press("Enter")
    page.locator(f".lines li:nth-child({lines})").wait_for()
    return time.perf_counter() - start


def _touches(page: Page) -> list[float]:
    """From a click on a test point to the frame that shows its reading, a hundred of them. [ms]"""
    page.get_by_role("radio", name="black", exact=True).check()
    page.locator(".probe[data-key='DC-']").click()
    page.get_by_role("radio", name="red", exact=True).check()
    before = page.locator(".lines li").count()
    page.locator(".probe").nth(1).click()
    page.locator(f".lines li:nth-child({before + 1})").wait_for()
    return list(page.evaluate(CLICKS, 200))


@contextlib.contextmanager
def served(folder: Path) -> Iterator[str]:
    """A folder on a port of this machine."""

    class Quiet(SimpleHTTPRequestHandler):
        def log_message(self, *_: object) -> None:
            """Say nothing."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(Quiet, directory=str(folder)))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}/"
    server.shutdown()


@contextlib.contextmanager
def throttled(slower: int) -> Iterator[None]:
    """Stop the browser's rendering processes for all but a share of the time."""
    over = threading.Event()

    def stop_and_go() -> None:
        while not over.is_set():
            pages = [child for child in psutil.Process().children(recursive=True) if _draws(child)]
            for _ in range(25):
                _all(pages, signal.SIGSTOP)
                time.sleep(0.02 * (1 - 1 / slower))
                _all(pages, signal.SIGCONT)
                time.sleep(0.02 / slower)

    going = threading.Thread(target=stop_and_go)
    if slower > 1:
        going.start()
    try:
        yield
    finally:
        over.set()
        if slower > 1:
            going.join()


def _draws(process: psutil.Process) -> bool:
    with contextlib.suppress(psutil.Error):
        return "--type=renderer" in process.cmdline()
    return False


def _all(processes: list[psutil.Process], what: signal.Signals) -> None:
    for process in processes:
        with contextlib.suppress(psutil.Error):
            process.send_signal(what)


def shown() -> bool:
    """Print every promise as it is measured; whether all are held."""
    held = True
    for what, goal, measured, ok in times():
        held &= ok
        word = ("held" if ok else "NOT HELD") if goal else ""
        print(f"{what:58} {goal:>8} {measured:>9}  {word}", flush=True)
    print(f"load of the machine at the end: {os.getloadavg()[0]:.1f}")
    return held
