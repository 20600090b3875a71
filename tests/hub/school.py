"""A hub of its own in a temporary folder, under one account, started as `labkit class` does it."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

import requests

from labkit.classroom.folders import Folders
from labkit.classroom.plan import Plan

PATIENCE = 600.0  # on a machine that does much else at the same time [s]


@dataclass
class School:
    """A hub that runs."""

    plan: Plan
    process: subprocess.Popen[bytes]
    log: Path

    @property
    def folders(self) -> Folders:
        return self.plan.folders


def three_ports() -> int:
    """Return a port that is free, with the two behind it."""
    while True:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            first = int(probe.getsockname()[1])
        try:
            for port in (first, first + 1, first + 2):
                with socket.socket() as probe:
                    probe.bind(("127.0.0.1", port))
        except (OSError, OverflowError):
            continue
        return first


def configuration(plan: Plan) -> str:
    """Return the shipped configuration; where the tests run as root, its servers may do so."""
    text = replace(plan, own_accounts=False, shared_password=True).configuration
    root = 'c.Spawner.args = [*c.Spawner.args, "--allow-root"]\n' if os.geteuid() == 0 else ""
    return text + root


@contextmanager
def school(folder: Path, *names: str) -> Iterator[School]:
    """Open a hub for a class, and close it with all that it started."""
    plan = Plan(names, folder / "class", own_accounts=False, port=three_ports())
    file, log = folder / "jupyterhub_config.py", folder / "hub.log"
    file.write_text(configuration(plan), "utf-8")
    hub = [sys.executable, "-P", "-m", "labkit.classroom.serve_hub", "-f", str(file)]
    with log.open("wb") as out:
        process = subprocess.Popen(hub, cwd=folder, stdout=out, stderr=out)
    try:
        _await(plan, process, log)
        yield School(plan, process, log)
    finally:
        process.send_signal(signal.SIGTERM)
        try:
            process.wait(PATIENCE)
        except subprocess.TimeoutExpired:
            process.kill()


def _await(plan: Plan, process: subprocess.Popen[bytes], log: Path) -> None:
    """Wait until the hub answers through its proxy, which answers by itself before that."""
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end and process.poll() is None:
        try:
            if requests.get(f"{plan.url}/hub/api/", timeout=5).json()["version"]:
                return
        except (requests.RequestException, ValueError, KeyError):
            time.sleep(0.2)
    raise AssertionError(f"no hub: {log.read_text('utf-8')}")
