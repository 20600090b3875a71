"""A notebook server of our own on a free port, and a browser to look at it with."""

from __future__ import annotations

import json
import os
import secrets
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path

import nbformat
import pytest
from playwright.sync_api import Browser, ConsoleMessage, Page, expect, sync_playwright

PATIENCE = 60_000  # a machine that does other things too is slow, not wrong [ms]
expect.set_options(timeout=PATIENCE)

CHROMIUM = "/usr/bin/chromium"
FLAGS = [
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip
ROOT = Path(__file__).parents[2]
QUIET = {"fetchNews": "false", "checkForUpdates": False, "doNotDisturbMode": True}

KERNEL = {"name": "python3", "display_name": "Python 3 (ipykernel)", "language": "python"}

CELLS = {
    "click": "ClickBench(bench)",
    "plain": "PlainBench(bench)",
}
SETUP = """\
from labkit import load_circuit
from labkit.bench import Bench
from labkit.widgets import ClickBench, PlainBench

circuit = load_circuit("{circuit}").with_fault("X1 resistance 0.8 ohm")
bench = Bench(circuit)
"""


class Server:
    """A JupyterLab in a folder of its own."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.token = folder, secrets.token_hex(16)
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        self.files = folder / "files"
        self.settings = folder / "settings"
        self.files.mkdir()
        self.theme("Light")
        self._set("apputils-extension", "notification", QUIET)
        self._set("notebook-extension", "tracker", {"autoStartDefaultKernel": True})
        env = {
            **os.environ,
            "JUPYTER_CONFIG_DIR": str(folder / "config"),
            "JUPYTERLAB_SETTINGS_DIR": str(self.settings),
            "JUPYTERLAB_WORKSPACES_DIR": str(folder / "workspaces"),
            "JUPYTER_RUNTIME_DIR": str(folder / "runtime"),
            "IPYTHONDIR": str(folder / "ipython"),
            "XDG_DATA_HOME": str(folder / "attempts"),
            "PYTHONPATH": str(ROOT),
        }
        self.log = (folder / "server.log").open("w")
        command = [
            sys.executable, "-m", "jupyterlab", "--no-browser", "--allow-root", "--ip=127.0.0.1",
            f"--port={self.port}", "--ServerApp.port_retries=0",
            "--LabApp.expose_app_in_browser=True", f"--IdentityProvider.token={self.token}",
            f"--ServerApp.root_dir={self.files}",
        ]  # fmt: skip
        self.process = subprocess.Popen(command, env=env, stdout=self.log, stderr=self.log)
        self._wait()

    def _set(self, plugin: str, name: str, values: dict[str, object]) -> None:
        place = self.settings / "@jupyterlab" / plugin
        place.mkdir(parents=True, exist_ok=True)
        (place / f"{name}.jupyterlab-settings").write_text(json.dumps(values))

    def theme(self, name: str) -> None:
        """Show pages opened from now on in the light or the dark theme."""
        self._set("apputils-extension", "themes", {"theme": f"JupyterLab {name}"})

    def _wait(self) -> None:
        for _ in range(300):
            if self.process.poll() is not None:
                break
            try:
                self.ask("status")
                return
            except (urllib.error.URLError, ConnectionError):
                time.sleep(0.1)
        raise RuntimeError(f"the server did not start:\n{(self.folder / 'server.log').read_text()}")

    def address(self, notebook: str) -> str:
        return f"http://127.0.0.1:{self.port}/doc/tree/{notebook}?token={self.token}"

    def ask(self, path: str, method: str = "GET") -> bytes:
        """Ask something of the server itself."""
        address = f"http://127.0.0.1:{self.port}/api/{path}?token={self.token}"
        with urllib.request.urlopen(urllib.request.Request(address, method=method)) as answer:
            return bytes(answer.read())

    def end_kernels(self) -> None:
        """End the kernels of notebooks that are no longer open."""
        for kernel in json.loads(self.ask("kernels")):
            self.ask(f"kernels/{kernel['id']}", "DELETE")

    def stop(self) -> None:
        self.process.terminate()
        self.process.wait(timeout=20)
        self.log.close()


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


def run_all(page: Page) -> None:
    """Run > Run All Cells, once the kernel is there; returns when all have run."""
    page.wait_for_function("window.jupyterapp?.shell.currentWidget?.sessionContext")
    page.evaluate("""async () => {
        const app = window.jupyterapp;
        const panel = app.shell.currentWidget;
        await app.restored;
        await panel.revealed;
        await panel.sessionContext.ready;
        await app.commands.execute("notebook:run-all-cells");
    }""")


@pytest.fixture
def notebook(server: Server, request: pytest.FixtureRequest) -> Callable[..., Path]:
    """Write a small notebook with a bench in it."""

    def written(*views: str, circuit: str = "washdown") -> Path:
        name = request.node.name.split("[")[0]
        return write_notebook(server, name, *views, circuit=circuit)

    return written


def write_notebook(server: Server, name: str, *views: str, circuit: str = "washdown") -> Path:
    """Write a notebook that has a boat at hand and shows these views of it."""
    source = SETUP.format(circuit=ROOT / "exercises" / "circuits" / f"{circuit}.toml")
    cells = [nbformat.v4.new_code_cell(source)]
    cells += [nbformat.v4.new_code_cell(CELLS.get(view, view)) for view in views]
    path = server.files / f"{name}.ipynb"
    made = nbformat.v4.new_notebook(cells=cells)
    made.metadata["kernelspec"] = KERNEL
    made.metadata["language_info"] = {"name": "python"}
    nbformat.write(made, path)
    return path
