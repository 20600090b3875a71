"""An unseen fault on a boat drawn from its doubts, measured by typing."""

from __future__ import annotations

import random
import secrets

from labkit.circuits.circuit import Circuit
from labkit.diagnosis.cost import Visit, moved
from labkit.diagnosis.evidence import Measurement, outcomes
from labkit.diagnosis.faults import Candidate, candidates, in_use
from labkit.diagnosis.observing import Observer
from labkit.diagnosis.said import parse_seen
from labkit.measuring.meter import FUNCTIONS
from labkit.measuring.senses import sensed
from labkit.ownboat.drawn import drawn_from
from labkit.ownboat.words import fault_words
from labkit.solving.solver import solve
from labkit.text.messages import CircuitError, NoConvergenceError, did_you_mean

_TRIES = 200


class Practice:
    """One hunt.

    Parameters
    ----------
    circuit : Circuit
        As described.
    load : str
        That shows something is wrong; any where ''.
    seed : str
        The same seed deals the same; '' deals anew.

    Attributes
    ----------
    over : bool
    """

    def __init__(self, circuit: Circuit, load: str = "", seed: str = "") -> None:
        self.circuit = circuit
        if load:
            circuit.part(load)
        self._chance = random.Random(seed or secrets.token_hex(8))
        self._boat = drawn_from(circuit, self._chance)
        self._faults, self._shown = self._deal(load)
        self._observe = Observer(self._boat.with_fault(*self._faults.faults))
        self._visit = Visit(circuit)
        self.minutes, self.asked, self.wrong, self.over = 0.0, 0, 0, False

    def _deal(self, load: str) -> tuple[Candidate, dict[str, str]]:
        """A fault as likely as it is, that eye and ear notice in use."""
        listed = [c for c in candidates(self._boat) if c.faults[0].mode not in ("low",)]
        base = self._boat.with_position(**in_use(self._boat)[0])
        healthy = sensed(base, solve(base))
        for _ in range(_TRIES):
            dealt = self._chance.choices(listed, [c.weight for c in listed])[0]
            faulty = base.with_fault(*dealt.faults)
            try:
                shown = sensed(faulty, solve(faulty))
            except NoConvergenceError:
                continue
            differs = {id: text for id, text in shown.items() if healthy.get(id) != text}
            if differs and (not load or load in differs):
                return dealt, differs
        raise CircuitError([f"{load or 'the boat'}: no fault found that shows there; name another"])

    def opening(self) -> str:
        """What the owner says."""
        said = "; ".join(f"{id} {text}" for id, text in self._shown.items())
        return f"With everything on: {said}. Find out why. Nothing is just as the drawing says."

    def shown(self) -> list[str]:
        """What is seen with everything on, as it is written down."""
        on = moved(self.circuit, in_use(self._boat)[0])
        looks = self._shown.items()
        return [str(Measurement("look", id, positions=on).saw(text)) for id, text in looks]

    def do(self, typed: str) -> str:
        """Take a measurement, or hear a name; return what there is to say.

        Raises
        ------
        CircuitError
            If it cannot be read.
        """
        if typed == "give up":
            self.over = True
            return f"It was {self._answer()}."
        if typed.startswith("name "):
            return self._named(typed[5:].strip())
        self.measure(typed)
        return f"{self._last}   ({self.minutes:.0f} min so far)"

    def measure(self, typed: str) -> str:
        """Take a measurement, and return it with what is seen, as it is written down.

        Raises
        ------
        CircuitError
            If it cannot be read.
        """
        asked = parse_seen(self._with_outcome(typed), self.circuit)
        self.minutes += self._visit.go(asked)
        self.asked += 1
        self._last = self._observe(asked)
        return str(asked.saw(str(self._last)))

    def _with_outcome(self, typed: str) -> str:
        """What is typed asks for an outcome; the reader of evidence wants one."""
        words = typed.split()
        function = next((w for w in words if w in FUNCTIONS), "")
        if function:
            return f"{typed} 0 {FUNCTIONS[function].unit}"
        if len(words) > 1 and words[0] in self.circuit.parts:
            act = next((w for w in words if w in ("look", "pull", "fit", "wiggle")), "")
            if act:
                black = words[1] if act == "wiggle" else ""
                right = outcomes(Measurement(act, words[0], black), self.circuit)
                if right:
                    return f"{typed} {right[0]}"
        return typed

    def _named(self, name: str) -> str:
        id, _, mode = name.partition(" ")
        right = self._faults.faults[0]
        part = self.circuit.part(id)
        known = {**{m.word: key for key, m in part.modes.items()}, **{k: k for k in part.modes}}
        if mode and mode not in known:
            raise CircuitError([f"{name}: {id} has no such fault; {did_you_mean(mode, known, 12)}"])
        if id == right.part and (not mode or known[mode] == right.mode):
            self.over = True
            tries = f", after {self.wrong} wrong" if self.wrong else ""
            return (
                f"Right{tries}: {self._answer()}, in {self.asked} readings and "
                f"{self.minutes:.0f} minutes. On a real boat one reading at the part itself comes "
                "before the spanner, and the proof under load after it."
            )
        self.wrong += 1
        self.minutes += 20
        return f"{name} is sound: it was taken apart for nothing, which cost 20 minutes."

    def _answer(self) -> str:
        fault = self._faults.faults[0]
        name = self._faults.name
        return f"{fault_words(name, self.circuit)} ({fault})"
