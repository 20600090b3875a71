"""What a searcher who has heard the complaint takes into account for a dealt exercise."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import product

from labkit.exercise import Dealt, Exercise, expected, judge
from labkit.faults import Candidate
from labkit.messages import NoConvergenceError
from labkit.parts import Fault

SECOND = 0.2
"""Weight of all pairs together, beside that of all single faults. Chosen."""

ABOUT = 1.5
"""A fault about as bad as the one dealt has its ohms within this factor. Chosen."""


def suspected(exercise: Exercise, dealt: Dealt) -> tuple[Candidate, ...]:
    """List what could explain the complaint.

    A candidate that would pass the exercise's proof unmended is none: the complaint says that
    the boat fails it. Where two parts are at fault, any two that fail like them and about as badly
    are listed as well.

    Parameters
    ----------
    exercise : Exercise
    dealt : Dealt
        Of that exercise. What is wrong is always among the candidates, however unusual.
    """
    listed = [candidate for candidate in exercise.candidates if len(candidate.faults) == 1]
    causes = root_causes(dealt)
    should = expected(exercise.circuit, exercise.proof)
    made = [candidate for candidate in listed if _fails(exercise, candidate, should)]
    if len({fault.part for fault in causes}) > 1:
        pairs = [pair for pair in _pairs(causes, listed) if _fails(exercise, pair, should)]
        share = SECOND * sum(candidate.weight for candidate in made) / len(pairs)
        made += [replace(pair, weight=share) for pair in pairs]
    elif not any(_answers_for(candidate, causes[0]) for candidate in made):
        usual = sum(candidate.weight for candidate in made) / max(len(made), 1)
        made.append(Candidate(causes, usual or 1.0, _about(causes)))
    return tuple(made)


def root_causes(dealt: Dealt) -> tuple[Fault, ...]:
    """Return what is wrong, without the fuses that blew because of it."""
    faults = dealt.circuit.faults
    return tuple(fault for fault in faults if fault.mode != "blown") or faults


def called(faults: Iterable[Fault]) -> frozenset[str]:
    """Return parts and modes, without severities and terminals."""
    return frozenset(f"{fault.part} {fault.mode}" for fault in faults)


def _fails(exercise: Exercise, candidate: Candidate, should: tuple[str, str]) -> bool:
    """Tell whether the proof fails with a candidate, mild or bad."""
    try:
        return not all(
            judge(replace(exercise.circuit, faults=faults), exercise.proof, should).ok
            for faults in dict.fromkeys(candidate.ends())
        )
    except NoConvergenceError:
        return True


def _answers_for(candidate: Candidate, fault: Fault) -> bool:
    """Tell whether a candidate is this part and mode, in an interval that holds its amount."""
    if called(candidate.faults) != called((fault,)):
        return False
    span = candidate.spans[0] if candidate.spans else None
    if span is None or fault.value is None:
        return candidate.faults[0].amount == fault.amount
    return bool(span[0] <= fault.value <= span[1])


def _pairs(causes: tuple[Fault, ...], listed: Sequence[Candidate]) -> list[Candidate]:
    """Return pairs of parts that fail in the two modes dealt, about as badly."""
    known = {name for candidate in listed for name in called(candidate.faults)}
    parts = dict.fromkeys(candidate.faults[0].part for candidate in listed)
    ways = [
        [replace(cause, part=id) for id in parts if f"{id} {cause.mode}" in known]
        for cause in causes[:2]
    ]
    found = {called(pair): pair for pair in product(*ways) if pair[0].part != pair[1].part}
    found[called(causes)] = causes
    return [Candidate(pair, 1.0, _about(pair)) for pair in found.values()]


def _about(faults: Sequence[Fault]) -> tuple[tuple[float, float] | None, ...]:
    return tuple(
        (fault.value / ABOUT, fault.value * ABOUT)
        if fault.value is not None and fault.amount.endswith("ohm")
        else None
        for fault in faults
    )
