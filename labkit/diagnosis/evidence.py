"""What was done aboard and what was seen: a measurement, and a measurement with its outcome."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from labkit.aboard.acts import ACTS
from labkit.aboard.setting import Setting
from labkit.circuits.circuit import Circuit
from labkit.measuring.meter import FUNCTIONS
from labkit.text.quantities import CURRENT, RESISTANCE, VOLTAGE, QuantityError

NO_NUMBER = ("OL", "-OL", "unsteady")
"""What a meter may show instead of a number."""

_KINDS = {"V": VOLTAGE, "A": CURRENT, "ohm": RESISTANCE}


def senses() -> list[str]:
    """Names of the acts that ask without a meter: their outcome is a word."""
    return [act.name for act in ACTS.values() if act.sense]


@dataclass(frozen=True)
class Measurement:
    """Something that can be done to learn more.

    Attributes
    ----------
    function : str
        Of the meter ('volts', 'ohms', ...), or 'look' (at a load, in `red`), 'wiggle' (the part in
        `red` while watching the load in `black`), 'test lamp' (between `red` and `black`), 'pull'
        (the fuse in `red`, and look at it), 'fit' (a sound one in its place, a breaker set again).
    red, black : str
        Terminals or named nodes; parts for the senses.
    positions : mapping of str to str
        Of switches, where they are not as the circuit has them.
    parted : frozenset of str
        Terminals taken apart, beside those the circuit has apart.
    jumper : tuple of str
        Two points bridged by the jumper, or nothing.
    lamp : tuple of str
        Two points that the test lamp is left between, or nothing.
    """

    function: str
    red: str
    black: str = ""
    positions: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    parted: frozenset[str] = frozenset()
    jumper: tuple[str, ...] = ()
    lamp: tuple[str, ...] = ()

    @property
    def state(self) -> tuple[object, ...]:
        """What the circuit must be brought into, as a key."""
        return tuple(sorted(self.positions.items())), self.parted, self.jumper, self.lamp

    @property
    def setting(self) -> Setting:
        """The same for whoever brings it there."""
        bridges = {"jumper": self.jumper, "test lamp": self.lamp}
        put = {id: ends for id, ends in bridges.items() if ends}
        return Setting(self.positions, self.parted, bridges=put)

    def __str__(self) -> str:
        extra = [f"{id}={word}" for id, word in self.positions.items()]
        extra += [f"{t}=parted" for t in sorted(self.parted)]
        extra += [
            f"{n}={'/'.join(b)}" for n, b in (("jumper", self.jumper), ("lamp", self.lamp)) if b
        ]
        return " ".join(w for w in (self.red, self.black, self.function, *extra) if w)

    def saw(self, seen: str) -> Evidence:
        """Return this measurement with its outcome."""
        return Evidence(
            self.function,
            self.red,
            self.black,
            self.positions,
            self.parted,
            self.jumper,
            self.lamp,
            seen,
        )


@dataclass(frozen=True)
class Evidence(Measurement):
    """A measurement and what it showed: a display such as '12.63 V', or a word."""

    seen: str = ""

    def __str__(self) -> str:
        head = replace(self, positions={}, parted=frozenset(), jumper=(), lamp=())
        rest = super().__str__()[len(Measurement.__str__(head)) :]
        return f"{Measurement.__str__(head)} {self.seen}{rest}"

    @property
    def value(self) -> float:
        """The number shown, in SI units; infinite over range, nan unsteady."""
        if self.seen in NO_NUMBER:
            return {"OL": float("inf"), "-OL": float("-inf")}.get(self.seen, float("nan"))
        return _number(self.seen, FUNCTIONS[self.function].unit)[0]

    @property
    def rounding(self) -> float:
        """Half a unit of the last digit given, in SI units."""
        if self.seen in NO_NUMBER:
            return 0.0
        return _number(self.seen, FUNCTIONS[self.function].unit)[1]


def _number(text: str, unit: str) -> tuple[float, float]:
    match = re.fullmatch(r"\s*([+-]?)(\d*\.?\d+)\s*(.*\S)\s*", text)
    if match is None:
        raise QuantityError(f'found "{text}"; write a number with its unit, such as "12.6 V"')
    sign, digits, written = match.groups()
    value = _KINDS[unit].parse(f"{digits} {written}")
    decimals = len(digits.partition(".")[2])
    one = _KINDS[unit].parse(f"1 {written}")
    return (-value if sign == "-" else value), 0.5 * 10.0**-decimals * one


def outcomes(measurement: Measurement, circuit: Circuit) -> tuple[str, ...]:
    """What may be seen without a meter, as words; () where there is nothing to see."""
    sense = ACTS[measurement.function].sense
    return sense.words(circuit, measurement.red, measurement.black) if sense else ()
