"""Many operating points at once: hypotheses by severities by switch positions, solved on arrays.

What `solver.solve` says of one circuit, `solve_many` says of each of thousands, in a small
fraction of the time; the formulas, the elimination and the rules of settling are the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from labkit.circuits.circuit import Circuit
from labkit.parts import Trait, Trip
from labkit.parts.laws import Value
from labkit.solving.arrays import Array, Flags, Numbers, Words
from labkit.solving.elimination import REFERENCE
from labkit.solving.network_many import flatten_many, positions_of
from labkit.solving.readout import STEADY, currents, flows, speed, which_state
from labkit.solving.settling_many import Settled, beyond, settle_many

CHUNK = 5000
"""Circuits solved together; more would not fit a processor's cache, fewer pay the overhead."""


@dataclass(frozen=True, repr=False)
class OperatingPoints:
    """What many circuits settle to; every array has one entry a circuit, in the order given.

    Attributes
    ----------
    size : int
    volts : dict of str to array
        Of every terminal and named node against DC-; nan where nothing ties it to DC-, where it
        will not settle or where a circuit lacks it. [V]
    amps, speeds : dict of str to array
        With the keys of :class:`.solver.OperatingPoint`; nan where not settled. [A, -]
    states : dict of str to array of str
        In the words of :class:`labkit.solving.solver.OperatingPoint`, 'chattering' included.
    floating : dict of str to array of bool
        Whether no conducting path ties a terminal or named node to DC-.
    chattering : array of bool
        Whether some part goes on changing for ever.
    opened : dict of str to array of bool
        Fuses and breakers, and whether they opened.
    unsolved : dict of int to str
        Circuits no solution was found for, and why; they are nan everywhere. Never a wrong number.
    """

    size: int
    volts: Mapping[str, Array]
    amps: Mapping[str, Array]
    speeds: Mapping[str, Array]
    states: Mapping[str, Words]
    floating: Mapping[str, Flags]
    chattering: Flags
    opened: Mapping[str, Flags]
    unsolved: Mapping[int, str]

    def __repr__(self) -> str:
        return f"<OperatingPoints of {self.size} circuits>"


def solve_many(circuits: Sequence[Circuit], exact: bool = True) -> OperatingPoints:
    """Find the operating points of many circuits.

    Parameters
    ----------
    circuits : sequence of Circuit
        Of one boat for speed: made from one circuit by faults, positions, connections taken apart
        and bridges. Those that share what is apart and what is bridged are solved together.
    exact : bool
        Solve with the whole boat where a curve that stands for what is far does not hold. False
        goes on along its tangent: for where to look only, never for a reading.

    Returns
    -------
    OperatingPoints
    """
    size = len(circuits)
    found = _Points(size, {}, {}, {}, {}, {}, {})
    chattering, unsolved = np.zeros(size, bool), {}
    for columns in alike(circuits):
        these = [circuits[n] for n in columns]
        settled = settle_many(flatten_many(these))
        points = _read(these, settled)
        for here, other in settled.others:
            chattering[columns[here]] = True
            points.merge(here, _read([these[n] for n in here], other))
        found.put(columns, points)
        for place, names in settled.stuck.items():
            unsolved[int(columns[place])] = f"no operating point found; still moving: {names}"
        far = columns[beyond(settled)]
        if exact and far.size:  # a curve that stands for a part of the boat does not hold there
            whole = solve_many([circuits[n].unreduced() for n in far])
            found.put(far, _only(whole, points))
            chattering[far] = whole.chattering
            unsolved = {n: why for n, why in unsolved.items() if n not in far}
            unsolved |= {int(far[n]): why for n, why in whole.unsolved.items()}
    return OperatingPoints(
        size,
        found.volts,
        found.amps,
        found.speeds,
        found.states,
        found.floating,
        chattering,
        found.opened,
        dict(sorted(unsolved.items())),
    )


def alike(circuits: Sequence[Circuit]) -> Iterator[Numbers]:
    """Numbers of circuits of the same structure, at most CHUNK at a time."""
    groups: dict[object, list[int]] = {}
    last, numbers = None, []
    for n, c in enumerate(circuits):
        # Mostly as the last one: looked at first, since it is the quickest.
        if not (
            last is not None
            and c.parts is last.parts
            and c.runs is last.runs
            and c.parted is last.parted
            and c.bridges is last.bridges
            and c.system == last.system
        ):
            key = (id(c.parts), id(c.runs), c.system, c.parted, c.bridges)
            last, numbers = c, groups.setdefault(key, [])
        numbers.append(n)
    for numbers in groups.values():
        for start in range(0, len(numbers), CHUNK):
            yield np.array(numbers[start : start + CHUNK])


@dataclass
class _Points:
    """Arrays as in :class:`OperatingPoints`."""

    size: int
    volts: dict[str, Array]
    amps: dict[str, Array]
    speeds: dict[str, Array]
    states: dict[str, Words]
    floating: dict[str, Flags]
    opened: dict[str, Flags]

    def put(self, columns: Numbers, part: _Points) -> None:
        """Fill in some columns; what was not there before is nan, False or '' in the others."""
        empty: Value
        for name, empty in (
            ("volts", np.nan),
            ("amps", np.nan),
            ("speeds", np.nan),
            ("states", _NO_WORD),
            ("floating", False),
            ("opened", False),
        ):
            mine, new = getattr(self, name), getattr(part, name)
            for key, row in new.items():
                if len(columns) == self.size:
                    mine[key] = row
                else:
                    mine.setdefault(key, np.full(self.size, empty))[columns] = row

    def merge(self, here: Numbers, other: _Points) -> None:
        """Take away what differs in another state that these columns go round in."""
        for mine, new in (
            (self.volts, other.volts),
            (self.amps, other.amps),
            (self.speeds, other.speeds),
        ):
            for key, row in mine.items():
                row[here[~(np.abs(row[here] - new[key]) <= STEADY)]] = np.nan
        for key, words in self.states.items():
            stays = np.ones(self.size, bool)
            stays[here] = words[here] == other.states[key]
            self.states[key] = np.where(stays, words, "chattering")


def _only(whole: OperatingPoints, points: _Points) -> _Points:
    """Of a whole boat's operating points what is there of a part of her."""
    kept = {
        name: {key: row for key, row in getattr(whole, name).items() if key in there}
        for name, there in vars(points).items()
        if name != "size"
    }
    return _Points(whole.size, **kept)


_NO_WORD = np.array("", dtype="<U16")


def _read(circuits: Sequence[Circuit], settled: Settled) -> _Points:
    """Rows for every terminal, part and way, as a single operating point has numbers."""
    net, solution = settled.net, settled.solution
    size, base = len(circuits), circuits[0]
    floats = [island != REFERENCE for island in solution.islands]
    volts = [
        np.where(f, np.nan, v) if f.any() else v
        for f, v in zip(floats, solution.volts, strict=True)
    ]
    amps: dict[str, Array] = {}
    speeds = {}
    flowing = flows(net, solution.amps, np)
    for id, part in base.parts.items():
        amps.update(currents(part, flowing.get(id, {}), np.zeros(size)))
        if Trait.TURNS in part.traits:
            with np.errstate(invalid="ignore"):
                speeds[id] = speed(net, solution.inner, id, np, np.zeros(size))
    opened: dict[str, Flags] = {}
    for settler, state in zip(net.settlers, settled.states, strict=True):
        if isinstance(settler.device, Trip):
            opened[settler.owner] = opened.get(settler.owner, state) | state
    return _Points(
        size,
        {m: volts[net.node_of[m]] for m in base.node_of},
        amps,
        speeds,
        _words(circuits, settled),
        {m: floats[net.node_of[m]] for m in base.node_of},
        opened,
    )


def _words(circuits: Sequence[Circuit], settled: Settled) -> dict[str, Words]:
    """States in words, as of a single operating point."""
    net, size, base = settled.net, len(circuits), circuits[0]
    there = {s.owner: np.zeros(size, bool) for s in net.settlers}
    on = {s.owner: np.zeros(size, bool) for s in net.settlers}
    for settler, state in zip(net.settlers, settled.states, strict=True):
        there[settler.owner] |= np.asarray(settler.active) > 0
        on[settler.owner] |= state
    nowhere = np.zeros(size, bool)
    settings, setting = positions_of(circuits)
    found = {}
    words: list[str]
    which: Value
    for id, part in base.parts.items():
        has, acts = there.get(id, nowhere), on.get(id, nowhere)
        if any(part.states):
            words, which = list(part.states), which_state(has, acts, np)
        elif id in base.positions:
            words, which = [positions[id] for positions in settings], setting
        else:
            continue
        found[id] = np.array(words)[np.asarray(which, dtype=np.intp)]
    return found
