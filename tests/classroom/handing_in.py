"""What students hand in with an assignment: honest work, half a hunt, forgeries, nothing."""

from __future__ import annotations

from pathlib import Path

from labkit.exercises.exercise import load_exercise
from labkit.hunts.kept import KeptHunt
from labkit.record.lines import decode, encode
from tests.boats import EXERCISES

EXERCISE = "chart-lamp-dark.toml"

FORGED = {
    "ana": (3.5, 5.0),  # an honest hunt, named and proven
    "bo": (0.1, 2.5),  # named, not proven
    "cy": (0.0, 0.0),  # minutes divided by ten
    "di": (0.0, 0.0),  # somebody else's attempt
    "ed": (0.0, 0.0),  # somebody else's attempt with another name in it
    "flo": (0.0, 0.0),  # nothing
}
"""Least and most points due of five for each student's work."""


def play(folder: Path, student: str, proven: bool = True) -> Path:
    """Play the hunt into a folder and return the record."""
    exercise = load_exercise(EXERCISES / EXERCISE)
    hunt = KeptHunt(exercise, student, folder)
    hunt.bench.read("G1:+", "G1:-")
    hunt.bench.read("E1:1", "E1:2")
    hunt.bench.read("S2:2", "G1:-")
    fault = exercise.deal(student).circuit.faults[0]
    question = hunt.question
    mode = next(word for word in question.modes if question.grade(fault.part, word).right)
    hunt.name(fault.part, mode)
    if proven:
        hunt.bench.switch("S1", "off")
        hunt.bench.act("fit" if fault.part[0] == "F" else "repair", id=fault.part)
        hunt.bench.switch("S1", "on")
        hunt.prove()
    hunt.attempt.close()
    return hunt.attempt.path


def rewrite(path: Path, **facts: float | str) -> None:
    """Change facts in every line of a record that has them, with checksums that fit again."""
    lines = [decode(line) for line in path.read_bytes().splitlines()]
    forged = b""
    for line in lines:
        assert line is not None
        number, kind = line.pop("n"), line.pop("kind")
        forged += encode(number, kind, {**line, **{k: v for k, v in facts.items() if k in line}})
    path.write_bytes(forged)


def hand_in(assignment: Path, student: str) -> None:
    """Put a student's attempt beside the notebook, as :data:`FORGED` tells."""
    attempts = assignment / "attempts"
    if student in ("ana", "bo"):
        play(attempts, student, proven=student == "ana")
    elif student == "cy":
        rewrite(play(attempts, student), minutes=0.1)
    elif student in ("di", "ed"):
        copied = play(attempts, "bo")  # who was dealt another fault than ed
        if student == "ed":
            rewrite(copied, learner="ed")
