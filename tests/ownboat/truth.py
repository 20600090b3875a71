"""Real boats: what an owner's file describes, and what is really there; all invented.

As real boats differ from their drawings: a battery of 12.2 to 12.8 V, wires a fifth longer or
shorter, joints of 0.5 to 5 mohm, switches of 1 to 10 mohm, motors 15 % off, a meter 1.5 % off that
scatters by 0.3 %. Common practice, no source.
"""

import math
import random
from dataclasses import replace
from types import MappingProxyType

from labkit.circuits.circuit import Circuit
from labkit.diagnosis.evidence import Evidence, Measurement
from labkit.diagnosis.faults import Candidate
from labkit.diagnosis.observing import Observer
from labkit.measuring.meter import FUNCTIONS

GAIN, SCATTER = 0.015, 0.003


def real(drawn: Circuit, seed: int) -> Circuit:
    """A boat that the drawing describes, as far as its owner knows."""
    chance = random.Random(seed)
    changed = {}
    for id, part in drawn.parts.items():
        keys = {}
        if part.kind == "battery":
            volts = chance.uniform(12.2, 12.8) * drawn.system / 12
            keys = {"emf": volts, "charge": None, "resistance": part.own_resistance}
            keys["resistance"] *= math.exp(chance.gauss(0, 0.3))
        elif part.kind == "cable" and part.length is not None:
            keys = {"length": part.length * chance.uniform(0.8, 1.2)}
        elif part.kind == "joint":
            keys = {"resistance": math.exp(chance.uniform(math.log(5e-4), math.log(5e-3)))}
        elif part.kind in ("switch", "float", "connector"):
            keys = {"resistance": math.exp(chance.uniform(math.log(1e-3), math.log(1e-2)))}
        elif part.kind == "motor":
            keys = {"current": part.current * chance.uniform(0.85, 1.15)} if part.current else {}
        changed[id] = part.model_copy(update=keys)
    return replace(drawn, parts=MappingProxyType(changed))


class Owner:
    """Somebody aboard with a meter of their own.

    Attributes
    ----------
    slip_at : int
        Which of the readings taken is wrong; 0 for none.
    """

    def __init__(self, boat: Circuit, seed: int, slip_at: int = 0) -> None:
        self.chance = random.Random(seed)
        self.observe = Observer(boat)
        self.gain = 1 + self.chance.uniform(-GAIN, GAIN)
        self.slip_at, self.read = slip_at, 0

    def __call__(self, m: Measurement) -> Evidence:
        """What the owner writes down."""
        shown = self.observe(m)
        if m.function not in FUNCTIONS or shown in ("OL", "-OL", "unsteady"):
            return m.saw(shown)
        self.read += 1
        value = m.saw(shown).value * self.gain * (1 + self.chance.gauss(0, SCATTER))
        unit = FUNCTIONS[m.function].unit
        if m.function in ("ohms", "continuity"):
            value += abs(self.chance.gauss(0, 0.08))
        if self.read == self.slip_at:
            value = self.chance.choice([value * 10, value / 10, 0.0, 12.4])
        return m.saw(written(value, unit))


def written(value: float, unit: str) -> str:
    """A reading as a 6000 count meter shows it."""
    for full, scale, name in ((0.6, 1e3, "m"), (6.0, 1.0, ""), (60.0, 1.0, ""), (600.0, 1.0, ""),
                              (6e3, 1e-3, "k"), (6e4, 1e-3, "k"), (6e5, 1e-3, "k"),
                              (6e7, 1e-6, "M")):  # fmt: skip  # rows that a reader compares
        if abs(value) < full:
            if unit == "ohm" and full < 600:
                full, scale, name = 600.0, 1.0, ""
            digits = max(0, 3 - math.floor(math.log10(max(full * scale, 1)) + 1e-9))
            return f"{value * scale:.{digits}f} {name}{unit}"
    return "OL"


def deal(listed: list[Candidate], chance: random.Random) -> Candidate:
    """A fault as likely as it is, of a severity anywhere in its span."""
    dealt = chance.choices(listed, [c.weight for c in listed])[0]
    return replace(dealt, faults=dealt.at(chance.random()))
