"""What to measure next on a real boat, what cannot be told apart there, and when to stop."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from labkit.diagnosis.cost import Visit
from labkit.diagnosis.elimination import asks_part, place_of
from labkit.diagnosis.evidence import Measurement
from labkit.diagnosis.information import gains, hard_gain, soft_gain
from labkit.diagnosis.menu import Block
from labkit.diagnosis.prices import Prices
from labkit.measuring.meter import AMPS_FUSE, LIVE
from labkit.ownboat.boat import Boat
from labkit.ownboat.forecast import Forecast, Forecaster
from labkit.ownboat.inference import Inference
from labkit.parts import AT_TIMES, Battery
from labkit.solving.arrays import Array, Flags, Numbers

SURE = 0.95
"""A name, or the group it cannot be told from, is known at this belief."""

CERTAIN = 0.995
"""Believed so much, a name needs none that it cannot be told from."""

LEAST_BITS = 0.02
"""Less than this is not worth a measurement."""

LIVE_ROWS, SPARE = 100, 1e-3
"""Rows that a ranking goes by: so many at most, or all but this much of the belief."""

CLOSER_LOOK = 48
"""So many of the best after the quick look are worked out exactly; a quarter more by bits."""

BIN = 3.0
"""Width of the bins of the quick look, in standard deviations."""

UNSAFE = 0.01
"""A measurement that would be dangerous with this chance is not advised."""

APART = 2.5
"""Two names are told apart by a reading that differs by so many standard deviations."""

VOLTS = ("volts", "low-z")
ACROSS = (*VOLTS, "amps", "clamp")
"""Functions whose reading at a part may be 0 whatever is wrong with it."""

IN_COMMON = 0.3
"""Or by something seen, of whose outcomes they have less than this in common."""

IN_EARNEST = 0.3
"""Of a group only what is believed this much of the first name's belief can be confirmed. Ours."""

STAKED = 3.5
"""A reading at a part counts as one where the part's name foretells so many deviations from 0."""


@dataclass(frozen=True)
class Advice:
    """A measurement worth taking.

    Attributes
    ----------
    measurement : Measurement
    bits, minutes : float
    forecast : Forecast or None
        Of it alone, one line; None for what is seen without a meter.
    chances : array or None
        Of each outcome, rows by outcomes, where it is seen without a meter.
    confirms : bool
        Whether it is the reading at the named part.
    """

    measurement: Measurement
    bits: float
    minutes: float
    rows: Numbers
    forecast: Forecast | None
    chances: Array | None
    confirms: bool = False

    @property
    def rate(self) -> float:
        """Bits a minute."""
        return self.bits / self.minutes


class Adviser:
    """Ranks measurements on one boat."""

    def __init__(self, boat: Boat) -> None:
        self.boat = boat
        self.prices = Prices(boat.blocks, boat.circuit)
        self.first = np.cumsum([0, *(len(b.leads) for b in boat.blocks)])

    def measurement(self, number: int) -> Measurement:
        """One of all blocks' measurements, by its number."""
        block = int(np.searchsorted(self.first, number, side="right") - 1)
        return self.boat.blocks[block].measurement(number - int(self.first[block]))

    # -- ranking ---------------------------------------------------------------------------------

    def rank(self, inference: Inference, visit: Visit, top: int = 5) -> list[Advice]:
        """The best measurements from here, the best first."""
        rows = live(inference)
        belief = inference.shares[rows]
        belief = belief / belief.sum()
        names = np.unique(self.boat.known.name_of[rows], return_inverse=True)[1].astype(np.intp)
        done = {visit.key(item) for item in inference.evidence}
        found = self._metered(inference, rows, belief, names, visit)
        found = [a for a in found if visit.key(a.measurement) not in done]
        seen: dict[int, Advice] = {}
        for rate, n, m in self._sights(rows, belief, visit):
            if len(found) + len(seen) >= top and rate < _nth_rate([*found, *seen.values()], top):
                break
            if visit.key(m) not in done:
                chances = inference.chances(m, rows)
                bits = float(gains(belief, names, chances, np.array([0]))[0])
                if bits > LEAST_BITS:
                    seen[n] = Advice(m, bits, visit.minutes(m), rows, None, chances)
        found += [seen[n] for n in sorted(seen)]
        found.sort(key=lambda a: -round(a.rate, 9))
        return found[:top]

    def _metered(
        self, inference: Inference, rows: Numbers, belief: Array, names: Numbers, visit: Visit
    ) -> list[Advice]:
        boat = self.boat
        if not boat.blocks:
            return []
        forecaster = Forecaster(inference, rows)
        likeliest = np.sort(np.argsort(-belief, kind="stable")[:3])
        sample = Forecaster(inference, rows[likeliest])
        mean = np.concatenate([forecaster.quick(block) for block in boat.blocks])
        some = [sample.block(b, range(len(b.leads))).sd for b in boat.blocks]
        sd = np.exp(np.log(np.concatenate(some)).mean(1))
        minutes = self.prices.minutes(visit)
        tells = np.ptp(mean, axis=1) > 0.7 * sd
        numbers = np.flatnonzero(self.allowed(inference, rows, belief) & tells)
        numbers = _short_list(numbers, mean, sd, belief, names, minutes)
        if not numbers.size:
            return []
        exact = self.forecast(forecaster, numbers)
        least = exact.sd.min(1, keepdims=True)
        half = np.sqrt(3 * np.maximum(exact.sd**2 - least**2, 0.0))
        low, high = (exact.mean - half) / least, (exact.mean + half) / least
        wide = np.maximum(high.max(1) - low.min(1), 1e-9)
        scale = np.minimum(1.0, 20000 / wide)[:, None]
        bits = soft_gain(belief, names, low * scale, high * scale)
        return [
            Advice(
                self.measurement(int(n)),
                float(bits[i]),
                float(minutes[n]),
                rows,
                Forecast(exact.mean[i : i + 1], exact.sd[i : i + 1]),
                None,
            )
            for i, n in enumerate(numbers)
            if bits[i] > LEAST_BITS
        ]

    def forecast(self, forecaster: Forecaster, numbers: Numbers) -> Forecast:
        """Foretell some of all blocks' measurements, in rising order of their numbers."""
        found = [
            forecaster.block(block, numbers[(numbers >= a) & (numbers < b)] - a)
            for block, a, b in zip(self.boat.blocks, self.first[:-1], self.first[1:], strict=True)
        ]
        return Forecast(
            np.concatenate([f.mean for f in found]), np.concatenate([f.sd for f in found])
        )

    def allowed(self, inference: Inference, rows: Numbers, belief: Array) -> Flags:
        """Measurements with the meter that are no danger whichever row is true."""
        sets = inference.sets[rows]
        return np.concatenate([self._safe(block, sets, belief) for block in self.boat.blocks])

    def _safe(self, block: Block, sets: Numbers, belief: Array) -> Flags:
        count = len(block.leads)
        if block.function == "amps":
            most = [
                np.abs(np.nan_to_num(self.boat.numbers(block.measurement(n), sets), nan=99.0))
                for n in range(count)
            ]
            over = np.stack([m.max(0) for m in most]) > 0.9 * AMPS_FUSE
            return np.asarray(over @ belief < UNSAFE)
        if block.function in ("ohms", "diode") and not block.alone:
            state = self.boat.state(block.bare)
            volts, _ = self.boat.volts(block.bare, sets[:, 1])
            alive = np.abs(np.nan_to_num(volts)) > LIVE
            return np.array([belief @ alive[:, state.place(r)] < UNSAFE for r, _ in block.leads])
        return np.ones(count, bool)

    def _sights(
        self, rows: Numbers, belief: Array, visit: Visit
    ) -> list[tuple[float, int, Measurement]]:
        """What is seen without a meter, with the bits a minute it tells at most; the most first.

        Shaking a part tells nothing but whether that part comes and goes.
        """
        loose, found = self._loose(rows, belief), []
        for n, m in enumerate(self.boat.sights):
            rate = math.inf
            if m.function == "wiggle":
                shares = list(loose.get(m.red, {}).values())
                if _entropy([sum(shares)]) < LEAST_BITS:
                    continue
                rate = _entropy(shares) / visit.minutes(m)
            found.append((rate, n, m))
        return sorted(found, key=lambda item: -item[0])

    def _loose(self, rows: Numbers, belief: Array) -> dict[str, dict[str, float]]:
        """Belief that each part comes and goes, by the names it goes by."""
        found: dict[str, dict[str, float]] = {}
        for row, share in zip(rows, belief, strict=True):
            candidate = self.boat.known.rows[row].candidate
            for part in {f.part for f in candidate.faults if f.mode in AT_TIMES}:
                of = found.setdefault(part, {})
                of[candidate.name] = of.get(candidate.name, 0.0) + float(share)
        return found

    # -- what cannot be told apart ---------------------------------------------------------------

    def alike(self, inference: Inference, name: str, others: Iterable[str]) -> list[str]:
        """Names that no measurement in reach tells from one, as far as their rows are believed."""
        known, belief = self.boat.known, inference.shares
        wanted = [name, *others]
        groups = []
        for each in wanted:
            rows = np.flatnonzero(known.name_of == known.names.index(each))
            order = rows[np.argsort(-belief[rows], kind="stable")]
            kept = order[belief[order] > 0.05 * belief[order[0]]][:6]
            groups.append(kept if kept.size else order[:1])
        rows = np.concatenate(groups)
        which = np.repeat(np.arange(len(groups)), [len(g) for g in groups])
        told = self._told_apart(inference, rows, which)
        return [other for n, other in enumerate(wanted[1:], 1) if not told[n]]

    def _told_apart(self, inference: Inference, rows: Numbers, which: Numbers) -> Flags:
        """Which groups of rows every row of the first group is told from."""
        sight = live(inference)
        share = inference.shares[sight] / inference.shares[sight].sum()
        forecaster = Forecaster(inference, rows)
        safe = np.flatnonzero(self.allowed(inference, sight, share))
        mean, sd = self.forecast(forecaster, safe) if safe.size else (np.zeros((0, len(rows))),) * 2
        own = np.flatnonzero(which == 0)
        apart = np.ones((len(own), len(rows)), bool)
        for i, row in enumerate(own):
            z = np.abs(mean - mean[:, [row]]) / np.sqrt(sd**2 + sd[:, [row]] ** 2 + 1e-12)
            apart[i] = z.max(0, initial=0.0) > APART
            for m in self.boat.sights:
                seen = inference.chances(m, rows)
                apart[i] |= np.minimum(seen, seen[row]).sum(1) < IN_COMMON
        told = [apart[:, which == n].all() for n in range(int(which.max()) + 1)]
        return np.array(told)

    # -- the reading at the named part -----------------------------------------------------------

    def at_part(self, inference: Inference, m: Measurement, name: str) -> bool:
        """Tell whether a measurement asks the named part itself, which then has to answer."""
        part = self.boat.circuit.parts.get(place_of(name))
        if part is None:
            return True
        if not asks_part(m, name, self.boat.circuit):
            return False
        if m.function not in ACROSS:
            return True
        if isinstance(part, Battery) and m.function in VOLTS:
            return self._loaded(m)
        row = np.array([inference.best(name)])
        read, _ = self.boat.reading(m, inference.sets[row])
        foretold = Forecaster(inference, row)
        size = np.abs(np.nan_to_num(read[1], posinf=1e3))
        block = Block(m.function, m.positions, m.parted, [(m.red, m.black)])
        sd = foretold.block(block, [0]).sd[0]
        return bool(size[0] > STAKED * sd[0])

    def _loaded(self, m: Measurement) -> bool:
        """Whether the battery gives current in a state: at rest it proves nothing of itself."""
        sources = [p.id for p in self.boat.circuit.parts.values() if isinstance(p, Battery)]
        bare = Measurement("", "", "", m.positions, m.parted)
        points = self.boat.known.points(bare)
        return any(abs(float(np.nan_to_num(points.row("amps", id)[0]))) > 0.5 for id in sources)

    def confirming(self, inference: Inference, name: str, visit: Visit) -> list[Advice]:
        """Measurements at the named part, the cheapest first."""
        rows = live(inference)
        belief = inference.shares[rows] / inference.shares[rows].sum()
        minutes, safe = self.prices.minutes(visit), self.allowed(inference, rows, belief)
        done = {visit.key(item) for item in inference.evidence}
        forecaster = Forecaster(inference, rows)
        found = []
        for n in np.argsort(minutes, kind="stable"):
            m = self.measurement(int(n))
            if safe[n] and visit.key(m) not in done and self.at_part(inference, m, name):
                forecast = self.forecast(forecaster, np.array([n]))
                found.append(Advice(m, 0.0, float(minutes[n]), rows, forecast, None, True))
            if len(found) >= 3:
                break
        for m in self.boat.sights:
            told = m.function != "fit" and asks_part(m, name, self.boat.circuit)
            if told and visit.key(m) not in done:
                chances = inference.chances(m, rows)
                found.append(Advice(m, 0.0, visit.minutes(m), rows, None, chances, True))
        return sorted(found, key=lambda a: a.minutes)


def _entropy(shares: Sequence[float]) -> float:
    """What there is to learn of which of these is so, or none. [bit]"""
    every = [*shares, 1.0 - sum(shares)]
    return -sum(share * math.log2(share) for share in every if share > 0.0)


def _nth_rate(found: Sequence[Advice], n: int) -> float:
    """Bits a minute of the n-th best, a little less for what rounding does."""
    return sorted((a.rate for a in found), reverse=True)[n - 1] - 1e-6


def live(inference: Inference) -> Numbers:
    """Rows that a ranking goes by, those of one name beside one another."""
    belief = inference.shares
    order = np.argsort(-belief, kind="stable")
    share = np.cumsum(belief[order]) / belief.sum()
    count = min(int(np.searchsorted(share, 1 - SPARE)) + 1, LIVE_ROWS)
    rows = order[:count]
    return np.asarray(rows[np.argsort(inference.boat.known.name_of[rows], kind="stable")])


def _short_list(
    numbers: Numbers, mean: Array, sd: Array, belief: Array, names: Numbers, minutes: Array
) -> Numbers:
    """The likely best, by a quick look with bins laid twice."""
    if len(numbers) <= CLOSER_LOOK:
        return numbers
    bits = np.zeros(len(numbers))
    for offset in (0.0, 0.5):
        bins = np.floor(mean[numbers] / (BIN * sd[numbers, None]) + offset)
        bits += hard_gain(belief, names, np.clip(bins, -32000, 32000).astype(np.int16))
    by_rate = np.argsort(-bits / minutes[numbers], kind="stable")[:CLOSER_LOOK]
    by_bits = np.argsort(-bits, kind="stable")[: CLOSER_LOOK // 4]
    return np.asarray(numbers[np.unique(np.concatenate([by_rate, by_bits]))])


def group_of(adviser: Adviser, inference: Inference, least: float = 0.002) -> list[str]:
    """The likeliest name and those alike, as far as they are believed at all."""
    first, *rest = inference.by_name.items()
    near = [name for name, belief in rest if belief > least][:8]
    if first[1] + sum(belief for _, belief in rest[:8]) < SURE or first[1] > CERTAIN:
        near = []
    return [first[0], *(adviser.alike(inference, first[0], near) if near else [])]


def confirmed(adviser: Adviser, inference: Inference, group: Sequence[str]) -> bool:
    """Tell whether one reading was taken at a part that is named, and named in earnest."""
    beliefs = inference.by_name
    least = IN_EARNEST * beliefs[group[0]]
    named = [name for name in group if beliefs[name] >= least]
    return any(adviser.at_part(inference, m, name) for m in inference.evidence for name in named)
