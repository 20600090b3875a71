"""One described boat: what may be wrong with it, and what it would read, worked out when asked."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from types import MappingProxyType

import numpy as np

from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.diagnosis.evidence import Measurement
from labkit.diagnosis.faults import candidates, ohms_in_use
from labkit.diagnosis.menu import Block, Menu
from labkit.diagnosis.probe import chances, clamp, metered
from labkit.diagnosis.session import Diagnosis
from labkit.measuring.meter import AMPS_BURDEN, LEADS, OHMS_EMF
from labkit.ownboat.adjoint import Moves, moves
from labkit.ownboat.figures import figures, middle
from labkit.ownboat.held import Rows
from labkit.ownboat.load_tests import LoadTests
from labkit.ownboat.scales import OHMS
from labkit.ownboat.store import Store
from labkit.parts.laws import Linear
from labkit.parts.traits import Trait
from labkit.solving.arrays import Array, Flags, Numbers
from labkit.solving.elimination import REFERENCE
from labkit.solving.network_many import flatten_many
from labkit.solving.settling_many import settle_many

STATES_NOT_CAUSES = ("low",)
"""Modes that are no suspects: the battery as it is found is a state, which is measured."""

MISTAKEN = 0.03
"""Chance that somebody aboard reports another word than another would. Common practice."""

MILD = 0.06
"""One more resistance somewhere costs about this share of the system's voltage."""

_TIE = Linear.resistor(1e12)
_REFERENCE = 4 * 600.0  # of the ohms function's lowest range [ohm]


@dataclass
class _State:
    """What is known of the boat in one state of its switches and connections."""

    base: Circuit
    labels: list[str]
    volts: Store = field(default_factory=Store)
    moves: Store = field(default_factory=Store)
    currents: dict[str, Store] = field(default_factory=dict)

    def place(self, point: str) -> int:
        """Number of a point's node; the last is DC-."""
        return self.labels.index(self.base.node_of[point])


class Boat:
    """A described boat, with everything that may be wrong with it and everything not exactly known.

    Parameters
    ----------
    circuit : Circuit
        As described; its own faults are left out of account.
    without : iterable of str
        Functions and acts there is no tool for, such as 'clamp'.
    out_of_reach : iterable of str
        Parts that nobody can get at.
    """

    def __init__(
        self, circuit: Circuit, without: Iterable[str] = (), out_of_reach: Iterable[str] = ()
    ) -> None:
        self.drawn = circuit.without_faults()
        self.circuit = middle(self.drawn)
        self.figures = figures(self.circuit)
        listed = [
            c
            for c in candidates(self.circuit)
            if not any(f.mode in STATES_NOT_CAUSES for f in c.faults)
        ]
        total = sum(c.weight for c in listed)
        self.known = Rows(self.circuit, [replace(c, weight=c.weight / total) for c in listed])
        self.edge = {id: self._rows_like(rows) for id, rows in self.known.edge.items()}
        start = Diagnosis(self.circuit, known=self.known)
        self.sets = start.sets
        self.menu = Menu(start)
        lacking, away = set(without), set(out_of_reach)
        blocks = [b for b in self.menu.blocks if b.function not in lacking]
        self.blocks = [kept for b in blocks if (kept := _in_reach(b, away)).leads]
        self.sights = [
            m
            for m in self.menu.sights
            if m.function not in lacking and (m.function == "look" or m.red not in away)
        ]
        self.extra = self._one_more()
        self.load_tests = LoadTests(self.circuit, self.figures)
        self._awake = any(Trait.JUNCTION in part.traits for part in self.circuit.parts.values())
        self._states: dict[object, _State] = {}
        self._single: dict[object, tuple[Store, Store]] = {}
        self._seen: dict[object, Store] = {}
        self._faulty: dict[str, list[int]] = {}
        self._sorted = 0  # so many sets of faults are in it

    def _rows_like(self, rows: set[int]) -> Flags:
        """Flags of all rows whose candidate is that of one of these."""
        these = {self.known.rows[n].candidate for n in rows}
        return np.array([row.candidate in these for row in self.known.rows])

    def _one_more(self) -> list[tuple[int, float]]:
        """Figures that one more resistance may stand beside, and its size in their deviations."""
        found = []
        for k, figure in enumerate(self.figures):
            ohms = ohms_in_use(self.circuit, self.circuit.parts[figure.part])
            if figure.what == "ohms" and ohms is not None:
                found.append((k, MILD * ohms / figure.ohms))
        return found

    # -- voltages --------------------------------------------------------------------------------

    def state(self, measurement: Measurement) -> _State:
        """What is known in the state a measurement asks for."""
        found = self._states.get(measurement.state)
        if found is None:
            base = self.known.brought(measurement)
            labels = [x for x in dict.fromkeys(base.node_of.values()) if x != NEGATIVE]
            found = self._states[measurement.state] = _State(base, [*labels, NEGATIVE])
        return found

    def volts(
        self, measurement: Measurement, sets: Numbers, rest: Numbers | None = None
    ) -> tuple[Array, Numbers]:
        """Voltages of all nodes in a state, and the island each is on; nan where unsteady.

        `rest` are sets that will be asked for: see :meth:`.Store.get`.
        Between nodes of one island there is the difference of their voltages, and between others
        none to speak of.
        """
        state, bare = self.state(measurement), replace(measurement, function="", red="", black="")

        def make(numbers: Numbers) -> Array:
            points = self.known.only(numbers).points(bare)
            volts = points.volts(state.labels[:-1])
            loose = np.stack([points.floating(label) for label in state.labels[:-1]], 1)
            rows = np.zeros((len(numbers), 2, len(state.labels)))
            rows[:, 0, :-1] = volts
            afloat = np.flatnonzero(loose.any(1))
            if afloat.size:
                there, islands = self._afloat(state, numbers[afloat])
                off = np.concatenate([loose[afloat], np.zeros((len(afloat), 1), bool)], 1)
                rows[afloat, 0] = np.where(off, there, rows[afloat, 0])
                rows[afloat, 1] = np.where(off, islands, REFERENCE)
            return rows

        found = state.volts.get(sets, make, rest)
        return found[:, 0], found[:, 1].astype(np.intp)

    def _afloat(self, state: _State, numbers: Numbers) -> tuple[Array, Array]:
        """Voltages inside islands that nothing ties to DC-, and the islands."""
        settled = settle_many(flatten_many(self.known.circuits(state.base, numbers)))
        nodes = [settled.net.node_of[label] for label in state.labels]
        size = len(numbers)
        solution = settled.solution
        volts = np.stack([np.broadcast_to(solution.volts[n], size) for n in nodes], 1)
        islands = np.stack([np.broadcast_to(solution.islands[n], size) for n in nodes], 1)
        return np.asarray(volts, float), np.asarray(islands, float)

    def moves(self, measurement: Measurement, sets: Numbers, rest: Numbers | None = None) -> Array:
        """Moves of all nodes in a state; sets by figures by nodes."""
        state = self.state(measurement)

        def make(numbers: Numbers) -> Array:
            made = moves(self.known.circuits(state.base, numbers), self.figures)
            self._note_currents(state, numbers, made)
            nodes = [made.net.node_of[label] for label in state.labels]
            return made.moves[..., nodes].astype(np.float32)

        return np.asarray(state.moves.get(sets, make, rest), float)

    def _note_currents(self, state: _State, numbers: Numbers, made: Moves) -> None:
        for id, part in self.circuit.parts.items():
            for terminal in part.terminals:
                ways = [way for way in part.ways() if terminal in way]
                names = {role for way in ways for role in part.roles(way)}
                names |= {"main", "reversed"} if len(part.ways()) == 1 else set()
                wires = [
                    (n, -1.0 if wire.role == "reversed" else 1.0)
                    for n, wire in enumerate(made.net.wires)
                    if wire.owner == id and wire.role in names
                ]
                store = state.currents.setdefault(f"{id}:{terminal}", Store())
                rows = made.through(wires).astype(np.float32)
                store.get(numbers, lambda _, rows=rows: rows)  # type: ignore[misc]

    # -- one reading -----------------------------------------------------------------------------

    def reading(self, m: Measurement, sets: Numbers) -> tuple[Array, Array]:
        """What a measurement would read at the mildest, the typical and the worst of each row.

        Returns
        -------
        array
            Three by rows; infinite over range, nan unsteady.
        array
            Moves, rows by figures.
        """
        if m.function in ("volts", "low-z"):
            return self._between(m, sets)
        if m.function == "clamp":
            return self._clamped(m, sets)
        return self._metered(m, sets)

    def _between(self, m: Measurement, sets: Numbers) -> tuple[Array, Array]:
        state = self.state(m)
        a, b = state.place(m.red), state.place(m.black or NEGATIVE)
        found = self.moves(m, sets[:, 1])
        three = [self.volts(m, sets[:, n]) for n in range(3)]
        joined = np.stack([islands[:, a] == islands[:, b] for _, islands in three])
        if self._awake or m.function == "low-z":
            read = self._read(m, sets)
        else:
            read = np.where(joined, np.stack([v[:, a] - v[:, b] for v, _ in three]), 0.0)
        return read, np.where(joined[1][:, None], found[..., a] - found[..., b], 0.0)

    def _read(self, m: Measurement, sets: Numbers) -> Array:
        """Readings with the meter in the circuit, three by rows."""
        store, _ = self._single.setdefault(_key(m), (Store(), Store()))
        rest = self._own(self._alone(m)) if self._alone(m) else None
        flat = store.get(sets.ravel(), lambda n: metered(self._circuits(m, n), m, quick=True), rest)
        return np.asarray(flat.reshape(sets.shape).T)

    def _circuits(self, m: Measurement, numbers: Numbers) -> list[Circuit]:
        """The boat with each set of faults; of what is measured on its own, that part alone."""
        base, id = self.known.brought(m), self._alone(m)
        if id:
            base = replace(base, parts=MappingProxyType({id: base.parts[id]}))
        return self.known.circuits(base, numbers)

    def _clamped(self, m: Measurement, sets: Numbers) -> tuple[Array, Array]:
        self.moves(m, sets[:, 1])
        store = self.state(m).currents[m.red]
        moved = store.get(sets[:, 1], lambda n: np.zeros((len(n), len(self.figures))))
        return self._currents(m, sets), np.asarray(moved, float)

    def _currents(self, m: Measurement, sets: Numbers) -> Array:
        bare = replace(m, function="", red="", black="")
        return np.asarray(clamp(self.known.points(bare), m.red))[sets].T

    def foretold(self, m: Measurement, sets: Numbers) -> tuple[Array, Array]:
        """As :meth:`reading`, but what a meter in place of a fuse adds to the circuit left out."""
        return self.reading(_without_burden(m), sets)

    def numbers(self, m: Measurement, sets: Numbers) -> Array:
        """As :meth:`foretold` of a part, the moves and volts left out; severities by rows."""
        m = _without_burden(m)
        if m.function == "clamp":
            return self._currents(m, sets)
        return self._read(m, self._that_matter(m, sets))

    def _alone(self, m: Measurement) -> str:
        """Id of the part that is measured on its own, or ''."""
        id = m.red.partition(":")[0]
        alone = m.function != "amps" and m.parted and m.black.partition(":")[0] == id
        return id if alone else ""

    def _that_matter(self, m: Measurement, sets: Numbers) -> Numbers:
        """Of a part on its own only its own faults matter: others read as the sound one does."""
        id = self._alone(m)
        if not id:
            return sets
        own = np.zeros(len(self.known.sets), bool)
        own[self._own(id)] = True
        return np.where(own[sets], sets, 0)

    def _own(self, id: str) -> Numbers:
        """Numbers of the sets in which a part has a fault."""
        if self._sorted < len(self.known.sets):
            for n, faults in list(enumerate(self.known.sets))[self._sorted :]:
                for part in {f.part for f in faults}:
                    self._faulty.setdefault(part, []).append(n)
            self._sorted = len(self.known.sets)
        return np.array(self._faulty.get(id, [0]), np.intp)

    def _metered(self, m: Measurement, sets: Numbers) -> tuple[Array, Array]:
        """Readings of what is part of the circuit while it reads."""
        sets = self._that_matter(m, sets)
        read = self._read(m, sets)
        _, store = self._single[_key(m)]
        rest = self._own(self._alone(m)) if self._alone(m) else None
        moved = store.get(sets[:, 1], lambda n: self._meter_moves(m, n), rest)
        return read, np.asarray(moved, float)

    def _meter_moves(self, m: Measurement, numbers: Numbers) -> Array:
        circuits, red, black = self._circuits(m, numbers), m.red, m.black or NEGATIVE
        base = circuits[0]
        if m.function == "amps":
            there = base.with_bridge("meter", "meter", red, black, Linear.resistor(AMPS_BURDEN))
        elif m.function in OHMS:
            law = Linear.emf(OHMS_EMF, _REFERENCE + LEADS)
            there = base.with_bridge("meter", "meter", black, red, law)
            if NEGATIVE not in (base.node_of[black], base.node_of[red]):
                there = there.with_bridge("tie", "meter", black, NEGATIVE, _TIE)
        else:
            return np.zeros((len(numbers), len(self.figures)))
        id = self._alone(m)
        concerned = [k for k, f in enumerate(self.figures) if not id or f.part == id]
        with_meter = [replace(c, bridges=there.bridges) for c in circuits]
        some = moves(with_meter, [self.figures[k] for k in concerned])
        wide = np.zeros((len(numbers), len(self.figures), some.net.nodes))
        wide[:, concerned] = some.moves
        made = replace(some, moves=wide)
        a, b = (made.net.node_of[point] for point in (red, black))
        volts, across = made.across(a, b)
        if m.function == "amps":
            return np.asarray(across / AMPS_BURDEN)
        return np.asarray(_ohms_slope(volts)[:, None] * across)

    # -- what is seen ----------------------------------------------------------------------------

    def seen(self, m: Measurement, sets: Numbers, rows: Numbers | None = None) -> Array:
        """Chance of each outcome of what is seen without a meter, (some) rows by outcomes."""
        rows = np.arange(len(sets)) if rows is None else rows
        sets = sets[rows]
        key = (m.function, m.red, m.black, m.state)
        store = self._seen.setdefault(key, Store())
        flat = store.get(sets.ravel(), lambda n: chances(self.known.only(n), m)[: len(n)])
        found = flat.reshape(*sets.shape, -1).mean(1)
        if m.function == "look":
            found = (1 - MISTAKEN) * found + MISTAKEN / found.shape[1]
        if m.function == "fit" and m.red in self.edge:
            found = found.copy()
            found[self.edge[m.red][rows]] = 0.5
        return np.asarray(found)


def _in_reach(block: Block, away: set[str]) -> Block:
    """A block without the places on parts nobody can get at."""
    if not away:
        return block
    if {t.partition(":")[0] for t in block.parted} & away:
        return replace(block, leads=[])
    leads = [ends for ends in block.leads if not {e.partition(":")[0] for e in ends} & away]
    return replace(block, leads=leads)


def _without_burden(m: Measurement) -> Measurement:
    """Amps in place of a fuse as a clamp there would have them, the fuse in."""
    if m.function == "amps" and m.black in m.parted:
        return replace(m, function="clamp", red=m.black, black="", parted=m.parted - {m.black})
    return m


def _key(m: Measurement) -> object:
    return m.function, m.red, m.black, m.state


def _ohms_slope(volts: Array) -> Array:
    """Slope of the ohms shown with the voltage between the leads. [ohm / V]"""

    def shown(v: Array) -> Array:
        amps = (OHMS_EMF - v) / (_REFERENCE + LEADS)
        jacks = v + LEADS * amps
        return np.asarray(_REFERENCE * jacks / np.maximum(OHMS_EMF - jacks, 1e-9))

    return np.asarray((shown(volts + 1e-7) - shown(volts - 1e-7)) / 2e-7)
