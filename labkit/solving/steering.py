"""Regulators that look at a voltage elsewhere, and converters that take in what they give out.

Such a law has a number of its own (:class:`labkit.parts.charging_laws.Steered`) that follows from
another branch of its part. Given these numbers the network is one of two-ended branches, which has
one solution; what the numbers are, less what they ought to be in it, is brought to nothing. A
higher EMF raises every voltage and a higher voltage asks for less, so that this grows with
each number, and one alone is found between two bounds; several are found one after the other and
then, close by, all at once by Newton's method with slopes by differences.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import reduce
from typing import Any, Generic, Protocol, TypeVar

from labkit.parts.charging_laws import Steered
from labkit.parts.laws import Value
from labkit.solving.network import Network


class _Found(Protocol):
    """A solution, of one network or of many."""

    volts: list[Value]
    inner: dict[int, Value]


F = TypeVar("F", bound=_Found)

_CLOSE = 1e-10  # of what lies between its bounds, that a number may be wrong by
_STEP = 1e-5  # of the same, by which slopes are taken
_MOST_STEPS, _HALVINGS = 60, 6
_ROUNDS, _TOGETHER = 12, 8  # of one number after the other, and then of all at once

Pairs = Sequence[tuple[int, int]]
"""Numbers of branches that are steered, each with that of the branch it goes by."""

Ends = Sequence[tuple[Value, Value]]
"""Least and largest of each number."""


@dataclass(frozen=True)
class Steering(Generic[F]):
    """What there is to steer in a network, and how it is solved once the numbers are given.

    `solve` is told the network, the voltages to begin from, what was found before (None at first)
    and, of many points, which of them to solve anew; the others stay as they were found.
    """

    net: Network
    solve: Callable[[Network, Any, F | None, Value], F]
    amps: Callable[[F, int], Value]
    xp: Any

    def settle(self, earlier: Any) -> tuple[F, Value]:
        """Solve; also tell where the numbers are still wrong (never, where nothing is steered)."""
        pairs = steered(self.net)
        if not pairs:
            return self.solve(self.net, earlier, None, True), False
        laws = [self.net.wires[n].law for n, _ in pairs]
        ends = [law.bounds for law in laws]  # type: ignore[attr-defined]
        at = self._try(pairs, [law.number for law in laws], earlier)  # type: ignore[attr-defined]
        for _ in range(_ROUNDS):
            for k in range(len(pairs)):
                at = self._alone(pairs, k, ends, at)
            for _ in range(_TOGETHER if len(pairs) > 1 else 0):
                if not self.xp.any(self._far(at.wrong, ends)):
                    break
                at = self._together(pairs, ends, at)
            if not self.xp.any(self._far(at.wrong, ends)):
                break
        return at.found, self._far(at.wrong, ends)

    def _far(self, wrong: Sequence[Value], ends: Ends) -> Value:
        each = (abs(w) > _CLOSE * (b - a) for w, (a, b) in zip(wrong, ends, strict=True))
        return reduce(lambda a, b: a | b, each)

    def _try(
        self,
        pairs: Pairs,
        x: Sequence[Value],
        inner: Any,
        before: F | None = None,
        going: Value = True,
    ) -> _At[F]:
        """Solve with these numbers; how much larger they are than they ought to be."""
        wires = self.net.wires
        told = {n: wires[n].law.steered(to) for (n, _), to in zip(pairs, x, strict=True)}  # type: ignore[attr-defined]
        found = self.solve(self.net.with_laws(told), inner, before, going)
        wrong = []
        for (n, m), to in zip(pairs, x, strict=True):
            own, volts = (
                found.volts[wires[i].first] - found.volts[wires[i].second] for i in (n, m)
            )
            wrong.append(to - told[n].wanted(own, volts, self.amps(found, m), self.xp))
        return _At(list(x), found, wrong)

    def _alone(self, pairs: Pairs, k: int, ends: Ends, at: _At[F]) -> _At[F]:
        """Bring one number to where it is right, the others held: by chords, or by halves."""
        xp = self.xp
        least, most = ends[k]
        low, high = least + 0.0 * at.x[k], most + 0.0 * at.x[k]
        before, earlier = at, [abs(at.wrong[k])] * 2
        for step in range(_MOST_STEPS):
            x, wrong = at.x[k], at.wrong[k]
            going = abs(wrong) > _CLOSE * (most - least)
            if not xp.any(going):
                break
            low, high = xp.where(wrong < 0, x, low), xp.where(wrong > 0, x, high)
            rise = wrong - before.wrong[k]
            flat = rise == 0
            there = x - wrong * (x - before.x[k]) / xp.where(flat, 1.0, rise)
            there = xp.where(flat, xp.where(wrong > 0, 0.5 * (low + x), 0.5 * (high + x)), there)
            slow = (step > 3) & (abs(wrong) > 0.5 * earlier[-2])
            outside = (there <= low) | (there >= high)
            there = xp.where(outside | slow, 0.5 * (low + high), there)
            if step == 0:  # there is no chord yet; what it ought to be may be right
                there = xp.minimum(xp.maximum(x - wrong, least), most)
            there = xp.where(going, there, x)
            earlier.append(abs(wrong))
            tried, found = [*at.x[:k], there, *at.x[k + 1 :]], at.found
            before, at = at, self._try(pairs, tried, found.inner, found, going)
        return at

    def _together(self, pairs: Pairs, ends: Ends, at: _At[F]) -> _At[F]:
        """Take a step of Newton's with all numbers, a shorter one where that is better."""
        xp = self.xp
        before, going = self._size(at.wrong, ends), self._far(at.wrong, ends)
        steps = _solved(self._slopes(pairs, ends, at, going), [-w for w in at.wrong], xp)
        share: Value = xp.where(going, 1.0, 0.0)
        found, worse = at.found, going
        for _ in range(_HALVINGS):
            there = [
                xp.minimum(xp.maximum(x + share * step, least), most)
                for x, step, (least, most) in zip(at.x, steps, ends, strict=True)
            ]
            other = self._try(pairs, there, at.found.inner, found, worse)
            worse = (self._size(other.wrong, ends) > before * (1 - 0.1 * share)) & going
            if not xp.any(worse):
                break
            share, found = xp.where(worse, 0.3 * share, share), other.found
        return other

    def _slopes(self, pairs: Pairs, ends: Ends, at: _At[F], going: Value) -> list[list[Value]]:
        """How much more wrong each is for each number: a line for each of what is wrong."""
        columns = []
        for k, (least, most) in enumerate(ends):
            down = at.x[k] > 0.5 * (least + most)
            step = _STEP * (most - least) * self.xp.where(down, -1.0, 1.0)
            beside = at.x[k] + self.xp.where(going, step, 0.0)
            there = [*at.x[:k], beside, *at.x[k + 1 :]]
            other = self._try(pairs, there, at.found.inner, at.found, going)
            columns.append([(b - a) / step for a, b in zip(at.wrong, other.wrong, strict=True)])
        return [list(line) for line in zip(*columns, strict=True)]

    def _size(self, wrong: Sequence[Value], ends: Ends) -> Value:
        each = (abs(w) / (most - least) for w, (least, most) in zip(wrong, ends, strict=True))
        return reduce(self.xp.maximum, each)


@dataclass(frozen=True)
class _At(Generic[F]):
    """Numbers tried, what the network does with them, and how much too large they are then."""

    x: list[Value]
    found: F
    wrong: list[Value]


def steered(net: Network) -> Pairs:
    """Numbers of branches that are steered, each with that of the branch it goes by."""
    return [
        (n, net.index[wire.owner, wire.law.watches])
        for n, wire in enumerate(net.wires)
        if isinstance(wire.law, Steered) and (wire.owner, wire.law.watches) in net.index
    ]


def _solved(lines: list[list[Value]], right: list[Value], xp: Any) -> list[Value]:
    """Solve a few linear equations by elimination.

    What cannot be more or less wrong, whatever the numbers, is a line of noughts: its number stays
    where it is.
    """
    lines, right = [list(line) for line in lines], list(right)
    size = len(right)
    for k in range(size):
        lines[k][k] = xp.where(lines[k][k] == 0, 1.0, lines[k][k])
        for i in range(k + 1, size):
            share = lines[i][k] / lines[k][k]
            lines[i] = [a - share * b for a, b in zip(lines[i], lines[k], strict=True)]
            right[i] = right[i] - share * right[k]
    for k in reversed(range(size)):
        rest = sum((lines[k][j] * right[j] for j in range(k + 1, size)), 0.0)
        right[k] = (right[k] - rest) / lines[k][k]
    return right
