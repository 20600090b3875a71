"""How a hunt stands, written down now and then, so that a long one goes on at once.

It is closed as a sealed hunt is, since it tells what nobody has found yet. It is for whoever goes
on with an own attempt, and for nothing else: what counts is the acts, played again.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import astuple
from typing import Any

from labkit.aboard.standing import stand, standing
from labkit.exercises.proving import Proven
from labkit.exercises.sealed import closed, opened
from labkit.hunts.hints import Hint
from labkit.hunts.hunt import Hunt, Named
from labkit.questions import Verdict
from labkit.record import Record

KIND = "standing"
"""Kind of the line that holds it."""

EVERY = 50
"""So many acts apart it is written. Our choice: playing that many again is hardly noticed."""


def box_of(hunt: Hunt, since: int) -> str:
    """Return how a hunt stands, closed, with the log from a line on; '' where it cannot be told."""
    bench = standing(hunt.bench, hunt.dealt.circuit, since)
    if bench is None:
        return ""
    told = {
        "bench": bench,
        "named": [astuple(named) for named in hunt.named],
        "proven": hunt.proven and astuple(hunt.proven),
        "proofs": hunt.proofs,
        "owned": hunt.owned,
        "hints": [astuple(hint) for hint in hunt.hints],
    }
    return closed(json.dumps(told).encode())


def taken_up(hunt: Hunt, record: Record) -> int:
    """Bring a hunt to where it stood when that was last written down.

    Returns
    -------
    int
        So many lines of the record are done by that.

    Raises
    ------
    ValueError, KeyError, TypeError
        If what was written down does not fit the lines before it; the hunt is spoilt then.
    """
    places = [n for n, line in enumerate(record.lines) if line["kind"] == KIND]
    if not places:
        return 0
    told = [json.loads(opened(str(record.lines[place]["box"]))) for place in places]
    acts = [line for line in record.lines[: places[-1]] if line["kind"] == "act"]
    stand(hunt.bench, hunt.dealt.circuit, [one["bench"] for one in told], acts)
    last = told[-1]
    hunt.named = [_named(*one) for one in last["named"]]
    hunt.proven = Proven(*last["proven"]) if last["proven"] else None
    hunt.proofs, hunt.owned = last["proofs"], dict(last["owned"])
    hunt.hints = [Hint(*one) for one in last["hints"]]
    return places[-1] + 1


def _named(what: str, verdict: Sequence[Any], *rest: Any) -> Named:
    return Named(what, Verdict(*verdict), *rest)
