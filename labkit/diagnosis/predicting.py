"""What meter, eye and test lamp would show under one set of faults, on plain floats.

As :mod:`labkit.diagnosis.probe` and :mod:`.sight` have it for many sets at once.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import accumulate, pairwise

from labkit.aboard.load_testing import load_test
from labkit.aboard.setting import test_lamp
from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.diagnosis.evidence import Measurement, outcomes
from labkit.diagnosis.observing import would_show
from labkit.diagnosis.odds import EYE, IN_HAND, MISTAKE
from labkit.diagnosis.sources import FaultSet, shifted
from labkit.diagnosis.spread import OUTSIDE, Spread, spread_for
from labkit.measuring.meter import COUNTS, DIODE_MOST, FUNCTIONS, Function
from labkit.measuring.senses import CHATTERS, now_of, words_of
from labkit.parts import Battery
from labkit.parts.traits import LAMP_WORDS, LIGHT_EXPONENT
from labkit.parts.traits import Scale as Words
from labkit.solving.solver import measure, solve
from labkit.text.messages import NoConvergenceError


class Predictor:
    """Predicts for one circuit as found, and keeps what it has worked out.

    Parameters
    ----------
    circuit : Circuit
        Its own faults are left out of account.
    """

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit.without_faults()
        self.spread = spread_for(circuit)
        self._shifts = shifted(self.circuit)
        self._opened: dict[object, tuple[str, ...]] = {}

    def scale(self, function: str) -> PlainScale:
        """Return the scale on which readings of a function scatter by 1."""
        return plain_scale(function, self.spread)

    def words(self, measurement: Measurement) -> tuple[str, ...]:
        """What may be seen without a meter."""
        return outcomes(measurement, self.circuit)

    def ends(self, faults: FaultSet, item: Measurement) -> tuple[float, float]:
        """Between what a reading lies, sources a little off included. [sigma]"""
        on = self.scale(item.function)
        u = on.u(self._sensed(self.circuit, faults, item))
        total = 0.0
        for shift in self._shifts:
            other = on.u(self._sensed(shift, faults, item))
            total += (other - u) ** 2 if abs(u) <= on.end and abs(other) <= on.end else 0.0
        room = max(2 * (math.sqrt(total) - 1), 0.0)
        return u - room, u + room

    def chances(self, faults: FaultSet, item: Measurement) -> list[float]:
        """Chance of each word seen."""
        quick: dict[str, Callable[[FaultSet, Measurement], list[float]]] = {
            "look": self._looked,
            "test lamp": self._lit,
            "wiggle": self._wiggled,
            "fit": self._fitted,
            "pull": self._pulled,
            "load test": self._load_tested,
        }
        return quick.get(item.function, self._performed)(faults, item)

    def opened(self, faults: FaultSet, item: Measurement) -> tuple[str, ...]:
        """Fuses aboard that are open in the state of a measurement."""
        key = faults, item.state
        if key not in self._opened:
            try:
                point = solve(self._brought(self.circuit, faults, item))
                self._opened[key] = tuple(id for id in point.opened if id in self.circuit.parts)
            except NoConvergenceError:
                self._opened[key] = ()
        return self._opened[key]

    def fitted(self, faults: FaultSet, id: str) -> FaultSet:
        """Return faults as they are after a sound fuse has been fitted."""
        inside = self.circuit.part(id).inside
        return tuple(f for f in faults if f.part != id or f.mode not in inside)

    # -- with the meter -----------------------------------------------------------------------

    @staticmethod
    def _brought(circuit: Circuit, faults: FaultSet, item: Measurement) -> Circuit:
        return item.setting.applied(circuit).but(faults=faults)

    def sensed(self, faults: FaultSet, item: Measurement) -> float:
        """What the meter senses."""
        return self._sensed(self.circuit, faults, item)

    def _sensed(self, circuit: Circuit, faults: FaultSet, item: Measurement) -> float:
        """What the meter senses: infinite over range, nan where it will not settle."""
        function, brought = FUNCTIONS[item.function], self._brought(circuit, faults, item)
        try:
            shown = function.read(brought, item.red, item.black or NEGATIVE, function)
        except NoConvergenceError:
            return math.nan
        if shown.value is not None:
            return shown.value
        return math.nan if shown.display == "unsteady" else math.copysign(math.inf, shown.high)

    # -- without ------------------------------------------------------------------------------

    def _looked(self, faults: FaultSet, item: Measurement) -> list[float]:
        return self._does(self._brought(self.circuit, faults, item), item.red)

    def _does(self, circuit: Circuit, id: str) -> list[float]:
        """Chance of each word for what a load does."""
        part, point = circuit.part(id), solve(circuit)
        words = words_of(part)
        if CHATTERS in words and id in point.chattering:
            return with_mistakes([float(word == CHATTERS) for word in words])
        which, size = part.sign(now_of(part, point, circuit.system))
        scale = part.signs[int(which)]
        found = dict.fromkeys(words, 0.0)
        for look, chance in zip(scale, graded(float(size), scale), strict=True):
            found[look.says] += chance
        return with_mistakes([*found.values()])

    def _lit(self, faults: FaultSet, item: Measurement) -> list[float]:
        circuit = self._brought(self.circuit, faults, item)
        volts = measure(circuit, item.red, item.black, test_lamp(self.circuit)).volts
        if volts is None:
            return with_mistakes([*(0.0 for _ in LAMP_WORDS), 1.0])
        light = (abs(volts) / self.circuit.system) ** LIGHT_EXPONENT
        return with_mistakes([*graded(light, LAMP_WORDS), 0.0])

    def _wiggled(self, faults: FaultSet, item: Measurement) -> list[float]:
        """Chances while a part is shaken: what the load then does, or 'does not change' last."""
        if not any(f.mode == "intermittent" and f.part == item.red for f in faults):
            return with_mistakes([*(0.0 for _ in self.words(item)[:-1]), 1.0])
        circuit = self._brought(self.circuit, faults, item)
        still = self._does(circuit, item.black)
        moved = self._does(circuit.with_disturbed(item.red), item.black)
        same = sum(a * b for a, b in zip(still, moved, strict=True))
        changed = [*(chance * (1 - same) for chance in moved), same]
        return with_mistakes([chance / sum(changed) for chance in changed])

    def _fitted(self, faults: FaultSet, item: Measurement) -> list[float]:
        again = float(item.red in self.opened(self.fitted(faults, item.red), item))
        return with_mistakes([1 - again, again])

    def _pulled(self, faults: FaultSet, item: Measurement) -> list[float]:
        modes = {f.mode for f in faults if f.part == item.red}
        looks = self.circuit.part(item.red).looks(modes)
        return with_mistakes([float(word == looks) for word in self.words(item)], IN_HAND)

    def _load_tested(self, faults: FaultSet, item: Measurement) -> list[float]:
        battery = self.circuit.part(item.red)
        assert isinstance(battery, Battery)
        own = tuple(f for f in faults if f.part == battery.id)
        word = load_test(battery, own, self.circuit.system).word
        return with_mistakes([float(one == word) for one in self.words(item)])

    def _performed(self, faults: FaultSet, item: Measurement) -> list[float]:
        """Chances by doing the act itself."""
        state = replace(item, positions={}, parted=frozenset(), jumper=(), lamp=())
        word = would_show(self._brought(self.circuit, faults, item), state)[0]
        return with_mistakes([float(one == word) for one in self.words(item)])


def graded(value: float, words: Words) -> list[float]:
    """Chance of each word for a speed or light, as a fraction of rated."""
    size = math.log(max(value, 1e-6))
    under = [below((math.log(look.upto) - size) / EYE) for look in words[:-1]]
    return [b - a for a, b in pairwise((0.0, *under, 1.0))]


def with_mistakes(chances: Sequence[float], mistake: float = MISTAKE) -> list[float]:
    """Leave every outcome a small chance."""
    return [(1 - mistake) * chance + mistake / len(chances) for chance in chances]


def below(x: float) -> float:
    """Chance that a standard normal number is below x."""
    return 0.5 * math.erfc(-x / math.sqrt(2))


class PlainScale:
    """The scale of one function of the meter, as :class:`labkit.diagnosis.scale.Scale` is.

    Parameters
    ----------
    name : str
        A key of labkit.measuring.meter.FUNCTIONS.
    spread : Spread
    """

    def __init__(self, name: str, spread: Spread) -> None:
        function = FUNCTIONS[name]
        self._most = DIODE_MOST if name == "diode" else function.ranges[-1]
        last = math.asinh(self._most / 1e-4)
        self._r = [1e-4 * math.sinh(n * last / (STEPS - 1)) for n in range(STEPS)]
        widths = ((b - a) / _sigma((a + b) / 2, function, spread) for a, b in pairwise(self._r))
        self._u = [0.0, *accumulate(widths)]
        self.end = self._u[-1]

    def u(self, reading: float) -> float:
        """Turn a reading into the scale; infinite is over range, nan unsteady. [sigma]"""
        if math.isnan(reading):
            return self.end + 2 * OUTSIDE
        size = abs(reading)
        if size > self._most * (1 + 1e-9):
            return math.copysign(self.end + OUTSIDE, reading)
        n = min(bisect_right(self._r, size), STEPS - 1)
        share = min((size - self._r[n - 1]) / (self._r[n] - self._r[n - 1]), 1.0)
        return math.copysign(self._u[n - 1] + share * (self._u[n] - self._u[n - 1]), reading)


STEPS = 6000
"""Of the scale's table, as there."""


def _sigma(size: float, function: Function, spread: Spread) -> float:
    """Standard deviation of meter and boat together at a reading."""
    fits = (f for f in function.ranges if size < f * (1 - 0.5 / COUNTS))
    full = next(fits, function.ranges[-1])
    meter = (function.percent / 100 * size + function.counts * full / COUNTS) / 2
    return math.hypot(meter, spread.at(size, function.unit))


@lru_cache(maxsize=16)
def plain_scale(name: str, spread: Spread) -> PlainScale:
    """Return the scale of a function of the meter."""
    return PlainScale(name, spread)
