"""Predict a reading; a wrong answer is traced to the idea that predicts it on this circuit."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.circuits.paths import path_through
from labkit.measuring.meter import FUNCTIONS, Reading, read
from labkit.parts import Trait
from labkit.parts.laws import Linear
from labkit.questions.fields import Field, Quantity
from labkit.questions.ideas import Asked, full_volts, held
from labkit.questions.misconceptions import HINTS
from labkit.questions.verdict import KINDS, Verdict, agrees, with_unit, wrong
from labkit.solving.solver import measure, solve
from labkit.text.messages import CircuitError
from labkit.text.quantities import QuantityError

OVER_RANGE = ("ol", "over range", "open")
SYSTEM = "name of the system"
OL = {"V": "open reads OL", "ohm": "dead is open", "A": "nothing flows is OL"}
FLOWS = 1e-3
"""Less than this is no current. [A]"""
_WHOLE = 0.9
"""So much of the battery's volts is all of them, to speak of."""


@dataclass(frozen=True)
class Predict:
    """What will the meter show?

    Parameters
    ----------
    circuit : Circuit
    red, black, function : str
        As for :func:`labkit.measuring.meter.read`.
    ask : str
        The question; one that names the leads is made up where it is left out.
    twin : Circuit, optional
        The same circuit with its load on instead of off or off instead of on.
    within : float, optional
        How near an answer has to be, in the meter's unit; else as near as a boat promises.
    """

    circuit: Circuit
    red: str
    black: str = NEGATIVE
    function: str = "volts"
    ask: str = ""
    twin: Circuit | None = None
    within: float | None = None

    def __post_init__(self) -> None:
        if not self.ask:
            leads = f"red on {self.red}, black on {self.black}"
            object.__setattr__(self, "ask", f"{self.function}, {leads}: what will the meter show?")

    @property
    def reading(self) -> Reading:
        """What the meter does show."""
        return read(self.circuit, self.red, self.black, self.function)

    @property
    def fields(self) -> tuple[Field, ...]:
        """One number."""
        return (Quantity("I expect", FUNCTIONS[self.function].unit),)

    def grade(self, answer: str) -> Verdict:
        """Grade a quantity with its unit, such as '12.6 V', or 'OL'."""
        truth = self.reading
        if answer.strip().lower() in OVER_RANGE:
            shows = f"You said over range; the meter shows {truth.display}."
            if truth.display == "OL":
                return Verdict(True, shows)
            return self._missed(shows, OL[truth.unit])
        kind, _, _ = KINDS[truth.unit]
        try:
            said = kind.parse(with_unit(answer, truth.unit).lstrip("-+"))
        except QuantityError:
            found = f"'{answer.strip()}' cannot be read" if answer.strip() else "No number yet"
            return Verdict(None, f"{found}: write a number, such as 3.5 or 3.5 {truth.unit}.")
        said = -said if with_unit(answer, truth.unit).startswith("-") else said
        shows = f"You said {answer.strip()}; the meter shows {truth.display}."
        if agrees(said, truth, self.within):
            return Verdict(True, shows)
        return self._missed(shows, self._slip(said, truth))

    def _missed(self, shows: str, idea: str) -> Verdict:
        hint = HINTS[idea] if idea else self._plain_hint()
        return replace(wrong(shows, idea), hint=hint)

    def _plain_hint(self) -> str:
        """What to think of where no idea explains the answer."""
        if any(abs(amps or 0.0) > FLOWS for amps in solve(self.circuit).amps.values()):
            return (
                "Current flows. Follow it from the battery's plus: what is lost before it comes to "
                "the red lead, and where does the black one stand?"
            )
        return (
            "Nothing flows, so nothing is lost in whole parts. Which side of the battery does each "
            "lead reach through them?"
        )

    def _slip(self, said: float, truth: Reading) -> str:
        """Return the misconception whose prediction, computed here, is the answer given."""
        if truth.value is not None:
            if agrees(-said, truth, self.within):
                return "sign"
            digits = said != 0 and not agrees(
                0.0, truth, self.within
            )  # around nothing every small slip fits
            if digits and any(_same_digits(said * by, truth.value) for by in (1e3, 1e-3)):
                return "factor 1000"
            halved = self.function == "clamp" and agrees(2 * said, truth, self.within)
            if (abs(said) < 0.05 or halved) and (slip := self._nothing()):
                return slip
        asked = Asked(
            self.circuit,
            self.red,
            self.black,
            self.function,
            self.ask,
            truth.unit,
            truth.value,
            self.twin,
            self.within,
        )
        ideas = held(asked, said)
        if truth.unit == "V" and ideas and (abs(said) < 0.05 or ideas[0] == SYSTEM):
            return ideas[0]
        for slip, reading in self._wrong_readings(truth):
            if agrees(said, reading):
                return slip
        return next(iter(ideas), "")

    def _nothing(self) -> str:
        """Return the idea by which something that does read something would read nothing."""
        if self.function == "volts" and self._across_an_open():
            return "open reads nothing"
        red = self.circuit.node_of[self.circuit.point(self.red)]
        if red in self._ways_home():
            if (
                self.function == "volts"
                and self.circuit.node_of[self.circuit.point(self.black)]
                == self.circuit.node_of[NEGATIVE]
            ):
                return "return is zero"
            if self.function == "clamp":
                return "current is used up"
        return ""

    def _across_an_open(self) -> bool:
        """Tell whether the leads are on the two sides of one part that passes nothing."""
        if abs(self.reading.value or 0.0) < _WHOLE * full_volts(self.circuit):
            return False
        ends = {self.circuit.node_of[self.circuit.point(p)] for p in (self.red, self.black)}
        amps = solve(self.circuit).amps
        return any(
            {self.circuit.node_of.get(f"{part.id}:{t}") for t in part.terminals[:2]} == ends
            and amps[part.id] == 0
            and Trait.SOURCE not in part.traits
            for part in self.circuit.parts.values()
        )

    def _ways_home(self) -> set[str]:
        """Nodes between the last load on a way and DC-."""
        found = set()
        for part in self.circuit.parts.values():
            if not part.uses():
                continue
            try:
                steps = path_through(self.circuit.without_faults(), part.id)
            except CircuitError:
                continue
            users = [n for n, step in enumerate(steps) if self.circuit.part(step.part).uses()]
            behind = users[-1] + 1
            found |= {self.circuit.node_of[step.first] for step in steps[behind:]}
        return found

    def _wrong_readings(self, truth: Reading) -> Iterator[tuple[str, Reading]]:
        """Each misconception with what it would read here."""
        joints = any(fault.mode == "resistance" for fault in self.circuit.faults)
        if joints:
            yield "sound when loaded", self._other(self.circuit.without_faults())
        if self.twin is not None:
            here, there = self._amps(self.circuit), self._amps(self.twin)
            other = self._other(self.twin)
            if there > here and here < FLOWS / 10:
                yield "drop without current", other
            elif joints and there <= here:
                yield "sound when loaded", other
        if self.function == "volts":
            if self.black != NEGATIVE:
                yield "bus instead of across", read(self.circuit, self.red, NEGATIVE)
            elif (far := self._other_end()) is not None:
                yield "bus is not the load", read(self.circuit, self.red, far)
        if self.function in ("volts", "low-z"):
            ideal = measure(self.circuit, self.red, self.black, Linear.resistor(1e15)).volts
            if ideal is not None and not agrees(ideal, truth):
                shown = Reading("volts", self.red, self.black, "", ideal, "V", ideal, ideal)
                yield "meter draws nothing", shown
        if self.function == "ohms":
            if truth.hazards:
                yield "ohms on a live circuit", self._other(self._dead())
            part, _, _ = self.red.partition(":")
            if self.black.startswith(f"{part}:"):
                yield "ohms of one part", self._other(self._dead().with_parted(self.black))

    def _dead(self) -> Circuit:
        """The circuit with its sources taken off."""
        sources = [p.id for p in self.circuit.parts.values() if Trait.SOURCE in p.traits]
        return self.circuit.with_parted(*(f"{id}:+" for id in sources))

    def _other(self, circuit: Circuit) -> Reading:
        return read(circuit, self.red, self.black, self.function)

    def _other_end(self) -> str | None:
        """The far terminal of the load whose near one the red lead is on."""
        here = self.circuit.node_of[self.circuit.point(self.red)]
        for part in self.circuit.parts.values():
            for first, second in part.uses():
                if self.circuit.node_of.get(f"{part.id}:{first}") == here:
                    return f"{part.id}:{second}"
        return None

    def _amps(self, circuit: Circuit) -> float:
        return sum(abs(i) for i in solve(circuit).amps.values() if i is not None)


def _same_digits(one: float, other: float) -> bool:
    return abs(one - other) <= 0.05 * abs(other)


@dataclass(frozen=True)
class PredictBoth:
    """What will the meter show without the load, and with it?

    Parameters
    ----------
    circuit : Circuit
    red, black : str
    off, on : mapping of str to str
        Positions with the load off and on.
    """

    circuit: Circuit
    red: str
    black: str
    off: Mapping[str, str]
    on: Mapping[str, str]

    @property
    def ask(self) -> str:
        """The question."""
        leads = f"red on {self.red}, black on {self.black}"
        return f"Volts, {leads}: what will it show with the load off, and what with the load on?"

    @property
    def fields(self) -> tuple[Field, ...]:
        """Two numbers."""
        return Quantity("load off", "V"), Quantity("load on", "V")

    def grade(self, off: str, on: str) -> Verdict:
        """Grade two quantities, the one without load first."""
        boats = [self.circuit.with_position(**p) for p in (self.off, self.on)]
        questions = [
            Predict(boat, self.red, self.black, twin=twin)
            for boat, twin in zip(boats, reversed(boats), strict=True)
        ]
        verdicts = [q.grade(a) for q, a in zip(questions, (off, on), strict=True)]
        text = f"Off: {verdicts[0].text} On: {verdicts[1].text}"
        if any(v.right is None for v in verdicts):
            return Verdict(None, text)
        wrong = {word: v for word, v in zip(("off", "on"), verdicts, strict=True) if not v.right}
        idea = next((v.misconception for v in wrong.values()), "")
        hint = " ".join(f"With the load {word}: {v.hint}" for word, v in wrong.items())
        return Verdict(not wrong, text, idea, hint)
