"""Which attempts belong to a term, by the date on which each was begun."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from labkit.record import Record
from labkit.text.messages import CircuitError


def day(text: str, option: str) -> date | None:
    """Read a date, None where nothing is said. Raises CircuitError where it is none."""
    try:
        return date.fromisoformat(text) if text else None
    except ValueError:
        raise CircuitError(
            [f"{option} {text}: write a date as year-month-day, 2026-09-01"]
        ) from None


def begun_in(
    records: Iterable[Record], since: date | None, until: date | None
) -> tuple[list[Record], list[str]]:
    """Return the attempts begun from one day to another, both of them included.

    Parameters
    ----------
    records : iterable of Record
    since, until : date, optional
        No bound where not given.

    Returns
    -------
    list of Record and list of str
        A sentence for each attempt that does not say when it was begun; it is left out.
    """
    within, undated = [], []
    for record in records:
        if since is None and until is None:
            within.append(record)
            continue
        try:
            begun = date.fromisoformat(str(record.head.get("started", ""))[:10])
        except ValueError:
            undated.append(f"{record.path}: does not say when it was begun, and is left out")
            continue
        if (since or begun) <= begun <= (until or begun):
            within.append(record)
    return within, undated
