"""Questions about suspects: tell two apart, say which remain."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.diagnosis.evidence import Evidence
from labkit.diagnosis.faults import Candidate, describe, in_use
from labkit.diagnosis.observing import would_show
from labkit.diagnosis.phrases import numbered, place_text, seen_text, state_text
from labkit.diagnosis.said import parse_seen
from labkit.measuring.meter import FUNCTIONS, Reading, read
from labkit.questions.fields import Field, Lead, OneOf, Several, named, same
from labkit.questions.verdict import Verdict, wrong
from labkit.solving.solver import solve
from labkit.text.messages import CircuitError

_FLOWS = 1e-3
"""Less than this is no load. [A]"""


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
        one, other = self._said
        return f"Where do you put the leads to tell {one} from {other}?"

    @property
    def fields(self) -> tuple[Field, ...]:
        """Two leads, the meter, and every switch that is drawn."""
        parts = self.circuit.parts
        return (
            Lead(self.circuit, "Red lead"),
            Lead(self.circuit, "Black lead", NEGATIVE),
            OneOf(same(tuple(FUNCTIONS)), "Meter", "function", "volts", brief=True),
            *(
                OneOf(same(parts[id].settings()), named(parts[id]), id, position, brief=True)
                for id, position in self.circuit.positions.items()
                if not parts[id].hidden
            ),
        )

    @property
    def _said(self) -> tuple[str, str]:
        return describe(self.one, self.circuit), describe(self.other, self.circuit)

    def grade(
        self, red: str, black: str = NEGATIVE, function: str = "volts", **positions: str
    ) -> Verdict:
        """Grade a measurement by what it would show with either fault."""
        try:
            a, b = self._readings(red, black, function, positions)
        except CircuitError as error:
            return Verdict(None, f"{error}.")
        one, other = self._said
        shows = f"The meter shows {a.display} with {one}, and {b.display} with {other}"
        for hazard in (*a.hazards, *b.hazards):
            slip = "ohms on a live circuit" if hazard.kind == "ohms live" else ""
            return wrong(f"{shows}. {hazard.text}", slip)
        if _apart(a, b):
            return Verdict(True, f"{shows}. One look decides.")
        slip = self._slip(red, black, function, positions)
        return wrong(f"{shows}. It cannot tell them apart there.", slip)

    def _boats(self, positions: Mapping[str, str]) -> list[Circuit]:
        here = self.circuit.with_position(**positions)
        return [here.with_fault(fault) for fault in (self.one, self.other)]

    def _readings(
        self, red: str, black: str, function: str, positions: Mapping[str, str]
    ) -> tuple[Reading, Reading]:
        a, b = (read(boat, red, black, function) for boat in self._boats(positions))
        return a, b

    def _slip(self, red: str, black: str, function: str, positions: Mapping[str, str]) -> str:
        """Return the idea by which these leads would tell the two apart."""
        suspects = [fault.split()[0].partition(":")[0] for fault in (self.one, self.other)]
        idle = all(
            _flow(boat, id) < _FLOWS
            for boat, id in zip(self._boats(positions), suspects, strict=True)
        )
        if idle and any(
            _apart(*self._readings(red, black, function, on)) for on in in_use(self.circuit)
        ):
            return "volts without load"
        ends = {self.circuit.node_of[self.circuit.point(p)] for p in (red, black)}
        across = any(
            {self.circuit.node_of.get(f"{part.id}:{t}") for t in way} == ends
            for part in self.circuit.parts.values()
            for way in part.uses()
        )
        if across and _apart(*self._readings(red, NEGATIVE, function, positions)):
            return "across hides the side"
        return ""


def _apart(a: Reading, b: Reading) -> bool:
    return a.high < b.low or b.high < a.low


def _flow(circuit: Circuit, id: str) -> float:
    return abs(solve(circuit).amps.get(id) or 0.0)


@dataclass(frozen=True)
class Remains:
    """Given what was seen, which suspects remain?

    Parameters
    ----------
    circuit : Circuit
        Healthy, as found.
    seen : sequence of str
        Readings, such as 'X1:1 DC- volts 12.6 V S2=on', or 'M1 look is dim S2=on'.
    suspects : sequence of str
        Faults, such as 'X1 resistance 2 ohm'.
    """

    circuit: Circuit
    seen: Sequence[str]
    suspects: Sequence[str]

    @property
    def ask(self) -> str:
        """The question."""
        return f"{self.told} Which of these are still possible?"

    @property
    def fields(self) -> tuple[Field, ...]:
        """The suspects, to tick those that remain."""
        options = ((describe(suspect, self.circuit), suspect) for suspect in self.suspects)
        return (Several(tuple(options)),)

    @property
    def told(self) -> str:
        """What was seen, as a sentence."""
        seen = "; ".join(seen_text(item, self.circuit) for item in self._evidence())
        return f"Seen: {seen}." if seen else "Nothing was measured."

    def falls(self, *faults: str) -> str:
        """Return why faults fall, '' where they remain: the first reading that strikes them out.

        As anywhere else that suspects are struck out, see :class:`labkit.diagnosis.Diagnosis`.
        """
        from labkit.diagnosis.session import Diagnosis

        boat = self.circuit.with_fault(*faults)
        seen = self._evidence()
        diagnosis = Diagnosis(self.circuit, [Candidate(boat.faults)]).see(*seen)
        number = next(iter(diagnosis.fallen().values()), None)
        if number is None:
            return ""
        item = seen[number]
        there = f"{state_text(item)}{place_text(numbered(item, self.circuit, 'point '))}"
        return f"with it, {there} would have shown {would_show(boat, item)[0]}"

    def grade(self, answer: Sequence[str]) -> Verdict:
        """Grade the suspects said to remain: each one is judged."""
        if strange := [s for s in answer if s not in self.suspects]:
            return Verdict(None, f"'{strange[0]}' is none of the suspects.")
        said, slip = [], ""
        for suspect in self.suspects:
            why = self.falls(suspect)
            if bool(why) == (suspect in answer):
                what = f"'{describe(suspect, self.circuit)}'"
                said.append(f"{what} falls: {why}." if why else f"{what} remains.")
                slip = slip or ("volts without load" if not why and self._idle(suspect) else "")
        if said:
            return wrong(" ".join(said), slip)
        return Verdict(True, "Just these; every other one has fallen.")

    def _idle(self, suspect: str) -> bool:
        """Tell whether all was read with nothing flowing through a suspect that passes current."""
        id, boat = suspect.split()[0].partition(":")[0], self.circuit.with_fault(suspect)
        states = [
            boat.with_position(**e.positions).with_parted(*e.parted)
            for e in self._evidence()
            if e.function in FUNCTIONS
        ]
        passes = any(_flow(boat.with_position(**on), id) > _FLOWS for on in in_use(self.circuit))
        return passes and bool(states) and all(_flow(state, id) < _FLOWS for state in states)

    def _evidence(self) -> list[Evidence]:
        return [parse_seen(text, self.circuit) for text in self.seen]
