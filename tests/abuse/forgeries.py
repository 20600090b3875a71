"""Attempts forged in ten ways, each of which is found; honest ones, of which none is accused.

Every line that is changed gets the checksum that fits, as a learner who can program would write it.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

from labkit.exercises.exercise import Exercise, load_exercise
from labkit.hunts.kept import KeptHunt
from labkit.hunts.replay import replay
from labkit.record.lines import encode, parse
from labkit.text.messages import CircuitError
from tests.boats import EXERCISES

from .tally import Tally

HUNTS = ("slow-washdown", "washdown-again", "chart-lamp-dark", "horn-mute")
LEARNERS = ("Ada", "Bo", "Cy", "Di", "Eli")
PLAYED = Path("played.jsonl")  # no file of that name is read or written

Body = dict[str, Any]


@cache
def exercise(stem: str) -> Exercise:
    """A hunt by its file's name."""
    return load_exercise(EXERCISES / f"{stem}.toml")


@cache
def honest(stem: str, learner: str) -> tuple[Body, ...]:
    """The lines of an attempt brought to its end, danger and a wrong name on its way."""
    dice, given = Random(f"{stem}/{learner}"), exercise(stem)
    with tempfile.TemporaryDirectory() as folder:
        hunt = KeptHunt(given, learner, Path(folder))
        bench, proof = hunt.bench, given.proof
        points = [point.terminals[0] for point in bench.drawn.test_points]
        for id, to in proof.positions.items():
            bench.switch(id, to)
        bench.look(proof.load)
        for _ in range(dice.randint(3, 6)):
            bench.read(dice.choice(points), dice.choice(points))
        bench.read(f"{proof.load}:1", f"{proof.load}:2", "ohms")  # with the circuit live
        fault = hunt.dealt.circuit.faults[0]
        question = hunt.question
        others = (
            (part, mode)
            for part in dice.sample(sorted(bench.drawn.parts), len(bench.drawn.parts))
            for mode in question.words_of(part)
        )
        next(one for one in others if hunt.name(*one).right is False)
        modes = question.words_of(fault.part)
        next(mode for mode in modes if hunt.name(fault.part, mode).right)
        for id, to in given.circuit.positions.items():
            bench.switch(id, to)
        bench.repair(fault.part)
        for fuse in bench.circuit.faults:  # what the fault had blown
            bench.fit(fuse.part)
        assert hunt.prove().ok, (stem, learner)
        hunt.attempt.close()
        record = parse(PLAYED, hunt.attempt.path.read_bytes())
    return record.head, *record.lines  # type: ignore[return-value]


# -- ten ways --------------------------------------------------------------------------------------


def _one(lines: list[Body], dice: Random, kind: str, key: str = "", of: str = "") -> Body:
    fitting = [
        line
        for line in lines
        if line["kind"] == kind and (not key or line.get(key)) and of in ("", line.get("action"))
    ]
    return dice.choice(fitting)


def _less(kind: str, key: str) -> Callable[[list[Body], Random], None]:
    def forge(lines: list[Body], dice: Random) -> None:
        line = _one(lines, dice, kind, key)
        line[key] = round(line[key] * dice.uniform(0.1, 0.9), 3)

    return forge


def _another_display(lines: list[Body], dice: Random) -> None:
    line = _one(lines, dice, "act", of="read")
    line["shows"] = f"{dice.uniform(20, 40):.2f} V"


def _no_danger(lines: list[Body], dice: Random) -> None:
    _one(lines, dice, "act", "hazards")["hazards"] = []


def _called_right(lines: list[Body], dice: Random) -> None:
    next(line for line in lines if line["kind"] == "named" and not line["right"])["right"] = True


def _no_repair(lines: list[Body], dice: Random) -> None:
    lines[:] = [one for one in lines if one.get("action") not in ("repair", "fit")]


def _left_out(lines: list[Body], dice: Random) -> None:
    lines.remove(_one(lines, dice, "act", of="read"))


def _made_up(lines: list[Body], dice: Random) -> None:
    line = _one(lines, dice, "act", of="read")
    lines.insert(lines.index(line), {**line, "shows": "0.000 V", "minutes": 0.1})


def _no_wrong_idea(lines: list[Body], dice: Random) -> None:
    line = next(line for line in lines if line["kind"] == "named" and not line["right"])
    line["text"], line["misconception"] = "Right.", "" if line["misconception"] else "sign"


WAYS: dict[str, Callable[[list[Body], Random], None]] = {
    "fewer minutes for an act": _less("act", "minutes"),
    "fewer minutes in all": _less("finished", "minutes"),
    "a smaller cost": _less("finished", "cost"),
    "another display": _another_display,
    "no danger": _no_danger,
    "a wrong name called right": _called_right,
    "another wrong idea": _no_wrong_idea,
    "a proof without a repair": _no_repair,
    "a reading left out": _left_out,
    "a reading made up": _made_up,
}


def _written(lines: list[Body]) -> bytes:
    return b"".join(
        encode(n, line["kind"], {key: value for key, value in line.items() if key not in _OWN})
        for n, line in enumerate(lines)
    )


_OWN = ("n", "kind", "sum")


def found(rng: Random, count: int) -> Tally:
    """Forge so many honest attempts, a tenth in each way, and play all of them again."""
    tally, ways = Tally(), list(WAYS)
    for stem in HUNTS:
        for learner in LEARNERS[: max(1, min(len(LEARNERS), count // 20))]:
            name = f"honest: {stem}, {learner}"
            tally.attempt(name, lambda s=stem, who=learner, name=name: _judge(
                tally, name, s, [*honest(s, who)], forged=False))  # fmt: skip  # in rows
    for number in range(count):
        way, stem = ways[number % len(ways)], rng.choice(HUNTS)
        learner = rng.choice(LEARNERS[: max(1, min(len(LEARNERS), count // 20))])
        lines = [dict(line) for line in honest(stem, learner)]
        WAYS[way](lines, rng)
        name = f"{way}: {stem}, {learner}"
        tally.attempt(name, lambda s=stem, lines=lines, name=name: _judge(
            tally, name, s, lines, forged=True))  # fmt: skip  # rows that a reader compares
    return tally


def _judge(tally: Tally, name: str, stem: str, lines: list[Body], forged: bool) -> None:
    record = parse(PLAYED, _written(lines))
    if record.damage:
        raise CircuitError([f"{name}: {record.damage}"])
    differs = replay(record, exercise(stem)).differs
    if forged and not differs:
        tally.wrong(f"{name}: is not found")
    if differs and not forged:
        tally.wrong(f"{name}: is accused, {differs}")
