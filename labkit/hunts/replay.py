"""An attempt played again and compared with what its file says of it, line by line.

What a record claims is never taken on trust: the acts it tells are done again at the dealt boat,
and everything else (what was shown, minutes, hazards, verdicts, proofs) follows from them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from labkit.exercises.exercise import Exercise
from labkit.hunts.hints import Hint
from labkit.hunts.hunt import Hunt
from labkit.record import PROGRAM, Record
from labkit.text.messages import CircuitError

_JUDGED = ("text", "misconception", "cost")
"""What one version of the program may word or reckon otherwise than the next."""


@dataclass(frozen=True)
class Replay:
    """What came of playing an attempt again.

    Attributes
    ----------
    hunt : Hunt
        As far as it could be played.
    differs : str
        The first line that says something else than what came of it, in a sentence, or ''.
    """

    hunt: Hunt
    differs: str = ""


def replay(record: Record, exercise: Exercise) -> Replay:
    """Play an attempt from its beginning and compare each line with what comes of it.

    Parameters
    ----------
    record : Record
    exercise : Exercise
        The one it is an attempt at.
    """
    hunt = Hunt(exercise, str(record.head.get("learner", "")))
    same_program = record.head.get("program") == PROGRAM
    differs = ""
    for number, line in enumerate(record.lines, 2):
        where = f"{record.path}: line {number}"
        try:
            made = _made(hunt, line)
        except (CircuitError, KeyError, TypeError) as error:
            return Replay(hunt, differs or f"{where} cannot be played again ({error})")
        if not same_program:
            made = {key: value for key, value in made.items() if key not in _JUDGED}
        what = _difference(line, made)
        differs = differs or (f"{where} {what}" if what else "")
    return Replay(hunt, differs)


def _difference(line: Mapping[str, Any], made: Mapping[str, Any]) -> str:
    for key, value in made.items():
        if key not in line:
            return f"does not say its {key}"
        if line[key] != value:
            return f"says {key} {line[key]!r}; played again it is {value!r}"
    return ""


def _made(hunt: Hunt, line: Mapping[str, Any]) -> dict[str, Any]:
    """Do what a line tells, and return what a line about it says."""
    if line["kind"] == "act":
        return hunt.bench.act(line["action"], **line["args"]).as_json()
    if line["kind"] == "named":
        verdict = hunt.name(line["part"], line["mode"])
        if line.get("unjudged"):  # in an exam nothing was said to it
            return {"right": None}
        return {
            "right": verdict.right,
            "text": verdict.text,
            "misconception": verdict.misconception,
        }
    if line["kind"] == "answer":
        raise CircuitError(["a hunt asks no questions"])
    if line["kind"] == "hint":  # it was had and paid for, whatever it would say today
        hunt.hints.append(Hint(int(line["step"]), str(line["text"]), int(line["seen"])))
    if line["kind"] == "proof":
        proven = hunt.prove()
        return {"ok": proven.ok, "text": proven.text, "drop": proven.drop}
    if line["kind"] == "finished":
        if hunt.proven is None or not hunt.proven.ok:
            raise CircuitError(["nothing was proven before it"])
        return {"minutes": hunt.finish["minutes"]} if line.get("unjudged") else hunt.finish
    return {}
