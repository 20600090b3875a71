"""A notebook server of our own on a free port, and a browser to look at it with."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Literal

import pytest
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, sync_playwright

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

SHOW = """async ([path, theme]) => {
    const app = window.jupyterapp;
    await app.commands.execute("apputils:change-theme", { theme });
    const panel = await app.commands.execute("docmanager:open", { path, factory: "Notebook" });
    await panel.context.ready;
}"""
CLOSE = "() => [...window.jupyterapp.shell.widgets('main')].forEach((w) => w.dispose())"


class Windows:
    """Pages of the server, and what their consoles complain of.

    Loading JupyterLab takes a browser three times as long as running a small notebook, so one page
    shows one notebook after another; a test that asks for it has a page of its own.
    """

    def __init__(self, server: Server, browser: Browser) -> None:
        self.server, self.browser, self.errors = server, browser, list[str]()
        self.own: list[BrowserContext] = []
        self.shared: Page | None = None

    def blank(self, width: int, height: int, theme: str) -> Page:
        """A page of its own, with nothing on it."""
        self.server.theme(theme)
        context = self.browser.new_context(
            viewport={"width": width, "height": height}, color_scheme=SCHEMES[theme]
        )
        page = context.new_page()
        page.set_default_timeout(PATIENCE)
        page.on("console", self._note)
        page.on("pageerror", lambda error: self.errors.append(str(error)))
        return page

    def fresh(self, path: str, width: int, height: int, theme: str) -> Page:
        """A notebook on a page loaded for it."""
        page = self.blank(width, height, theme)
        self.own.append(page.context)
        page.goto(self.server.address(path))
        return page

    def show(self, path: str, width: int, height: int, theme: str) -> Page:
        """A notebook on the page that is loaded already."""
        if self.shared is None:
            self.shared = self.blank(width, height, theme)
            self.shared.goto(self.server.address(path))
            return self.shared
        self.shared.set_viewport_size({"width": width, "height": height})
        self.shared.emulate_media(color_scheme=SCHEMES[theme])
        self.shared.evaluate(SHOW, [path, f"JupyterLab {theme}"])
        return self.shared

    def close(self) -> list[str]:
        """Close every notebook and end its kernel; return what was complained of."""
        if self.shared is not None:
            self.shared.evaluate(CLOSE)
        while self.own:
            self.own.pop().close()
        self.server.end_kernels()
        said, self.errors = self.errors, []
        return said

    def _note(self, message: ConsoleMessage) -> None:
        where = message.location.get("url", "")
        if message.type == "error" and "Failed to load resource" not in message.text:
            self.errors.append(f"{message.text} ({where})")


SCHEMES: dict[str, Literal["light", "dark"]] = {"Light": "light", "Dark": "dark"}


@pytest.fixture(scope="session")
def windows(server: Server, browser: Browser) -> Windows:
    return Windows(server, browser)


@pytest.fixture
def open_notebook(windows: Windows) -> Iterator[Opener]:
    """Open a notebook, run all its cells, and complain of every error in the page's console."""

    def opened(
        path: Path, *, width: int = 1280, height: int = 1000, theme: str = "Light",
        run: bool = True, fresh: bool = False,
    ) -> Page:  # fmt: skip  # rows that a reader compares
        show = windows.fresh if fresh else windows.show
        page = show(path.relative_to(windows.server.files).as_posix(), width, height, theme)
        if run:
            run_all(page)
        return page

    yield opened
    assert windows.close() == []


@pytest.fixture
def notebook(server: Server, request: pytest.FixtureRequest) -> Callable[..., Path]:
    """Write a small notebook with a bench in it."""

    def written(*views: str, circuit: str = "washdown") -> Path:
        name = request.node.name.split("[")[0]
        return write_notebook(server, name, *views, circuit=circuit)

    return written
