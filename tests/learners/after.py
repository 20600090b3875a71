"""A learner who takes up exactly what it is told, and no more: unseen hunts before and after.

It plays some hunts drawn by chance and is told what the review and the bench tell whoever played
so. A wrong rule goes if what was said names it, and else it stays; nothing is ever mended by
itself. What it then makes of the hunts it has not seen is taken from the plays of the learner it
has become: the same way of looking, without the rule.

With the feedback off nothing is said but right or wrong, so that nothing can be taken up: that
ablation is nil by the way this learner is made, and shows only that no gain comes from elsewhere,
such as from which hunts were drawn.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from tests.learners.table import Played
from tests.learners.ways import BY_NAME

TRAINING = 12
"""Hunts played and looked back on before it is measured again."""

CLASSES = 40
"""So many learners of each kind, each with other hunts to train on."""

BECOMES = {
    "volts without load": "half-splitter",
    "0 V is dead here": "across each part",
    "return is zero": "half-splitter",
    "blames the load": "half-splitter",
    "there or not there": "half-splitter",
    "ohms live": "ohms, dead",
    "ohms in place": "ohms, dead",
    "renews the fuse": "half-splitter",
    "current used up": "clamp along the way",
    "never proves": "half-splitter",
}
"""Who somebody with a wrong rule is without it: the same way of looking, and right rules."""

NAMED_BY = {
    "volts without load": ("load first",),
    "ohms on a live circuit": ("dead first", "ohms live"),
    "fuse without the cause": ("ask why", "fuse too big"),
    "never proves": ("prove", "stops at the first find"),
}
"""What names a rule or habit besides its own key, in the words of the review and the bench."""

FEEDBACK = {"off": (), "review": ("told",), "lessons and review": ("told", "cards")}
"""What is switched on: what is told after a hunt, and the cards of the lessons."""


@dataclass(frozen=True)
class Change:
    """Means over unseen hunts, before and after.

    Attributes
    ----------
    gone : float
        Share of the learners whose rule went.
    wrong, clean, readings, cost : tuple of float
        Before, after.
    """

    gone: float
    wrong: tuple[float, float]
    clean: tuple[float, float]
    readings: tuple[float, float]
    cost: tuple[float, float]


class Plays:
    """All plays by learner and hunt."""

    def __init__(self, plays: Iterable[Played]) -> None:
        self.of = {(play.learner, play.hunt): play for play in plays}
        names = {name for name, _ in self.of}
        self.hunts = sorted(
            hunt for hunt in {hunt for _, hunt in self.of}
            if all((name, hunt) in self.of for name in names)
        )  # fmt: skip  # rows that a reader compares

    def means(self, learner: str, hunts: list[str]) -> dict[str, float]:
        """A learner's means over hunts; a danger that the advised way meets as well is none."""
        own = [self.of[learner, hunt] for hunt in hunts]
        bound = [self.of["advised", hunt].hazards for hunt in hunts]
        clean = [
            play.proven and not play.wrong and play.hazards <= most
            for play, most in zip(own, bound, strict=True)
        ]
        n = len(own)
        return {
            "wrong": sum(play.wrong for play in own) / n, "clean": sum(clean) / n,
            "readings": sum(play.readings for play in own) / n,
            "cost": sum(play.cost for play in own) / n,
        }  # fmt: skip  # rows that a reader compares


def names_it(rule: str, said: Iterable[str]) -> bool:
    """Tell whether what was said names a rule or a habit."""
    return not {rule, *NAMED_BY.get(rule, ())}.isdisjoint(said)


def takes_up(
    learner: str, hunts: list[str], plays: Plays, feedback: str,
    cards: Mapping[str, int], chance: float, draw: random.Random,
) -> str:  # fmt: skip  # rows that a reader compares
    """Who a learner is after some hunts and what was told of them.

    Parameters
    ----------
    chance : float
        That what is told is taken up, each time.
    cards : mapping of str to int
        How many answers on the cards of the lessons name a rule.
    """
    who = BY_NAME[learner]
    rule, on = who.rule or who.name, FEEDBACK[feedback]
    times = cards.get(rule, 0) if "cards" in on else 0
    if "told" in on:
        times += sum(names_it(rule, plays.of[learner, hunt].told) for hunt in hunts)
    return BECOMES[learner] if any(draw.random() < chance for _ in range(times)) else learner


def change(
    learner: str, plays: Plays, feedback: str, cards: Mapping[str, int] | None = None,
    chance: float = 1.0, classes: int = CLASSES, training: int = TRAINING,
) -> Change:  # fmt: skip  # rows that a reader compares
    """Measure learners of a kind on hunts unseen, before and after the training."""
    gone, before, after = 0, [], []
    for number in range(classes):
        draw = random.Random(f"{learner}/{number}")
        order = draw.sample(plays.hunts, len(plays.hunts))
        seen, unseen = order[:training], order[training:]
        became = takes_up(learner, seen, plays, feedback, cards or {}, chance, draw)
        gone += became != learner
        before.append(plays.means(learner, unseen))
        after.append(plays.means(became, unseen))

    def mean(key: str) -> tuple[float, float]:
        return tuple(sum(one[key] for one in some) / classes for some in (before, after))

    return Change(
        gone / classes, mean("wrong"), mean("clean"), mean("readings"), mean("cost")
    )  # fmt: skip  # rows that a reader compares


def wire_follower(plays: Plays, classes: int = CLASSES, training: int = TRAINING) -> Change:
    """Who follows the wire, and takes the advised step once the review said that there was one."""
    gone, before, after = 0, [], []
    for number in range(classes):
        draw = random.Random(f"wire/{number}")
        order = draw.sample(plays.hunts, len(plays.hunts))
        said = {key for hunt in order[:training] for key in plays.of["along the wire", hunt].told}
        told = "most for its minutes" in said
        gone += told
        before.append(plays.means("along the wire", order[training:]))
        after.append(plays.means("advised" if told else "along the wire", order[training:]))

    def mean(key: str) -> tuple[float, float]:
        return tuple(sum(one[key] for one in some) / classes for some in (before, after))

    return Change(
        gone / classes, mean("wrong"), mean("clean"), mean("readings"), mean("cost")
    )  # fmt: skip  # rows that a reader compares
