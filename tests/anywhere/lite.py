"""Lays what JupyterLite builds a site with benches from: python -m tests.anywhere lite FOLDER.

Pyodide, the libraries of its notebooks and this package come from npm and PyPI alone. Of Pyodide's
own lock file only those libraries stay, so that nothing is asked for that is not there.
"""

from __future__ import annotations

import hashlib
import json
import shutil
import subprocess
import sys
import tarfile
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from labkit.anywhere.pack import FROM_PYODIDE
from labkit.anywhere.runtime import PLATFORM, PYTHON, default_cache, pyodide, wheels
from tests.boats import EXERCISES, ROOT

LOCK = "pyodide-lock.json"
KERNEL = ("ipython", "micropip", "jedi", "packaging", "pyodide-http")
"""What the notebook's kernel starts from; none of it is compiled."""

WIDGETS = ("anywidget", "ipywidgets", "platformdirs", "markdown-it-py")
"""What this package needs there beside the libraries of the page, with all that they need."""

FIRST = """\
import piplite
await piplite.install("labkit", deps=False)
await piplite.install(
    ["anywidget", "ipywidgets", "markdown-it-py", "platformdirs", "pydantic", "quantiphy",
     "schemdraw"])"""
CELLS = (FIRST, 'from labkit import hunt\nhunt("exercises/slow-washdown.toml")')


def lay(folder: Path) -> None:
    """Lay `static`, `pypi` and `files` for a build of JupyterLite."""
    static, ours = folder / "static" / "pyodide", folder / "pypi"
    for place in (static, ours):
        place.mkdir(parents=True)
    with tarfile.open(pyodide(default_cache())) as packed:
        for name in (*FROM_PYODIDE, "package.json", LOCK):
            (static / name).write_bytes(packed.extractfile(f"package/{name}").read())  # type: ignore[union-attr]
    lock = json.loads((static / LOCK).read_text("utf-8"))
    kept = kernels(lock["packages"])
    _download(static, (f"{one['name']}=={one['version']}" for one in kept.values()), "--no-deps")
    for one in kept.values():
        one["sha256"] = hashlib.sha256((static / one["file_name"]).read_bytes()).hexdigest()
    (static / LOCK).write_text(json.dumps({**lock, "packages": kept}), "utf-8")
    for wheel in wheels(default_cache()):
        shutil.copy(wheel, ours)
    _download(ours, WIDGETS)
    _pip("wheel", "--no-deps", "--wheel-dir", str(ours), str(ROOT))
    files = folder / "files"
    shutil.copytree(EXERCISES, files / "exercises", ignore=shutil.ignore_patterns("__pycache__"))
    (files / "hunt.ipynb").write_text(json.dumps(notebook()), "utf-8")


def kernels(packages: dict[str, dict[str, Any]]) -> dict[str, dict[str, Any]]:
    """Of Pyodide's lock file, the libraries of the kernel and all that they draw in."""
    found, wanted = dict[str, dict[str, Any]](), [*KERNEL]
    while wanted:
        name = wanted.pop().replace("_", "-")
        if name not in found:
            found[name] = packages[name]
            wanted += packages[name]["depends"]
    return found


def notebook() -> dict[str, Any]:
    """A hunt in a notebook; its first cell installs what it needs."""
    cells = [
        {"cell_type": "code", "id": f"c{n}", "execution_count": None, "metadata": {},
         "outputs": [], "source": source}
        for n, source in enumerate(CELLS)
    ]  # fmt: skip  # rows that a reader compares
    python = {"name": "python", "display_name": "Python (Pyodide)", "language": "python"}
    return {
        "cells": cells, "metadata": {"kernelspec": python}, "nbformat": 4, "nbformat_minor": 5,
    }  # fmt: skip  # rows that a reader compares


def _download(folder: Path, what: Iterable[str], *more: str) -> None:
    _pip(
        "download", "--quiet", "--only-binary", ":all:", "--platform", PLATFORM,
        "--platform", "any", "--python-version", PYTHON, "--implementation", "cp",
        "--abi", "none", "--dest", str(folder), *more, *what,
    )  # fmt: skip  # rows that a reader compares


def _pip(*words: str) -> None:
    subprocess.run([sys.executable, "-m", "pip", *words], check=True)
