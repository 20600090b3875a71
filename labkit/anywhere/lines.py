"""The lines of an attempt, handed to the page as they are written."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from labkit.record import PROGRAM, Record
from labkit.record.attempt import head
from labkit.record.lines import encode

WRITES = f"{PROGRAM} page"
"""What an attempt says it was written by: a page words verdicts by itself."""


class Lines:
    """The lines of an attempt, each handed over once.

    Parameters
    ----------
    title, learner : str
    former : Record, optional
        What is written of it already.
    """

    def __init__(self, title: str, learner: str, former: Record | None = None) -> None:
        self._fresh: list[str] = []
        self._begun = now = datetime.now(UTC)
        self._next = 0
        if former is not None:
            self._next = len(former.lines) + 1
            self._begun = datetime.fromisoformat(str(former.head["started"]))
        else:
            self._write("attempt", head(title, learner, now, WRITES))

    def add(self, kind: str, **facts: Any) -> None:
        """Take a line, with the seconds since the attempt was begun."""
        since = (datetime.now(UTC) - self._begun).total_seconds()
        self._write(kind, {**facts, "seconds": round(since, 1)})

    def _write(self, kind: str, facts: Mapping[str, Any]) -> None:
        self._fresh.append(encode(self._next, kind, facts).decode())
        self._next += 1

    def fresh(self) -> str:
        """Return what was written since this was last asked."""
        written, self._fresh = "".join(self._fresh), []
        return written
