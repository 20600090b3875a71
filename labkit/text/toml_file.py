"""TOML from anybody: a table of plain values, or the sentence that says why not.

A file is data, whoever wrote it. What could keep the reader busy for minutes, or come out as
something else than text where it is printed or drawn, is refused here, before anything looks at it.
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from labkit.text.messages import CircuitError, unprintable
from labkit.text.misprint import misprint
from labkit.text.plain_file import bytes_of, reason

LARGEST_FILE = 256 * 1024
"""A circuit file is a page or two of text. [bytes]"""

MOST_DOTS = 200
"""On a line. A key of thousands of steps (a.a.a...) takes the reader minutes. Our choice."""

DEEPEST = 12
"""Tables and lists inside one another; the files described need five. Our choice."""

_LARGEST_NUMBER = 2**63
_NUMBER = "holds a whole number larger than TOML allows; write a quantity with its unit"


def read_toml(path: str | Path) -> dict[str, Any]:
    """Read a TOML file.

    Raises
    ------
    CircuitError
        If there is no such file, or it is too large, not UTF-8, not TOML, nested far too deep, or
        holds characters that cannot be printed.
    """
    name = str(path)

    def refused(problem: str) -> CircuitError:
        return CircuitError([f"{name}: {problem}"])

    try:
        data = bytes_of(path, LARGEST_FILE)
    except OSError as error:
        raise refused(f"{reason(error)}; name a TOML file that can be read") from None
    if len(data) > LARGEST_FILE:
        most = LARGEST_FILE // 1024
        raise refused(f"is larger than {most} KiB; a circuit file is a page or two of text")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise refused(f"line {line} is not UTF-8 text; save the file as UTF-8") from None
    for number, row in enumerate(text.split("\n"), 1):
        if row.count(".") > MOST_DOTS:
            raise refused(f"line {number} has more than {MOST_DOTS} dots; break it into several")
    try:
        table = tomllib.loads(text)
    except RecursionError:
        raise refused("is not TOML: nested far too deep; mend that line") from None
    except tomllib.TOMLDecodeError as error:
        raise refused(f"is not TOML: {misprint(text, str(error))}") from None
    except ValueError:  # Python reads no number of thousands of figures
        raise refused(_NUMBER) from None
    problem = _unfit(table)
    if problem:
        raise refused(problem)
    return table


def _unfit(table: dict[str, Any]) -> str:
    """What no file for labkit holds anywhere, as the end of a sentence, or ''."""
    waiting: list[tuple[Any, int]] = [(table, 1)]
    while waiting:
        value, depth = waiting.pop()
        if depth > DEEPEST:
            return f"holds tables nested more than {DEEPEST} deep; five are enough for any circuit"
        if isinstance(value, dict):
            waiting += [(inner, depth + 1) for pair in value.items() for inner in pair]
        elif isinstance(value, list):
            waiting += [(inner, depth + 1) for inner in value]
        elif isinstance(value, int) and abs(value) >= _LARGEST_NUMBER:
            return _NUMBER
        elif isinstance(value, str) and (bad := unprintable(value)):
            return f"holds a text with the control character U+{ord(bad):04X}; leave it out"
    return ""
