"""What a searcher who has heard the complaint takes into account for a dealt exercise."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import product

from labkit.circuits.circuit import Circuit
from labkit.diagnosis.closing_in import close_in, in_near
from labkit.diagnosis.faults import Candidate
from labkit.exercises.exercise import Dealt, Exercise
from labkit.exercises.proving import Proof, Sound, expected, judge
from labkit.exercises.suspects import about
from labkit.parts import Fault
from labkit.text.messages import NoConvergenceError

SECOND = 0.2
"""Weight of all pairs together, beside that of all single faults. Our choice."""


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
    singles = [candidate for candidate in exercise.candidates if len(candidate.faults) == 1]
    near = close_in(exercise.circuit, exercise.named)
    listed = in_near(singles, near)
    causes = dealt.causes
    should = expected(near, exercise.proof)
    made = [candidate for candidate in listed if _fails(near, exercise.proof, candidate, should)]
    if len({fault.part for fault in causes}) > 1:
        alone = [candidate for candidate in listed if not candidate.called]
        pairs = _pairs(causes, alone)
        pairs = [pair for pair in pairs if _fails(near, exercise.proof, pair, should)]
        share = SECOND * sum(candidate.weight for candidate in made) / len(pairs)
        made += [replace(pair, weight=share) for pair in pairs]
    return tuple(made)


def called(faults: Iterable[Fault]) -> frozenset[str]:
    """Return parts and modes, without severities and terminals."""
    return frozenset(f"{fault.part} {fault.mode}" for fault in faults)


def _fails(near: Circuit, proof: Proof, candidate: Candidate, should: Sound) -> bool:
    """Tell whether the proof fails with a candidate, mild or bad."""
    try:
        return not all(
            judge(near.but(faults=faults), proof, should).ok
            for faults in dict.fromkeys(candidate.ends())
        )
    except NoConvergenceError:
        return True


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
    return [Candidate(pair, 1.0, about(pair)) for pair in found.values()]
