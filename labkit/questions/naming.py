"""Which part is at fault, and how; and whether the readings prove it or it was a guess."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from labkit.bench import Bench
from labkit.circuit import Circuit
from labkit.diagnosis import Diagnosis, Evidence, Left, adviser_for, leaves
from labkit.diagnosis.explain import listing, seen_text
from labkit.exercise import Dealt
from labkit.faults import family, in_use
from labkit.questions.verdict import USERS, Verdict, wrong
from labkit.senses import sensed
from labkit.solver import solve


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
    """

    dealt: Dealt
    seen: Sequence[Evidence] | None = None
    modes: Mapping[str, str] = field(
        default_factory=lambda: {
            "open": "open", "high resistance": "resistance", "blown": "blown", "shorted": "short",
            "leaking to negative": "leak", "seized": "seized", "stuck on": "welded",
            "worn out": "weak", "discharged": "low", "too thin": "too thin",
            "comes and goes": "intermittent", "coil open": "coil open",
            "contact does not make": "dead contact", "winding open": "open winding",
            "brushes worn": "worn brushes", "wrong size fitted": "wrong fuse",
            "missing": "missing", "wrong way round": "reversed", "one cell dead": "dead cell",
            "winding part-shorted": "shorted winding", "running dry": "dry",
        }
    )  # fmt: skip

    ask: str = "Which part is at fault, and how?"

    def grade(self, part: str, mode: str) -> Verdict:
        """Grade a part's id and a mode: both must be those of one of the faults dealt."""
        if not part or not mode:
            return Verdict(None, "Choose the part, and how it failed.")
        mode = self.modes.get(mode, mode)
        faults = self.dealt.circuit.faults
        if any(f.part == part and f.mode == mode for f in faults):
            said = [f"{part} it is.", self.proof(part, mode)]
            if any(f.part != part for f in faults):
                said.append("It is not the only thing wrong: go on.")
            elif self.seen is None:
                said.append(self.dealt.cause)
            return Verdict(True, " ".join(filter(None, said)))
        for fault in faults:
            same = self.dealt.suspects.same_as(family(fault))
            if f"{part} {mode}" in same[1:]:
                others = listing([name for name in same if name != f"{part} {mode}"])
                return Verdict(
                    True, f"{part} {mode} it may well be: no test in reach tells it from {others}."
                )
        if any(f.part == part for f in faults):
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

    def _diagnosis(self) -> Diagnosis:
        return adviser_for(self._sound, self.dealt.candidates).start.copy().see(*self.seen or ())

    def proves(self, part: str, mode: str) -> bool | None:
        """Tell whether what was seen leaves nothing else that a test in reach could tell from it.

        None where that is not judged: nothing is known of what was seen; it is a fuse that opened
        because of something else; several parts are at fault, and the reasoning knows faults of
        one part at a time.
        """
        faults = self.dealt.circuit.faults
        causes = {f.part for f in faults if f.mode != "blown"} or {f.part for f in faults}
        if self.seen is None or causes != {part}:
            return None
        answer = f"{part} {self.modes.get(mode, mode)}"
        return bool(self.seen) and self.left().proves(answer)

    def proof(self, part: str, mode: str) -> str:
        """Say whether the readings prove a right answer; '' where that is not judged."""
        proved = self.proves(part, mode)
        if proved is None:
            return ""
        if not self.seen:
            return "A guess, though: no reading proves it yet."
        how = "Known" if proved else "Lucky, so far"
        return f"{how}: {self.left().verdict(f'{part} {self.modes.get(mode, mode)}')}"

    def left(self) -> Left:
        """What the evidence leaves, without the names of parts that nobody drew."""
        left = leaves(adviser_for(self._sound, self.dealt.candidates), self._diagnosis())
        hidden = {p.id for p in self._sound.parts.values() if p.hidden}
        remaining, alike = (
            tuple(dict.fromkeys(_drawn(name, hidden) for name in names))
            for names in (left.remaining, left.alike)
        )
        return Left(remaining, alike)

    def _against(self, part: str, mode: str) -> str:
        """Return the reading of the learner's own that had ruled a wrong answer out."""
        if not self.seen:
            return ""
        fallen = self._diagnosis().fallen()
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
        if named.kind in ("fuse", "breaker") and found.state_of(part).has("blown"):
            return "fuse without the cause"
        if named.kind in USERS and any(
            _does(found.with_position(**on), part) != _does(self._sound.with_position(**on), part)
            for on in in_use(self._sound)
        ):
            return "blames the load"
        return ""


def _does(circuit: Circuit, id: str) -> str:
    return sensed(circuit, solve(circuit)).get(id, "")


def _drawn(name: str, hidden: set[str]) -> str:
    return "something not drawn" if name.split()[0] in hidden else name
