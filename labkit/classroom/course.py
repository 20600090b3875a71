"""The course: its notebooks and exercises, laid into a folder of the learner's own."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable
from pathlib import Path

import labkit
from labkit.text.files import write
from labkit.text.messages import CircuitError
from labkit.text.plain_file import reason
from labkit.text.toml_file import read_toml

PARTS = ("notebooks", "exercises")
"""Folders of the course. Notebooks find exercises beside their own folder."""

LAID = ".labkit-course.json"
"""What was laid into a folder, with a checksum each, so that what a learner changed is known."""

_NOT_LAID = ("conftest.py", "*.dealt", ".*")  # a test; who was dealt what; hidden files
_DESK = "instructor"  # in the name of a notebook that is not for learners
_NAMED = re.compile(r"\.\./(exercises/[\w/-]+\.toml)")


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


def files(course: Path) -> list[str]:
    """Every file of the course below its place, as 'notebooks/01-start-here.ipynb'."""
    return [
        file.relative_to(course).as_posix()
        for part in PARTS
        for file in sorted((course / part).rglob("*"))
        if file.is_file() and not any(map(file.match, _NOT_LAID))
    ]


def needed(course: Path) -> list[str]:
    """What learners need of the course: its lessons, and of the exercises those that they name.

    The other hunts stay with the instructor, to be dealt; so does the instructor's notebook.
    """
    lessons = [
        name for name in files(course) if name.startswith(PARTS[0]) and _DESK not in Path(name).name
    ]
    named: set[str] = set()
    for name in lessons:
        if Path(name).suffix in (".toml", ".ipynb"):
            named |= set(_NAMED.findall((course / name).read_text("utf-8")))
    for name in sorted(named):
        circuit = read_toml(course / name).get("circuit")
        if circuit is not None:
            named.add((Path(name).parent / circuit).as_posix())
    return [*lessons, *sorted(named)]


def lay(folder: Path, names: Iterable[str] | None = None) -> list[str]:
    """Lay the course into a folder, and leave alone what a learner has changed there.

    A file that is as it was laid is replaced by a newer one; beside one that was changed, the
    newer one is laid with `.new` behind its name.

    Parameters
    ----------
    folder : Path
        Made where it is not there.
    names : iterable of str, optional
        What to lay of :func:`files`; everything where not said.

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
    for name in files(course) if names is None else names:
        new, target = (course / name).read_bytes(), folder / name
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
