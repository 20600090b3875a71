"""Quantities nobody knows exactly: "?", "1.5..2.5 mm2", "6 m +- 20 %", "about 6 m".

A doubt is a middle, which everything that wants one number takes, and limits, which the reasoning
about an owner's boat takes.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass

from labkit.text.quantities import FRACTION, QuantityError, shorten

UNKNOWN = "?"
"""Written for what nobody knows: what the trade uses there is taken."""

ABOUT = 0.20
"""What 'about' allows to either side, as a share. Common practice, no source."""

TRUSTED = 1.15
"""Limits that a person gives to either side are so many standard deviations away: the truth is
inside in three cases of four. Common practice, no source."""

EVEN = math.sqrt(3.0)
"""Half the width of an interval, every value in it as likely, in standard deviations."""

_RANGE = re.compile(r"\s*(?P<low>[^.].*?|\.\d.*?)\s*\.\.\s*(?P<high>.+?)\s*")
_ROOM = re.compile(r"\s*(?P<middle>.+?)\s*(?:\+-|\+/-|±)\s*(?P<room>.+?)\s*")
_ABOUT = re.compile(r"\s*(?:about|approx\.?|ca\.?|~)\s*(?P<middle>.+?)\s*", re.IGNORECASE)
_UNIT = re.compile(r"[\d.+\-eE/]*\s*(?P<unit>[^\d.\s].*)")


@dataclass(frozen=True)
class Doubt:
    """How well a quantity is known.

    Attributes
    ----------
    text : str
        As written.
    taken : str
        The exact quantity taken in its place; '' where the part's usual one is.
    low, middle, high : float
        In SI units; nan where the part's usual value is taken.
    steps : float
        How many standard deviations lie between the middle and a limit.
    """

    text: str
    taken: str
    low: float = math.nan
    middle: float = math.nan
    high: float = math.nan
    steps: float = EVEN

    @property
    def known(self) -> bool:
        """Whether there are limits at all."""
        return self.low <= self.high

    @property
    def spread(self) -> float:
        """One standard deviation, in SI units."""
        return (self.high - self.low) / 2 / self.steps

    @property
    def share(self) -> float:
        """One standard deviation of the natural logarithm."""
        low = max(self.low, 1e-3 * self.high, 1e-12)
        return math.log(max(self.high, low) / low) / 2 / self.steps


def doubtful(text: object) -> bool:
    """Tell whether a text is a doubt and no exact quantity."""
    if not isinstance(text, str) or len(text) > 60:
        return False
    return text.strip() == UNKNOWN or any(
        pattern.fullmatch(text) for pattern in (_RANGE, _ROOM, _ABOUT)
    )


def read_doubt(
    text: str, parse: Callable[[str], float], middle: Callable[[str, str], str] | None = None
) -> Doubt:
    """Read a doubt.

    Parameters
    ----------
    text : str
        For which :func:`doubtful` holds, but not "?".
    parse : callable
        Reads an exact quantity of the kind that is right there.
    middle : callable, optional
        What is taken between two limits as they are written; half way where not given.

    Raises
    ------
    QuantityError
        If a piece of it is no such quantity, or it is no doubt at all.
    """
    if match := _RANGE.fullmatch(text):
        high = match["high"]
        first = _with_unit(match["low"], high)
        taken = middle(first, high) if middle else _half_way(first, high, parse)
        ends = sorted((parse(first), parse(high)))
        return _made(text, taken, ends[0], parse(taken), ends[1], EVEN)
    if match := _ROOM.fullmatch(text):
        taken = match["middle"]
        value = parse(taken)
        room = match["room"]
        share = FRACTION.parse(room) if "%" in room else None
        if share is not None and share >= 1:
            raise QuantityError(
                f'found "{shorten(text)}", which allows nothing at all to be there; '
                'write less than 100 %, or "?"'
            )
        half = parse(room) if share is None else abs(value) * share
    elif match := _ABOUT.fullmatch(text):
        taken = match["middle"]
        value = parse(taken)
        half = abs(value) * ABOUT
    else:
        raise QuantityError(f'found "{shorten(text)}", which gives no span; write such as "4..6 m"')
    low = value - half
    return _made(text, taken, max(low, 0.0) if value > 0 else low, value, value + half, TRUSTED)


def _made(text: str, taken: str, low: float, value: float, high: float, steps: float) -> Doubt:
    return Doubt(text.strip(), " ".join(taken.split()), low, value, high, steps)


def _with_unit(low: str, high: str) -> str:
    """The lower limit, with the unit of the upper one where it has none of its own."""
    unit = _UNIT.fullmatch(high)
    bare = re.fullmatch(r"[\d.+\-eE/]+", low)
    return f"{low} {unit['unit']}" if bare and unit else low


def _half_way(low: str, high: str, parse: Callable[[str], float]) -> str:
    """Half way between two limits, in the unit of the upper one."""
    top = parse(high)
    number = re.match(r"\s*[\d.]+(?:[eE][+-]?\d+)?", high)
    if number is None or not top:
        return high
    share = (parse(low) + top) / 2 / top
    return f"{float(number.group()) * share:.4g} {high[number.end() :].strip()}"
