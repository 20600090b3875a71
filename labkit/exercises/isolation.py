"""Can what an exercise deals be told from everything else that is suspected?"""

from __future__ import annotations

from collections.abc import Iterator

from labkit.aboard.bench import Bench
from labkit.circuits.circuit import Circuit
from labkit.diagnosis.ambiguity import alone
from labkit.diagnosis.closing_in import close_in, in_near
from labkit.diagnosis.cost import moved
from labkit.diagnosis.evidence import Measurement
from labkit.diagnosis.faults import Candidate, family
from labkit.diagnosis.phrases import listing
from labkit.diagnosis.session import Diagnosis
from labkit.exercises.exercise import Exercise
from labkit.exercises.suspects import plain
from labkit.measuring.senses import sensed
from labkit.parts import Fault
from labkit.solving.solver import solve

_NEXT_TO_NOTHING = 1e-12


def _with_dealt(exercise: Exercise) -> Diagnosis:
    """Return a diagnosis that knows the faults in just the amounts dealt, before a reading."""
    singles = [one for one in exercise.candidates if len(one.faults) == 1]
    known = [Candidate((fault,), _NEXT_TO_NOTHING) for _, fault in _dealt(exercise)]
    near = close_in(exercise.circuit, exercise.named)
    return Diagnosis(near, in_near(singles + known, near))


def not_isolated(exercise: Exercise) -> list[str]:
    """Say which faults dealt no test in reach tells from another suspect, unless the file says so.

    Of faults dealt together each is looked at with the others mended, as a hunt comes to the last
    of them.
    """
    before = _with_dealt(exercise)
    problems: dict[str, None] = {}
    found: dict[str, set[str]] = {}
    for where, fault in _dealt(exercise):
        name = plain(family(fault))
        now = _looked(exercise, before, exercise.circuit.with_fault(fault))
        group = dict.fromkeys([name, *(plain(n) for n in alone(now, (fault,)))])
        found.setdefault(name, set()).update(group)
        if not set(group) <= {plain(other) for other in exercise.suspects.same_as(name)}:
            others = [other for other in group if other != name]
            said = ", ".join(f'"{n}"' for n in group)
            problems[
                f"{exercise.file}: faults, {where}: no test in reach tells {name} from "
                f"{listing(others)}; deal another fault, or let each be the answer: in [suspects], "
                f"alike = [[{said}]]"
            ] = None
    return [*problems, *_told_apart(exercise, found)]


def _told_apart(exercise: Exercise, found: dict[str, set[str]]) -> Iterator[str]:
    """Names the file calls alike to a fault dealt that are not."""
    where = f"{exercise.file}: suspects.alike: found"
    for group in exercise.suspects.alike:
        names = list(map(plain, group))
        dealt = [name for name in names if name in found]
        if not dealt:
            yield f"{where} {listing(names)}, none of which is dealt; take the group out"
        for name in dealt:
            others = [other for other in names if other not in found[name]]
            if others:
                yield f"{where} {listing(others)}, which a test tells from {name}; take it out"


def _looked(exercise: Exercise, before: Diagnosis, faulty: Circuit) -> Diagnosis:
    """Return what is known once every load was looked at, as found and as proven."""
    diagnosis, found = before.copy(), Bench(faulty).circuit
    for positions in ({}, moved(exercise.circuit, exercise.proof.positions)):
        now = found.with_position(**positions)
        for load, does in sensed(now, solve(now)).items():
            if load in before.circuit.parts:
                diagnosis.see(Measurement("look", load, positions=positions).saw(does))
    return diagnosis


def _dealt(exercise: Exercise) -> Iterator[tuple[str, Fault]]:
    """Each fault of each variant, and the variant as it is written."""
    for number, faults in enumerate(exercise.variants):
        for fault in exercise.variant(number).circuit.faults:
            yield " + ".join(faults), fault
