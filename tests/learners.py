"""Learners with right and wrong rules who play the hunts: does the cost tell them apart, and does
the review reach the wrong rule?

    python -m tests.learners [--write] [hunt ...]

With --write what they made of the hunts is laid down in labkit/hunts/played.toml.

These are programs. Nothing here says that people learn.
"""

from __future__ import annotations

import json
import random
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path

import numpy as np

from labkit.aboard.bench import Bench
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


@dataclass
class Play:
    """One learner at one variant of a hunt."""

    learner: Learner
    exercise: Exercise
    variant: int = 0
    adviser: Adviser = field(init=False)
    hunt: Hunt = field(init=False)

    def __post_init__(self) -> None:
        self.adviser = adviser_for(self.exercise.circuit, self.exercise.candidates)
        self.hunt = Hunt(self.exercise)
        self.hunt.dealt = self.exercise.variant(self.variant)
        self.hunt.bench = Bench(self.hunt.dealt.circuit)
        proof = self.exercise.proof
        self.work = Work(self.exercise.circuit, proof.load, proof.positions)
        self.chance = random.Random(f"{self.exercise.title}/{self.variant}/{self.learner.name}")
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
        if self.work.load in sensed(self.exercise.circuit, solve(self.exercise.circuit)):
            look = Measurement(
                "look", self.work.load, "", moved(self.exercise.circuit, self.work.on)
            )
            self._take(mind, mask, visit, done, look)
        while names < MOST_NAMES:
            top, belief = next(iter(mind.by_name.items()))
            act = None
            if belief < SURE and readings < MOST_READINGS:
                act = self._next(mind, visit, done)
            if act is not None:
                readings += 1
                self._take(mind, mask, visit, done, act)
                continue
            names += 1
            good = [self._says(*fault.split(maxsplit=1)) for fault in top.split(" + ")
                    if " " in fault]  # fmt: skip
            if any(good):
                return not self.learner.proves or self.proven()
            mask &= np.array([row.candidate.name != top for row in mind.known.rows])
            _masked(mind, mask)
        return True

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
        before = len(asked(bench.log, circuit))
        try:
            take(bench, dict(circuit.positions), what)
        except CircuitError:
            return
        for item in asked(bench.log, circuit)[before:]:
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
                    if visit.key(m) not in done and not (
                        m.function == "ohms" and self.learner.rule
                    ):
                        return m
        return None

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


def written(plays: list[Played]) -> str:
    """What simulated learners made of each hunt, as the table of :mod:`labkit.hunts.played`."""
    cost = {(play.learner, play.hunt): play.cost for play in plays}
    rules = {w.name: (w.rule or w.name, BASE.get(w.look, "half-splitter")) for w in WRONG}
    lines = [
        "# What simulated learners made of the shipped hunts; written by "
        "`python -m tests.learners --write`.",
        "# Programs, not people: see labkit/hunts/played.py.",
    ]
    for hunt in sorted({play.hunt for play in plays}):
        own = [play for play in plays if play.hunt == hunt and play.learner not in NO_MEASURE]
        harms = [
            rule for name, (rule, base) in rules.items()
            if (name, hunt) in cost and cost[name, hunt] > HARM * cost[base, hunt]
        ]  # fmt: skip
        failed = sum(not play.clean for play in own) / len(own)
        lines += ["", "[[hunt]]", f"title = {json.dumps(hunt, ensure_ascii=False)}",
                  f"failed = {failed:.2f}", f"harms = {json.dumps(harms)}"]  # fmt: skip
    return "\n".join(lines) + "\n"


NO_MEASURE = ("guesser", "loudest symptom")
"""Who measures nothing says nothing of how hard a hunt is."""


def main(arguments: list[str]) -> None:
    """Print the table, and write it where that is asked."""
    chosen, write = [word for word in arguments if word != "--write"], "--write" in arguments
    players = [one for one in (*RIGHT, *WRONG) if not write or one.name not in NO_MEASURE]
    plays = []
    for path in sorted(EXERCISES.glob("*.toml")):
        if chosen and path.stem not in chosen:
            continue
        exercise = load_exercise(path)
        for learner in players:
            last = played(learner, exercise, look_back=not write)
            plays.append(last)
            print(f"{path.stem:24} {learner.name:20} cost {last.cost:6.0f}  wrong {last.wrong:3} "
                  f"hazards {last.hazards:2}  proven {last.proven}  {' '.join(last.remarks)[:150]}",
                  flush=True)  # fmt: skip
    print(f"\n{'learner':20} readings   min  wrong  dangers  proven  clean   cost  half-splitter")
    for learner in players:
        own = [play for play in plays if play.learner == learner.name]
        mean = [sum(getattr(p, key) for p in own) / len(own) for key in
                ("readings", "minutes", "wrong", "hazards", "proven", "clean", "cost")]  # fmt: skip
        print(f"{learner.name:20} {mean[0]:8.1f} {mean[1]:5.0f} {mean[2]:6.1f} {mean[3]:8.2f} "
              f"{mean[4]:7.2f} {mean[5]:6.2f} {mean[6]:6.0f}  "
              f"{beats(plays, 'half-splitter', learner.name):.2f}")  # fmt: skip
    if write:
        TABLE.write_text(written(plays), encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
