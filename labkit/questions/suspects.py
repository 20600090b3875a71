"""Questions about suspects: tell them apart, say which remain, name the one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from labkit.circuit import NEGATIVE, Circuit
from labkit.diagnosis.evidence import parse_seen
from labkit.exercise import Dealt
from labkit.meter import read
from labkit.questions.verdict import Verdict, agrees


@dataclass(frozen=True)
class Separate:
    """Choose leads, and positions, that tell two suspects apart.

    Parameters
    ----------
    circuit : Circuit
        Healthy, as the learner finds it.
    one, other : str
        Two faults, such as 'X1 resistance 2 ohm'.
    """

    circuit: Circuit
    one: str
    other: str

    @property
    def ask(self) -> str:
        """The question."""
        return f"Where do you put the leads to tell '{self.one}' from '{self.other}'?"

    def grade(
        self, red: str, black: str = NEGATIVE, function: str = "volts", **positions: str
    ) -> Verdict:
        """Grade a measurement by what it would show with either fault."""
        boats = [
            self.circuit.with_position(**positions).with_fault(f) for f in (self.one, self.other)
        ]
        a, b = (read(boat, red, black, function) for boat in boats)
        shows = f"With '{self.one}' it shows {a.display}, with '{self.other}' {b.display}"
        if a.high < b.low or b.high < a.low:
            return Verdict(True, f"{shows}: one look decides.")
        return Verdict(False, f"{shows}: the meter cannot tell them apart there.")


@dataclass(frozen=True)
class Remains:
    """Given what was seen, which suspects remain?

    Parameters
    ----------
    circuit : Circuit
        Healthy, as found.
    seen : sequence of str
        Readings, such as 'X1:1 DC- volts 12.6 V S2=on'.
    suspects : sequence of str
        Faults, such as 'X1 resistance 2 ohm'.
    """

    circuit: Circuit
    seen: Sequence[str]
    suspects: Sequence[str]

    @property
    def ask(self) -> str:
        """The question."""
        return "Which of these are still possible?"

    def falls(self, suspect: str) -> str:
        """Return why a suspect falls, '' where it remains: the first reading against it."""
        for text in self.seen:
            evidence = parse_seen(text, self.circuit)
            boat = self.circuit.with_position(**evidence.positions).with_fault(suspect)
            boat = boat.with_parted(*evidence.parted)
            would = read(boat, evidence.red, evidence.black or NEGATIVE, evidence.function)
            if not agrees(evidence.value, would) and would.display != evidence.seen:
                return f"with it, '{text}' would have shown {would.display}"
        return ""

    def grade(self, answer: Sequence[str]) -> Verdict:
        """Grade the suspects said to remain: each one is judged."""
        if strange := [s for s in answer if s not in self.suspects]:
            return Verdict(None, f"'{strange[0]}' is none of the suspects.")
        said = []
        for suspect in self.suspects:
            why = self.falls(suspect)
            if bool(why) == (suspect in answer):
                said.append(f"{suspect} falls: {why}." if why else f"{suspect} remains.")
        return Verdict(not said, " ".join(said) or "Just these; every other one has fallen.")


@dataclass(frozen=True)
class NameFault:
    """Which part is at fault, and how?

    Parameters
    ----------
    dealt : Dealt
        What is really wrong.
    modes : mapping of str to str
        What the learner may call a mode, to the mode in a fault's text.
    """

    dealt: Dealt
    modes: Mapping[str, str] = field(
        default_factory=lambda: {
            "open": "open", "high resistance": "resistance", "blown": "blown", "shorted": "short",
            "leaking to negative": "leak", "seized": "seized", "stuck on": "welded",
            "worn out": "weak", "discharged": "low", "too thin": "too thin",
            "comes and goes": "intermittent", "coil open": "coil open",
            "contact does not make": "dead contact", "winding open": "open winding",
            "brushes worn": "worn brushes", "wrong size fitted": "wrong fuse",
        }
    )  # fmt: skip

    ask: str = "Which part is at fault, and how?"

    def grade(self, part: str, mode: str) -> Verdict:
        """Grade a part's id and a mode: both must be those of one of the faults dealt."""
        mode = self.modes.get(mode, mode)
        faults = self.dealt.circuit.faults
        if any(f.part == part and f.mode == mode for f in faults):
            left = [f for f in faults if f.part != part]
            more = " It is not the only thing wrong: go on." if left else f" {self.dealt.cause}"
            return Verdict(True, f"{part} it is.{more}")
        if any(f.part == part for f in faults):
            return Verdict(
                False, f"{part} is at fault, but not in that way: look at it under load."
            )
        return Verdict(False, f"With {part} mended, the complaint would still be there.")
