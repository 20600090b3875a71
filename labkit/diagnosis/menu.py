"""Every measurement in reach, and what each would show under every set of faults."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from labkit.aboard.acts import ACTS
from labkit.aboard.safety.live import posts, worked_live
from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.diagnosis.cost import moved
from labkit.diagnosis.evidence import Measurement, outcomes
from labkit.diagnosis.faults import in_use
from labkit.diagnosis.hypotheses import Hypotheses
from labkit.diagnosis.positions import all_off
from labkit.diagnosis.probe import chances, clamp, readings, slack
from labkit.diagnosis.reach import clamp_places, switch_states, that_fit
from labkit.diagnosis.scale import Scale
from labkit.diagnosis.session import Diagnosis
from labkit.diagnosis.solved import Joined
from labkit.measuring.readings import readings as voltmeter
from labkit.parts import Effect, Part, Trait
from labkit.solving.arrays import Array, Flags, Numbers, Singles
from labkit.solving.ripple import may_ripple

STATES = 12
"""Positions of the switches that are looked through, the nearest to the circuit as found first."""

WEAK = 2e-3
"""A point whose voltage a meter changes by more than this is read with the meter in place. [V]"""


@dataclass(frozen=True)
class Block:
    """Measurements of one function in one state of the circuit."""

    function: str
    positions: Mapping[str, str]
    parted: frozenset[str]
    leads: list[tuple[str, str]]

    def measurement(self, number: int) -> Measurement:
        """One of the measurements."""
        red, black = self.leads[number]
        return Measurement(self.function, red, black, self.positions, self.parted)

    @property
    def alone(self) -> bool:
        """Whether it is a part on its own that is measured, one end of it apart."""
        return bool(self.parted) and self.leads[0][1] != NEGATIVE

    @property
    def bare(self) -> Measurement:
        """The state alone."""
        return Measurement("", "", "", self.positions, self.parted)


class Menu:
    """All measurements in reach of a diagnosis, and what each shows under each set of faults.

    Parameters
    ----------
    diagnosis : Diagnosis
    states : int
        How many positions of the switches to look through.
    without : collection of str
        Functions and acts there is no tool for, or no wish.

    Attributes
    ----------
    blocks : list of Block
    low, high : array
        Between what all blocks' measurements in turn read; measurements by sets. [sigma]
    sights : list of Measurement
        What is seen without a meter.
    widths : array of int
        How many outcomes each of them has.
    chances : array
        Of their outcomes, sets by all outcomes in turn.
    left_out : str
        What is not looked at, since its readings would not fit in memory; in a sentence.

    Raises
    ------
    CircuitError
        If nothing would fit; it says how large the boat is.
    """

    def __init__(
        self, diagnosis: Diagnosis, states: int = STATES, without: Collection[str] = ()
    ) -> None:
        self.known: Hypotheses = diagnosis.known
        self.circuit = diagnosis.circuit
        self._scale = diagnosis.scale
        found = list(switch_states(self.circuit))[:states]
        pairs, found, self.left_out = that_fit(self.circuit, found, len(self.known.sets))
        metered = (*self._volts_and_clamp(pairs, found), *self._ohms(), *self._amps())
        blocks = (*metered, *self._ripple())
        self.blocks = [block for block in blocks if block.function not in without]
        self.sights = [m for m in self._seen(found) if m.function not in without]
        self.widths = np.array([len(outcomes(m, self.circuit)) for m in self.sights], np.intp)
        self.low: Singles = np.zeros((sum(len(b.leads) for b in self.blocks), 0), np.float32)
        self.high = self.low
        self.chances: Array = np.zeros((0, int(self.widths.sum())))

    def refresh(self) -> None:
        """Work out what is not worked out yet: first everything, later for new sets of faults."""
        done, size = self.low.shape[1], len(self.known.sets)
        if done < size:
            fresh = np.arange(done, size)
            read = [self.read(block, fresh) for block in self.blocks]
            self.low = np.hstack([self.low, np.vstack([low for low, _ in read])])
            tops = np.hstack([self.high, np.vstack([high for _, high in read])])
            self.high = tops if self.known.shifts else self.low
            seen = [chances(self.known, m)[fresh] for m in self.sights]
            self.chances = np.vstack([self.chances, np.hstack(seen)]) if seen else self.chances

    def measurement(self, number: int) -> Measurement:
        """One of all blocks' measurements, by its number."""
        for block in self.blocks:
            if number < len(block.leads):
                return block.measurement(number)
            number -= len(block.leads)
        raise IndexError(number)

    # -- what there is to measure -----------------------------------------------------------------

    def _volts_and_clamp(
        self, pairs: list[tuple[str, str]], states: list[Mapping[str, str]]
    ) -> Iterator[Block]:
        wires = [(t, "") for t in clamp_places(self.circuit)]
        for positions in states:
            yield Block("volts", positions, frozenset(), pairs)
            yield Block("clamp", positions, frozenset(), wires)

    def _ohms(self) -> Iterator[Block]:
        """Each part on its own with one connection apart, and what is dead against DC-.

        A load is taken off for the latter as well, since it would hide what its feed has to DC-.
        """
        off = all_off(self.circuit)
        for part in self.circuit.parts.values():
            if Trait.NOT_OHMS in part.traits:
                continue
            first, second = part.ways()[0]
            positions = {**off, part.id: part.choices[0]} if part.choices else off
            apart, other = f"{part.id}:{first}", f"{part.id}:{second}"
            if not {apart, other} <= set(self.circuit.node_of):
                continue
            functions = ("ohms", "diode") if Trait.JUNCTION in part.traits else ("ohms",)
            for function in functions:
                yield Block(
                    function,
                    moved(self.circuit, positions),
                    self._dead(positions, apart),
                    [(apart, other)],
                )
        leads = [(place, NEGATIVE) for place in self._feeds()]
        yield Block("ohms", moved(self.circuit, off), frozenset(), leads)
        for part in self.circuit.parts.values():
            apart = f"{part.id}:{part.ways()[0][0]}"
            if _may_short(part) and self.circuit.node_of.get(apart, NEGATIVE) != NEGATIVE:
                feed = [m for m in self._members(apart) if m != apart]
                if feed:
                    leads = [(feed[0], NEGATIVE)]
                    yield Block("ohms", moved(self.circuit, off), self._dead(off, apart), leads)

    def _ripple(self) -> Iterator[Block]:
        """Across each source that may ripple, with all in use."""
        places = [posts(part) for part in self.circuit.parts.values() if may_ripple(part)]
        if places:
            positions = moved(self.circuit, in_use(self.circuit)[0])
            yield Block("volts-ac", positions, frozenset(), [(b, a) for a, b in places])

    def _dead(self, positions: Mapping[str, str], apart: str) -> frozenset[str]:
        """A terminal to take apart, and the negatives of the sources where else it were live."""
        there = self.circuit.with_position(**positions)
        if not worked_live(there, [apart], apart):
            return frozenset({apart})
        ends = (posts(p)[0] for p in there.parts.values() if Trait.SOURCE in p.traits)
        return frozenset({apart, *(end for end in ends if end in there.node_of)})

    def _feeds(self) -> list[str]:
        """Where a short is looked for: behind each fuse, and at each load's first terminal."""
        found = []
        for part in self.circuit.parts.values():
            protects = Trait.PROTECTION in part.traits
            terminal = f"{part.id}:{part.ways()[0][protects]}"
            looked_for = protects or _may_short(part)
            if looked_for and self.circuit.node_of.get(terminal, NEGATIVE) != NEGATIVE:
                found.append(self.circuit.node_of[terminal])
        return list(dict.fromkeys(found))

    def _amps(self) -> Iterator[Block]:
        """A meter in place of each fuse, as the switches stand and with everything off."""
        for positions in (moved(self.circuit, {}), moved(self.circuit, all_off(self.circuit))):
            for part in self.circuit.parts.values():
                first = f"{part.id}:1"
                if Trait.CARTRIDGE in part.traits and self._shared(first):
                    parted = frozenset({first})
                    rest = self.circuit.with_parted(first)
                    other = next(m for m in self._members(first) if m != first)
                    yield Block("amps", positions, parted, [(rest.node_of[other], first)])

    def _members(self, terminal: str) -> tuple[str, ...]:
        return next(j.members for j in self.circuit.junctions if terminal in j.members)

    def _shared(self, terminal: str) -> bool:
        return len(self._members(terminal)) > 1

    def _seen(self, states: list[Mapping[str, str]]) -> Iterator[Measurement]:
        """What can be asked without a meter, as the records of the acts say."""
        found: dict[str, list[Mapping[str, str]]] = {
            "every": states,
            "found": [{}],
            "in use": list(in_use(self.circuit)),
        }
        for act in ACTS.values():
            if act.sense is None:
                continue
            about = list(act.sense.about(self.circuit))
            for positions in found[act.sense.when]:
                there = moved(self.circuit, positions)
                yield from (Measurement(act.name, a, b, there) for a, b in about)

    # -- what it would read ---------------------------------------------------------------------

    def read(self, block: Block, fresh: Numbers, sure: bool = False) -> tuple[Singles, Singles]:
        """Between what each measurement of a block would read under some sets of faults.

        Of a boat whose sources are `sure` there is nothing between.
        """
        scale: Scale = self._scale(block.function)
        if block.function not in ("volts", "clamp"):
            found = [self._metered(block, n, fresh) for n in range(len(block.leads))]
            same = scale.u(np.stack(found)).astype(np.float32)
            return same, same
        points = self.known.points(block.bare)
        bare = _bare(block, points, fresh)
        u = scale.u(
            self._voltages(block, points, bare, fresh) if block.function == "volts" else bare
        )
        shifts = range(0 if sure else len(self.known.shifts))
        moved = [scale.u(_bare(block, self.known.points(block.bare, n), fresh)) for n in shifts]
        room = slack(scale.u(bare), moved, scale.end)
        return (u - room).astype(np.float32), (u + room).astype(np.float32)

    def _metered(self, block: Block, number: int, fresh: Numbers) -> Array:
        """Readings with the meter in place; of a part taken out, only its own faults matter."""
        measurement = block.measurement(number)
        if block.function not in ("ohms", "diode") or not block.alone:
            return readings(self.known, measurement, fresh, quick=True)
        id = measurement.red.split(":")[0]
        sets = self.known.sets
        own = [n for n in fresh if any(f.part == id for f in sets[n])]
        sound = next(n for n, faults in enumerate(sets) if all(f.part != id for f in faults))
        solved = readings(self.known, measurement, np.array([sound, *own]), quick=True)
        found = np.full(len(fresh), solved[0])
        found[np.searchsorted(fresh, own)] = solved[1:]
        return found

    def _voltages(self, block: Block, points: Joined, bare: Array, fresh: Numbers) -> Array:
        """Voltages of all pairs, with the meter in place where its presence counts.

        It counts behind a diode, and where the circuit chatters. That a meter may make electronics
        flutter which are switched off is left out.
        """
        read = bare.copy()
        places = list(dict.fromkeys(lead for pair in block.leads for lead in pair))
        column = {place: n for n, place in enumerate(places)}
        red = np.array([column[r] for r, _ in block.leads])
        black = np.array([column[b] for _, b in block.leads])
        doubtful = np.isnan(read)
        circuits = self.known.circuits(points.base, fresh)
        if any(Trait.JUNCTION in part.traits for part in points.base.parts.values()):
            alone = voltmeter(circuits, [(place, NEGATIVE) for place in places]).volts.T
            floats = np.stack([points.floating(place)[fresh] for place in places])
            volts = points.volts(places).T[:, fresh]
            weak = np.abs(alone - np.where(floats, 0.0, volts)) > WEAK
            doubtful |= weak[red] | weak[black]
        usual = doubtful.mean(1) > 0.5
        self._reread(read, usual, np.ones(len(fresh), bool), circuits, block.leads)
        doubtful[usual] = False
        rest, sets = np.atleast_1d(doubtful.any(1)), np.atleast_1d(doubtful.any(0))
        self._reread(read, rest, sets, circuits, block.leads)
        return read

    @staticmethod
    def _reread(
        read: Array,
        pairs: Flags,
        sets: Flags,
        circuits: list[Circuit],
        leads: list[tuple[str, str]],
    ) -> None:
        """Read some pairs of some sets anew, with the meter in place."""
        if pairs.any() and sets.any():
            these = [circuits[n] for n in np.flatnonzero(sets)]
            made = voltmeter(these, [leads[n] for n in np.flatnonzero(pairs)])
            read[np.ix_(pairs, sets)] = made.volts.T


def _bare(block: Block, points: Joined, fresh: Numbers) -> Array:
    """Voltages or currents of a block from operating points without a meter."""
    if block.function == "clamp":
        return np.stack([clamp(points, red)[fresh] for red, _ in block.leads])
    found = np.zeros((len(block.leads), len(fresh)))
    for n, (red, black) in enumerate(block.leads):
        loose = points.floating(red) | points.floating(black)
        volts = points.row("volts", red) - points.row("volts", black)
        found[n] = np.where(loose, 0.0, volts)[fresh]
    return found


def _may_short(part: Part) -> bool:
    """Tell whether a part is a load that may lay its feed to DC-: through itself, or beside it."""
    effects = {mode.effect for mode in part.modes.values()}
    return part.uses() == part.ways() and bool(effects & {Effect.BRIDGES, Effect.LEAKS})
