"""What whoever finds a hunt's fault has practised: kinds of faults, and where they lie."""

from __future__ import annotations

from labkit.circuits.circuit import Circuit
from labkit.circuits.paths import path_through
from labkit.exercises.exercise import Dealt, Exercise
from labkit.parts import Fault
from labkit.text.messages import CircuitError


def outcomes(exercise: Exercise, dealt: Dealt) -> set[str]:
    """Name what a variant practises, as far as its faults tell."""
    causes = dealt.causes
    parts = exercise.circuit.parts
    found = {parts[fault.part].mode(fault.mode).family for fault in causes}
    if len(causes) < len(dealt.circuit.faults):
        found.add("the fuse is the victim")
    if any(_behind(exercise.circuit, exercise.proof.load, fault) for fault in causes):
        found.add("return side")
    if any(parts[fault.part].hidden for fault in causes):
        found.add("undrawn")
    if len({fault.part for fault in causes}) > 1:
        found.add("two at once")
    return found


def all_outcomes(exercise: Exercise) -> set[str]:
    """Name what all variants together practise."""
    each = (outcomes(exercise, exercise.variant(n)) for n in range(len(exercise.variants)))
    return set().union(*each)


def _behind(circuit: Circuit, load: str, fault: Fault) -> bool:
    """Tell whether a fault lies between the load and the negative bus."""
    try:
        parts = [step.part for step in path_through(circuit, load)]
    except CircuitError:
        return False
    return fault.part in parts[parts.index(load) + 1 :]
