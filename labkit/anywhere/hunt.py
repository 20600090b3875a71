"""A hunt in a page: readings weighed without numpy, hints, and what there is to say at the end."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from html import escape

from labkit.anywhere.weighing import Weighing
from labkit.diagnosis.evidence import Measurement
from labkit.diagnosis.logbook import asked, evidence_of
from labkit.diagnosis.weigher import Weigher
from labkit.exercises.exercise import Exercise
from labkit.hunts.hints import Hint
from labkit.hunts.kept import RecordedHunt
from labkit.hunts.light_hint import hint
from labkit.hunts.looked_back import cause, hazard_words, named_words, outcome
from labkit.hunts.next_time import Walked, remarks
from labkit.hunts.path_taken import eliminated, pace, rows_of
from labkit.paper.steps_table import as_html
from labkit.questions import NameFault


class PageHunt(RecordedHunt):
    """A hunt whose readings are weighed on plain floats.

    Parameters
    ----------
    exercise : Exercise
    name : str
        Whose hunt it is.
    weighing : Weighing
    """

    def __init__(self, exercise: Exercise, name: str, weighing: Weighing) -> None:
        super().__init__(exercise, name)
        self._weighing = weighing
        self.weigher: Weigher | None = weighing.weigher(exercise, self.dealt.suspects.same_as)

    @property
    def question(self) -> NameFault:
        """Which part, and how?"""
        return replace(super().question, weigher=self.weigher)

    def weigh(self, until: Callable[[], bool]) -> bool:
        """Weigh readings for a while; tell whether any are left."""
        if self.weigher is None or self.mended:
            return False
        seen = evidence_of(self.bench.log, self.exercise.circuit)
        return self.weigher.go_on(seen, until)

    def hint(self) -> Hint:
        """Ask for the next step of a hint, which costs."""
        if self.weigher is None:
            return Hint(0, "Readings are not weighed here, so there are no hints.")
        found = hint(self, self.weigher, self._weighing.worth_asking or self._plainest())
        if found.step:
            self.hints.append(found)
            self._keep("hint", step=found.step, text=found.text, seen=found.seen)
        return found

    def looked_back(self) -> tuple[list[str], str, str]:
        """What there is to say, the learner's steps as a table, and the advised ones."""
        said, steps = [outcome(self)], 0
        plan = self._weighing.plans[self.dealt.number] if self._weighing.plans else ()
        judged = self.question.judged
        table = rest = ""
        last: tuple[str, ...] = ()
        if self.weigher is not None:
            items = asked(self.bench.log, self.exercise.circuit)
            seen = [item.evidence for item in items if not item.void]
            told = self.weigher.see(*seen).steps
            called, names = self.question.called, self.weigher.names
            rows = rows_of(items, told, self.exercise.circuit, names, called)
            steps = len(rows)
            table = as_html(rows, "Your path, step by step") if rows else ""
            taken = (n for n, item in enumerate(items, 1) if not item.void)
            last = remarks(self, Walked(rows, plan, [*zip(taken, told, strict=True)]))
            if plan or not judged:
                said.append(pace(rows, tuple(plan), judged))
            rest = eliminated(self, items)
        said += [named_words(self, steps), rest, hazard_words(self), cause(self), str(self.bill)]
        advised = as_html(plan, "The advised path, step by step") if plan else ""
        return [escape(text) for text in (*said, *last) if text], table, advised

    def _plainest(self) -> list[Measurement]:
        """Look at the load, and volts at each point there is, as the proof switches it on."""
        proof, circuit = self.exercise.proof, self.exercise.circuit
        looks = [Measurement("look", proof.load, "", proof.positions)]
        points = [j.members[0] for j in circuit.junctions if j.label != "DC-"]
        return looks + [Measurement("volts", point, "DC-", proof.positions) for point in points]
