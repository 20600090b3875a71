"""The course: its notebooks and exercises, laid into a folder of the learner's own and opened."""

from __future__ import annotations

import hashlib
import json
import os
import secrets
import socket
import subprocess
import sys
import webbrowser
from collections.abc import Sequence
from pathlib import Path

import labkit
from labkit.cli.terminal import out
from labkit.text.files import write
from labkit.text.messages import CircuitError
from labkit.text.plain_file import reason

PARTS = ("notebooks", "exercises")
"""Folders of the course. Notebooks find exercises beside their own folder."""

LAID = ".labkit-course.json"
"""What was laid into a folder, with a checksum each, so that what a learner changed is known."""

_NOT_LAID = ("conftest.py",)


def source() -> Path:
    """Where the course comes from: what the package carries, or the checkout it lies in.

    Raises
    ------
    CircuitError
        If there is none.
    """
    here = Path(labkit.__file__).parent
    for place in (here / "course", here.parent):
        if any((place / PARTS[0]).glob("*.ipynb")):
            return place
    raise CircuitError([f"{here}: this copy of labkit carries no notebooks; install it again"])


def lay(folder: Path) -> list[str]:
    """Lay the course into a folder, and leave alone what a learner has changed there.

    A file that is as it was laid is replaced by a newer one; beside one that was changed, the
    newer one is laid with `.new` behind its name.

    Parameters
    ----------
    folder : Path
        Made where it is not there.

    Returns
    -------
    list of str
        A sentence for each file that was left alone though there is a newer one.

    Raises
    ------
    CircuitError
        If it cannot be written.
    """
    course = source()
    if folder.exists() and not folder.is_dir():
        raise CircuitError([f"{folder}: is a file; name a folder to lay the course into"])
    if folder.resolve() == course.resolve():
        return []
    laid, told = _laid(folder), []
    for part in PARTS:
        for file in sorted((course / part).rglob("*")):
            name = file.relative_to(course).as_posix()
            if not file.is_file() or file.name in _NOT_LAID or file.name.startswith("."):
                continue
            new, target = file.read_bytes(), folder / name
            was = _content(target)
            if was is not None and _sum(was) not in (laid.get(name), _sum(new)):
                if laid.get(name) == _sum(new):
                    continue  # the learner's own, and nothing newer
                target = target.with_name(f"{target.name}.new")
                told.append(f"{folder / name}: is yours and stays; the newer one is {target.name}")
            if _content(target) != new:
                write(target, new)
            laid[name] = _sum(new)
    write(folder / LAID, json.dumps(laid, indent=1, sort_keys=True) + "\n")
    return told


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
    command = [sys.executable, "-m", "labkit.cli.serve", HOOK, str(first)]
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


def _laid(folder: Path) -> dict[str, str]:
    try:
        laid = json.loads((folder / LAID).read_text("utf-8"))
    except (OSError, ValueError):
        return {}
    return laid if isinstance(laid, dict) else {}


def _content(path: Path) -> bytes | None:
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise CircuitError([f"{path}: cannot be read, {reason(error)}"]) from None


def _sum(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


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
