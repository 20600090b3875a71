"""The measurements most worth taking next: information for the time they take."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import NamedTuple

import numpy as np

from labkit.aboard.acts import ACTS
from labkit.circuits.circuit import Circuit
from labkit.diagnosis.closing_in import ELSEWHERE, close_in, elsewhere_text, in_near, named_in
from labkit.diagnosis.cost import Visit
from labkit.diagnosis.evidence import Evidence, Measurement, outcomes, senses
from labkit.diagnosis.explain import tells
from labkit.diagnosis.faults import Candidate
from labkit.diagnosis.faults import candidates as usually
from labkit.diagnosis.information import gains, hard_gain, soft_gain
from labkit.diagnosis.menu import Block, Menu
from labkit.diagnosis.prices import Prices
from labkit.diagnosis.session import Diagnosis
from labkit.diagnosis.spread import spread_for
from labkit.diagnosis.view import View, alike, codes
from labkit.measuring.meter import AMPS_FUSE, FUNCTIONS, LIVE
from labkit.solving.arrays import Array, Codes, Flags, Numbers
from labkit.solving.near import NearCircuit
from labkit.text.messages import CircuitError, did_you_mean

CLOSER_LOOK = 48
"""So many of the best after the quick look are worked out exactly."""

OFFSETS = (0.0, 0.5)
"""The quick look takes its bins twice, half a bin apart, so that no edge parts what is alike."""

SECOND_LOOK = 1000
"""So many of the best after the first quick look are given the second."""

UNSAFE = 0.01
"""A measurement that would be dangerous with this chance is not advised."""

RISKED = 0.10
"""An act that would do harm with more than this chance is not advised: a fuse is not fitted to see
whether it blows. Our choice."""

LEAST_BITS = 0.005
"""Less than this is not worth a measurement."""


@dataclass(frozen=True)
class Ranked:
    """A measurement and what it is worth.

    Attributes
    ----------
    red, black, function : str
    positions : mapping of str to str
        Switches that are to be moved from how the circuit was found.
    parted : frozenset of str
    bits : float
        Information expected about part and mode of the fault.
    minutes : float
        With the ways to it, the switches and the connections.
    tells : tuple of str
        What each outcome would leave, a sentence each.
    """

    red: str
    black: str
    function: str
    positions: Mapping[str, str]
    parted: frozenset[str]
    bits: float
    minutes: float
    tells: tuple[str, ...] = ()

    @property
    def measurement(self) -> Measurement:
        """What is to be done."""
        return Measurement(self.function, self.red, self.black, self.positions, self.parted)

    @property
    def rate(self) -> float:
        """Bits a minute."""
        return self.bits / self.minutes


class Found(NamedTuple):
    """A measurement, what it is worth, and what the rows of a view predict of it.

    Attributes
    ----------
    ranked : Ranked
    low, high : array
        Between which each row's reading lies; empty without a meter. [sigma]
    chances : array or None
        Of each outcome under each row, where it is seen without a meter.
    """

    ranked: Ranked
    low: Array
    high: Array
    chances: Array | None


def rank(
    circuit: Circuit,
    evidence: Iterable[Evidence] = (),
    candidates: Iterable[Candidate] | None = None,
    top: int = 10,
    safe: bool = True,
    without: Iterable[str] = (),
) -> list[Ranked]:
    """Rank the measurements in reach by information a minute.

    Parameters
    ----------
    circuit : Circuit
        As found; its own faults are left out of account.
    evidence : iterable of Evidence
        What is known already, in the order it was found.
    candidates : iterable of Candidate, optional
        All of :func:`labkit.diagnosis.faults.candidates` where not given.
    top : int
        How many to return.
    safe : bool
        Leave out what could be dangerous: ohms on a live circuit, a meter in line with more than
        its fuse carries, a fuse fitted where another would blow as well.
    without : iterable of str
        Functions of the meter and acts there is no tool for: 'clamp', 'test lamp'.

    Returns
    -------
    list of Ranked
        The best first; empty where nothing in reach tells anything more.
    """
    seen = tuple(evidence)
    adviser = adviser_for(circuit, candidates, without, named_in(seen))
    diagnosis = adviser.start.copy().see(*seen)
    return adviser.rank(diagnosis, Visit.after(circuit, seen), top, safe)


def adviser_for(
    circuit: Circuit,
    candidates: Iterable[Candidate] | None = None,
    without: Iterable[str] = (),
    named: Collection[str] = (),
) -> Adviser:
    """Return the adviser of a circuit as found; the last few are kept.

    Of a large boat it is the adviser of what is near the parts, terminals and nodes `named`, the
    loads complained of and what was measured (:mod:`labkit.diagnosis.closing_in`).

    Raises
    ------
    CircuitError
        If something there is to be done without is neither a function of the meter nor an act.
    """
    listed, spared = None if candidates is None else tuple(candidates), frozenset(without)
    known = [*FUNCTIONS, *senses()]
    for name in sorted(spared - {*known}):
        raise CircuitError(
            [f"without '{name}': is not a way to ask; {did_you_mean(name, known, 12)}"]
        )
    return _adviser(_Key(close_in(circuit, named)), listed, spared)


class _Key:
    """A circuit as found, as a key: the same file read twice is the same circuit."""

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit.without_faults()

    def __hash__(self) -> int:
        c = self.circuit
        return hash((tuple(c.parts), tuple(c.positions.items()), c.parted))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Key) and self.circuit == other.circuit


@lru_cache(maxsize=4)
def _adviser(key: _Key, listed: tuple[Candidate, ...] | None, without: frozenset[str]) -> Adviser:
    if isinstance(key.circuit, NearCircuit):
        usual = usually(key.circuit.boat) if listed is None else listed
        listed = in_near(usual, key.circuit)
    return Adviser(Diagnosis(key.circuit, listed, spread_for(key.circuit)), without)


class Adviser:
    """Ranks measurements for one circuit, keeping what does not change from call to call.

    Parameters
    ----------
    diagnosis : Diagnosis
        Before any evidence.
    without : collection of str
        Functions of the meter and acts that are never advised.
    """

    def __init__(self, diagnosis: Diagnosis, without: Collection[str] = ()) -> None:
        self.start, self.without = diagnosis, frozenset(without)
        self.menu = Menu(diagnosis, without=without)
        self._prices = Prices(self.menu.blocks, diagnosis.circuit.unreduced())

    @cached_property
    def _codes(self) -> list[tuple[float, Codes]]:
        """Of all readings at the start, worked out when advice is first asked for."""
        self.menu.refresh()
        return [(offset, codes(self.menu, self.start, offset)) for offset in OFFSETS]

    @cached_property
    def _alike(self) -> Numbers:
        return alike(self._codes[0][1])

    @property
    def left_out(self) -> str:
        """What of a large boat is not looked at, in a sentence; '' where everything is."""
        return self.menu.left_out

    def beside(self, diagnosis: Diagnosis) -> str:
        """What its advice leaves out of a large boat, in sentences; '' where nothing."""
        belief = diagnosis.by_name.get(ELSEWHERE, 0.0)
        said = (self.left_out, elsewhere_text(diagnosis.circuit, belief))
        return "\n".join(filter(None, said))

    def view(self, diagnosis: Diagnosis) -> View:
        """Return the rows that matter for a ranking, and what they predict."""
        self.menu.refresh()
        return View(self.menu, diagnosis)

    def rank(
        self,
        diagnosis: Diagnosis,
        visit: Visit,
        top: int = 10,
        safe: bool = True,
        explained: bool = True,
    ) -> list[Ranked]:
        """Rank the measurements in reach from what is believed and where one stands."""
        view = self.view(diagnosis)
        found = self.worth(view, visit, top, safe)
        return [self._explain(item, view) if explained else item.ranked for item in found]

    def worth(self, view: View, visit: Visit, top: int, safe: bool = True) -> list[Found]:
        """Return the best of the measurements in reach, each with what its rows predict."""
        diagnosis = view.diagnosis
        done = {visit.key(item) for item in (*diagnosis.evidence, *diagnosis.supposed)}
        numbers, minutes = np.flatnonzero(self.allowed(view, safe)), self.minutes(visit)
        if not view.changed(self.start):
            numbers = _cheapest(numbers, minutes, self._alike)
        found = self._metered(view, numbers, minutes[numbers], top)
        found += self._seen(view, visit, safe)
        found = [item for item in found if visit.key(item.ranked.measurement) not in done]
        found.sort(key=lambda item: -round(item.ranked.rate, 9))
        return found[:top]

    # -- with the meter -----------------------------------------------------------------------

    def _metered(self, view: View, numbers: Numbers, cost: Array, top: int) -> list[Found]:
        short = self._quick_look(view, numbers, cost, max(CLOSER_LOOK, 2 * top))
        low, high = view.intervals(numbers[short])
        bits = soft_gain(view.belief, view.names, low, high)
        found: list[Found] = []
        for n in np.flatnonzero(bits > LEAST_BITS):
            measurement = self.menu.measurement(int(numbers[short[n]]))
            ranked = _ranked(measurement, float(bits[n]), float(cost[short[n]]))
            found.append(Found(ranked, low[n], high[n], None))
        return found

    def _quick_look(self, view: View, numbers: Numbers, cost: Array, count: int) -> Numbers:
        """Find what is likely among the best: places in `numbers`."""
        short, bits = np.arange(len(numbers)), np.zeros(len(numbers))
        for (offset, known), most in zip(self._codes, (SECOND_LOOK, count), strict=True):
            codes = view.codes(known, self.start, offset)[numbers[short]]
            bits = bits + hard_gain(view.belief, view.names, codes)
            best = _best(bits, cost[short], most)
            short, bits = short[best], bits[best]
        return short

    def minutes(self, visit: Visit) -> Array:
        """Minutes of each measurement with the meter, as Visit.minutes has them."""
        return self._prices.minutes(visit)

    def allowed(self, view: View, safe: bool = True) -> Flags:
        """Measurements with the meter that are no danger whichever row is true."""
        found, first = [], 0
        for block in self.menu.blocks:
            last = first + len(block.leads)
            found.append(self._allowed(block, np.arange(first, last), view, safe))
            first = last
        return np.concatenate(found)

    def _allowed(self, block: Block, numbers: Numbers, view: View, safe: bool) -> Flags:
        if safe and block.function == "amps":
            most = view.diagnosis.scale("amps").u(np.array(AMPS_FUSE))
            low, high = view.intervals(numbers)
            danger = (np.maximum(high, -low) > most) @ view.belief
            return np.asarray(danger < UNSAFE)
        if safe and block.function in ("ohms", "diode") and not block.alone:
            points = self.menu.known.points(block.bare)
            volts = np.abs(np.nan_to_num(points.volts([red for red, _ in block.leads])))
            alive = view.belief @ (volts[view.sets].max(1) > LIVE)
            return np.asarray(alive < UNSAFE)
        return np.ones(len(numbers), bool)

    # -- without ----------------------------------------------------------------------------------

    def _seen(self, view: View, visit: Visit, safe: bool) -> list[Found]:
        if not self.menu.sights:
            return []
        ends = np.cumsum(self.menu.widths)
        chances = view.chances()
        bits = gains(view.belief, view.names, chances, ends - self.menu.widths)
        nothing = np.zeros(0)
        found: list[Found] = []
        for n in np.flatnonzero(bits > LEAST_BITS):
            m = self.menu.sights[n]
            own = chances[:, ends[n] - self.menu.widths[n] : ends[n]]
            if safe and self._risk(m, view.belief @ own) > RISKED:
                continue
            ranked = _ranked(m, float(bits[n]), visit.minutes(m))
            found.append(Found(ranked, nothing, nothing, own))
        return found

    def _risk(self, measurement: Measurement, chances: Array) -> float:
        """Chance that an act shows what had better not happen, such as another fuse blown."""
        sense = ACTS[measurement.function].sense
        if sense is None or not sense.risks:
            return 0.0
        words = outcomes(measurement, self.start.circuit)
        return float(chances[words.index(sense.risks)] / chances.sum())

    def _explain(self, found: Found, view: View) -> Ranked:
        ranked, low, high, chances = found
        said = tells(ranked.measurement, view.diagnosis, view.rows, low, high, chances)
        return replace(ranked, tells=said)


def _cheapest(numbers: Numbers, minutes: Array, alike: Numbers) -> Numbers:
    """Of measurements that tell the same, the one that takes least time."""
    order = numbers[np.lexsort((minutes[numbers], alike[numbers]))]
    first = np.ones(len(order), bool)
    first[1:] = alike[order[1:]] != alike[order[:-1]]
    return np.sort(order[first])


def _best(bits: Array, cost: Array, count: int) -> Numbers:
    """The best by the minute, and the best by bits alone."""
    by_rate = np.argsort(-bits / cost, kind="stable")[:count]
    by_bits = np.argsort(-bits, kind="stable")[: count // 4]
    return np.unique(np.concatenate([by_rate, by_bits]))


def _ranked(measurement: Measurement, bits: float, minutes: float) -> Ranked:
    return Ranked(
        measurement.red,
        measurement.black,
        measurement.function,
        measurement.positions,
        measurement.parted,
        bits,
        minutes,
    )
