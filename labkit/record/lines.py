"""The lines of an attempt: written with a number and a checksum, read as far as they are whole."""

from __future__ import annotations

import json
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from labkit.text.messages import CircuitError, printable
from labkit.text.plain_file import bytes_of, reason

SCHEMA = 1
"""Version of the lines."""

SUFFIX = ".jsonl"

LARGEST_FILE = 32 * 1024 * 1024
"""No attempt is so long. [bytes]"""


def encode(number: int, kind: str, facts: Mapping[str, Any]) -> bytes:
    """Write one line: number, kind, facts, checksum."""
    body = {"n": number, "kind": kind, **facts}
    return json.dumps({**body, "sum": _sum(body)}, allow_nan=False).encode() + b"\n"


def decode(line: bytes) -> dict[str, Any] | None:
    """Read one line; None where it is not as it was written."""
    try:
        body = json.loads(line)
        written = body.pop("sum")
        return body if written == _sum(body) else None
    except (ValueError, TypeError, AttributeError, KeyError, RecursionError):
        return None


def _printable(value: Any) -> Any:
    """Return plain data whose words a terminal may be shown, whoever wrote them."""
    if isinstance(value, str):
        return printable(value)
    if isinstance(value, list):
        return [_printable(item) for item in value]
    if isinstance(value, dict):
        return {printable(key): _printable(item) for key, item in value.items()}
    return value


def _sum(body: Mapping[str, Any]) -> str:
    return f"{zlib.crc32(json.dumps(body).encode()):08x}"


_SHAPES: Mapping[str, type | tuple[type, ...]] = {
    "kind": str, "title": str, "learner": str, "action": str, "args": dict, "shows": str,
    "minutes": (int, float), "hazards": list, "part": str, "mode": str, "text": str,
    "misconception": (str, type(None)), "right": (bool, type(None)), "ok": bool,
}  # fmt: skip  # rows that a reader compares
"""What stands under the keys that a reader counts on, where they stand at all."""


def _shaped(body: Mapping[str, Any]) -> bool:
    """Tell whether a line is of the form a program of ours writes."""
    return (
        "kind" in body
        and all(isinstance(body[key], shape) for key, shape in _SHAPES.items() if key in body)
        and all(isinstance(word, str) for word in body.get("args", {}).values())
        and all(
            isinstance(hazard, dict) and isinstance(hazard.get("kind"), str)
            for hazard in body.get("hazards", ())
        )
        and abs(body.get("minutes", 0.0)) < 1e9
    )


@dataclass(frozen=True)
class Record:
    """What a file of attempts holds.

    Attributes
    ----------
    path : Path
    head : dict
        Title, learner and start; empty where the first line cannot be read.
    lines : tuple of dict
        The lines behind it, as far as they are whole.
    damage : str
        What is wrong with the file, as the end of a sentence, or ''.
    size : int
        Of the whole lines. [bytes]
    """

    path: Path
    head: Mapping[str, Any]
    lines: tuple[Mapping[str, Any], ...]
    damage: str = ""
    size: int = 0

    @property
    def count(self) -> str:
        """How many lines are whole, the first not counted: '3 lines'."""
        number = len(self.lines)
        return f"{number} line" if number == 1 else f"{number} lines"

    @property
    def finished(self) -> bool:
        """Whether the attempt was brought to its end."""
        return any(line["kind"] == "finished" for line in self.lines)

    def of(self, kind: str) -> list[Mapping[str, Any]]:
        """Lines of one kind."""
        return [line for line in self.lines if line["kind"] == kind]


def read_record(path: Path) -> Record:
    """Read a file of one attempt, whatever state it is in.

    Raises
    ------
    CircuitError
        If it cannot be read at all, or was written by a later version.
    """
    try:
        data = bytes_of(path, LARGEST_FILE)
    except OSError as error:
        raise CircuitError([f"{path}: cannot be read, {reason(error)}"]) from None
    if len(data) > LARGEST_FILE:
        raise CircuitError([f"{path}: is too large for an attempt; move it away"])
    return parse(path, data)


def parse(path: Path, data: bytes) -> Record:
    """Read the lines of an attempt from what its file holds.

    Raises
    ------
    CircuitError
        If it was written by a later version.
    """
    whole: list[dict[str, Any]] = []
    size = 0
    for number, line in enumerate(data.split(b"\n")[:-1]):
        body = decode(line)
        if body is None or body.get("n") != number or not _shaped(body):
            damage = f"line {number + 1} is not as it was written"
            break
        whole.append(_printable(body))
        size += len(line) + 1
    else:
        damage = "" if data.endswith(b"\n") else f"line {len(whole) + 1} breaks off"
    if not whole or whole[0]["kind"] != "attempt":
        return Record(path, {}, (), damage or "it does not begin as an attempt does")
    if whole[0].get("schema") != SCHEMA:
        raise CircuitError(
            [
                f"{path}: has schema {whole[0].get('schema')}; this program reads {SCHEMA}, so "
                "update it, or leave the file to the one that wrote it"
            ]
        )
    return Record(path, whole[0], tuple(whole[1:]), damage, size)


def read_folder(folder: Path) -> tuple[list[Record], list[str]]:
    """Read every attempt below a folder, changing nothing.

    Returns
    -------
    list of Record and list of str
        Attempts with at least a first line, and a sentence for each file that is damaged.
    """
    found, problems = [], []
    for path in sorted(folder.rglob(f"*{SUFFIX}")):
        try:
            record = read_record(path)
        except CircuitError as error:
            problems += error.problems
            continue
        if record.damage:
            used = f"{record.count} before it used" if record.head else "nothing of it can be used"
            problems.append(printable(f"{path}: {record.damage}; {used}"))
        if record.head:
            found.append(record)
    return found, problems
