"""Which part is at fault, and how; and whether the readings prove it or it was a guess."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from importlib.util import find_spec
from typing import TYPE_CHECKING

from labkit.aboard.bench import Bench
from labkit.circuits.circuit import Circuit, visible_parts
from labkit.diagnosis.evidence import Evidence
from labkit.diagnosis.faults import family, in_use, learner_words, said
from labkit.diagnosis.phrases import seen_text, suspects
from labkit.exercises.exercise import Dealt
from labkit.exercises.suspects import plain
from labkit.measuring.senses import sensed
from labkit.parts import UNIVERSAL, Part, Trait
from labkit.questions.fields import Field, OneOf, named, same
from labkit.questions.verdict import Verdict, wrong
from labkit.solving.solver import solve

HOW = ("how?", "")
WHICH = ("which part?", "")

if TYPE_CHECKING:
    from labkit.diagnosis.left import Left
    from labkit.diagnosis.ranking import Adviser
    from labkit.diagnosis.session import Diagnosis
    from labkit.diagnosis.weigher import Weigher

WEIGHING = find_spec("numpy") is not None
"""Whether readings can be weighed here; what weighs them is loaded when it is first asked."""

UNDRAWN = "something not drawn"

TOO_MANY = (
    "Known or lucky is not judged here: several parts are at fault, and readings are weighed "
    "against one fault at a time."
)
"""Said where faults of several parts are dealt that are not among the suspects together."""

NOT_WEIGHED = "Known or lucky is not judged here: this page grades a name but weighs no readings."
"""Said where numpy is missing, as it is on a page that computes by itself."""

LATER = (
    "Known or lucky is not judged here: you measured on after a repair, and only what was read "
    "before it is weighed."
)
"""Said where what was read before the first repair does not prove a right answer."""


@dataclass(frozen=True)
class NameFault:
    """Which part is at fault, and how?

    Parameters
    ----------
    dealt : Dealt
        What is really wrong.
    seen : sequence of Evidence, optional
        What the learner has found so far, for saying whether it proves the answer; where not
        given, nothing is said of that.
    modes : mapping of str to str
        What the learner may call a mode, to the mode in a fault's text.
    traced : collection of str
        Names of the runs the learner has followed: hidden parts elsewhere are not told of by name.
    more : bool
        Whether more was seen after a repair, on what was another boat by then.
    weigher : Weigher, optional
        What weighs the readings where numpy does not.
    """

    dealt: Dealt
    seen: Sequence[Evidence] | None = None
    modes: Mapping[str, str] = field(default_factory=learner_words)
    traced: Collection[str] = ()
    more: bool = False
    weigher: Weigher | None = None

    ask: str = "Which part is at fault, and how?"

    def __post_init__(self) -> None:
        may_be = (*self.dealt.variants, *self.dealt.circuit.faults)
        if self.dealt.suspects.also or any(fault.to for fault in may_be):
            object.__setattr__(self, "modes", {**self.modes, **learner_words(elsewhere=True)})

    @property
    def fields(self) -> tuple[Field, ...]:
        """A part of those known of, and how it failed."""
        parts = part_options(self.dealt.circuit, self.traced)
        return OneOf(parts, "Part", value="", brief=True), OneOf(
            (HOW, *same(tuple(self.modes))), "How", value="", brief=True
        )

    def words_of(self, part: str) -> tuple[str, ...]:
        """What can be wrong with a part, in the words of the list; all where it is none."""
        return words_for(self._sound.parts, self.modes, part)

    def grade(self, part: str, mode: str) -> Verdict:
        """Grade a part's id and a mode: both must be those of one of the faults dealt."""
        if not part or not mode:
            return Verdict(None, "Choose the part, and how it failed.")
        mode = self.modes.get(mode, mode)
        faults = self.dealt.circuit.faults
        if any(f.at(part) and f.mode == mode for f in faults):
            told = [f"{part} it is.", self.proof(part, mode)]
            if any(not f.at(part) for f in faults):
                told.append("It is not the only thing wrong: go on.")
            elif self.seen is None:
                told.append(self.dealt.cause)
            return Verdict(True, " ".join(filter(None, told)))
        for fault in faults:
            same = self.dealt.suspects.same_as(family(fault))
            answer = f"{part} {mode}"
            if answer in same[1:]:
                parts = self._sound.parts
                others = suspects((name for name in same if name != answer), parts=parts)
                alike = f"{said(answer, parts)} it may well be: no test in reach tells it from"
                return Verdict(True, f"{alike} {others}.")
        if any(f.at(part) for f in faults):
            return Verdict(
                False, f"{part} is at fault, but not in that way: what do your readings leave?"
            )
        against = self._against(part, mode)
        text = f"With {part} mended, the complaint would still be there. {against}".strip()
        return wrong(text, self._slip(part))

    # -- do the readings bear it out? -----------------------------------------------------------

    @property
    def _sound(self) -> Circuit:
        return self.dealt.circuit.without_faults()

    @property
    def weighs(self) -> bool:
        """Whether readings can be weighed here."""
        return WEIGHING or self.weigher is not None

    def _diagnosis(self) -> Diagnosis:
        return self._adviser.start.copy().see(*self.seen or ())

    @property
    def _adviser(self) -> Adviser:
        """Of what is near the faults dealt and what was measured, where the boat is large."""
        from labkit.diagnosis.closing_in import named_in
        from labkit.diagnosis.ranking import adviser_for

        dealt = self.dealt.variants or self.dealt.circuit.faults
        named = {fault.part for fault in dealt} | named_in(self.seen or ())
        return adviser_for(self._sound, self.dealt.candidates, named=named)

    @property
    def judged(self) -> bool:
        """Whether what is wrong is among the suspects, as far as parts at fault at once go.

        A fuse that opened because of something else is no second cause.
        """
        causes = {plain(family(fault)) for fault in self.dealt.causes}
        return any(causes == set(c.name.split(" + ")) for c in self.dealt.candidates)

    def proves(self, part: str, mode: str) -> bool | None:
        """Tell whether what was seen leaves nothing likely that a test in reach tells from it.

        None where that is not judged: nothing is known of what was seen; it is a fuse that opened
        because of something else; several parts are at fault, and not among the suspects together;
        it is not proved by what was seen before a repair, and more was seen after it; nothing is
        weighed here.
        """
        if self.seen is None or self._victim(part) or not self.judged or not self.weighs:
            return None
        proved = bool(self.seen) and self.left().proves(self._answer(part, mode))
        return proved or (None if self.more else False)

    def proof(self, part: str, mode: str) -> str:
        """Say whether the readings prove a right answer, or why that is not judged."""
        if self.seen is None or self._victim(part):
            return ""
        if not self.judged:
            return TOO_MANY
        if not self.weighs:
            return NOT_WEIGHED
        proved = self.proves(part, mode)
        if proved is None:
            return LATER
        if not self.seen:
            return "A guess, though: no reading proves it yet."
        how = "Known" if proved else "Lucky, so far"
        return f"{how}: {self.left().verdict(self._answer(part, mode))}"

    def _answer(self, part: str, mode: str) -> str:
        mode = self.modes.get(mode, mode)
        faults = self.dealt.circuit.faults
        owner = next((f.part for f in faults if f.mode == mode and f.at(part)), part)
        return self.called(f"{owner} {mode}")

    def _victim(self, part: str) -> bool:
        return not any(fault.at(part) for fault in self.dealt.causes)

    def left(self) -> Left:
        """What the evidence leaves, without the names of parts that the learner has not found."""
        return self._left.called(self.called)

    @cached_property
    def _left(self) -> Left:
        if self.weigher is not None:
            return self.weigher.see(*self.seen or ()).left()
        from labkit.diagnosis.reviewing import leaves

        return leaves(self._adviser, self._diagnosis())

    def called(self, name: str) -> str:
        """What a suspect is called to the learner: of parts not found yet, nothing is told."""
        return " + ".join(
            UNDRAWN if fault.split()[0] in self._hidden else fault for fault in name.split(" + ")
        )

    @cached_property
    def _hidden(self) -> set[str]:
        return {*self._sound.parts} - {p.id for p in visible_parts(self._sound, self.traced)}

    def _against(self, part: str, mode: str) -> str:
        """Return the reading of the learner's own that had ruled a wrong answer out."""
        if not self.seen or not self.weighs:
            return ""
        fallen = (self.weigher.see(*self.seen) if self.weigher else self._diagnosis()).fallen()
        number = fallen.get(f"{part} {mode}")
        if number is None:
            return ""
        return f"Your own reading speaks against it: {seen_text(self.seen[number], self._sound)}."

    # -- the idea behind a wrong answer ---------------------------------------------------------

    def _slip(self, part: str) -> str:
        named = self._sound.part(part) if part in self._sound.parts else None
        if named is None:
            return ""
        found = Bench(self.dealt.circuit).circuit  # what has opened by then is open
        if Trait.PROTECTION in named.traits and found.state_of(part).has("blown"):
            return "fuse without the cause"
        if Trait.LOAD in named.traits and any(
            _does(found.with_position(**on), part) != _does(self._sound.with_position(**on), part)
            for on in in_use(self._sound)
        ):
            return "blames the load"
        return ""


def words_for(parts: Mapping[str, Part], modes: Mapping[str, str], part: str) -> tuple[str, ...]:
    """What can be wrong with a part, in a learner's words; all of them where it is no part."""
    if part not in parts:
        return tuple(modes)
    own = {*parts[part].modes, *UNIVERSAL}
    return tuple(word for word, mode in modes.items() if mode in own)


def part_options(circuit: Circuit, traced: Collection[str] = ()) -> tuple[tuple[str, str], ...]:
    """Parts to choose from, those that nobody drew only once they were found."""
    return (WHICH, *((named(p), p.id) for p in visible_parts(circuit, traced)))


def _does(circuit: Circuit, id: str) -> str:
    return sensed(circuit, solve(circuit)).get(id, "")
