"""The tables that are printed of the plays."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

from tests.learners.after import BECOMES, FEEDBACK, Change, Plays, change, names_it, wire_follower
from tests.learners.table import BASE, HARM, Played, beats
from tests.learners.ways import BY_NAME, LEARNERS, RIGHT, WRONG

ANSWERS = Path(__file__).parents[1] / "questions" / "wrong_answers.txt"

THIN = 5
"""A rule should do harm in so many hunts at least."""

CARD_KEYS = {
    "volts without load": ("sound when loaded", "drop without current"),
    "open reads nothing": ("open reads nothing", "bus instead of across"),
}
"""By which words the cards of the lessons tell of a rule, where they have others of their own."""


def cards() -> Counter[str]:
    """How many answers on the cards of the lessons are told each wrong rule."""
    told = [line.rpartition("|")[2].strip() for line in ANSWERS.read_text("utf-8").splitlines()]
    keys = {who.rule: CARD_KEYS.get(who.rule, (who.rule,)) for who in WRONG if who.rule}
    return Counter({rule: sum(told.count(key) for key in some) for rule, some in keys.items()})


def print_strategies(plays: list[Played]) -> None:
    """Each learner's means over the hunts, and how often the half-splitter's cost is below."""
    print(f"\n{'learner':24} readings   min  wrong  dangers  proven  clean   cost  half-splitter")
    for learner in LEARNERS if plays else ():
        own = [play for play in plays if play.learner == learner.name]
        mean = [
            sum(getattr(p, key) for p in own) / len(own)
            for key in ("readings", "minutes", "wrong", "hazards", "proven", "clean", "cost")
        ]
        print(f"{learner.name:24} {mean[0]:8.1f} {mean[1]:5.0f} {mean[2]:6.1f} {mean[3]:8.2f} "
              f"{mean[4]:7.2f} {mean[5]:6.2f} {mean[6]:6.0f}  "
              f"{beats(plays, 'half-splitter', learner.name):.2f}")  # fmt: skip  # in rows
    print(f"{len({play.hunt for play in plays})} hunts")


def harmed(plays: Plays, learner: str) -> list[str]:
    """The hunts in which a wrong rule costs a quarter more than right ones by the same way."""
    base = BASE.get(BY_NAME[learner].look, "half-splitter")
    return [
        hunt for hunt in plays.hunts
        if plays.of[learner, hunt].cost > HARM * plays.of[base, hunt].cost
    ]  # fmt: skip  # rows that a reader compares


def print_rules(plays: Plays) -> None:
    """In how many hunts each rule does harm, and in how many of those it is named."""
    on_cards = cards()
    print(f"\n{'rule':24} harm in   named there  other word  nothing said  answers on cards")
    for who in WRONG:
        rule, some = who.rule or who.name, harmed(plays, who.name)
        told = [plays.of[who.name, hunt].told for hunt in some]
        named = sum(names_it(rule, said) for said in told)
        silent = sum(not {*said} - {"nothing"} for said in told)
        thin = "" if len(some) >= THIN else f"  thin: under {THIN}"
        print(f"{rule:24} {len(some):7} {named:13} {len(some) - named - silent:11} {silent:13} "
              f"{on_cards[rule]:17}{thin}")  # fmt: skip  # rows that a reader compares


def print_gate(plays: Plays) -> None:
    """What the tests hold the cost and the review to, over all hunts."""
    every = [*plays.of.values()]
    print("\nhalf-splitter's cost below:", "  ".join(
        f"{worse} {beats(every, 'half-splitter', worse):.2f}"
        for worse in ("guesser", "loudest symptom", *(who.name for who in WRONG))
    ))  # fmt: skip  # rows that a reader compares
    reasoning = [who.name for who in RIGHT if who.look != "none" and who.loaded]
    lost = [
        h
        for h in plays.hunts
        if max(plays.of[who, h].cost for who in reasoning) >= plays.of["guesser", h].cost
    ]
    won = len(plays.hunts) - len(lost)
    print(f"who guesses through the list loses to each of {len(reasoning)} ways of measuring "
          f"under load in {won} of {len(plays.hunts)} hunts", *lost)  # fmt: skip  # in rows
    advised = [plays.of["advised", hunt] for hunt in plays.hunts]
    rest = [play for play in advised if {*play.told} - {"nothing", "fuse opened"}]
    print(
        f"the advised way is told nothing but 'next hunt' in {len(advised) - len(rest)} of "
        f"{len(advised)}:",
        *(f"{play.hunt} ({', '.join(play.told)})" for play in rest),
    )
    rules = {who.rule for who in WRONG if who.rule}
    right = [play for play in every if BY_NAME[play.learner] in RIGHT]
    names = sum(play.wrong for play in right)
    accused = [play for play in right if rules & {*play.told}]
    print(
        f"right rules accused of a wrong one: {len(accused)} reviews, of {names} wrong names;",
        Counter((play.learner, *(rules & {*play.told})) for play in accused),
    )


def print_after(every: list[Played]) -> None:
    """Learners on unseen hunts before and after they took up what they were told."""
    plays = Plays(every)
    print(
        f"{len(plays.hunts)} hunts; 12 to train on, drawn by chance, and the others unseen.\n"
        "Simulated: who is told of a rule gives it up, and nobody gives up anything untold."
    )
    on_cards = cards()
    for chance in (1.0, 0.5):
        print(f"\nwhat is told is taken up with chance {chance:g}")
        print(f"{'feedback':20} rule gone  wrong names    clean hunts    readings      cost")
        for feedback in FEEDBACK:
            each = [change(who, plays, feedback, on_cards, chance) for who in BECOMES]
            print(f"{feedback:20} {_line(_mean(each))}")
            if chance == 1.0 and feedback != "off":
                for who, one in zip(BECOMES, each, strict=True):
                    print(f"   {who:21} {_line(one)}")
    wire = wire_follower(plays)
    print(f"\n{'takes advised steps':20} {_line(wire)}   "
          f"readings {wire.readings[1] / wire.readings[0]:.2f}")  # fmt: skip  # in rows


def _mean(each: list[Change]) -> Change:
    n = len(each)

    def mean(key: str) -> tuple[float, float]:
        pairs = [getattr(one, key) for one in each]
        return sum(a for a, _ in pairs) / n, sum(b for _, b in pairs) / n

    gone = sum(one.gone for one in each) / n
    return Change(gone, mean("wrong"), mean("clean"), mean("readings"), mean("cost"))


def _line(one: Change) -> str:
    return (
        f"{one.gone:8.2f}   {one.wrong[0]:4.1f} -> {one.wrong[1]:4.1f}   "
        f"{one.clean[0]:.2f} -> {one.clean[1]:.2f}   {one.readings[0]:4.1f} -> "
        f"{one.readings[1]:4.1f}   {one.cost[0]:3.0f} -> {one.cost[1]:3.0f}"
    )
