"""One learner's hunt in an exam, held where the learner cannot look: acts in, what is seen out.

Everything done is on the disk before it is answered, as an attempt that `labkit marks` reads, and
from there a hunt goes on after the referee was stopped. An ask carries its number, so that one
whose answer was lost is asked again and not done twice.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from labkit.diagnosis.faults import learner_words
from labkit.exercises.exercise import Exercise, beside
from labkit.hunts.kept import KeptHunt
from labkit.questions import Verdict
from labkit.record import Record, attempts, read_record
from labkit.referee.wire import Data, told, view
from labkit.text.messages import CircuitError, NoConvergenceError, did_you_mean
from labkit.text.toml_file import read_toml

NOTED = "Noted. Whether it is right is told when the exam is over."


class OutOfTurnError(Exception):
    """An ask with a number that is not the next one's, nor that of the last one repeated."""


class HeldHunt(KeptHunt):
    """A hunt that judges no name while it lasts, and goes on even when it was proven."""

    @property
    def modes(self) -> Mapping[str, str]:
        """Ways to fail that can be named, the same whatever was dealt."""
        dealt = self.dealt
        elsewhere = bool(dealt.suspects.also) or any(fault.to for fault in dealt.variants)
        return {**learner_words(), **(learner_words(elsewhere=True) if elsewhere else {})}

    @property
    def finish(self) -> dict[str, Any]:
        """What a record tells of its end: minutes, as names are not judged yet."""
        return {"minutes": round(self.minutes, 3), "unjudged": True}

    def name(self, part: str, mode: str) -> Verdict:
        """Note what the learner names."""
        parts = self.bench.drawn.parts
        if part not in parts:
            raise CircuitError([f"no part '{part}'; {did_you_mean(part, parts)}"])
        if mode not in {*self.modes, *self.modes.values()}:
            raise CircuitError([f"nothing fails as '{mode}'; {did_you_mean(mode, self.modes)}"])
        self._keep("named", part=part, mode=mode, right=None, unjudged=True)
        return Verdict(None, NOTED)

    def _former(self) -> list[Path]:
        return attempts(self.exercise.title, self.learner, self._folder)


class Held:
    """One learner's hunt at the referee's.

    Parameters
    ----------
    exercise : Exercise
    learner : str
        To whom it was dealt.
    folder : Path
        Where attempts are kept.

    Attributes
    ----------
    done : list of tuple
        What was asked and answered so far.
    """

    def __init__(self, exercise: Exercise, learner: str, folder: Path) -> None:
        boat = exercise.circuit
        boat = replace(boat, file=boat.title)  # where it lies here is no learner's to know
        self.exercise = replace(exercise, circuit=boat)
        self.hunt = HeldHunt(self.exercise, learner, folder)
        self.hunt.attempt.careful = True
        self.done: list[tuple[Data, Data]] = []
        path = self.hunt.attempt.path
        if path.exists():
            self._remember(read_record(path))

    def _remember(self, record: Record) -> None:
        log, proofs = iter(self.hunt.bench.log), iter(record.of("proof"))
        for line in record.lines:
            if line["kind"] == "act":
                self._note(line["action"], line["args"], told(next(log)))
            elif line["kind"] == "named":
                self._note("name", {"part": line["part"], "mode": line["mode"]}, {"said": NOTED})
            elif line["kind"] == "proof":
                proof = next(proofs)
                self._note("prove", {}, {"ok": proof["ok"], "text": proof["text"]})

    def _note(self, act: str, args: Mapping[str, str], answer: Data) -> None:
        self.done.append(({"act": act, "args": dict(args)}, answer))

    def opened(self) -> Data:
        """Return all that a learner's card begins with: the story, the sound boat, the log."""
        exercise = self.exercise
        file = Path(exercise.file)
        table = read_toml(file)
        circuit = read_toml(beside(file, table["circuit"]))
        circuit.pop("notes", None)
        return {
            "title": exercise.title,
            "complaint": exercise.complaint,
            "seen": list(exercise.seen),
            "cautions": list(exercise.cautions),
            "circuit": circuit,
            "unheard": table.get("unheard", []),
            "positions": dict(exercise.circuit.positions),
            "modes": dict(self.hunt.modes),
            "done": self.done,
            "view": view(self.hunt.bench),
        }

    def ask(self, number: int, act: str, args: Mapping[str, str]) -> Data:
        """Do what is asked, keep it, and return what is to be seen of it.

        Parameters
        ----------
        number : int
            Of the ask: how many were done before it.
        act : str
            Of the bench, or 'name', or 'prove'.
        args : mapping of str to str

        Returns
        -------
        dict
            With `refused` where it cannot be done; nothing is done then, and the number stays.

        Raises
        ------
        OutOfTurnError
            If another ask has that number, or one before it is missing.
        """
        self.hunt.attempt.save()
        asked = {"act": act, "args": dict(args)}
        if self.done and number == len(self.done) - 1 and self.done[-1][0] == asked:
            return {**self.done[-1][1], "view": view(self.hunt.bench)}
        if number != len(self.done):
            raise OutOfTurnError
        try:
            answer = self._do(act, args)
        except CircuitError as error:
            return {"refused": error.problems}
        except NoConvergenceError as error:
            return {"refused": [str(error)]}
        self._note(act, args, answer)
        return {**answer, "view": view(self.hunt.bench)}

    def _do(self, act: str, args: Mapping[str, str]) -> Data:
        if act == "name":
            return {"said": self.hunt.name(args.get("part", ""), args.get("mode", "")).text}
        if act == "prove":
            proven = self.hunt.prove()
            return {"ok": proven.ok, "text": proven.text}
        return told(self.hunt.bench.act(act, **args))

    @property
    def trouble(self) -> str:
        """Why what was done is not on the disk, or ''."""
        return self.hunt.attempt.trouble


def make_private() -> None:
    """Let nobody else read what this process writes."""
    os.umask(0o077)
