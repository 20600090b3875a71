"""What can be seen and heard aboard without an instrument: does it run, how fast, how bright."""

from __future__ import annotations

import math

from labkit.circuits.circuit import Circuit
from labkit.parts import Now, Part
from labkit.parts.traits import LIGHT_WORDS
from labkit.solving.solver import OperatingPoint

CHATTERS = "chatters"
"""What is heard of a part that goes on changing for ever."""


def sensed(circuit: Circuit, point: OperatingPoint) -> dict[str, str]:
    """Say what each part that shows anything can be seen and heard to do.

    Parameters
    ----------
    circuit : Circuit
    point : OperatingPoint
        Of that circuit.

    Returns
    -------
    dict of str to str
        Part to a phrase that follows its name: 'runs as it should', 'is dim'.
    """
    return {
        id: CHATTERS
        if id in point.chattering and _is_heard(part)
        else part.shows(now_of(part, point, circuit.system))
        for id, part in circuit.parts.items()
        if part.seen
    }


def words_of(part: Part) -> tuple[str, ...]:
    """Every word for what a part can be seen and heard to do; none where it shows a number."""
    words = part.outcomes()
    return (*words, CHATTERS) if words and _is_heard(part) else words


def _is_heard(part: Part) -> bool:
    """Tell whether a part that goes on changing is heard: what gives light flickers instead."""
    return any(part.states) and part.signs != LIGHT_WORDS


def now_of(part: Part, point: OperatingPoint, system: float) -> Now:
    volts_at = {name: _number(point.volts.get(f"{part.id}:{name}")) for name in part.terminals}
    across = {f"{a}-{b}": volts_at[a] - volts_at[b] for a, b in part.ways()}
    return Now(
        system,
        _number(point.amps[part.id]),
        across["-".join(part.ways()[0])],
        _number(point.speeds.get(part.id, 0.0)),
        point.states.get(part.id, ""),
        across=across,
    )


def _number(value: float | None) -> float:
    return math.nan if value is None else value
