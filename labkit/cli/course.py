"""The course opened: JupyterLab started on its first notebook."""

from __future__ import annotations

import os
import secrets
import socket
import subprocess
import sys
import webbrowser
from collections.abc import Sequence
from pathlib import Path

from labkit.classroom.course import PARTS
from labkit.cli.terminal import out


def start(folder: Path, options: Sequence[str]) -> int:
    """Start JupyterLab on the first notebook of a folder; return its exit code when it ends.

    Parameters
    ----------
    folder : Path
        Holds `notebooks`.
    options : sequence of str
        Jupyter's own.
    """
    from labkit.widgets.saved import HOOK

    first = min((folder / PARTS[0]).glob("*.ipynb"))
    command = [sys.executable, "-m", "labkit.classroom.serve", HOOK, str(first)]
    environment = dict(os.environ)
    if _is_root():
        out.print("You are root here, so anything a notebook does it does as root.")
        command += ["--allow-root", "--ServerApp.ip=127.0.0.1"]
    if not _browser() and not any("port" in option or "token" in option for option in options):
        port, token = _free_port(), secrets.token_hex(16)
        environment["JUPYTER_TOKEN"] = token
        command += ["--no-browser", f"--ServerApp.port={port}"]
        page = f"http://127.0.0.1:{port}/lab/tree/{PARTS[0]}/{first.name}?token={token}"
        command += [f"--ServerApp.root_dir={folder.resolve()}"]
        out.print("There is no browser here. Open this address in one on this machine:")
        out.print(f"  {page}", soft_wrap=True)
    out.print(f"Opening {first}; press Ctrl+C twice here to stop.", soft_wrap=True)
    return subprocess.run([*command, *options], env=environment, check=False).returncode


def _is_root() -> bool:
    return hasattr(os, "geteuid") and os.geteuid() == 0


def _browser() -> bool:
    try:
        webbrowser.get()
    except webbrowser.Error:
        return False
    return True


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])
