"""A diagnosis of a large boat: all suspects near the complaint, and one name for all elsewhere.

What could be wrong far away shows in nothing near, or in a current that it draws from a bus bar.
Those suspects are one, ELSEWHERE, until the evidence names one of their parts: then its circuit is
near, and everything in it is suspected by name.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator

from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.diagnosis.evidence import Evidence
from labkit.diagnosis.faults import Candidate
from labkit.measuring.senses import words_of
from labkit.parts import UNIVERSAL, Effect, Fault
from labkit.solving.near import NearCircuit, near_boat
from labkit.solving.solver import solve

ELSEWHERE = "something elsewhere"
"""Name of all that could be wrong far from what the evidence names."""

OPENS = 0.10
"""With more belief than this in ELSEWHERE, a sentence says where to look next. Our choice."""

_DRAWS = (Effect.LEAKS, Effect.BRIDGES)  # what may draw a current that nothing near explains
_LEAST, _STEP, _STEPS = 0.5, math.sqrt(10.0), 7  # of what stands for it: 0.5 ohm to 1.6 kohm


def named_in(evidence: Iterable[Evidence]) -> frozenset[str]:
    """Parts, terminals and nodes that evidence names; switches moved for it do not count."""
    found: set[str] = set()
    for item in evidence:
        found |= {item.red, item.black, *item.parted, *item.jumper, *item.lamp}
    return frozenset(found - {"", NEGATIVE})


def close_in(circuit: Circuit, named: Collection[str]) -> Circuit:
    """Return what of a boat is to be reasoned about; a small one, or one not cut, is all there is.

    Where nothing is named yet it is what feeds the boat, and a circuit of each bus bar.
    """
    return near_boat(circuit.without_faults(), named)


def in_near(listed: Iterable[Candidate], near: Circuit) -> tuple[Candidate, ...]:
    """Suspects of a whole boat as those near, and ELSEWHERE for the others with all their weight.

    Parameters
    ----------
    listed : iterable of Candidate
        Of the whole boat.
    near : Circuit
        As :func:`close_in` returns it.
    """
    if not isinstance(near, NearCircuit):
        return tuple(listed)
    kept: list[Candidate] = []
    beside: dict[Candidate, float] = {}
    still = draws = 0.0
    for one in listed:
        here = tuple(fault.part in near.parts for fault in one.faults)
        if all(here):
            kept.append(one)
        elif any(here):
            half = _half(one, here)
            beside[half] = beside.get(half, 0.0) + one.weight
        elif near.part(one.faults[0].part).mode(one.faults[0].mode).effect in _DRAWS:
            draws += one.weight
        else:
            still += one.weight
    kept += [_weighing(half, weight) for half, weight in beside.items()]
    rows = list(_drawing(near, draws))
    still += draws - sum(row.weight for row in rows)
    rows += [Candidate((), still, called=ELSEWHERE)] if still > 0 else []
    return (*kept, *rows)


def _half(pair: Candidate, here: Collection[bool]) -> Candidate:
    """What is near of two faults at once, of which the other shows nowhere near."""
    spans = pair.spans or (None,) * len(pair.faults)
    near = [(f, s) for f, s, there in zip(pair.faults, spans, here, strict=True) if there]
    faults = tuple(fault for fault, _ in near)
    called = f"{Candidate(faults).name} + {ELSEWHERE}"
    return Candidate(faults, 0.0, tuple(span for _, span in near), called)


def _weighing(one: Candidate, weight: float) -> Candidate:
    return Candidate(one.faults, weight, one.spans, one.called)


def _drawing(near: NearCircuit, weight: float) -> Iterator[Candidate]:
    """Currents of any size drawn far away: leaks from the bars on which what is far hangs."""
    volts = solve(near.boat).volts
    bars = [max(side.first, side.second, key=lambda bar: volts[bar] or 0.0) for side in near.far]
    places = list(dict.fromkeys(filter(None, (_place(near, bar) for bar in bars))))
    for part, terminal in places if weight else ():
        for n in range(_STEPS):
            low = _LEAST * _STEP**n
            middle = low * math.sqrt(_STEP)
            fault = Fault(part, "leak", terminal, f"{middle:.4g} ohm", middle)
            share = weight / (len(places) * _STEPS)
            yield Candidate((fault,), share, ((low, low * _STEP),), ELSEWHERE)


def _place(near: NearCircuit, bar: str) -> tuple[str, str] | None:
    """A part and its terminal on a bus bar, where a leak can lie."""
    for junction in near.junctions:
        for member in junction.members if junction.label == bar else ():
            id, _, terminal = member.partition(":")
            if id in near.parts and "leak" in {**UNIVERSAL, **near.parts[id].modes}:
                return id, terminal
    return None


def elsewhere_text(near: Circuit, belief: float) -> str:
    """Say what is to be done about what lies elsewhere, where that is likely; else ''."""
    if belief <= OPENS or not isinstance(near, NearCircuit):
        return ""
    far = [
        id
        for id, part in near.boat.parts.items()
        if id not in near.parts and part.uses() and words_of(part)
    ]
    return (
        f"{near.title}: {100 * belief:.0f} % of what could be wrong lies in circuits nobody has "
        f"looked at, {len(far)} loads in all. Look at each load, and say what does not run as it "
        "should; where the battery drains, take fuses out one after another, and say after which "
        "the current falls."
    )
