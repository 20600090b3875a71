"""One learner at one variant of a hunt, from complaint to proof or to giving up."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from labkit.aboard.bench import Bench
from labkit.aboard.safety.live import worked_live
from labkit.circuits.circuit import NEGATIVE, visible_parts
from labkit.circuits.paths import path_through
from labkit.diagnosis.cost import Visit, moved
from labkit.diagnosis.evidence import Measurement
from labkit.diagnosis.logbook import asked
from labkit.diagnosis.minds import Work
from labkit.diagnosis.positions import all_off
from labkit.diagnosis.ranking import Adviser, adviser_for
from labkit.diagnosis.search import closer
from labkit.diagnosis.session import Diagnosis, believed
from labkit.exercises.exercise import Exercise
from labkit.exercises.situations import lead_to
from labkit.hunts.hunt import Hunt
from labkit.measuring.senses import sensed
from labkit.parts import Trait
from labkit.solving.solver import solve
from labkit.text.messages import CircuitError
from tests.boats import mend
from tests.learners.minds import mind_of
from tests.learners.ways import Learner
from tests.walks import restore, take

SURE, MOST_READINGS, MOST_NAMES, ROUNDS = 0.9, 15, 12, 3
"""Names its favourite at so much belief or after so many readings; gives up after so many names."""

RUNS = 1e-3
"""More than this through a load is seen or heard: it runs. [A] Our choice."""

BIGGER = 3
"""So many times its rating has the fuse of who fits a bigger one. Our choice."""


@dataclass
class Play:
    """One learner at one variant of a hunt."""

    learner: Learner
    exercise: Exercise
    variant: int = 0
    luck: int = 0
    adviser: Adviser = field(init=False)
    hunt: Hunt = field(init=False)

    def __post_init__(self) -> None:
        self.adviser = adviser_for(self.exercise.circuit, self.exercise.candidates)
        self.hunt = Hunt(self.exercise)
        self.hunt.dealt = self.exercise.variant(self.variant)
        self.hunt.bench = Bench(self.hunt.dealt.circuit)
        proof = self.exercise.proof
        self.work = Work(self.exercise.circuit, proof.load, proof.positions)
        self.chance = random.Random(f"{self.exercise.title}/{self.variant}/{self.luck}")
        self.named: set[str] = set()

    # -- the boat --------------------------------------------------------------------------------

    @cached_property
    def path(self) -> list[tuple[str, str, str]]:
        """Parts and terminals along the current of the load, out and home."""
        circuit, load = self.work.circuit, self.work.load
        at_work = circuit.with_position(**self.work.positions)
        try:
            steps = list(path_through(at_work, load))
        except CircuitError:
            steps = []
        amps = solve(at_work).amps
        least = 0.01 * (abs(amps.get(load) or 0.0) or 1.0)
        there = {step.part for step in steps}
        carry = [
            step
            for run in circuit.runs
            for step in run.passes
            if step.part not in there and abs(amps.get(step.part) or 0.0) > least
        ]
        found = [(step.part, step.first, step.second) for step in [*steps, *carry]]
        return [item for item in found if not circuit.parts[item[0]].hidden]

    @cached_property
    def on(self) -> dict[str, str]:
        """How the switches stand while the trouble shows: as the load should run, or, where it runs
        unasked, as it should rest."""
        circuit, rest = self.exercise.circuit, self.exercise.proof.idle
        if rest:
            unasked = {**circuit.positions, **rest}
            amps = solve(self.hunt.dealt.circuit.with_position(**unasked)).amps
            if abs(amps.get(self.work.load) or 0.0) > RUNS:
                return moved(circuit, unasked)
        return moved(circuit, self.work.on)

    def home(self) -> None:
        """Bring the boat back into the state it was found in."""
        restore(
            self.hunt.bench, dict(self.exercise.circuit.positions), self.exercise.circuit.parted
        )

    def mend(self, part: str) -> None:
        """Make it safe, mend, and put all back."""
        self.home()
        mend(self.hunt.bench, part)

    def proven(self) -> bool:
        """Prove the repair, if that is this learner's habit."""
        self.home()
        return self.hunt.prove().ok

    # -- habits ----------------------------------------------------------------------------------

    def play(self) -> Hunt:
        """Play to the end, or until it gives up."""
        if self.learner.fuses and self._renew():
            return self.hunt
        if self.learner.look != "none":
            for _ in range(ROUNDS):
                if self._reason():
                    break
        elif self.learner.swaps:
            self._swap()
        else:
            self._guess()
        return self.hunt

    def _names(self) -> list[tuple[str, str]]:
        seen = {part.id for part in visible_parts(self.exercise.circuit, ())}
        names = dict.fromkeys(c.name for c in self.exercise.candidates if " + " not in c.name)
        pairs = [tuple(name.split(maxsplit=1)) for name in names if " " in name]
        return [(pair[0], pair[1]) for pair in pairs if pair[0] in seen]

    def _guess(self) -> None:
        names = self._names()
        self.chance.shuffle(names)
        for part, mode in names:
            if part not in self.named and self._says(part, mode) and self.proven():
                return

    def _swap(self) -> None:
        circuit, near = self.exercise.circuit, {part for part, *_ in self.path}
        parts = sorted(
            (part.id for part in visible_parts(circuit, ())),
            key=lambda id: (id != self.work.load, id not in near),
        )
        for part in parts[:MOST_NAMES]:
            self.mend(part)
            if self.proven():
                any(self._says(part, mode, mend=False) for id, mode in self._names() if id == part)
                return

    def _renew(self) -> bool:
        """Look at the fuses first, renew a blown one, and fit a bigger one if that opens too."""
        bench, parts = self.hunt.bench, self.exercise.circuit.parts
        for part in dict.fromkeys(part for part, *_ in self.path):
            if Trait.CARTRIDGE not in parts[part].traits:
                continue
            self.home()
            if "blown" not in bench.pull(part).shows:
                bench.fit(part)
                continue
            self._says(part, "blown")
            if self.proven():
                return True
            self.home()
            if "blown" in bench.pull(part).shows:
                amps = float(parts[part].rating.split()[0])
                bench.fit(part, f"{BIGGER * amps:g} A")
                if self.proven():
                    return True
            else:
                bench.fit(part)
        return False

    def _says(self, part: str, mode: str, mend: bool = True) -> bool:
        right = bool(self.hunt.name(part, mode).right)
        if right and mend:
            self.named.add(part)
            self.mend(part)
        return right

    def _reason(self) -> bool:
        """Measure until sure, name and mend what is left; whether the hunt is over."""
        mind = mind_of(self.adviser.start, self.learner.rule, self.work)
        mask = np.ones(len(self.adviser.start.belief), bool)
        faults = [row.candidate.faults for row in mind.known.rows]
        for n, some in enumerate(faults):
            mask[n] = not ({fault.part for fault in some} <= self.named and self.named and some)
        visit, done = Visit(self.exercise.circuit), set[object]()
        names = readings = 0
        self._look(mind, mask, visit, done)
        while names < MOST_NAMES:
            top, belief = next(iter(mind.by_name.items()))
            act = None
            if belief < SURE and readings < MOST_READINGS:
                act = self._next(mind, visit, done)
            if act is not None:
                readings += 1
                self._take(mind, mask, visit, done, act)
                if act.function in ("pull", "fit"):
                    self._look(mind, mask, visit, done)
                    if self.named and self.learner.proves and self.proven():
                        return True  # a fuse that had opened meanwhile was all that was left
                continue
            names += 1
            good = [self._says(*fault.split(maxsplit=1)) for fault in self._in_order(top)]
            if any(good):
                return not self.learner.proves or self.proven()
            mask &= np.array([row.candidate.name != top for row in mind.known.rows])
            _masked(mind, mask)
        return True

    def _look(self, mind: Diagnosis, mask: np.ndarray, visit: Visit, done: set[object]) -> None:
        """See what the load does when it is asked to run, where it shows anything."""
        circuit = self.exercise.circuit
        if self.work.load in sensed(circuit, solve(circuit)):
            look = Measurement("look", self.work.load, "", self.on)
            self._take(mind, mask, visit, done, look)

    def _in_order(self, name: str) -> list[str]:
        """The faults of a name in the order in which they are mended: fuses last."""
        parts = self.exercise.circuit.parts
        faults = [fault for fault in name.split(" + ") if " " in fault]
        ids = {fault: re.split(r"[: ]", fault)[0] for fault in faults}
        guards = [f for f in faults if ids[f] in parts
                  and Trait.PROTECTION in parts[ids[f]].traits]  # fmt: skip  # in rows
        return [*(fault for fault in faults if fault not in guards), *guards]

    # -- the mind --------------------------------------------------------------------------------

    def _take(
        self, mind: Diagnosis, mask: np.ndarray, visit: Visit, done: set[object], what: Measurement
    ) -> None:
        done.add(visit.key(what))
        visit.go(what)
        bench, circuit = self.hunt.bench, self.exercise.circuit
        before = len(bench.log)
        try:
            if what.function == "clamp" and circuit.clamp_drift:
                restore(bench, {**circuit.positions, **what.positions}, what.parted)
                bench.zero()
            take(bench, dict(circuit.positions), self._careful(what))
        except CircuitError:
            return
        for item in asked(bench.log[before:], circuit):  # after a repair, of the boat as it is now
            if not item.void or self.learner.look == "ohms":
                try:
                    mind.see(replace(item.evidence))
                except (CircuitError, ValueError):
                    continue
        _masked(mind, mask)

    def _next(self, mind: Diagnosis, visit: Visit, done: set[object]) -> Measurement | None:
        if self.learner.look == "advised":
            best = self.adviser.rank(mind, visit, top=1, explained=False)
            return best[0].measurement if best else None
        faults = [fault for name in believed(mind, 0.99) for fault in name.split(" + ")]
        likely = {fault.split()[0].split(":")[0] for fault in faults}
        items = [m for m in self._options(likely) if visit.key(m) not in done]
        if len(likely) > 1 and items:
            return items[(len(items) - 1) // 2 if self.learner.half else 0]
        for part, *_ in self.path:
            if part in likely:
                for m in closer(self.exercise.circuit, part, self.work.load, self.on):
                    ruled_out = m.function == "ohms" and (self.learner.rule or self._live(m))
                    if visit.key(m) not in done and not ruled_out:
                        return m
        return None

    def _live(self, what: Measurement) -> bool:
        """Whether what is to be taken apart would be live on a sound boat."""
        sound = self.exercise.circuit.with_position(**what.positions)
        return bool(what.parted and worked_live(sound, [*what.parted], ""))

    def _careful(self, what: Measurement) -> Measurement:
        """A fuse is pulled and fitted with the load off by whoever holds no wrong rule."""
        if what.function not in ("pull", "fit") or self.learner.rule:
            return what
        return replace(what, positions=moved(self.exercise.circuit, all_off(self.exercise.circuit)))

    def _options(self, suspects: set[str]) -> Iterator[Measurement]:
        """What this learner would measure of the parts it still suspects."""
        circuit, look = self.exercise.circuit, self.learner.look
        on: Mapping[str, str] = self.on
        lead = lead_to(circuit, self.work.load)
        apart = frozenset({lead} if not self.learner.loaded and lead in circuit.node_of else ())
        for part, first, second in self.path:
            if (
                part not in suspects
                or first not in circuit.node_of
                or second not in circuit.node_of
            ):
                continue
            if self.learner.rule == "return is zero" and part in self.work.return_parts:
                continue
            if look == "bus" and circuit.node_of[second] != NEGATIVE:
                yield Measurement("volts", second, NEGATIVE, on, apart)
            elif look == "across":
                yield Measurement("volts", first, second, on, apart)
            elif look == "clamp":
                yield Measurement("clamp", first, "", on)
            elif look == "ohms" and not circuit.parts[part].traits & (
                Trait.SOURCE | Trait.NOT_OHMS
            ):
                live = self.learner.rule == "ohms on a live circuit"
                off = {} if live else moved(circuit, all_off(circuit))
                yield Measurement("ohms", first, second, on if live else off)


def _masked(mind: Diagnosis, mask: np.ndarray) -> None:
    """Leave out of a mind what has been named in vain."""
    belief = np.where(mask, mind.belief, 0.0)
    if not belief.sum() > 0:
        belief = np.where(mask, mind.known.prior, 0.0)
    if not belief.sum() > 0:
        belief = mind.known.prior.copy()
    mind.belief = belief / belief.sum()
