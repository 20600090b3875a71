"""Questions graded by computing the circuit, and the misconception behind a wrong answer.

Every question has `ask` (what the learner is asked) and `grade(answer)`, which returns a
:class:`Verdict`. A misconception is named only where the answer is what that misconception would
predict on this very circuit.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from labkit.circuit import NEGATIVE, Circuit
from labkit.exercise import Dealt
from labkit.laws import Linear
from labkit.meter import Reading, read
from labkit.quantities import CURRENT, RESISTANCE, VOLTAGE, Kind, QuantityError, show
from labkit.solver import measure, solve

_KINDS: Mapping[str, tuple[Kind, float, float]] = {
    "V": (VOLTAGE, 0.03, 0.05),
    "A": (CURRENT, 0.05, 0.05),
    "ohm": (RESISTANCE, 0.05, 0.5),
}
"""Unit to its kind, and what a boat does not promise: a share of the reading, and so much more.

Published tables of a battery's rest voltage differ by 0.1 V, wires by a few per cent; a prediction
in the head need not be nearer than the boat.
"""

OVER_RANGE = ("ol", "over range", "open")


@dataclass(frozen=True)
class Verdict:
    """How an answer was graded.

    Attributes
    ----------
    right : bool or None
        None where the answer could not be read as one.
    text : str
        What was said, what the circuit does, why.
    misconception : str
        Key of MISCONCEPTIONS, or ''.
    """

    right: bool | None
    text: str
    misconception: str = ""

    def __repr__(self) -> str:
        mark = {True: "Right", False: "Not yet", None: "?"}[self.right]
        return f"{mark}: {self.text}"


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
        kind, _, _ = _KINDS[truth.unit]
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
        if any(agrees(said * factor, truth) for factor in (1e3, 1e-3)) and said != 0:
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


def agrees(said: float, truth: Reading) -> bool:
    """Tell whether a value lies within a reading's interval and what a boat does not promise."""
    if truth.value is None:
        return False
    _, share, least = _KINDS[truth.unit]
    slack = share * abs(truth.value) + least
    return truth.low - slack <= said <= truth.high + slack


@dataclass(frozen=True)
class Choose:
    """One of several answers, each with its reason.

    Parameters
    ----------
    ask : str
    answers : mapping of str to str
        Answer to why it is right or wrong.
    right : str
        The right one.
    """

    ask: str
    answers: Mapping[str, str]
    right: str

    def __post_init__(self) -> None:
        if self.right not in self.answers:
            raise ValueError(f"'{self.right}' is none of the answers to '{self.ask}'")

    def grade(self, answer: str) -> Verdict:
        """Grade one of the answers."""
        if answer not in self.answers:
            return Verdict(None, f"'{answer}' is none of the answers.")
        return Verdict(answer == self.right, self.answers[answer])


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
class Order:
    """Put steps in order; steps of one group may be taken in any.

    Parameters
    ----------
    ask : str
    groups : sequence of sequence of str
        The steps, first groups first.
    """

    ask: str
    groups: Sequence[Sequence[str]]

    @property
    def steps(self) -> list[str]:
        """All steps, in alphabetical order so that they give nothing away."""
        return sorted(step for group in self.groups for step in group)

    def grade(self, answer: Sequence[str]) -> Verdict:
        """Grade a list of all steps."""
        place = {step: n for n, group in enumerate(self.groups) for step in group}
        if sorted(answer) != self.steps:
            return Verdict(None, "Use every step once.")
        for one, other in pairwise(answer):
            if place[one] > place[other]:
                return Verdict(False, f"'{other}' comes before '{one}'.")
        return Verdict(True, "In this order nothing is live, or lost, that should not be.")


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
            "comes and goes": "intermittent",
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
