"""The measurements most worth taking next: information for the time they take."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from labkit.circuit import Circuit
from labkit.diagnosis.cost import Visit, act_minutes
from labkit.diagnosis.evidence import Evidence, Measurement
from labkit.diagnosis.explain import tells
from labkit.diagnosis.information import HARD_BIN, gain, hard_gain, soft_gain
from labkit.diagnosis.menu import LIVE, Block, Menu, moved
from labkit.diagnosis.session import Diagnosis
from labkit.faults import Candidate
from labkit.meter import AMPS_FUSE

Array = npt.NDArray[np.float64]
Numbers = npt.NDArray[np.intp]

CLOSER_LOOK = 100
"""So many of the best after the quick look are worked out exactly."""

NEGLIGIBLE = 1e-7
"""Rows believed less than this do not change a ranking."""

UNSAFE = 0.01
"""A measurement that would be dangerous with this chance is not advised."""

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


def rank(
    circuit: Circuit,
    evidence: Iterable[Evidence] = (),
    candidates: Iterable[Candidate] | None = None,
    top: int = 10,
    safe: bool = True,
) -> list[Ranked]:
    """Rank the measurements in reach by information a minute.

    Parameters
    ----------
    circuit : Circuit
        As found; its own faults are left out of account.
    evidence : iterable of Evidence
        What is known already, in the order it was found.
    candidates : iterable of Candidate, optional
        All of :func:`labkit.faults.candidates` where not given.
    top : int
        How many to return.
    safe : bool
        Leave out what could be dangerous: ohms on a live circuit, a meter in line with more than
        its fuse carries.

    Returns
    -------
    list of Ranked
        The best first; empty where nothing in reach tells anything more.
    """
    listed = None if candidates is None else tuple(candidates)
    adviser = _adviser(_Key(circuit), listed)
    seen = tuple(evidence)
    diagnosis = adviser.start.copy().see(*seen)
    return adviser.rank(diagnosis, Visit.after(circuit, seen), top, safe)


class _Key:
    """A circuit as found, as a key: the same file in the same state is the same circuit."""

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit.without_faults()
        c = self.circuit
        self._key = (
            id(c.parts), id(c.runs), c.system, tuple(c.positions.items()), c.parted, c.bridges,
        )  # fmt: skip

    def __hash__(self) -> int:
        return hash(self._key)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Key) and self._key == other._key


@lru_cache(maxsize=4)
def _adviser(key: _Key, listed: tuple[Candidate, ...] | None) -> Adviser:
    return Adviser(Diagnosis(key.circuit, listed))


class Adviser:
    """Ranks measurements for one circuit, keeping what does not change from call to call.

    Parameters
    ----------
    diagnosis : Diagnosis
        Before any evidence.
    """

    def __init__(self, diagnosis: Diagnosis) -> None:
        self.start = diagnosis
        self.menu = Menu(diagnosis)
        self._minutes: dict[int, Array] = {}

    def rank(
        self, diagnosis: Diagnosis, visit: Visit, top: int = 10, safe: bool = True,
        explained: bool = True,
    ) -> list[Ranked]:  # fmt: skip
        """Rank the measurements in reach from what is believed and where one stands."""
        self.menu.refresh()
        view = View(self.menu, diagnosis)
        done_so_far = (*diagnosis.evidence, *diagnosis.supposed)
        done = {same_as(self.start.circuit, item) for item in done_so_far}
        minutes = [self._block_minutes(block, visit) for block in self.menu.blocks]
        allowed = [self._allowed(block, view, safe) for block in self.menu.blocks]
        found = self._metered(view, minutes, allowed, top, done) + self._seen(view, visit, done)
        found.sort(key=lambda item: -item[0].rate)
        return [
            self._explain(ranked, low, high, chances, view) if explained else ranked
            for ranked, low, high, chances in found[:top]
        ]

    # -- with the meter -----------------------------------------------------------------------

    def _metered(
        self, view: View, minutes: Sequence[Array], allowed: Sequence[npt.NDArray[np.bool_]],
        top: int, done: set[object],
    ) -> list[_Found]:  # fmt: skip
        low, high, where = view.intervals(allowed)
        if not len(low):
            return []
        cost = np.concatenate([m[a] for m, a in zip(minutes, allowed, strict=True)])
        codes = np.floor((low + high) / (2 * HARD_BIN)).astype(np.int32)
        first = hard_gain(view.belief, view.names, codes)
        short = _best(first, cost, max(CLOSER_LOOK, 2 * top))
        bits = soft_gain(view.belief, view.names, low[short], high[short])
        found: list[_Found] = []
        for n, worth in zip(short, bits, strict=True):
            block, number = where[n]
            measurement = block.measurement(number)
            if worth > LEAST_BITS and same_as(self.start.circuit, measurement) not in done:
                ranked = _ranked(measurement, float(worth), float(cost[n]))
                found.append((ranked, low[n], high[n], None))
        return found

    def _block_minutes(self, block: Block, visit: Visit) -> Array:
        """Minutes of each measurement of a block, as Visit.minutes has them."""
        change = visit.change(block.positions, block.parted)
        there = {visit.label(p) for p in visit.state_places(block.positions, block.parted)}
        ways = {label: visit.way([label]) for label in there}
        before = sum(ways.values()) + change + act_minutes(block.measurement(0))
        found = np.full(len(block.leads), before)
        for n, leads in enumerate(block.leads):
            labels = {visit.label(lead) for lead in leads if lead} - there
            found[n] += visit.way(labels)
        return found

    def _allowed(self, block: Block, view: View, safe: bool) -> npt.NDArray[np.bool_]:
        """Measurements of a block that are no danger whichever row is true."""
        every = np.ones(len(block.leads), bool)
        if not safe or block.function not in ("ohms", "diode", "amps"):
            return every
        if block.function == "amps":
            most = view.diagnosis.scale("amps").u(np.array(AMPS_FUSE))
            size = np.abs(block.u[:, view.sets]).max(2)
            danger: Array = (size > most) @ view.belief
            return danger < UNSAFE
        if block.parted:
            return every
        points = self.menu.known.points(block.bare)
        volts = np.abs(np.nan_to_num(points.volts([red for red, _ in block.leads])))
        alive: Array = view.belief @ (volts[view.sets].max(1) > LIVE)
        return alive < UNSAFE

    # -- without ----------------------------------------------------------------------------------

    def _seen(self, view: View, visit: Visit, done: set[object]) -> list[_Found]:
        found: list[_Found] = []
        nothing = np.zeros(0)
        for sight in self.menu.sights:
            if same_as(self.start.circuit, sight.measurement) in done:
                continue
            chances = sight.chances[view.sets].mean(1)
            bits = gain(view.belief, view.names, chances)
            if bits > LEAST_BITS:
                ranked = _ranked(sight.measurement, bits, visit.minutes(sight.measurement))
                found.append((ranked, nothing, nothing, chances))
        return found

    def _explain(
        self, ranked: Ranked, low: Array, high: Array, chances: Array | None, view: View
    ) -> Ranked:
        said = tells(ranked.measurement, view.diagnosis, view.rows, low, high, chances)
        return Ranked(
            ranked.red, ranked.black, ranked.function, ranked.positions, ranked.parted,
            ranked.bits, ranked.minutes, said,
        )  # fmt: skip


_Found = tuple[Ranked, Array, Array, Array | None]


class View:
    """The rows that matter for a ranking, and what they predict.

    Attributes
    ----------
    rows : array of int
        Numbers of the rows.
    belief, names : array
        Of these rows.
    sets : array of int
        Rows by their three sets of faults.
    """

    def __init__(self, menu: Menu, diagnosis: Diagnosis) -> None:
        self.menu, self.diagnosis = menu, diagnosis
        self.rows = np.flatnonzero(diagnosis.belief > NEGLIGIBLE)
        belief = diagnosis.belief[self.rows]
        self.belief = belief / belief.sum()
        _, names = np.unique(diagnosis.known.name_of[self.rows], return_inverse=True)
        self.names: Numbers = names.astype(np.intp)
        self.sets = diagnosis.sets[self.rows]

    def intervals(
        self, allowed: Sequence[npt.NDArray[np.bool_]]
    ) -> tuple[Array, Array, list[tuple[Block, int]]]:
        """Between what each row predicts each measurement to read. [sigma]"""
        low, high, where = [], [], []
        for block, use in zip(self.menu.blocks, allowed, strict=True):
            numbers = np.flatnonzero(use)
            if not len(numbers):
                continue
            u = block.u[numbers][:, self.sets]
            low.append(u.min(2))
            high.append(u.max(2))
            where += [(block, int(n)) for n in numbers]
        return np.concatenate(low), np.concatenate(high), where


def _best(bits: Array, cost: Array, count: int) -> Numbers:
    """The best by the minute, and the best by bits alone."""
    by_rate = np.argsort(-bits / cost, kind="stable")[:count]
    by_bits = np.argsort(-bits, kind="stable")[: count // 4]
    return np.unique(np.concatenate([by_rate, by_bits]))


def _ranked(measurement: Measurement, bits: float, minutes: float) -> Ranked:
    return Ranked(
        measurement.red, measurement.black, measurement.function, measurement.positions,
        measurement.parted, bits, minutes,
    )  # fmt: skip


def same_as(circuit: Circuit, item: Measurement) -> object:
    """A key that measurements share which are the same but for names or for leads swapped."""
    at = {m: j.label for j in circuit.junctions for m in j.members}
    places = (at.get(item.red, item.red), at.get(item.black, item.black))
    leads: object = frozenset(places) if item.function == "volts" else places
    there = tuple(sorted(moved(circuit, item.positions).items()))
    return item.function, leads, there, item.parted, item.jumper, item.lamp
