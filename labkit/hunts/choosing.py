"""Which hunt next: the one that goes wrong for the rules a learner may still hold, and why.

A belief in each wrong rule is kept by Bayes' rule from hunts that came out clean or did not, with
the table of simulated learners; a rule that an answer or a name of the learner's own was told of
counts as met. Going from easy to hard alone lets wrong rules pass, as simulated learners show.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from labkit.hunts.ladder import Rung
from labkit.hunts.played import Trial, trials
from labkit.record import Record

AT_FIRST = 0.3
"""A wrong rule is held by so many who begin. Our choice."""

MET = 0.8
"""Belief in a rule just after an answer of the learner's own came of it. Our choice."""

CLEAN_HELD, CLEAN_FREE = 0.2, 0.7
"""How often a hunt in which a rule does harm comes out clean with it and without. Rough, from
simulated learners."""

EASY_EVERY = 3
"""One hunt in so many is the easiest there is left, so that something succeeds. Our choice."""

SAID = {
    "volts without load": "for taking volts read without load as proof",
    "open reads nothing": "for taking 0 V across a part to mean that it is dead",
    "return is zero": "for taking the way home for sound",
    "bad joint passes nothing": "for asking only whether volts are there, not how many are missing",
    "blames the load": "for blaming the load",
    "ohms on a live circuit": "for ohms on a live circuit",
    "ohms of one part": "for taking ohms read in place for those of the part alone",
    "fuse without the cause": "for taking a blown fuse for the fault itself",
    "current is used up": "for thinking that less current comes home than went out",
    "never proves": "for leaving a repair unproven",
}
"""What a hunt is against, in words, by rule or habit."""


@dataclass(frozen=True)
class Choice:
    """The hunt to take next.

    Attributes
    ----------
    place : int
        Among the rungs.
    why : str
    """

    place: int
    why: str


@dataclass
class Beliefs:
    """How likely it is that each wrong rule is still held.

    Attributes
    ----------
    held : dict of str to float
    met : dict of str to str
        Rules that an answer of the learner's own came of, and where it was last.
    """

    held: dict[str, float] = field(default_factory=lambda: dict.fromkeys(SAID, AT_FIRST))
    met: dict[str, str] = field(default_factory=dict)

    def finished(self, trial: Trial, clean: bool) -> None:
        """Take into account how a hunt came out."""
        for rule in set(trial.harms) & {*self.held}:
            with_it, without = CLEAN_HELD, CLEAN_FREE
            if not clean:
                with_it, without = 1 - with_it, 1 - without
            before = self.held[rule]
            self.held[rule] = before * with_it / (before * with_it + (1 - before) * without)

    def told(self, rule: str, where: str) -> None:
        """Take into account that an answer of the learner's own came of a rule."""
        if rule in self.held:
            self.held[rule] = max(self.held[rule], MET)
            self.met[rule] = where


def beliefs_of(records: Iterable[Record]) -> Beliefs:
    """Read what a learner may still hold out of that learner's records, in their order."""
    found, known = Beliefs(), trials()
    for record in records:
        title = str(record.head.get("title", ""))
        for line in record.lines:
            if rule := line.get("misconception"):
                found.told(str(rule), title)
        if record.finished and title in known:
            found.finished(known[title], clean(record))
    return found


def clean(record: Record) -> bool:
    """Tell whether an attempt went without a wrong name and without a danger."""
    wrong = any(line.get("right") is False for line in record.of("named"))
    return not wrong and not any(line.get("hazards") for line in record.of("act"))


def choose(rungs: Sequence[Rung], done: Iterable[str], beliefs: Beliefs) -> Choice | None:
    """Choose the next hunt.

    Parameters
    ----------
    rungs : sequence of Rung
        The easiest first.
    done : iterable of str
        Titles of the hunts this learner has proven.
    beliefs : Beliefs

    Returns
    -------
    Choice or None
        None where all are done.
    """
    gone = {*done}
    left = [n for n, rung in enumerate(rungs) if rung.exercise.title not in gone]
    if not left:
        return None
    count = sum(rung.exercise.title in gone for rung in rungs)
    if count == 0:
        return Choice(left[0], "The easiest to begin with.")
    if count % EASY_EVERY == EASY_EVERY - 1:
        return Choice(left[0], "An easier one in between.")
    known = trials()
    worth = {n: _worth(known.get(rungs[n].exercise.title), beliefs) for n in left}
    place = max(left, key=lambda n: worth[n])
    if worth[place] <= 0:
        return Choice(left[0], "The easiest of those left.")
    return Choice(place, _why(known[rungs[place].exercise.title], beliefs))


def _worth(trial: Trial | None, beliefs: Beliefs) -> float:
    """How many wrong rules that may be held a hunt is likely to show."""
    return sum(beliefs.held.get(rule, 0.0) for rule in trial.harms) if trial else 0.0


def _why(trial: Trial, beliefs: Beliefs) -> str:
    """Say which rule a hunt is chosen for, and where it was met."""
    rule = max(
        (rule for rule in trial.harms if rule in beliefs.held), key=lambda rule: beliefs.held[rule]
    )
    where = f", which you met in '{beliefs.met[rule]}'" if rule in beliefs.met else ""
    return f"Chosen because it punishes {SAID[rule].removeprefix('for ')}{where}."
