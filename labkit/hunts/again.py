"""Old questions asked again after days: those once answered wrongly, until they are remembered."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from labkit.record import Record
from labkit.record.attempt import begun_at

AFTER = (timedelta(days=1), timedelta(days=3), timedelta(days=7))
"""How long after a miss a question is asked again, then after each right answer. Our choice."""

ASLEEP = timedelta(hours=12)
"""A right answer sooner after the last one is from the same sitting. Our choice."""

MOST = 3
"""More are not asked again at a time. Our choice."""


@dataclass(frozen=True)
class Due:
    """A question to be asked again.

    Attributes
    ----------
    title : str
        Of its lesson.
    ask : str
    since : datetime
    """

    title: str
    ask: str
    since: datetime


def due(records: Iterable[Record], now: datetime) -> list[Due]:
    """Return what is to be asked again by now, the longest due first.

    Parameters
    ----------
    records : iterable of Record
        One learner's.
    now : datetime
        With its time zone.
    """
    given: dict[tuple[str, str], list[tuple[datetime, bool]]] = defaultdict(list)
    for record in records:
        begun = begun_at(record.path)
        for line in record.of("answer"):
            when = begun + timedelta(seconds=float(line.get("seconds", 0.0)))
            which = str(record.head.get("title", "")), str(line.get("ask", ""))
            given[which].append((when, line.get("right") is True))
    found = []
    for (title, ask), answers in given.items():
        since = _next(sorted(answers))
        if since is not None and since <= now:
            found.append(Due(title, ask, since))
    return sorted(found, key=lambda one: one.since)[:MOST]


def _next(answers: list[tuple[datetime, bool]]) -> datetime | None:
    """When a question is asked again; None where it was never missed, or is remembered by now."""
    stage, last = None, None
    for when, right in answers:
        if not right:
            stage = 0
        elif stage is not None and last is not None and when - last >= ASLEEP:
            stage += 1
        last = when
    if stage is None or last is None or stage >= len(AFTER):
        return None
    return last + AFTER[stage]
