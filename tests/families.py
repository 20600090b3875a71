"""Which family of faults each hunt belongs to, worked out from what it deals.

python -m tests.families
"""

from __future__ import annotations

from pathlib import Path

from labkit.circuits.circuit import Circuit
from labkit.circuits.paths import path_through
from labkit.exercises.difficulty import difficulty_of
from labkit.exercises.exercise import Dealt, Exercise, load_exercise
from labkit.parts import Fault
from labkit.text.messages import CircuitError
from tests.boats import EXERCISES

MODES = {
    "open": "open", "blown": "open", "open winding": "open",
    "resistance": "corroded", "leak": "short or leak", "intermittent": "comes and goes",
    "too thin": "wire too thin", "wrong fuse": "wrong fuse", "reversed": "reversed",
    "seized": "motor", "dragging": "motor", "worn brushes": "motor",
    "coil open": "relay", "dead contact": "relay", "welded": "welded contact",
    "pull-in open": "relay", "hold-in open": "relay",
    "weak": "battery", "dead cell": "battery",
    "no field": "charging", "never closes": "charging", "high set point": "charging",
    "slipping": "charging", "diode open": "charging", "stuck in float": "charging",
    "short to": "short or leak", "leak to": "short or leak", "sunk": "sender",
}  # fmt: skip
"""Family of each mode dealt."""


def families(exercise: Exercise, dealt: Dealt) -> set[str]:
    """Name everything that a variant is an example of."""
    causes = dealt.causes
    found = {MODES[fault.mode] for fault in causes}
    surprises = difficulty_of(exercise, dealt).surprises
    if len(causes) < len(dealt.circuit.faults):
        found.add("the fuse is the victim")
    if any(_behind(exercise.circuit, exercise.proof.load, fault) for fault in causes):
        found.add("return side")
    if any(exercise.circuit.parts[fault.part].hidden for fault in causes):
        found.add("undrawn")
    if {"not on the load's way", "other loads are off too"} & set(surprises):
        found.add("points elsewhere")
    if "two at once" in surprises:
        found.add("two at once")
    return found


def _behind(circuit: Circuit, load: str, fault: Fault) -> bool:
    """Tell whether a fault lies between the load and the negative bus."""
    try:
        parts = [step.part for step in path_through(circuit, load)]
    except CircuitError:
        return False
    return fault.part in parts[parts.index(load) + 1 :]


def all_families() -> dict[Path, set[str]]:
    """Name the families of every hunt shipped, all its variants together."""
    found = {}
    for file in sorted(EXERCISES.glob("*.toml")):
        exercise = load_exercise(file)
        dealt = [exercise.variant(n) for n in range(len(exercise.variants))]
        found[file] = set().union(*(families(exercise, one) for one in dealt))
    return found


if __name__ == "__main__":
    for file, names in all_families().items():
        print(f"{file.stem:24s} {', '.join(sorted(names))}")
