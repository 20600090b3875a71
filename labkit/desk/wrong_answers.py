"""What else would look the same to eye and ear, and the reading that speaks against it."""

from __future__ import annotations

from collections.abc import Iterator

from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.desk.findings import Compared, Findings, compare, settled, shows
from labkit.diagnosis.faults import describe
from labkit.exercises.difficulty import Looks
from labkit.exercises.situations import probe
from labkit.parts import AT_TIMES, Fault, Trait

MOST = 8
"""Wrong answers worth a line. Our choice."""

HARDLY = 0.01
"""A fault with less chance of looking like the one dealt is not tried out. Our choice."""


def wrong_answers(findings: Findings) -> tuple[str, ...]:
    """Return a sentence for each single fault that looks like the one dealt but is not.

    The likelier first, one for each part; how likely is the weight among the exercise's suspects.
    """
    sound, faulty = findings.exercise.circuit, settled(findings.dealt.circuit)
    at_fault = {fault.part for fault in findings.dealt.circuit.faults}
    intermittent = any(place.shaken for place in findings.situations)
    looked_at = [place for place in findings.situations if not place.parted]
    seen = [shows(place.of(faulty)) for place in looked_at]
    silent = seen == [shows(place.of(sound)) for place in looked_at]
    looks = Looks(findings.exercise, near=True)
    chances = zip(looks.listed, looks.chances(findings.dealt), strict=True)
    likely = [one for one, chance in chances if chance > HARDLY and not one.called]
    alike: dict[str, str] = {}
    for candidate in sorted(likely, key=lambda c: -c.weight):
        fault = candidate.faults[0]
        if fault.part in at_fault | alike.keys():
            continue
        if (fault.mode in AT_TIMES) is not intermittent:
            continue
        other = settled(sound.with_fault(fault))
        if intermittent:
            against = f"then it shows when {fault.part} is shaken, and it does not."
        elif all(
            shows(place.of(other)) == did for place, did in zip(looked_at, seen, strict=True)
        ) and (not silent or _measures_alike(other, findings)):
            against = _against(fault, other, faulty, findings)
        else:
            continue
        alike[fault.part] = f"{describe(fault, sound)}: {against}"
        if len(alike) == MOST:
            break
    return tuple(alike.values())


def _measures_alike(other: Circuit, findings: Findings) -> bool:
    """Tell whether the plainest reading is off with another fault too."""
    if not findings.telling:
        return True
    shown = findings.telling[0]
    sound, red, black = findings.exercise.circuit, shown.sound.red, shown.sound.black or NEGATIVE
    return compare(sound, other, shown.situation, red, black, shown.sound.function).tells


def _against(fault: Fault, other: Circuit, faulty: Circuit, findings: Findings) -> str:
    """Say the reading that would be different: across the part accused, or else the plainest."""
    part = faulty.parts[fault.part]
    ends = part.ways()[0][:: -1 if Trait.SOURCE in part.traits else 1]
    red, black = (f"{part.id}:{end}" for end in ends)
    for made in (
        _across(red, black, other, faulty, findings),
        _at_points(other, faulty, findings, "volts"),
        _at_points(other, faulty, findings, "ohms"),
    ):
        best = max(made, key=lambda c: c.telling, default=None)
        if best is not None and best.tells:
            return (
                f"then {best.where} would read {best.sound.display}; it reads {best.found.display}."
            )
    return "no reading at a test point tells it from this fault; take the part out and try it."


def _across(
    red: str, black: str, other: Circuit, faulty: Circuit, findings: Findings
) -> Iterator[Compared]:
    part = red.partition(":")[0]
    for place in findings.situations:
        if not place.parted.startswith(f"{part}:"):
            yield compare(other, faulty, place, red, black)


def _at_points(
    other: Circuit, faulty: Circuit, findings: Findings, function: str
) -> Iterator[Compared]:
    for place in findings.situations:
        for point in findings.points:
            red = probe(point.terminals, place.parted)
            made = compare(other, faulty, place, red, NEGATIVE, function)
            if not made.sound.hazards and not made.found.hazards:
                yield made
