"""What one check against the outside world is, and how a row of them is summed up."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

_SLACK = 1e-9  # of a limit: binary fractions never meet a decimal limit exactly
_PREFIX = {"": 1.0, "n": 1e-9, "u": 1e-6, "m": 1e-3, "k": 1e3, "M": 1e6}
_PRINTED = re.compile(r"([+-]?[\d.]+(?:e[+-]?\d+)?|[+-]?\d+/\d+)(?: ([numkM]?)(V|A|W|ohm))?")


@dataclass(frozen=True)
class Check:
    """One figure found by labkit against the limits that the outside world sets.

    Parameters
    ----------
    name : str
        What was compared.
    found : float
        By labkit, in SI units.
    low, high : float
        Limits, both included.
    published : float or None
        The published value, where a value and not a limit was published.
    slack : float
        Share of a limit by which it may be passed.
    least : float
        A published value below this counts as this in the relative error.
    """

    name: str
    found: float
    low: float
    high: float
    published: float | None = None
    slack: float = _SLACK
    least: float = 0.0

    @property
    def passed(self) -> bool:
        """Whether the figure found lies within the limits."""
        # An absent limit is infinite, and a share of that would let anything pass.
        slack = [
            self.slack * abs(edge) if math.isfinite(edge) else 0.0 for edge in (self.low, self.high)
        ]
        return self.low - slack[0] <= self.found <= self.high + slack[1]

    @property
    def error(self) -> float | None:
        """Relative distance from the published value, or None where there is none or it is 0."""
        if not self.published:
            return None
        return abs(self.found - self.published) / max(self.least, abs(self.published))

    @property
    def strain(self) -> float:
        """Share of the way from the middle of the limits to one of them: 0 is exact, 1 the limit.

        0 as well where there is only one limit, or both are one value and it was found.
        """
        half, middle = (self.high - self.low) / 2, (self.high + self.low) / 2
        if not math.isfinite(half) or self.found == middle:
            return 0.0
        return abs(self.found - middle) / half if half else math.inf

    def __str__(self) -> str:
        return f"{self.name}: found {self.found:.7g}, right is {self.low:.7g} to {self.high:.7g}"


@dataclass(frozen=True)
class Row:
    """A row of the table: one thing of labkit held against one kind of outside source.

    Parameters
    ----------
    what : str
        What of labkit is checked.
    against : str
        The source.
    known : str
        How the source is known.
    checks : callable
        Runs labkit and returns the checks.
    count : callable, optional
        How many they are, where running them takes minutes.
    """

    what: str
    against: str
    known: str
    checks: Callable[[], list[Check]]
    count: Callable[[], int] | None = None


def near(name: str, found: float, published: float, tolerance: float) -> Check:
    """Check a figure against a published value, with a tolerance in the same unit."""
    return Check(name, found, published - tolerance, published + tolerance, published)


def printed(text: str) -> tuple[float, float]:
    """Read a printed value such as "2.00e2 W", "0.4 mA" or "8/15 A".

    Returns
    -------
    tuple of float
        The value in SI units and half a unit of its last printed digit; a fraction is exact, so
        its tolerance is one part in a million.
    """
    match = _PRINTED.fullmatch(text.strip())
    if match is None:
        raise ValueError(f'"{text}" is no printed value; write one such as "2.00e2 W"')
    number, prefix, _ = match.groups()
    factor = _PREFIX[prefix or ""]
    if "/" in number:
        exact = float(Fraction(number)) * factor
        return exact, abs(exact) * 1e-6
    value = Decimal(number)
    half_a_digit = float(Decimal(5).scaleb(int(value.as_tuple().exponent) - 1))
    return float(value) * factor, half_a_digit * factor


def failures(checks: Iterable[Check]) -> list[str]:
    """Those checks that failed, as sentences."""
    return [str(check) for check in checks if not check.passed]
