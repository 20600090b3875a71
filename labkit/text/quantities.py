"""Quantities as the shop writes them: '0.8 ohm', '18 ft', '85 %' to SI floats and back.

Every quantity in a file is a string with its unit. A :class:`Kind` says which units are right for
a key and turns the string into a float in SI units (fractions for per cent, degrees Celsius for
temperatures, since every table in the trade uses them).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from quantiphy import QuantiPhyError, Quantity

_NUMBER = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(\S.*?)?\s*")
_MOST = 1e12  # in SI units; beyond it, and below its inverse, formulas overflow
_LONGEST = 60  # letters; longer ones take the pattern minutes, and are no quantity


class QuantityError(ValueError):
    """A quantity that cannot be read; the message says what was found and what would be right."""


@dataclass(frozen=True, eq=False)
class Kind:
    """A kind of quantity: the units it is written in and an example of a right one.

    Parameters
    ----------
    name : str
        What it is called in a sentence, with its article ('a resistance').
    units : dict[str, float]
        Accepted unit to the factor that turns it into the SI unit.
    scaled : tuple[str, ...]
        Those units that may carry a metric prefix.
    example : str
        A right way to write one.
    minimum : float
        The least value that makes sense.
    smallest : float
        What is nearer to zero, and not zero, is no such quantity aboard. In SI units.
    """

    name: str
    units: dict[str, float]
    example: str
    scaled: tuple[str, ...] = ()
    minimum: float = 0.0
    smallest: float = 1.0 / _MOST

    def parse(self, text: object) -> float:
        """Read a quantity.

        Parameters
        ----------
        text : str
            Such as "8 mohm".

        Returns
        -------
        float
            In SI units.

        Raises
        ------
        QuantityError
            If it is not a string, has no unit, an unknown unit, a unit of the wrong kind or a
            value below the least that makes sense.
        """
        if isinstance(text, bool) or not isinstance(text, str):
            hint = (
                f'"{text} {next(iter(self.units))}"'
                if _is_number(text) and len(str(text)) < 9
                else f'"{self.example}"'
            )
            if isinstance(text, bool):
                raise QuantityError(f"found {str(text).lower()}; write {self.name}, such as {hint}")
            raise QuantityError(
                f"found {shorten(repr(text))} without a unit; write it with one, such as {hint}"
            )
        match = _NUMBER.fullmatch(text) if len(text) <= _LONGEST else None
        if match is None:
            raise QuantityError(
                f'found "{shorten(text)}"; write {self.name}, such as "{self.example}"'
            )
        number, unit = match.group(1), match.group(2)
        if unit is None:
            first = next(iter(self.units))
            raise QuantityError(
                f'found "{shorten(text)}" without a unit; write it with one, such as '
                f'"{number} {first}"'
            )
        value = self._si(number, unit, text)
        if not (value == 0.0 or self.smallest <= abs(value) < _MOST):
            raise QuantityError(
                f'found "{shorten(text)}", which is beyond any {self.name.split()[-1]} aboard; '
                f'write one such as "{self.example}"'
            )
        if value < self.minimum:
            raise QuantityError(
                f'found "{shorten(text)}"; {self.name} is at least {self.minimum:g}, '
                f'such as "{self.example}"'
            )
        return value

    def allows(self, value: float) -> bool:
        """Tell whether there is such a quantity aboard. In SI units."""
        return value >= self.minimum and (value == 0.0 or self.smallest <= abs(value) < _MOST)

    def _si(self, number: str, unit: str, text: str) -> float:
        if unit in self.units:  # before prefixes: the f of ft is not femto
            return float(number) * self.units[unit]
        try:
            scaled = Quantity(f"{number} {unit}")
        except QuantiPhyError:
            scaled = None
        if scaled is not None and scaled.units in self.scaled:
            return float(scaled)
        found = (
            "is the unit of another kind of quantity"
            if _known(unit)
            else "is not a unit known here"
        )
        raise QuantityError(
            f'found "{shorten(text)}", but "{shorten(unit)}" {found}; '
            f'write {self.name}, such as "{self.example}"'
        )


VOLTAGE = Kind("a voltage", {"V": 1.0, "volt": 1.0, "volts": 1.0}, "12.7 V", ("V",))
CURRENT = Kind("a current", {"A": 1.0, "amp": 1.0, "amps": 1.0}, "7 A", ("A",))
SATURATION = Kind(
    "a saturation current", CURRENT.units, "1e-12 A", ("A",),
    smallest=1e-24,  # of light-emitting diodes it is 1e-18 A or less
)  # fmt: skip  # rows that a reader compares
RESISTANCE = Kind(
    "a resistance", {"ohm": 1.0, "Ω": 1.0, "ohms": 1.0}, "0.4 ohm", ("ohm", "Ω", "ohms")
)
POWER = Kind("a power", {"W": 1.0}, "25 W", ("W",))
CHARGE = Kind("a capacity", {"Ah": 3600.0}, "80 Ah", ("Ah",))
LENGTH = Kind(
    "a length",
    {"m": 1.0, "ft": 0.3048, "cm": 0.01, "mm": 0.001, "in": 0.0254, "km": 1000.0},
    "5.5 m",
)
TIME = Kind(
    "a time", {"min": 60.0, "s": 1.0, "h": 3600.0, "d": 86400.0, "week": 604800.0}, "10 min", ("s",)
)
FRACTION = Kind("a percentage", {"%": 0.01}, "85 %")
TEMPERATURE = Kind("a temperature", {"C": 1.0, "°C": 1.0, "degC": 1.0}, "20 C", minimum=-273.15)
VOLUME = Kind("a volume", {"l": 1e-3, "litres": 1e-3, "m3": 1.0, "gal": 3.785411784e-3}, "12 l")
FLOW = Kind(
    "a flow",
    {
        "l/min": 1e-3 / 60, "l/h": 1e-3 / 3600, "l/s": 1e-3, "l/d": 1e-3 / 86400,
        "gal/min": 3.785411784e-3 / 60, "gal/h": 3.785411784e-3 / 3600,
    },
    "1.5 l/min",
)  # fmt: skip  # rows that a reader compares
_ALL = (
    VOLTAGE, CURRENT, RESISTANCE, POWER, CHARGE, LENGTH, TIME, FRACTION, TEMPERATURE, VOLUME, FLOW,
)  # fmt: skip  # rows that a reader compares


def _known(unit: str) -> bool:
    if unit in ("AWG", "mm2", "mm²"):
        return True
    if any(unit in kind.units for kind in _ALL):
        return True
    try:
        base = Quantity(f"1 {unit}").units
    except QuantiPhyError:
        return False
    return any(base in kind.scaled for kind in _ALL)


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def shorten(text: str) -> str:
    """Cut what was found where it is long, to stand inside a sentence."""
    return text if len(text) <= 40 else text[:37] + "..."


def show(value: float, unit: str, digits: int = 4) -> str:
    """Write a value for a person, with a metric prefix where it helps.

    Parameters
    ----------
    value : float
        In SI units.
    unit : str
        Such as "V" or "ohm".
    digits : int
        Significant digits kept.

    Returns
    -------
    str
        Such as "12.6 V" or "8 mohm".
    """
    if unit in ("%", "C", "min", "AWG"):
        return f"{value:.{digits}g} {unit}"
    return _shown(f"{value:.{digits}g}", unit)


@lru_cache(maxsize=4096)  # a drawing writes the same ratings after every click
def _shown(digits: str, unit: str) -> str:
    try:
        return Quantity(float(digits), unit).render(prec="full", strip_zeros=True, spacer=" ")
    except QuantiPhyError:  # not a number
        return f"{digits} {unit}"
