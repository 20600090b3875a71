"""Beliefs on plain floats, where numpy is not: one set of faults after another.

The same notions and numbers as :mod:`labkit.diagnosis.session`, which weighs all rows at once. The
rows come laid out beforehand, since where a candidate is to be cut takes thousands of solutions.
What is weighed can be given up between any two solutions, so that whoever waits is answered first.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Generator, Iterator, Mapping, Sequence
from dataclasses import dataclass

from labkit.circuits.circuit import Circuit
from labkit.diagnosis.evidence import Evidence, Measurement
from labkit.diagnosis.faults import Candidate
from labkit.diagnosis.left import Left
from labkit.diagnosis.odds import FLUTTER, LEAST_WIDTH, RANGE, SLIP, STRIKE, SURE, UNSEEN
from labkit.diagnosis.predicting import Predictor, below
from labkit.diagnosis.sources import FaultSet, with_open
from labkit.diagnosis.spread import OUTSIDE
from labkit.measuring.meter import FUNCTIONS

GONE = 1e-6
"""What is struck out already and believed no more than this is not worked out any further."""


@dataclass
class Line:
    """A candidate, and what becomes of it.

    Attributes
    ----------
    candidate : Candidate
    sets : tuple of FaultSet
        With its mildest, typical and worst severity, and the fuses opened by then.
    belief : float
    struck : bool
    """

    candidate: Candidate
    sets: tuple[FaultSet, ...]
    belief: float
    struck: bool = False


@dataclass(frozen=True)
class Told:
    """What a piece of evidence told.

    Attributes
    ----------
    evidence : Evidence
    bits : float
        About part and mode.
    fell, standing : tuple of str
        Names it struck out, and those that nothing had struck out after it.
    """

    evidence: Evidence
    bits: float
    fell: tuple[str, ...]
    standing: tuple[str, ...]


class Weigher:
    """What could be wrong with a circuit, in the light of the evidence so far.

    Parameters
    ----------
    circuit : Circuit
        Sound, as found.
    rows : sequence of (Candidate, tuple of str)
        Candidates within which nothing switches, each with the fuses it has opened already.
    alike : callable
        Takes a name and returns those that no measurement in reach tells from it.

    Attributes
    ----------
    lines : list of Line
    steps : list of Told
    """

    def __init__(
        self,
        circuit: Circuit,
        rows: Sequence[tuple[Candidate, tuple[str, ...]]],
        alike: Callable[[str], Collection[str]] = lambda name: (name,),
    ) -> None:
        self.predictor = Predictor(circuit)
        self._alike = alike
        opening = {id(candidate) for candidate, opened in rows if opened}
        self.lines = [
            Line(c, _three(c, opened), c.weight / (2 if id(c) in opening else 1))
            for c, opened in rows
        ]
        self.names = list(dict.fromkeys(line.candidate.name for line in self.lines))
        self._share()
        self.steps: list[Told] = []
        self._begun = False
        self._going: Iterator[None] | None = None

    # -- evidence -----------------------------------------------------------------------------

    def go_on(self, evidence: Sequence[Evidence], until: Callable[[], bool]) -> bool:
        """Weigh what is not weighed yet for a while; tell whether anything is left to do.

        Parameters
        ----------
        evidence : sequence of Evidence
            All there is, in the order it was found.
        until : callable
            Asked after each solution whether to stop.
        """
        while self._going or not self._begun or len(self.steps) < len(evidence):
            self._going = self._going or self._weigh(evidence)
            for _ in self._going:
                if until():
                    return True
            self._going = None
        return False

    def see(self, *evidence: Evidence) -> Weigher:
        """Take all the evidence into account that was not yet."""
        self.go_on(evidence, lambda: False)
        return self

    def _weigh(self, evidence: Sequence[Evidence]) -> Iterator[None]:
        if not self._begun:
            yield from self._leave(Measurement("", ""))
            self._begun = True
        for item in evidence[len(self.steps) :]:
            before, stood = self.entropy, self.remaining()
            found: list[tuple[float, bool]] = []
            for line in self.lines:
                if line.struck and line.belief < GONE:
                    found.append((0.0, True))
                    continue
                weighed = yield from self._weighed(line, item)
                found.append(weighed)
            for line, (likelihood, struck) in zip(self.lines, found, strict=True):
                line.belief *= likelihood
                line.struck |= struck
            self._share()
            told = before - self.entropy if stood else 0.0
            yield from self._leave(item)
            standing = self.remaining()
            fell = tuple(sorted(set(stood).difference(standing)))
            self.steps.append(Told(item, told, fell, tuple(standing)))

    def _weighed(self, line: Line, item: Evidence) -> Generator[None, None, tuple[float, bool]]:
        if item.function not in FUNCTIONS:
            words = self.predictor.words(item)
            if not words:
                return 1.0, False
            chances = []
            for faults in line.sets:
                chances.append(self.predictor.chances(faults, item)[words.index(item.seen)])
                yield
            chance = sum(chances) / len(chances)
            return chance, chance < UNSEEN
        lows, highs = [], []
        for faults in line.sets:
            low, high = self.predictor.ends(faults, item)
            lows.append(low)
            highs.append(high)
            yield
        return self._read(item, min(lows), max(highs))

    def _read(self, item: Evidence, low: float, high: float) -> tuple[float, bool]:
        on, value = self.predictor.scale(item.function), item.value
        seen, blur = on.u(value), 0.0
        if math.isfinite(value):
            blur = max((on.u(value + item.rounding) - on.u(value - item.rounding)) / 2, 0.0)
        low, high = low - blur, high + blur
        likelihood = (1 - SLIP) * density(seen, low, high) + SLIP / RANGE
        unsteady = on.end + 1.5 * OUTSIDE
        if (high - blur > unsteady) != (seen > unsteady):
            return max(likelihood, FLUTTER / RANGE), False
        return likelihood, seen < low - STRIKE or seen > high + STRIKE

    def _leave(self, item: Measurement) -> Iterator[None]:
        """Fit the fuse, and open what opens, in the state a measurement brings about."""
        for line in self.lines:
            if line.struck and line.belief < GONE:
                continue
            if item.function == "fit":
                line.sets = tuple(self.predictor.fitted(f, item.red) for f in line.sets)
            after = []
            for faults in line.sets:
                after.append(with_open(faults, self.predictor.opened(faults, item)))
                yield
            line.sets = tuple(after)

    # -- what is believed -----------------------------------------------------------------------

    def _share(self) -> None:
        total = sum(line.belief for line in self.lines)
        for line in self.lines:
            line.belief /= total

    def _by_name(self, standing: bool = False) -> dict[str, float]:
        found = dict.fromkeys(self.names, 0.0)
        for line in self.lines:
            found[line.candidate.name] += 0.0 if standing and line.struck else line.belief
        return found

    @property
    def by_name(self) -> dict[str, float]:
        """Belief in each name, the likeliest first."""
        return _ordered(self._by_name())

    @property
    def entropy(self) -> float:
        """Uncertainty about the name of the fault. [bit]"""
        return -sum(p * math.log2(p) for p in self._by_name().values() if p > 0)

    def remaining(self) -> list[str]:
        """Names that no reading has struck out, the likeliest first."""
        left = {line.candidate.name for line in self.lines if not line.struck}
        return [name for name in self.by_name if name in left]

    def fallen(self) -> dict[str, int]:
        """Names struck out, and the number of the piece of evidence that left nothing of each."""
        return {name: n for n, step in reversed([*enumerate(self.steps)]) for name in step.fell}

    def left(self) -> Left:
        """What the evidence leaves."""
        parts = self.predictor.circuit.parts
        standing = [n for n, line in enumerate(self.lines) if not line.struck]
        total = sum(self.lines[n].belief for n in standing)
        if not total:
            return Left((), (), (), parts=parts)
        shares = {k: round(v / total, 9) for k, v in _ordered(self._by_name(True)).items()}
        there = {self.lines[n].candidate.name for n in standing}
        names = [name for name in _ordered(shares) if name in there]
        unlikely = [
            name
            for name in names
            if sum(s for s in shares.values() if s <= shares[name]) < 1 - SURE
        ]
        same = {names[0], *self._alike(names[0])}
        return Left(
            tuple(names), tuple(unlikely), tuple(n for n in names if n in same), parts=parts
        )


def density(u: float, low: float, high: float) -> float:
    """Density of a reading at u where the true value is anywhere from low to high alike."""
    short = max(LEAST_WIDTH - (high - low), 0.0) / 2
    low, high = low - short, high + short
    return (below(u - low) - below(u - high)) / (high - low)


def _ordered(shares: Mapping[str, float]) -> dict[str, float]:
    """From the greatest down; what differs by rounding keeps its order."""
    return dict(sorted(shares.items(), key=lambda item: -round(item[1], 9)))


def _three(candidate: Candidate, opened: Sequence[str]) -> tuple[FaultSet, ...]:
    low, high = candidate.ends()
    return tuple(with_open(faults, opened) for faults in (low, candidate.faults, high))
