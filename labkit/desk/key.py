"""The answer key of a variant: its findings, the paths to them, the proof of the repair."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cached_property

from labkit.desk import path
from labkit.desk.findings import Findings, findings, settled, shows
from labkit.desk.wrong_answers import wrong_answers
from labkit.diagnosis.closing_in import close_in
from labkit.diagnosis.ranking import Adviser
from labkit.exercises.exercise import Dealt, Exercise
from labkit.exercises.proving import Proven, prove


@dataclass(frozen=True)
class Key(Findings):
    """The answer key of one variant.

    Attributes
    ----------
    before, after : Proven
        The proof before and after the repair.
    halves : tuple of (str, Proven)
        Where more than one part is at fault: the proof with only that one mended.
    opened : tuple of str
        Fuses and breakers the fault has opened.
    """

    before: Proven
    after: Proven
    halves: tuple[tuple[str, Proven], ...]
    opened: tuple[str, ...]

    @property
    def symptoms(self) -> tuple[str, ...]:
        """What eye and ear find in each situation, beside what the sound boat does there."""
        sound, faulty = self.exercise.circuit, settled(self.dealt.circuit)
        near = close_in(sound, self.exercise.named).parts
        return tuple(
            f"{place.name}: {_differing(shows(place.of(sound)), shows(place.of(faulty)), near)}"
            for place in self.situations
        )

    @property
    def proofs(self) -> tuple[str, ...]:
        """The proof before the repair, after half of it, and after it."""
        halves = (f"With only {id} mended: {proven.text}" for id, proven in self.halves)
        return (f"Before: {self.before.text}", *halves, f"After: {self.after.text}")

    @cached_property
    def _adviser(self) -> Adviser:
        return path.searching(self.exercise, self.dealt)

    @cached_property
    def path(self) -> tuple[str, ...]:
        """Measurements to take in turn, and what each leaves."""
        return path.best_path(self.exercise, self.dealt, self._adviser)

    @cached_property
    def safe(self) -> tuple[str, ...]:
        """How each part that is wrong is made safe before hands go to it."""
        return path.making_safe(self.dealt)

    @cached_property
    def ways(self) -> tuple[str, ...]:
        """The search as planned, half-splitting and following the wire, from the complaint on."""
        return path.ways(self.exercise, self.dealt, self._adviser)

    @cached_property
    def wrong_answers(self) -> tuple[str, ...]:
        """Faults that look the same, and the reading that speaks against each."""
        return wrong_answers(self)


def key_of(exercise: Exercise, dealt: Dealt) -> Key:
    """Work out the answer key of a variant.

    Parameters
    ----------
    exercise : Exercise
    dealt : Dealt
        Of that exercise.
    """
    sound, faulty = exercise.circuit, settled(dealt.circuit)
    halves = [
        (id, prove(settled(dealt.circuit.without_faults(id)), exercise.proof, sound))
        for id in dict.fromkeys(fault.part for fault in dealt.circuit.faults)
    ]
    opened = faulty.faults[len(dealt.circuit.faults) :]
    return Key(
        **vars(findings(exercise, dealt)),
        before=prove(faulty, exercise.proof, sound),
        after=prove(sound, exercise.proof, sound),
        halves=tuple(halves) if len(halves) > 1 else (),
        opened=tuple(fault.part for fault in opened),
    )


def _differing(sound: Mapping[str, str], found: Mapping[str, str], near: Collection[str]) -> str:
    """What loads do, those far away where they do otherwise than they should."""
    said = [
        f"{load} {does}" + (f" (sound, it {sound[load]})" if does != sound[load] else "")
        for load, does in found.items()
        if load in near or does != sound[load]
    ]
    return "; ".join(said) or "nothing shows"
