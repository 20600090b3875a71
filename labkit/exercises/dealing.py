"""One variant for each learner, by name: the same name always gets the same one.

A dealt file names the exercise and the learner, and nothing else; what is wrong follows from both,
so that reading the file gives nothing away.
"""

from __future__ import annotations

import json
import os
import re
import unicodedata
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from labkit.exercises.class_list import enter
from labkit.exercises.exercise import Dealt, Exercise
from labkit.exercises.files import story_from
from labkit.exercises.sealed import sealed_notebook
from labkit.exercises.surveys import SurveyExercise
from labkit.text.files import refuse_existing, write
from labkit.text.messages import CircuitError, unprintable
from labkit.text.plain_file import bytes_of, is_there, reason
from labkit.text.toml_file import read_toml
from labkit.text.wording import sentences

LONGEST_NAME = 80
"""Letters in a learner's name. Our choice."""


LARGEST_CLASS = 256 * 1024
"""No list of names is so long. [bytes]"""


class HandKeys(BaseModel):
    """What stands in a dealt file."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
    exercise: str = Field(min_length=1)
    learner: str = Field(min_length=1, max_length=LONGEST_NAME)


@dataclass(frozen=True)
class Hand:
    """What one learner was dealt."""

    learner: str
    exercise: Exercise | SurveyExercise
    dealt: Dealt


def learners(given: Iterable[str]) -> list[str]:
    """Return the names given, each a name or a text file of names, one a line.

    Raises
    ------
    CircuitError
        If a file cannot be read, a name is given twice, is too long, or there is none.
    """
    names: list[str] = []
    for item in given:
        path = Path(item)
        names += (
            _lines(path) if path.suffix.lower() in (".txt", ".csv") or is_there(path) else [item]
        )
    names = [tidy(name) for name in names if tidy(name)]
    problems = [
        f"{name[:20]}...: a name has at most {LONGEST_NAME} letters"
        for name in names
        if len(name) > LONGEST_NAME
    ]
    problems += [
        f"{name}: a name is written in letters; {unprintable(name)!r} cannot stand in one"
        for name in names
        if unprintable(name)
    ]
    times = Counter(file_word(name) for name in names)
    problems += [
        f"{name}: is in the class twice, and dealing is by name; tell them apart, as in '{name} 2'"
        for name in dict.fromkeys(names)
        if times[file_word(name)] > 1
    ]
    if not names:
        problems.append("the class has no names; write one a line in a text file, or name them")
    if problems:
        raise CircuitError(problems)
    return names


def tidy(name: str) -> str:
    """Write a name one way: composed letters, single spaces."""
    return " ".join(unicodedata.normalize("NFC", name).split())


def file_word(text: str) -> str:
    """Return a text as part of a file's name: its letters and figures, joined by hyphens."""
    return "-".join(re.findall(r"\w+", tidy(text).casefold().replace("_", " "))) or "unnamed"


def enter_class(file: Path, names: Iterable[str]) -> None:
    """Deal an exercise to a class, each variant as often as another, and keep who got what.

    Raises
    ------
    CircuitError
        If the exercise is not fit, or the list beside it cannot be written.
    """
    exercise = read_story(file)
    enter(file, exercise.title, len(exercise.variants), map(tidy, names))


def deal_sealed(
    file: Path, names: Iterable[str], folder: Path, overwrite: bool = False
) -> list[Path]:
    """Write a notebook for each learner that holds their variant and no list of faults.

    Raises
    ------
    CircuitError
        As :func:`deal_hands` does.
    """
    books = {folder / f"{file.stem}-{file_word(name)}.ipynb": name for name in names}
    refuse_existing(books, overwrite)
    for path, name in books.items():
        write(path, sealed_notebook(file, name))
    return list(books)


def deal_hands(
    file: Path, names: Iterable[str], folder: Path, overwrite: bool = False
) -> list[Path]:
    """Write a dealt file for each learner and return their paths.

    Raises
    ------
    CircuitError
        If the exercise is not fit, a file is there already or cannot be written.
    """
    read_story(file)
    hands = {folder / f"{file.stem}-{file_word(name)}.toml": name for name in names}
    refuse_existing(hands, overwrite)
    home = folder.resolve()
    try:
        exercise = Path(os.path.relpath(file.resolve(), home)).as_posix()
    except ValueError:  # another drive
        exercise = file.resolve().as_posix()
    for path, name in hands.items():
        write(path, _TEXT.format(exercise=_quoted(exercise), learner=_quoted(name)))
    return list(hands)


def is_hand(path: Path) -> bool:
    """Tell whether a file is a dealt file. Raises CircuitError if it is no TOML."""
    return "learner" in read_toml(path)


def read_hand(path: Path) -> Hand:
    """Read a dealt file and deal its learner's variant.

    Raises
    ------
    CircuitError
        If the file, or the exercise it names, has something wrong.
    """
    try:
        keys = HandKeys.model_validate(read_toml(path))
    except ValidationError as error:
        refused = sentences(error, HandKeys, "a dealt file")
        raise CircuitError([f"{path}: {text}" for text in refused]) from None
    if not keys.exercise.endswith(".toml"):
        raise CircuitError([f"{path}: exercise: name the exercise's file, which ends in .toml"])
    exercise = read_story(path.parent / keys.exercise)
    learner = tidy(keys.learner)
    dealt = exercise.deal(learner)
    return Hand(learner, exercise.told(dealt.number), dealt)


def read_story(path: str | Path) -> Exercise | SurveyExercise:
    """Read an exercise or a survey. Raises CircuitError with everything that is wrong in it."""
    return story_from(read_toml(path), path)


def open_exercise(path: str | Path) -> Exercise | SurveyExercise:
    """Read an exercise or a survey, or the one that a dealt file names, dealt to its learner.

    Parameters
    ----------
    path : str or Path

    Raises
    ------
    CircuitError
        With everything that is wrong, a sentence each.
    """
    if not is_hand(Path(path)):
        return read_story(path)
    hand = read_hand(Path(path))
    return replace(hand.exercise, learner=hand.learner)


def _lines(path: Path) -> list[str]:
    try:
        data = bytes_of(path, LARGEST_CLASS)
        if len(data) > LARGEST_CLASS:
            raise OSError(f"is larger than {LARGEST_CLASS // 1024} kB")
        return data.decode("utf-8-sig").splitlines()
    except UnicodeDecodeError:
        raise CircuitError([f"{path}: is not UTF-8 text; save the names as UTF-8"]) from None
    except OSError as error:
        raise CircuitError(
            [f"{path}: {reason(error)}; name a text file with a name a line"]
        ) from None


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


_TEXT = """\
# Dealt by name: leave both lines as they are, or you hunt somebody else's fault.
exercise = {exercise}
learner  = {learner}
"""
