"""Predict a reading; a wrong answer is traced to the idea that predicts it on this circuit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from labkit.circuit import NEGATIVE, Circuit
from labkit.laws import Linear
from labkit.meter import Reading, read
from labkit.quantities import QuantityError, show
from labkit.questions.verdict import KINDS, Verdict, agrees
from labkit.solver import measure, solve

OVER_RANGE = ("ol", "over range", "open")


MISCONCEPTIONS: Mapping[str, str] = {
    "sign": (
        "The size is right and the sign is not: the meter shows how far red stands above black."
    ),
    "factor 1000": (
        "The digits are right and the prefix is not: a thousand millivolts make a volt."
    ),
    "sound when loaded": (
        "That is what a sound circuit would show. A joint that shows full voltage with nothing "
        "flowing may still not pass a load: volts without current prove only that it is not quite "
        "open."
    ),
    "drop without current": (
        "That is what it shows while current flows. Without current nothing is lost in any "
        "resistance, however bad: volts lost are amps times ohms."
    ),
    "bus instead of across": (
        "That is what you would read against the negative bus. The leads are across the part: only "
        "what is lost between them counts."
    ),
    "bus is not the load": (
        "That is what you would read across the load itself. Against the negative bus, what is "
        "lost on the return side is included."
    ),
    "open reads nothing": (
        "Across an open in a live circuit no current flows, and just for that reason the whole "
        "supply is there: the meter is the only thing left that joins the two sides."
    ),
    "meter draws nothing": (
        "That is what a meter without any load of its own would show. This one is 10 megohm, and "
        "behind so high a resistance it pulls the voltage down."
    ),
}
"""Wrong ideas this trade meets over and over, and what to say to each."""


@dataclass(frozen=True)
class Predict:
    """What will the meter show?

    Parameters
    ----------
    circuit : Circuit
    red, black, function : str
        As for :func:`labkit.meter.read`.
    ask : str
        The question; one that names the leads is made up where it is left out.
    twin : Circuit, optional
        The same circuit with its load on instead of off or off instead of on.
    """

    circuit: Circuit
    red: str
    black: str = NEGATIVE
    function: str = "volts"
    ask: str = ""
    twin: Circuit | None = None

    def __post_init__(self) -> None:
        if not self.ask:
            leads = f"red on {self.red}, black on {self.black}"
            object.__setattr__(self, "ask", f"{self.function}, {leads}: what will the meter show?")

    @property
    def reading(self) -> Reading:
        """What the meter does show."""
        return read(self.circuit, self.red, self.black, self.function)

    def grade(self, answer: str) -> Verdict:
        """Grade a quantity with its unit, such as '12.6 V', or 'OL'."""
        truth = self.reading
        if answer.strip().lower() in OVER_RANGE:
            right = truth.display == "OL"
            return Verdict(right, f"You said over range; the meter shows {truth.display}.")
        kind, _, _ = KINDS[truth.unit]
        try:
            said = kind.parse(answer.strip().lstrip("-+"))
        except QuantityError as error:
            return Verdict(None, f"The answer cannot be read: {error}.")
        said = -said if answer.strip().startswith("-") else said
        shows = f"You said {show(said, truth.unit)}; the meter shows {truth.display}."
        if truth.value is None:
            return Verdict(False, shows)
        if agrees(said, truth):
            return Verdict(True, shows)
        slip = self._slip(said, truth)
        return Verdict(False, f"{shows} {MISCONCEPTIONS.get(slip, '')}".strip(), slip)

    def _slip(self, said: float, truth: Reading) -> str:
        """Return the misconception whose prediction, computed here, is the answer given."""
        assert truth.value is not None
        if agrees(-said, truth):
            return "sign"
        digits = said != 0 and not agrees(0.0, truth)  # around nothing every small slip fits
        if digits and any(agrees(said * factor, truth) for factor in (1e3, 1e-3)):
            return "factor 1000"
        if abs(said) < 0.05 and self._across_an_open():
            return "open reads nothing"
        for slip, reading in self._wrong_readings():
            if reading is not None and agrees(said, reading):
                return slip
        return ""

    def _across_an_open(self) -> bool:
        """Tell whether the leads are on the two sides of one part that passes nothing."""
        ends = {self.circuit.node_of[self.circuit.point(p)] for p in (self.red, self.black)}
        amps = solve(self.circuit).amps
        return self.function == "volts" and any(
            {self.circuit.node_of.get(f"{part.id}:{t}") for t in part.terminals[:2]} == ends
            and amps[part.id] == 0
            for part in self.circuit.parts.values()
        )

    def _wrong_readings(self) -> list[tuple[str, Reading | None]]:
        found: list[tuple[str, Reading | None]] = []
        if self.circuit.faults:
            found.append(("sound when loaded", self._other(self.circuit.without_faults())))
        if self.twin is not None:
            flows = abs(self._amps(self.twin)) > abs(self._amps(self.circuit))
            slip = "drop without current" if flows else "sound when loaded"
            found.append((slip, self._other(self.twin)))
        if self.function == "volts":
            if self.black != NEGATIVE:
                found.append(("bus instead of across", read(self.circuit, self.red, NEGATIVE)))
            elif (far := self._other_end()) is not None:
                found.append(("bus is not the load", read(self.circuit, self.red, far)))
            ideal = measure(self.circuit, self.red, self.black, Linear.resistor(1e15)).volts
            truth = self.reading
            if ideal is not None and not agrees(ideal, truth):
                shown = Reading("volts", self.red, self.black, "", ideal, "V", ideal, ideal)
                found.append(("meter draws nothing", shown))
        return found

    def _other(self, circuit: Circuit) -> Reading:
        return read(circuit, self.red, self.black, self.function)

    def _other_end(self) -> str | None:
        """The far terminal of the load whose near one the red lead is on."""
        here = self.circuit.node_of[self.circuit.point(self.red)]
        for part in self.circuit.parts.values():
            ends = [f"{part.id}:{t}" for t in part.terminals[:2]]
            if part.kind in ("motor", "lamp", "electronics", "heater") and (
                self.circuit.node_of.get(ends[0]) == here
            ):
                return ends[1]
        return None

    def _amps(self, circuit: Circuit) -> float:
        return sum(abs(i) for i in solve(circuit).amps.values() if i is not None)


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
        wrong = [v for v in verdicts if not v.right]
        return Verdict(not wrong, text, next((v.misconception for v in wrong), ""))
