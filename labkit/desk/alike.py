"""Attempts of two learners that are alike: said as facts, from which nothing follows by itself.

Two who work well take the same steps. The same seconds, to a tenth, between one act and the next
are another thing to look at, since no two people work in step; why they are so, only they can say.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import combinations, pairwise
from typing import Any

from labkit.record import Record
from labkit.text.messages import counted

FEWEST = 5
"""Fewer acts than these are often the same by themselves. Our choice."""


def alike(records: Iterable[Record]) -> list[str]:
    """Return a sentence for each two learners whose attempts at one hunt are alike.

    Parameters
    ----------
    records : iterable of Record
    """
    by_title: dict[str, list[Record]] = {}
    for record in records:
        if len(record.of("act")) >= FEWEST:
            by_title.setdefault(str(record.head.get("title", "")), []).append(record)
    return [
        f"{title}: {first} and {second}: {what}"
        for title, given in sorted(by_title.items())
        for one, other in combinations(given, 2)
        if (first := _who(one)) != (second := _who(other)) and (what := _same(one, other))
    ]


def _same(one: Record, other: Record) -> str:
    steps = [_steps(record) for record in (one, other)]
    paces = [_paces(record) for record in (one, other)]
    told = []
    if steps[0] == steps[1]:
        told.append(f"the same {counted(len(steps[0]), 'step')} in the same order")
    if paces[0] == paces[1] and len(paces[0]) >= FEWEST - 1:
        told.append(
            f"the same {counted(len(paces[0]), 'pause')} between them, to a tenth of a second"
        )
    return ", and ".join(told)


def _who(record: Record) -> str:
    return str(record.head.get("learner", ""))


def _steps(record: Record) -> list[tuple[Any, ...]]:
    acts = record.of("act")
    return [(act.get("action"), sorted(_words(act.get("args")).items())) for act in acts]


def _words(args: object) -> Mapping[str, str]:
    return args if isinstance(args, Mapping) else {}


def _paces(record: Record) -> list[float]:
    """Seconds between one act and the next, where they are told."""
    at = [act.get("seconds") for act in record.of("act")]
    times = [float(one) for one in at if isinstance(one, int | float)]
    return [round(b - a, 1) for a, b in pairwise(times)] if len(times) == len(at) else []
