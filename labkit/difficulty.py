"""How hard an exercise is, computed from what the learner is up against; stored nowhere by hand."""

from __future__ import annotations

import re
from dataclasses import dataclass

from labkit.bench import Bench
from labkit.diagnosis import Diagnosis, Measurement
from labkit.diagnosis.session import believed
from labkit.exercise import Dealt, Exercise
from labkit.senses import sensed
from labkit.solver import solve

LEVELS = (6.0, 15.0, 22.0, 32.0)
"""Weighted minutes up to which levels 1 to 4 go; beyond is 5. Chosen, to spread the exercises."""

READING = 0.5
"""What a reading takes once its place is reached. [min] As at the bench."""

HARDER = 1.5
"""Factor for each thing a search of single, steady, drawn faults does not expect. Chosen."""


@dataclass(frozen=True)
class Difficulty:
    """What stands between a learner and the fault.

    Attributes
    ----------
    suspects : int
        Parts and modes that make up 95 % of what could be wrong, once every load was looked at as
        found and as proven.
    bits : float
        What is still to be learnt about part and mode then.
    reach : float
        Time to get at a suspect, the likelier weighing more. [min]
    hidden : int
        Parts at fault that nobody drew.
    faults : int
        Parts at fault.
    intermittent : bool
    """

    suspects: int
    bits: float
    reach: float
    hidden: int
    faults: int
    intermittent: bool

    @property
    def minutes(self) -> float:
        """Minutes of measuring, at a bit a reading, each at a place of its own. [min]"""
        return self.bits * (self.reach + READING)

    @property
    def level(self) -> int:
        """From 1, plain, to 5."""
        surprises = self.hidden + (self.faults - 1) + self.intermittent
        weighted = self.minutes * HARDER**surprises
        return 1 + sum(weighted > bound for bound in LEVELS)

    def __str__(self) -> str:
        said = [
            f"{self.suspects} suspect{'s' if self.suspects != 1 else ''}",
            f"{self.bits:.1f} bits",
            f"{self.reach:.0f} min to reach one",
        ]
        said += [f"{self.hidden} hidden"] if self.hidden else []
        said += [f"{self.faults} faults at once"] if self.faults > 1 else []
        said += ["intermittent"] if self.intermittent else []
        return f"difficulty {self.level} of 5 ({', '.join(said)})"


def difficulty(exercise: Exercise) -> Difficulty:
    """Return the difficulty of the hardest variant of an exercise."""
    before = Diagnosis(exercise.circuit)
    variants = (exercise.variant(n) for n in range(len(exercise.variants)))
    found = [difficulty_of(exercise, dealt, before) for dealt in variants]
    return max(found, key=lambda d: (d.level, d.minutes))


def difficulty_of(exercise: Exercise, dealt: Dealt, before: Diagnosis | None = None) -> Difficulty:
    """Return the difficulty of one variant.

    Parameters
    ----------
    exercise : Exercise
    dealt : Dealt
        Of that exercise.
    before : Diagnosis, optional
        Of its circuit, without any evidence; it is not changed.
    """
    sound, faults = exercise.circuit, dealt.circuit.faults
    diagnosis = (before or Diagnosis(sound)).copy()
    faulty = Bench(dealt.circuit).circuit
    for positions in ({}, _moved(exercise)):
        now = faulty.with_position(**positions)
        for load, does in sensed(now, solve(now)).items():
            diagnosis.see(Measurement("look", load, positions=positions).saw(does))
    named = diagnosis.by_name
    reach = {name: sound.parts[re.split("[ :]", name)[0]].reach for name in named}
    return Difficulty(
        suspects=len(believed(diagnosis, 0.95)),
        bits=max(diagnosis.entropy, 0.0),
        reach=sum(belief * reach[name] for name, belief in named.items()) / 60,
        hidden=len({f.part for f in faults if sound.parts[f.part].hidden}),
        faults=len({f.part for f in faults if f.mode != "blown"}) or 1,
        intermittent=any(f.mode == "intermittent" for f in faults),
    )


def _moved(exercise: Exercise) -> dict[str, str]:
    """Switches to move from how they are found to how the repair is proven."""
    found = exercise.circuit.positions
    return {id: word for id, word in exercise.proof.positions.items() if found[id] != word}
