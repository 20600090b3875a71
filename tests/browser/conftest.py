"""A notebook server of our own on a free port, and a browser to look at it with."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, ConsoleMessage, Page, sync_playwright

from tests.browser.lab import CHROMIUM, FLAGS, PATIENCE, Server, run_all, write_notebook


@pytest.fixture(scope="session")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    if not Path(CHROMIUM).exists():
        pytest.fail(f"{CHROMIUM} is missing; install Debian's chromium to run the browser tests")
    made = Server(tmp_path_factory.mktemp("lab"))
    yield made
    made.stop()


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        made = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield made
        made.close()


Opener = Callable[..., Page]


@pytest.fixture
def open_notebook(server: Server, browser: Browser) -> Iterator[Opener]:
    """Open a notebook, run all its cells, and complain of every error in the page's console."""
    contexts, errors = [], []

    def note(message: ConsoleMessage) -> None:
        where = message.location.get("url", "")
        if message.type == "error" and "Failed to load resource" not in message.text:
            errors.append(f"{message.text} ({where})")

    def opened(
        path: Path, *, width: int = 1280, height: int = 1000, theme: str = "Light", run: bool = True
    ) -> Page:
        server.theme(theme)
        scheme = "dark" if theme == "Dark" else "light"
        context = browser.new_context(
            viewport={"width": width, "height": height}, color_scheme=scheme
        )
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(PATIENCE)
        page.on("console", note)
        page.on("pageerror", lambda error: errors.append(str(error)))
        page.goto(server.address(path.relative_to(server.files).as_posix()))
        if run:
            run_all(page)
        return page

    yield opened
    for context in contexts:
        context.close()
    server.end_kernels()
    assert errors == []


@pytest.fixture
def notebook(server: Server, request: pytest.FixtureRequest) -> Callable[..., Path]:
    """Write a small notebook with a bench in it."""

    def written(*views: str, circuit: str = "washdown") -> Path:
        name = request.node.name.split("[")[0]
        return write_notebook(server, name, *views, circuit=circuit)

    return written
