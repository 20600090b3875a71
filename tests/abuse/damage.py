"""Damaged files: read in a child with little memory, refused in sentences or used.

``python -m tests.abuse.damage SEED COUNT`` is that child.
"""

from __future__ import annotations

import copy
import shutil
import sys
import tempfile
import tomllib
from pathlib import Path
from random import Random
from typing import Any
from xml.etree import ElementTree

from labkit.circuits.circuit_file import circuit_from
from labkit.drawing import draw
from labkit.exercises.checking import check_file
from labkit.exercises.exercise import Exercise, exercise_from
from labkit.exercises.files import load
from labkit.solving.solver import solve
from tests.boats import ROOT

from .tally import Tally, bound_memory, in_child, told

EXERCISES = ROOT / "exercises"
SHIPPED = sorted(EXERCISES.rglob("*.toml"))
MARKS = ['"', "'", "[", "]", "{", "}", "=", ",", "#", "\n", ".", "-", "0", " ", "\\", "\x00", "é",
         '"""', "[[", "\\u0000", "\\u001b[2J", "\U0001f6a2", "\u202e"]  # fmt: skip  # in rows
WORDS = ["12 V", "DC-", "-1 ohm", "1e400 ohm", "nan V", "inf A", "", "30-87", "G1", "joint", "∞",
         "self", "²", "circuits/washdown.toml", "../secret.toml", "/dev/zero", "one of", "X1 open",
         "S2", "on", "0 %", "1e-300 %", "99999999999 min"]  # fmt: skip  # in rows
VALUES: list[Any] = [
    None, True, 0, -1, 1.5, float("nan"), 10**400, "", " ", "x" * 5000, "12 V", "0 ohm", "-3 A",
    "1e308 ohm", "1e-300 ohm", "1 Gohm", "DC-", "G1:+", [], [1], {}, {"id": 1}, [[]], "1-2",
    {"self": "on"}, {"S2": "on"}, "X1 open + X1 open", ["X1 open"] * 3, "1 " + "m" * 50,
    "9" * 400 + " mm2", "\U0001f6a2", {"number": "$1$", "color": "<b>"},
]  # fmt: skip  # rows that a reader compares


# -- damage ----------------------------------------------------------------------------------------


def damaged(rng: Random, data: bytes) -> bytes:
    """Change a few letters, words, lines or bytes of a file."""
    if rng.random() < 0.2:
        cut = bytearray(data[: rng.randrange(len(data))])
        for _ in range(rng.randint(0, 3) if cut else 0):
            cut[rng.randrange(len(cut))] = rng.randrange(256)
        return bytes(cut)
    text = data.decode()
    for _ in range(rng.randint(1, 4)):
        text = _edited(rng, text)
    return text.encode()


def _edited(rng: Random, text: str) -> str:
    lines, quoted = text.split("\n"), text.split('"')
    at, line = rng.randrange(len(text) or 1), rng.randrange(len(lines))
    match rng.randrange(6):
        case 0:
            return text[:at] + rng.choice(MARKS) + text[at:]
        case 1:
            return text[:at] + text[at + rng.randint(1, 5) :]
        case 2:
            return "\n".join(lines[:line] + lines[line + 1 :])
        case 3:
            return "\n".join([*lines[:line], lines[line], *lines[line:]])
        case 4 if len(quoted) > 2:
            quoted[rng.randrange(len(quoted) // 2) * 2 + 1] = rng.choice(WORDS)
            return '"'.join(quoted)
    return text.replace(rng.choice([*WORDS[:3], "is", "ohm", "m"]), rng.choice(WORDS), 1)


def places(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Every place in a table, as the keys that lead to it."""
    inner = value.items() if isinstance(value, dict) else enumerate(value)
    found = []
    for key, item in inner:
        found.append((*path, key))
        if isinstance(item, dict | list):
            found += places(item, (*path, key))
    return found


def misfilled(rng: Random, table: dict[str, Any]) -> dict[str, Any]:
    """Put wrong values in a few places of a table."""
    table = copy.deepcopy(table)
    for _ in range(rng.randint(1, 3)):
        path = rng.choice(places(table))
        here: Any = table
        for key in path[:-1]:
            here = here[key]
        choice = rng.random()
        if choice < 0.15:
            del here[path[-1]]
        elif choice < 0.3 and isinstance(here, dict):
            here[rng.choice(("is", "via", "id", "resistance", "limit", "zz"))] = rng.choice(VALUES)
        else:
            here[path[-1]] = rng.choice(VALUES)
        if not table:
            break
    return table


def _used(path: Path, tally: Tally, name: str) -> None:
    """Do with a file what the commands do with it."""
    line, problems, _ = check_file(path)
    if problems:
        tally.sentences(name, problems)
    elif not line:
        tally.wrong(f"{name}: neither fit nor refused")
    if not problems:
        loaded = load(path)
        circuit = loaded.circuit if isinstance(loaded, Exercise) else loaded
        ElementTree.fromstring(draw(circuit).svg)


def damage(rng: Random, count: int) -> Tally:
    """Damage shipped files and read them, as bytes and as tables of wrong values."""
    tally = Tally()
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        shutil.copytree(EXERCISES / "circuits", home / "circuits")
        for number in range(count):
            source = rng.choice(SHIPPED)
            name = f"{source.stem}, {number}"
            path = home / "boat.toml"
            if number % 2:
                path.write_bytes(damaged(rng, source.read_bytes()))
                tally.attempt(name, lambda path=path, name=name: _used(path, tally, name))
                continue
            table = misfilled(rng, tomllib.loads(source.read_text(encoding="utf-8")))
            tally.attempt(name, lambda table=table, path=path: _solved(table, path))
    return tally


def _solved(table: dict[str, Any], path: Path) -> object:
    if "circuit" in table:
        return exercise_from(table, path).deal("Ada")
    return solve(circuit_from(table, str(path)))


def damaged_files(rng: Random, count: int) -> Tally:
    """As :func:`damage`, in children of little memory."""
    tally = Tally()
    for start in range(0, count, 500):
        here = min(500, count - start)
        seconds = 120 + here * 0.5
        tally.add(
            in_child("tests.abuse.damage", str(rng.randrange(2**32)), str(here), seconds=seconds)
        )
    return tally


if __name__ == "__main__":
    bound_memory()
    told(damage(Random(int(sys.argv[1])), int(sys.argv[2])))
