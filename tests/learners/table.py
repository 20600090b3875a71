"""What came of the plays, hunt by hunt, and how it is laid down."""

from __future__ import annotations

import csv
import fcntl
import json
import sys
import tempfile
import tomllib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

from labkit.diagnosis.ranking import Adviser
from labkit.exercises.exercise import Exercise
from labkit.hunts import played as trial_table
from labkit.hunts.debrief import debrief
from labkit.hunts.hunt import Hunt
from labkit.paper.debrief_page import Row
from tests.learners.play import Play
from tests.learners.ways import CONTROL, LEARNERS, NO_MEASURE, WRONG, Learner

TABLE = Path(trial_table.__file__).with_name("played.toml")

PLAYS = Path(__file__).with_name("plays.csv")
LOCK = Path(tempfile.gettempdir()) / "labkit-plays.lock"

LUCKS = 7
"""Who guesses is played so often, in another order each time, and the middle one counts."""


@dataclass(frozen=True)
class Played:
    """What came of one play.

    Attributes
    ----------
    learner, hunt : str
        By its name, and by its title.
    cost, minutes : float
        As the review prints it, and at the bench alone. [min]
    readings, wrong, hazards : int
        Readings of the meter, wrong names, dangers.
    proven : bool
    told : tuple of str
        What the review and the bench said there is to mend, by :data:`SAYS`, by wrong rules and
        by kinds of danger.
    """

    learner: str
    hunt: str
    cost: float
    minutes: float
    readings: int
    wrong: int
    hazards: int
    proven: bool
    told: tuple[str, ...]

    @property
    def clean(self) -> bool:
        """Proven, nothing named wrongly, no danger."""
        return self.proven and not self.wrong and not self.hazards


SAYS = {
    "prove": ("prove the repair", "go on until it is proven", "going on to the end",
              "mend what you named"),
    "make safe": ("making a circuit safe",),
    "dead first": ("which function of the meter",),
    "strike out": ("striking out",),
    "measure first": ("measure before you replace",),
    "ask why": ("ask why",),
    "load first": ("load first",),
    "tell apart": ("the reading that tells your favourite",),
    "predict": ("predict each reading",),
    "most for its minutes": ("the reading that tells most",),
    "nothing": ("the next hunt",),
}  # fmt: skip  # rows that a reader compares
"""How a line of the review begins that says so, after 'Practise next' or 'Then'."""


def play(learner: Learner, exercise: Exercise, variant: int = 0) -> Hunt:
    """One hunt played; by who guesses, the middle one of several."""
    if learner.look == "none" and not learner.swaps:
        plays = [Play(learner, exercise, variant, luck).play() for luck in range(LUCKS)]
        return sorted(plays, key=lambda one: one.bill.minutes)[LUCKS // 2]
    return Play(learner, exercise, variant).play()


def played(
    learner: Learner, exercise: Exercise, variant: int = 0, look_back: bool = True
) -> Played:
    """Play one hunt, and look back on it."""
    hunt = play(learner, exercise, variant)
    return Played(
        learner.name, exercise.title, round(hunt.bill.minutes, 1), round(hunt.bench.minutes, 1),
        sum(entry.action == "read" for entry in hunt.bench.log),
        sum(named.verdict.right is False for named in hunt.named), len(hunt.bench.hazards),
        bool(hunt.proven and hunt.proven.ok), told(hunt) if look_back else (),
    )  # fmt: skip  # rows that a reader compares


@contextmanager
def advised_once() -> Iterator[None]:
    """Work out the advised way once a hunt, and not anew for each who played it: for speed."""
    module = sys.modules[debrief.__module__]
    plain, kept = module._advised, {}

    def advised(adviser: Adviser, hunt: Hunt, called: Callable[[str], str]) -> tuple[Row, ...]:
        key = (hunt.exercise.title, hunt.dealt.faults)
        if key not in kept:
            kept[key] = plain(adviser, hunt, called)
        return kept[key]

    module._advised = advised
    try:
        yield
    finally:
        module._advised = plain


def told(hunt: Hunt) -> tuple[str, ...]:
    """What a learner was told there is to mend."""
    made = debrief(hunt)
    found = [key for line in made.lines for key in said_by(line)]
    found += [made.doubt.rule] if made.doubt else []
    found += [named.verdict.misconception for named in hunt.named]
    found += [hazard.kind for hazard in hunt.bench.hazards]
    return tuple(dict.fromkeys(filter(None, found)))


def said_by(line: str) -> list[str]:
    """What a line of the review says, by :data:`SAYS`."""
    opening, _, rest = line.partition(": ")
    if opening not in ("Practise next", "Then"):
        return []
    return [key for key, starts in SAYS.items() if rest.startswith(starts)]


def beats(plays: list[Played], better: str, worse: str) -> float:
    """In which share of hunts one learner's cost is below another's, ties half."""
    cost = {(play.learner, play.hunt): play.cost for play in plays}
    hunts = sorted({play.hunt for play in plays if (worse, play.hunt) in cost})
    won = [
        1.0 if cost[better, h] < cost[worse, h] else 0.5 * (cost[better, h] == cost[worse, h])
        for h in hunts if (better, h) in cost
    ]  # fmt: skip  # rows that a reader compares
    return sum(won) / len(won)


BASE = {"across": "across each part", "ohms": "ohms, dead", "clamp": "clamp along the way"}
"""Whose cost a wrong rule's is compared with, by the way of looking; else the half-splitter's."""

HARM = 1.25
"""A rule does harm where a hunt costs so many times what right rules cost. Our choice."""


def row(plays: list[Played]) -> dict[str, Any]:
    """What simulated learners made of one hunt, as :mod:`labkit.hunts.played` reads it.

    A danger that the advised way runs into as well counts for nobody as failure: a fuse that is
    tried and opens, where nothing else would tell.
    """
    by = {play.learner: play for play in plays}
    rules = {w.name: (w.rule or w.name, BASE.get(w.look, "half-splitter")) for w in WRONG}
    harms = [rule for name, (rule, base) in rules.items() if by[name].cost > HARM * by[base].cost]
    aside = {*NO_MEASURE, *(learner.name for learner in CONTROL)}
    own = [play for play in plays if play.learner not in aside]
    bound = by["advised"].hazards
    good = sum(play.proven and not play.wrong and play.hazards <= bound for play in own)
    return {
        "title": plays[0].hunt, "failed": round(1 - good / len(own), 2), "harms": harms,
        "cost": {play.learner: round(play.cost) for play in plays},
    }  # fmt: skip  # rows that a reader compares


def table() -> dict[str, dict[str, Any]]:
    """The rows that are laid down, by title."""
    return {one["title"]: one for one in tomllib.loads(TABLE.read_text("utf-8")).get("hunt", ())}


def plays_of() -> list[Played]:
    """All plays that are laid down."""
    if not PLAYS.exists():
        return []
    with PLAYS.open(encoding="utf-8", newline="") as file:
        return [_as_played(one) for one in csv.DictReader(file)]


def _as_played(one: dict[str, str]) -> Played:
    return Played(
        one["learner"], one["hunt"], float(one["cost"]), float(one["minutes"]),
        int(one["readings"]), int(one["wrong"]), int(one["hazards"]),
        one["proven"] == "yes", tuple(filter(None, one["told"].split("; "))),
    )  # fmt: skip  # rows that a reader compares


def lay_down(new: list[Played]) -> None:
    """Write what came of a hunt into both tables, in the place of what stood there."""
    with LOCK.open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)  # several may play at a time
        found = {(play.hunt, play.learner): play for play in (*plays_of(), *new)}
        order = [learner.name for learner in LEARNERS]
        kept = sorted(found.values(), key=lambda one: (one.hunt, order.index(one.learner)))
        with PLAYS.open("w", encoding="utf-8", newline="") as file:
            out = csv.writer(file, lineterminator="\n")
            out.writerow(field.name for field in fields(Played))
            for one in kept:
                out.writerow((
                    one.learner, one.hunt, f"{one.cost:.1f}", f"{one.minutes:.1f}", one.readings,
                    one.wrong, one.hazards, "yes" if one.proven else "no", "; ".join(one.told),
                ))  # fmt: skip  # rows that a reader compares
        hunt = new[0].hunt
        whole = [play for play in kept if play.hunt == hunt]
        _write_rows({**table(), hunt: row(whole)})


def _write_rows(rows: dict[str, dict[str, Any]]) -> None:
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
                  f"cost = {{ {cost} }}"]  # fmt: skip  # rows that a reader compares
    TABLE.write_text("\n".join(lines) + "\n", encoding="utf-8")
