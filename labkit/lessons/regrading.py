"""Answers to a lesson's questions graded anew, as the lesson's own file asks them.

What a record says of an answer is never taken on trust: the answer is given again, and whether it
is right, and which idea is behind it, follows from the circuit.
"""

from __future__ import annotations

import inspect
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from labkit.desk.marks import Mark, mark
from labkit.lessons.checking import is_lesson
from labkit.lessons.lesson import Lesson
from labkit.questions import Verdict
from labkit.questions.fields import OneOf, Question
from labkit.record import PROGRAM, Record
from labkit.text.messages import CircuitError
from labkit.text.toml_file import read_toml


@dataclass(frozen=True)
class Regraded:
    """A lesson's attempt with its answers graded anew.

    Attributes
    ----------
    record : Record
        Its answers right or wrong as they are now found to be; without those nobody asked for.
    differs : str
        The first line that says something else than what came of it, in a sentence, or ''.
    """

    record: Record
    differs: str = ""

    @property
    def mark(self) -> Mark:
        """The attempt in figures."""
        return replace(mark(self.record), played=not self.differs)


def lessons_below(*folders: Path) -> dict[str, Path]:
    """Return the files of the lessons in folders and below, by their titles; the first one counts.

    A file that is no TOML is none of them, whatever else it is.
    """
    found: dict[str, Path] = {}
    for path in (path for folder in folders for path in sorted(folder.rglob("*.toml"))):
        try:
            if is_lesson(path):
                found.setdefault(str(read_toml(path).get("title")), path)
        except CircuitError:
            continue
    return found


def regraded(record: Record, lesson: Lesson) -> Regraded:
    """Give each answer of an attempt again, and compare what comes of it.

    Parameters
    ----------
    record : Record
    lesson : Lesson
        The one it is an attempt at.
    """
    asked = {question.ask: question for question in lesson.questions.values()}
    lines: list[Mapping[str, Any]] = []
    differs = ""
    for number, line in enumerate(record.lines, 2):
        what = ""
        if line["kind"] == "answer":
            line, what = _anew(line, asked, record.head.get("program") == PROGRAM)
        elif line["kind"] != "shown":
            what = f"is '{line['kind']}', which no lesson has"
        differs = differs or (f"{record.path}: line {number} {what}" if what else "")
        if line:
            lines.append(line)
    return Regraded(replace(record, lines=tuple(lines)), differs)


def _anew(
    line: Mapping[str, Any], asked: Mapping[str, Question], same_program: bool
) -> tuple[Mapping[str, Any], str]:
    """Return a line with the verdict that its answer gets; empty, and why, where it gets none."""
    question = asked.get(str(line.get("ask")))
    if question is None:
        return {}, f"answers '{line.get('ask')}', which the lesson does not ask"
    try:
        verdict = given_again(question, line["said"])
    except (CircuitError, KeyError, TypeError, ValueError, AttributeError):
        return {}, f"answers {line.get('said')!r}, which is no answer to '{question.ask}'"
    if verdict.right is None:
        return {}, f"answers {line['said']!r}, which cannot be graded"
    what = ""
    if line.get("right") is not verdict.right:
        what = f"says right {line.get('right')!r}; graded again it is {verdict.right!r}"
    elif same_program and line.get("misconception") != verdict.misconception:
        idea = line.get("misconception")
        what = f"says misconception {idea!r}; graded again it is {verdict.misconception!r}"
    return {**line, "right": verdict.right, "misconception": verdict.misconception}, what


def given_again(question: Question, said: Sequence[Any]) -> Verdict:
    """Grade an answer as a record keeps it: what stands by its place, then pairs of name and value.

    Parameters
    ----------
    question : Question
    said : sequence
    """
    names = {field.name for field in question.fields if isinstance(field, OneOf) and field.name}
    names |= inspect.signature(question.grade).parameters.keys()
    named = [one for one in said if isinstance(one, list) and len(one) == 2 and one[0] in names]
    placed = [one for one in said if one not in named]
    return question.grade(*placed, **dict(named))


def marks_of_lessons(
    records: Iterable[Record], files: Mapping[str, Path]
) -> tuple[list[Regraded], list[Record]]:
    """Grade the attempts at lessons anew.

    Parameters
    ----------
    records : iterable of Record
    files : mapping of str to Path
        Of lessons, by title.

    Returns
    -------
    list of Regraded and list of Record
        The rest, which are no attempts at these lessons.

    Raises
    ------
    CircuitError
        If a lesson that was answered has something wrong in its file.
    """
    opened: dict[str, Lesson] = {}
    made, others = [], []
    for record in records:
        title = str(record.head.get("title", ""))
        if title not in files:
            others.append(record)
            continue
        if title not in opened:
            opened[title] = Lesson(files[title])
        made.append(regraded(record, opened[title]))
    return made, others
