"""What else would look the same to eye and ear, and the reading that speaks against it."""

from __future__ import annotations

from labkit.circuit import NEGATIVE, Circuit
from labkit.desk.key import Compared, Key, compare, settled
from labkit.desk.situations import Situation, probe
from labkit.faults import candidates, describe
from labkit.parts import Fault
from labkit.senses import sensed
from labkit.solver import solve

MOST = 8
"""Wrong answers worth a line. Chosen."""


def wrong_answers(key: Key) -> tuple[str, ...]:
    """Return a sentence for each single fault that looks like the one dealt but is not.

    The likelier first, one for each part; how likely is the weight of
    :func:`labkit.faults.candidates`.
    """
    sound, faulty = key.exercise.circuit, settled(key.dealt.circuit)
    at_fault = {fault.part for fault in key.dealt.circuit.faults}
    intermittent = any(place.shaken for place in key.situations)
    alike: dict[str, str] = {}
    for candidate in sorted(candidates(sound), key=lambda c: -c.weight):
        fault = candidate.faults[0]
        if fault.part in at_fault | alike.keys():
            continue
        if (fault.mode == "intermittent") is not intermittent:
            continue
        other = settled(sound.with_fault(fault))
        if intermittent:
            against = f"then it shows when {fault.part} is shaken, and it does not."
        elif _looks_alike(other, faulty, key):
            against = _against(fault, other, faulty, key)
        else:
            continue
        alike[fault.part] = f"{describe(fault, sound)}: {against}"
        if len(alike) == MOST:
            break
    return tuple(alike.values())


def _looks_alike(other: Circuit, faulty: Circuit, key: Key) -> bool:
    """Tell whether a fault shows the same to eye and ear; where neither shows, to the meter."""
    looked_at = [place for place in key.situations if not place.parted]
    seen = _symptoms(faulty, looked_at)
    if _symptoms(other, looked_at) != seen:
        return False
    if seen != _symptoms(key.exercise.circuit, looked_at) or not key.telling:
        return True
    shown = key.telling[0]
    sound, red, black = key.exercise.circuit, shown.sound.red, shown.sound.black or NEGATIVE
    return compare(sound, other, shown.situation, red, black, shown.sound.function).tells


def _symptoms(circuit: Circuit, places: list[Situation]) -> list[dict[str, str]]:
    return [sensed(now, solve(now)) for now in (place.of(circuit) for place in places)]


def _against(fault: Fault, other: Circuit, faulty: Circuit, key: Key) -> str:
    """Say the reading that would be different: across the part accused, or else the plainest."""
    part = faulty.parts[fault.part]
    ends = part.ways()[0][:: -1 if part.kind in ("battery", "supply") else 1]
    red, black = (f"{part.id}:{end}" for end in ends)
    across = [
        compare(other, faulty, place, red, black)
        for place in key.situations
        if not place.parted.startswith(f"{part.id}:")
    ]
    for found in (
        across, _at_points(other, faulty, key, "volts"), _at_points(other, faulty, key, "ohms")
    ):  # fmt: skip
        best = max(found, key=lambda c: c.telling, default=None)
        if best is not None and best.tells:
            return (
                f"then {best.where} would read {best.sound.display}; it reads {best.found.display}."
            )
    return "no reading at a test point tells it from this fault; take the part out and try it."


def _at_points(other: Circuit, faulty: Circuit, key: Key, function: str) -> list[Compared]:
    made = [
        compare(other, faulty, place, probe(point.terminals, place.parted), NEGATIVE, function)
        for place in key.situations
        for point in key.points
    ]
    return [c for c in made if not c.sound.hazards and not c.found.hazards]
