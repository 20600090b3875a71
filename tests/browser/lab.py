"""A notebook server of our own on a free port, and notebooks opened on it in a browser."""

from __future__ import annotations

import json
import os
import secrets
import socket
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

import nbformat
from playwright.sync_api import Browser, Page, expect, sync_playwright

from labkit.widgets.saved import HOOK

PATIENCE = 60_000  # a machine that does other things too is slow, not wrong [ms]
expect.set_options(timeout=PATIENCE)

CHROMIUM = "/usr/bin/chromium"
FLAGS = [
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip  # rows that a reader compares
ROOT = Path(__file__).parents[2]
QUIET = {"fetchNews": "false", "checkForUpdates": False, "doNotDisturbMode": True}

KERNEL = {"name": "python3", "display_name": "Python 3 (ipykernel)", "language": "python"}

CELLS = {
    "click": "ClickBench(bench)",
    "plain": "PlainBench(bench)",
}
SETUP = """\
from labkit import load_circuit
from labkit.aboard.bench import Bench
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
        self.records = folder / "attempts"
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
            "LABKIT_RECORDS": str(self.records),
            "PYTHONPATH": str(ROOT),
        }
        self.log = (folder / "server.log").open("w")
        command = [
            sys.executable, "-m", "labkit.classroom.serve", "--no-browser", "--allow-root",
            "--ip=127.0.0.1", f"--port={self.port}", "--ServerApp.port_retries=0",
            "--LabApp.expose_app_in_browser=True", f"--IdentityProvider.token={self.token}",
            f"--ServerApp.root_dir={self.files}", HOOK,
        ]  # fmt: skip  # rows that a reader compares
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
        patient = time.monotonic() + 2 * PATIENCE / 1000
        while time.monotonic() < patient and self.process.poll() is None:
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
        """End the kernels of notebooks that are no longer open.

        One that ends by itself meanwhile is an error to the server, which is then asked again.
        """
        for _ in range(10):
            try:
                for kernel in json.loads(self.ask("kernels")):
                    self.ask(f"kernels/{kernel['id']}", "DELETE")
                return
            except urllib.error.HTTPError:
                time.sleep(0.5)
        raise RuntimeError(f"kernels do not end:\n{(self.folder / 'server.log').read_text()}")

    def stop(self) -> None:
        self.process.terminate()
        self.process.wait(timeout=20)
        self.log.close()


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


class Laboratory(NamedTuple):
    """A server and a browser."""

    server: Server
    browser: Browser


@contextmanager
def laboratory() -> Iterator[Laboratory]:
    """Both, for a program that is no test."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        server = Server(Path(folder))
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        try:
            yield Laboratory(server, browser)
        finally:
            browser.close()
            server.stop()


@contextmanager
def opened(
    lab: Laboratory, name: str, *views: str, width: int = 1280, height: int = 1000,
    theme: str = "Light",
) -> Iterator[Page]:  # fmt: skip  # rows that a reader compares
    """A notebook that shows these views of a boat, all its cells run."""
    lab.server.theme(theme)
    context = lab.browser.new_context(viewport={"width": width, "height": height})
    page = context.new_page()
    page.set_default_timeout(PATIENCE)
    page.goto(lab.server.address(write_notebook(lab.server, name, *views).name))
    run_all(page)
    yield page
    context.close()
    lab.server.end_kernels()
