"""Whether a part was asked itself, or is named because nothing else was left."""

from __future__ import annotations

from collections.abc import Iterable

from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.diagnosis.evidence import Evidence, Measurement
from labkit.measuring.meter import FUNCTIONS
from labkit.parts import AT_TIMES

_IN_HAND = ("pull", "fit")
_APART = ("ohms", "continuity", "diode")
_IN_LINE = ("amps", "clamp")
_TO_NEGATIVE = (" leak", " short")


def place_of(name: str) -> str:
    """Id of the part in a name such as 'X1 resistance' or 'W2:2 leak'."""
    return name.partition(" ")[0].partition(":")[0]


def asks_part(m: Measurement, name: str, circuit: Circuit) -> bool:
    """Tell whether a measurement is one at the part named: across it, in it, or in the hand.

    A fuse looked at tells that it is blown, and a part shaken that it comes and goes: no more.

    Parameters
    ----------
    m : Measurement
    name : str
        Such as 'X1 resistance'; what leaks is asked against DC- as well.
    circuit : Circuit
    """
    id = place_of(name)
    if m.function not in FUNCTIONS:
        mode = name.partition(" ")[2]
        told = circuit.part(id).inside if m.function in _IN_HAND else AT_TIMES
        return m.function in (*_IN_HAND, "wiggle") and m.red == id and mode in told
    node_of = circuit.node_of
    own = {f"{id}:{t}" for t in circuit.part(id).terminals if f"{id}:{t}" in node_of}
    leads, ends = {m.red, m.black or NEGATIVE}, {node_of[x] for x in own}
    at = {node_of[x] for x in leads if x in node_of}
    if m.function in _APART and bool(own & m.parted and own & leads):
        return True
    if m.function in _APART and name.endswith(_TO_NEGATIVE):
        return bool(ends & at)
    if m.function in _IN_LINE:
        return bool(ends & at)
    return m.function not in _APART and at <= ends and len(at) > 1


def by_elimination(name: str, evidence: Iterable[Evidence], circuit: Circuit) -> str:
    """Say that a name was got by elimination alone; '' where its part was asked itself."""
    id = place_of(name)
    if id not in circuit.parts or any(asks_part(m, name, circuit) for m in evidence):
        return ""
    return (
        f"Right by elimination: no reading was taken at {id} itself. A joint or a wire that nobody "
        "drew looks the same from elsewhere, so aboard one reading there comes before the spanner."
    )
