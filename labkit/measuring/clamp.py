"""A clamp for direct current: it shows an offset that wanders, until it is zeroed.

What its iron keeps of the last field and its warmth put amperes on the display that are not there.
Zeroed away from every wire it shows none of them, and begins to wander anew; zeroed round a wire it
takes that wire's current for nothing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from random import Random

from labkit.measuring.meter import COUNTS, FUNCTIONS, Reading, display

WANDERS = 30.0
"""Minutes in which most of what a zeroed clamp may wander is there again. Our choice."""

_LEAST = 0.5  # of what it may wander it is off by at least, once it has had the time; chosen
_FUNCTION = FUNCTIONS["clamp"]
_ALLOWED = _FUNCTION.counts * _FUNCTION.ranges[0] / COUNTS  # what its accuracy allows for [A]

NOT_ZEROED = "the clamp had not been zeroed just before"
ON_CURRENT = "the clamp had been zeroed round a wire with current in it"


@dataclass
class Clamp:
    """A clamp as somebody at a bench has it in hand.

    Parameters
    ----------
    drift : float
        Most that it wanders by. [A]
    seed : str
        The same for the same wandering.
    """

    drift: float = 0.0
    seed: str = ""
    _zeroed_at: float = -math.inf
    _took: float = 0.0
    _dice: Random = field(init=False)
    _way: float = field(init=False)
    _turns: int = field(init=False, default=0)

    def __post_init__(self) -> None:
        self._dice = Random(f"clamp/{self.seed}")
        self._turn()

    @property
    def kept(self) -> tuple[float, float, int]:
        """When it was zeroed last, on how many amperes, and how often it turned."""
        return self._zeroed_at, self._took, self._turns

    def take_up(self, kept: tuple[float, float, int]) -> None:
        """Go on as it was left; see :attr:`kept`."""
        self._zeroed_at, self._took, turns = kept
        while self._turns < turns:
            self._turn()

    def _turn(self) -> None:
        self._turns += 1
        self._way = self._dice.choice((-1.0, 1.0)) * self._dice.uniform(_LEAST, 1.0)

    def zero(self, minutes: float, amps: float = 0.0) -> None:
        """Zero it, round a wire with so much current [A] or round none."""
        self._zeroed_at, self._took = minutes, amps
        self._turn()

    def _wandered(self, minutes: float) -> float:
        """Share of what it may wander by that is there again."""
        return -math.expm1(-(minutes - self._zeroed_at) / WANDERS)

    def seen(self, reading: Reading, minutes: float) -> Reading:
        """Return an ideal clamp's reading as this one shows it.

        Parameters
        ----------
        reading : Reading
            Of function 'clamp'.
        minutes : float
            Since somebody stepped aboard.
        """
        share = self._wandered(minutes)
        offset = self.drift * self._way * share - self._took
        if reading.value is None or not offset:
            return reading
        void = ON_CURRENT if abs(self._took) > _ALLOWED else ""
        void = void or (NOT_ZEROED if self.drift * share > _ALLOWED else "")
        shown = display(_FUNCTION, reading.value + offset)
        wider = self.drift * share + abs(self._took)
        return replace(
            reading, display=shown, low=reading.low - wider, high=reading.high + wider, void=void
        )
