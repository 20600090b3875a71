"""What is believed of a boat: all that was seen, weighed together each time anew."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from labkit.diagnosis.evidence import Evidence, Measurement, outcomes
from labkit.diagnosis.sources import with_open
from labkit.measuring.meter import FUNCTIONS
from labkit.ownboat.boat import Boat
from labkit.ownboat.complaints import Complaint
from labkit.ownboat.load_tests import Trial
from labkit.ownboat.scales import (
    BENT,
    SCATTER,
    SEVERITY,
    meter_columns,
    on_scale,
    scatter,
    stretch,
)
from labkit.ownboat.weighing import SLIP, Weighed, log_sum, one_more, slip_density, weigh
from labkit.ownboat.weighing import Evidence as Weights
from labkit.solving.arrays import Array, Flags, Numbers

UNLISTED = 0.02
"""Prior belief in something that is none of the suspects."""

SECOND = 0.02
"""Prior belief in one more resistance somewhere, beside the fault."""

BELIEVED_SLIP = 0.5
"""A reading that slipped with more than this chance tells nothing about the boat."""


@dataclass(frozen=True)
class Number:
    """A reading, against the rows as they were when it was taken; every array one entry a row."""

    evidence: Evidence
    seen: float
    foretold: Array
    moves: Array
    severity: Array
    sigma: Array
    there: Flags

    def columns(self) -> Array:
        """Moves with every figure, the severity, the meter's gain and its leads."""
        gain, leads = meter_columns(self.evidence.function, self.foretold)
        extra = np.stack([self.severity, gain, leads], 1)
        return np.concatenate([self.moves, extra], 1)


class Word(NamedTuple):
    """Something seen without a number: its log chance under each row, and if it is none of them."""

    said: Evidence | Complaint
    chance: Array
    unlisted: float


class Tried(NamedTuple):
    """A load test and how it came out: how likely that is goes with what the readings say."""

    said: Evidence
    test: Trial
    word: int
    unlisted: float


class Pairs(NamedTuple):
    """Belief in each row together with one more resistance, rows by places."""

    belief: Array
    misfit: Array


@dataclass
class Inference:
    """Beliefs about one boat.

    Attributes
    ----------
    boat : Boat
    belief : array
        In each row being all that is wrong.
    pairs : Pairs or None
        With one more resistance, once there are readings.
    unlisted : float
        Belief in something else entirely.
    shares : array
        Belief in each row, with or without one more resistance, were it one of them; adds up to 1
        however absurd what was seen.
    """

    boat: Boat
    sets: Numbers = field(init=False)
    items: list[Number | Word | Tried] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.sets = self.boat.sets
        self._update()

    @property
    def numbers(self) -> list[Number]:
        """What was read on a meter, in order."""
        return [item for item in self.items if isinstance(item, Number)]

    @property
    def said(self) -> list[Evidence | Complaint]:
        """All that was seen and said, in order."""
        return [i.evidence if isinstance(i, Number) else i.said for i in self.items]

    @property
    def evidence(self) -> list[Evidence]:
        """All measurements, in order."""
        return [item for item in self.said if isinstance(item, Evidence)]

    # -- evidence --------------------------------------------------------------------------------

    def see(self, *items: Evidence | Complaint) -> Inference:
        """Take into account what was seen, in order; return this inference."""
        for item in items:
            self.items.append(self._against_rows(item))
            if isinstance(item, Evidence):
                self._leave(item)
        self._update()
        return self

    def _against_rows(self, item: Evidence | Complaint) -> Number | Word | Tried:
        if isinstance(item, Complaint):
            chance = item.chances(self.boat, self.sets)
            return Word(item, np.log(np.maximum(chance, 1e-9)), math.log(item.unlisted))
        if item.function not in FUNCTIONS:
            words = outcomes(item, self.boat.circuit)
            if item.function == "load test":
                test = self._trial(item, self.sets)
                return Tried(item, test, words.index(item.seen), -math.log(len(words)))
            chance = self.boat.seen(item, self.sets)[:, words.index(item.seen)]
            return Word(item, np.log(np.maximum(chance, 1e-9)), -math.log(len(words)))
        read, moved = self.boat.reading(item, self.sets)
        value = item.value
        if not np.isfinite(value):
            match = np.isnan(read[1]) if np.isnan(value) else np.isinf(read[1])
            chance = np.where(match, 1 - SLIP, SLIP)
            return Word(item, np.log(chance), math.log(0.2))
        return self._number(item, value, read, moved)

    def _number(self, item: Evidence, value: float, read: Array, moved: Array) -> Number:
        function = item.function
        there: Flags = np.asarray(np.isfinite(read).all(axis=0))
        low, middle, high = on_scale(function, np.where(there, read, 0.0))
        slope = stretch(function, np.where(there, read[1], 0.0))
        bent = np.abs(low + high - 2 * middle) / 2
        rounded = item.rounding / math.sqrt(3) * float(stretch(function, np.array(value)))
        sigma = np.sqrt(
            scatter(function, np.where(there, read[1], 0.0)) ** 2 + (BENT * bent) ** 2 + rounded**2
        )
        return Number(
            item,
            float(on_scale(function, np.array(value))),
            middle,
            np.where(there[:, None], moved * slope[:, None], 0.0),
            (high - low) / 2 * SEVERITY,
            sigma,
            there,
        )

    def _leave(self, item: Evidence) -> None:
        """Fit the fuse, open what opens; and what was seen of a fuse is its state."""
        known = self.boat.known
        if item.function == "fit":
            self.sets = known.fitted(self.sets, item.red)
        bare = Measurement("", "", "", item.positions, item.parted, item.jumper, item.lamp)
        self.sets = known.blown(self.sets, bare)
        if (item.function, item.seen) in _FOUND_OPEN:
            faults = known.sets
            self.sets = np.array(
                [[known.number(with_open(faults[n], [item.red])) for n in row] for row in self.sets]
            )

    # -- beliefs ---------------------------------------------------------------------------------

    def weights(self, numbers: Sequence[Number]) -> Weights:
        """The readings as arrays, rows by readings."""
        return Weights(
            np.stack([n.seen - n.foretold for n in numbers], 1),
            np.stack([n.columns() for n in numbers], 1),
            np.stack([n.sigma for n in numbers], 1) ** 2,
            np.stack([n.there for n in numbers], 1),
            np.array([_slipped(n) for n in numbers]),
        )

    def _update(self) -> None:
        prior = np.log(self.boat.known.prior)
        words = self._told_once()
        numbers = self.numbers
        other = sum(w.unlisted for w in words)
        other -= sum(math.log(SCATTER[n.evidence.function].width) for n in numbers)
        self.weighed: Weighed | None = None
        if numbers:
            self._seen = self.weights(numbers)
            self.weighed = weigh(self._seen)
        said = prior + sum((self._said(w) for w in words), np.zeros_like(prior))
        alone, more = said, np.full((len(prior), 1), -np.inf)
        misfit = np.zeros_like(more)
        if (weighed := self.weighed) is not None:
            alone = said + weighed.likelihood
            if self.boat.extra:
                places, sizes = zip(*self.boat.extra, strict=True)
                extra = self._seen.moves[:, :, list(places)] * np.array(sizes)
                more = said[:, None] + one_more(weighed, extra) - math.log(len(places))
                misfit = weighed.misfit[:, None] - _explained(weighed, extra)
        listed = math.log(1 - UNLISTED - SECOND)
        parts = [alone + listed, (more + math.log(SECOND)).ravel(), np.array([other])]
        parts[2] = parts[2] + math.log(UNLISTED)
        total = log_sum(np.array([log_sum(part, 0) for part in parts]), 0)
        self.belief = np.exp(alone + listed - total)
        self.pairs = Pairs(np.exp(more + math.log(SECOND) - total), misfit)
        self.unlisted = float(np.exp(parts[2][0] - total))
        either = np.logaddexp(parts[0], log_sum(more + math.log(SECOND), 1))
        self.shares = np.exp(either - log_sum(either, 0))

    def _told_once(self) -> list[Word | Tried]:
        """What was seen and said without a meter: who says the same again knows no more."""
        kept: dict[str, Word | Tried] = {}
        for item in self.items:
            if not isinstance(item, Number):
                kept.setdefault(str(item.said), item)
        return list(kept.values())

    def _said(self, item: Word | Tried) -> Array:
        """Log chance of what was seen without a meter, under each row."""
        if isinstance(item, Word):
            return item.chance
        chance = item.test.chances(*self.learnt(np.arange(len(self.sets))))[:, item.word]
        return np.asarray(np.log(np.maximum(chance, 1e-9)))

    def _trial(self, m: Measurement, sets: Numbers) -> Trial:
        return self.boat.load_tests.trial(m.red, self.boat.known.sets, sets)

    def chances(self, m: Measurement, rows: Numbers) -> Array:
        """Chance of each outcome of what is seen without a meter, for some rows."""
        if m.function == "load test":
            return self._trial(m, self.sets[rows]).chances(*self.learnt(rows))
        return self.boat.seen(m, self.sets, rows)

    @property
    def by_row(self) -> Array:
        """Belief in each row, with or without one more resistance."""
        return np.asarray(self.belief + self.pairs.belief.sum(1))

    @property
    def by_name(self) -> dict[str, float]:
        """Belief that each name is there, alone or beside another; the likeliest first."""
        known = self.boat.known
        total = np.bincount(known.name_of, self.by_row, len(known.names)).astype(float)
        if self.pairs.belief.shape[1] == len(self.boat.extra):
            for e, (k, _) in enumerate(self.boat.extra):
                name = f"{self.boat.figures[k].part} resistance"
                if name in known.names:
                    j = known.names.index(name)
                    total[j] += self.pairs.belief[known.name_of != j, e].sum()
        order = np.argsort(-np.round(total, 9), kind="stable")
        return {known.names[n]: float(min(total[n], 1.0)) for n in order}

    def best(self, name: str) -> int:
        """The row most believed of a name."""
        rows = np.flatnonzero(self.boat.known.name_of == self.boat.known.names.index(name))
        return int(rows[self.shares[rows].argmax()])

    # -- what the boat is taken to be like -------------------------------------------------------

    def learnt(self, rows: Numbers) -> tuple[Array, Array]:
        """Of some rows: mean of all columns given the readings, and what the readings pin of them.

        Returns
        -------
        mean : array
            Rows by columns.
        pinned : array
            W, rows by readings by columns: a reading with columns a has variance |a|^2 - |W a|^2.
        """
        columns = len(self.boat.figures) + 3
        if self.weighed is None:
            return np.zeros((len(rows), columns)), np.zeros((len(rows), 0, columns))
        seen = self._seen
        kept = seen.numbers[rows] & (self.weighed.slips[rows] <= BELIEVED_SLIP)
        a = np.where(kept[..., None], seen.moves[rows], 0.0)
        here = np.arange(a.shape[1])
        s = a @ a.transpose(0, 2, 1)
        s[:, here, here] += np.where(kept, seen.variance[rows], 1.0)
        lower = np.linalg.cholesky(s)
        pinned = np.linalg.solve(lower, a)
        error = np.where(kept, seen.error[rows], 0.0)
        mean = (pinned * np.linalg.solve(lower, error[..., None])).sum(1)
        return mean, pinned


_FOUND_OPEN = {
    ("fit", "opens again"), ("pull", "blown"), ("pull", "tripped"),
}  # fmt: skip  # rows that a reader compares


def _slipped(number: Number) -> float:
    function = number.evidence.function
    volts = function in ("volts", "low-z")
    return slip_density(volts, number.seen, SCATTER[function].width)


def _explained(weighed: Weighed, extra: Array) -> Array:
    """How much of each row's misfit one more resistance explains."""
    q = (extra * (weighed.inverse @ extra)).sum(1)
    b = np.maximum((extra * weighed.solved[..., None]).sum(1), 0.0)
    return np.asarray(b**2 / (1 + q))
