"""Learners with right and wrong rules who play the hunts: does the cost tell them apart, and does
the review reach the wrong rule?

    python -m tests.learners [--write [--missing]] [hunt ...]

With --write what they made of each hunt is laid down in labkit/hunts/played.toml as soon as it is
played; with --missing those that stand there are left as they are.

These are programs. Nothing here says that people learn.
"""

from __future__ import annotations

import json
import random
import re
import sys
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np

from labkit.aboard.bench import Bench
from labkit.aboard.safety.live import worked_live
from labkit.circuits.circuit import NEGATIVE, visible_parts
from labkit.circuits.paths import path_through
from labkit.diagnosis.cost import Visit, moved
from labkit.diagnosis.evidence import Measurement
from labkit.diagnosis.logbook import asked
from labkit.diagnosis.minds import Mind, Work
from labkit.diagnosis.positions import all_off
from labkit.diagnosis.ranking import Adviser, adviser_for
from labkit.diagnosis.search import closer
from labkit.diagnosis.session import Diagnosis, believed
from labkit.exercises.exercise import Exercise, load_exercise
from labkit.exercises.situations import lead_to
from labkit.hunts import played as trial_table
from labkit.hunts.debrief import debrief
from labkit.hunts.hunt import Hunt
from labkit.measuring.senses import sensed
from labkit.parts import Trait
from labkit.solving.solver import solve
from labkit.text.messages import CircuitError
from tests.boats import EXERCISES, mend
from tests.walks import restore, take

TABLE = Path(trial_table.__file__).with_name("played.toml")

SURE, MOST_READINGS, MOST_NAMES, ROUNDS = 0.9, 15, 12, 3
"""Names its favourite at so much belief or after so many readings; gives up after so many names."""

LUCKS = 7
"""Who guesses is played so often, in another order each time, and the middle one counts."""


@dataclass(frozen=True)
class Learner:
    """A way of looking, a wrong rule or none, and a habit.

    Attributes
    ----------
    name : str
    look : str
        'bus', 'across', 'clamp', 'ohms', 'advised', or 'none' for who measures nothing.
    half : bool
        Takes the middle of what is suspected, else the first along the wire.
    loaded : bool
        Reads with the load on, else with its wire taken off.
    rule : str
        The wrong rule it reads by, or ''.
    proves : bool
    swaps : bool
        Mends what is nearest to the symptom instead of naming.
    """

    name: str
    look: str = "bus"
    half: bool = True
    loaded: bool = True
    rule: str = ""
    proves: bool = True
    swaps: bool = False


RIGHT = (
    Learner("guesser", "none"),
    Learner("loudest symptom", "none", swaps=True),
    Learner("along the wire", half=False),
    Learner("half-splitter"),
    Learner("across each part", "across"),
    Learner("advised", "advised"),
)
WRONG = (
    Learner("volts without load", loaded=False, rule="volts without load"),
    Learner("0 V is dead here", "across", rule="open reads nothing"),
    Learner("return is zero", rule="return is zero"),
    Learner("blames the load", rule="blames the load"),
    Learner("there or not there", rule="bad joint passes nothing"),
    Learner("ohms live", "ohms", rule="ohms on a live circuit"),
    Learner("never proves", proves=False),
)

LEARNERS = (*RIGHT, *WRONG)


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
        carry = [step for run in circuit.runs for step in run.passes
                 if step.part not in there and abs(amps.get(step.part) or 0.0) > least]  # fmt: skip
        found = [(step.part, step.first, step.second) for step in [*steps, *carry]]
        return [item for item in found if not circuit.parts[item[0]].hidden]

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

    def _says(self, part: str, mode: str, mend: bool = True) -> bool:
        right = bool(self.hunt.name(part, mode).right)
        if right and mend:
            self.named.add(part)
            self.mend(part)
        return right

    def _reason(self) -> bool:
        """Measure until sure, name and mend what is left; whether the hunt is over."""
        mind, mask = self._mind(), np.ones(len(self.adviser.start.belief), bool)
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
            look = Measurement("look", self.work.load, "", moved(circuit, self.work.on))
            self._take(mind, mask, visit, done, look)

    def _in_order(self, name: str) -> list[str]:
        """The faults of a name in the order in which they are mended: fuses last."""
        parts = self.exercise.circuit.parts
        faults = [fault for fault in name.split(" + ") if " " in fault]
        ids = {fault: re.split(r"[: ]", fault)[0] for fault in faults}
        guards = [f for f in faults if ids[f] in parts
                  and Trait.PROTECTION in parts[ids[f]].traits]  # fmt: skip
        return [*(fault for fault in faults if fault not in guards), *guards]

    # -- the mind --------------------------------------------------------------------------------

    def _mind(self) -> Diagnosis:
        start, rule = self.adviser.start, self.learner.rule
        return Mind(start, rule, self.work) if rule else start.copy()

    def _take(
        self, mind: Diagnosis, mask: np.ndarray, visit: Visit, done: set[object], what: Measurement
    ) -> None:
        done.add(visit.key(what))
        visit.go(what)
        bench, circuit = self.hunt.bench, self.exercise.circuit
        before = len(bench.log)
        try:
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
                on = moved(self.exercise.circuit, self.work.on)
                for m in closer(self.exercise.circuit, part, self.work.load, on):
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
        on: Mapping[str, str] = moved(circuit, self.work.on)
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


# -- the tables ----------------------------------------------------------------------------------


@dataclass(frozen=True)
class Played:
    """What came of one play."""

    learner: str
    hunt: str
    cost: float
    minutes: float
    readings: int
    wrong: int
    hazards: int
    proven: bool
    remarks: tuple[str, ...]

    @property
    def clean(self) -> bool:
        """Proven, nothing named wrongly, no danger."""
        return self.proven and not self.wrong and not self.hazards


def played(
    learner: Learner, exercise: Exercise, variant: int = 0, look_back: bool = True
) -> Played:
    """Play one hunt, and look back on it."""
    if learner.look == "none" and not learner.swaps:
        plays = [Play(learner, exercise, variant, luck).play() for luck in range(LUCKS)]
        hunt = sorted(plays, key=lambda one: one.bill.minutes)[LUCKS // 2]
    else:
        hunt = Play(learner, exercise, variant).play()
    said = debrief(hunt).lines if look_back else ()
    return Played(
        learner.name, exercise.title, hunt.bill.minutes, hunt.bench.minutes,
        sum(entry.action == "read" for entry in hunt.bench.log),
        sum(named.verdict.right is False for named in hunt.named), len(hunt.bench.hazards),
        bool(hunt.proven and hunt.proven.ok),
        tuple(line for line in said if line.startswith(("Practise next", "Then"))),
    )  # fmt: skip


def beats(plays: list[Played], better: str, worse: str) -> float:
    """In which share of hunts one learner's cost is below another's, ties half."""
    cost = {(play.learner, play.hunt): play.cost for play in plays}
    hunts = sorted({play.hunt for play in plays if (worse, play.hunt) in cost})
    won = [
        1.0 if cost[better, h] < cost[worse, h] else 0.5 * (cost[better, h] == cost[worse, h])
        for h in hunts if (better, h) in cost
    ]  # fmt: skip
    return sum(won) / len(won)


BASE = {"across": "across each part"}
"""Whose cost a wrong rule's is compared with, by the way of looking; else the half-splitter's."""

HARM = 1.25
"""A rule does harm where a hunt costs so many times what right rules cost. Our choice."""

NO_MEASURE = ("guesser", "loudest symptom")
"""Who measures nothing says nothing of how hard a hunt is."""


def row(plays: list[Played]) -> dict[str, Any]:
    """What simulated learners made of one hunt, as :mod:`labkit.hunts.played` reads it.

    A danger that the advised way runs into as well counts for nobody as failure: a fuse that is
    tried and opens, where nothing else would tell.
    """
    by = {play.learner: play for play in plays}
    rules = {w.name: (w.rule or w.name, BASE.get(w.look, "half-splitter")) for w in WRONG}
    harms = [rule for name, (rule, base) in rules.items() if by[name].cost > HARM * by[base].cost]
    own = [play for play in plays if play.learner not in NO_MEASURE]
    bound = by["advised"].hazards
    good = sum(play.proven and not play.wrong and play.hazards <= bound for play in own)
    return {
        "title": plays[0].hunt, "failed": round(1 - good / len(own), 2), "harms": harms,
        "cost": {play.learner: round(play.cost) for play in plays},
    }  # fmt: skip


def table() -> dict[str, dict[str, Any]]:
    """The rows that are laid down, by title."""
    return {one["title"]: one for one in tomllib.loads(TABLE.read_text("utf-8")).get("hunt", ())}


def lay_down(new: dict[str, Any]) -> None:
    """Write a row into the table, in the place of a former one."""
    rows = {**table(), new["title"]: new}
    lines = [
        "# What simulated learners made of the shipped hunts; written by "
        "`python -m tests.learners --write`.",
        "# Programs, not people: see labkit/hunts/played.py. Costs in minutes.",
    ]
    for title in sorted(rows):
        one = rows[title]
        cost = ", ".join(f"{json.dumps(name)} = {minutes}" for name, minutes in one["cost"].items())
        lines += ["", "[[hunt]]", f"title = {json.dumps(title, ensure_ascii=False)}",
                  f"failed = {one['failed']:.2f}", f"harms = {json.dumps(one['harms'])}",
                  f"cost = {{ {cost} }}"]  # fmt: skip
    TABLE.write_text("\n".join(lines) + "\n", encoding="utf-8")


def main(arguments: list[str]) -> None:
    """Print what each learner made of each hunt, and lay it down where that is asked."""
    chosen = [word for word in arguments if not word.startswith("--")]
    write, known = "--write" in arguments, table()
    plays = []
    for path in sorted(EXERCISES.glob("*.toml")):
        exercise = load_exercise(path)
        there = "--missing" in arguments and exercise.title in known
        if there or (chosen and path.stem not in chosen):
            continue
        own = []
        for learner in LEARNERS:
            last = played(learner, exercise, look_back=not write)
            own.append(last)
            print(f"{path.stem:24} {learner.name:20} cost {last.cost:6.0f}  wrong {last.wrong:3} "
                  f"hazards {last.hazards:2}  proven {last.proven}  {' '.join(last.remarks)[:150]}",
                  flush=True)  # fmt: skip
        plays += own
        if write:
            lay_down(row(own))
    print(f"\n{'learner':20} readings   min  wrong  dangers  proven  clean   cost  half-splitter")
    for learner in LEARNERS if plays else ():
        own = [play for play in plays if play.learner == learner.name]
        mean = [sum(getattr(p, key) for p in own) / len(own) for key in
                ("readings", "minutes", "wrong", "hazards", "proven", "clean", "cost")]  # fmt: skip
        print(f"{learner.name:20} {mean[0]:8.1f} {mean[1]:5.0f} {mean[2]:6.1f} {mean[3]:8.2f} "
              f"{mean[4]:7.2f} {mean[5]:6.2f} {mean[6]:6.0f}  "
              f"{beats(plays, 'half-splitter', learner.name):.2f}")  # fmt: skip


if __name__ == "__main__":
    main(sys.argv[1:])
