"""Is a lesson fit to be used? Everything wrong with it, a sentence each."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from labkit.exercises.files import load
from labkit.lessons.lesson import Lesson
from labkit.lessons.numbers import unfounded
from labkit.lessons.words import boat_of, measured
from labkit.questions import Predict, PredictBoth
from labkit.survey.asked import wanted_from
from labkit.survey.sizing import size
from labkit.text.messages import CircuitError, counted, did_you_mean
from labkit.text.toml_file import read_toml

_FIGURE = re.compile(r"(-?\d+(?:\.(\d+))?) (\S+)")
_SCALES = {"m": 1e-3, "k": 1e3, "M": 1e6, "u": 1e-6, "µ": 1e-6}


def is_lesson(path: Path) -> bool:
    """Tell whether a TOML file is a lesson: it has boats of its own."""
    return "boats" in read_toml(path)


def check_lesson(path: Path) -> tuple[str, list[str]]:
    """Check one lesson: names, numbers of points, figures of the text, right and wrong answers.

    Returns
    -------
    tuple of str and list of str
        A line that says what it is, and everything wrong with it.
    """
    try:
        lesson = Lesson(path)
        _ = lesson.boats, lesson.questions
    except CircuitError as error:
        return "", [p if str(path) in p else f"{path}: {p}" for p in error.problems]
    problems = [
        *_points(lesson),
        *_figures(lesson),
        *_order(lesson),
        *_answers(lesson),
        *_early(lesson),
        *_shown(lesson),
    ]
    if not problems:
        problems = [*unfounded(lesson)]
    line = f"{path}: {lesson.head.title}: a lesson of {counted(len(lesson.questions), 'question')}"
    return line, [f"{path}: {problem}" for problem in problems]


def _points(lesson: Lesson) -> Iterator[str]:
    """Numbers the text speaks of: '7 W2:2', or '3 F1:2 @ windlass' on another boat."""
    for text in lesson.head.points:
        where, _, name = text.partition(" @ ")
        try:
            boat = boat_of(name, lesson.boats) if name else next(iter(lesson.boats.values()))
            number, terminal = where.split()
            nodes = [boat.node_of[boat.point(p)] for p in (number, terminal)]
        except (CircuitError, ValueError) as error:
            yield f"points: '{text}': {error}; write it as '7 W2:2'"
            continue
        if nodes[0] != nodes[1]:
            yield f"points: '{text}': point {number} is {boat.point(number)}"


def _figures(lesson: Lesson) -> Iterator[str]:
    """What the text says of a boat, to the last digit written."""
    for asked, said in lesson.head.figures.items():
        try:
            found = measured(asked, lesson.boats)
        except CircuitError as error:
            yield f"figures: {error}"
            continue
        if not _same(said, found):
            yield f"figures: '{asked}': the text says {said}; it is {found}"


def _same(said: str, found: str) -> bool:
    written, shown = _FIGURE.fullmatch(said), _FIGURE.fullmatch(found)
    if written is None or shown is None:
        return said == found
    step = 10.0 ** -len(written[2] or "")
    a, b = (
        float(m[1]) * _SCALES.get(m[3][0] if len(m[3]) > 1 else "", 1.0) for m in (written, shown)
    )
    scale = _SCALES.get(written[3][0] if len(written[3]) > 1 else "", 1.0)
    return written[3][-1] == shown[3][-1] and abs(a - b) <= 0.51 * step * scale


def _order(lesson: Lesson) -> Iterator[str]:
    """A place waits for questions that come before it."""
    before: list[str] = []
    for name in lesson.places:
        for wanted in lesson.after(name):
            if wanted not in before:
                yield f"{name}: after: no question '{wanted}' before it; " + did_you_mean(
                    wanted, before
                )
        if name in lesson.questions:
            before.append(name)


def _answers(lesson: Lesson) -> Iterator[str]:
    """Answers given as right are right, wrong ones are wrong by the idea said, none is in sight."""
    for name, question in lesson.questions.items():
        what = lesson.places[name][1]
        if isinstance(question, Predict):
            shows = question.reading.display
            if shows in question.ask:
                yield f"{name}: ask: holds the answer, {shows}"
            for answer in what.right:
                if not question.grade(answer).right:
                    yield f"{name}: right: '{answer}' is not; the meter shows {shows}"
            yield from _wrong(name, what, question)
        if isinstance(question, PredictBoth) and not what.off:
            yield f"{name}: off: names no switch; write the positions with the load off"


def _wrong(name: str, what: Any, question: Predict) -> Iterator[str]:
    for answer, idea in what.wrong.items():
        verdict = question.grade(answer)
        if verdict.right is not False:
            yield f"{name}: wrong: '{answer}' is not wrong; {verdict.text}"
        elif idea and verdict.misconception != idea:
            found = verdict.misconception or "no idea"
            yield f"{name}: wrong: '{answer}': is said to come of '{found}', not of '{idea}'"


def _early(lesson: Lesson) -> Iterator[str]:
    """A reading that is to be predicted stands in no later place that does not wait for it."""
    names = list(lesson.places)
    for at, name in enumerate(names):
        question = lesson.questions.get(name)
        if not isinstance(question, Predict):
            continue
        for later in names[at + 1 :]:
            kind, what = lesson.places[later]
            if name in lesson.after(later) or (kind == "show" and lesson.after(later)):
                continue
            asked = lesson.questions[later].ask if later in lesson.questions else ""
            seen = "\n".join([asked, *(answer for answer, _ in getattr(what, "answers", ()))])
            if question.reading.display in (lesson.words(later) if kind == "show" else seen):
                yield (
                    f"{later}: tells {question.reading.display}, which '{name}' asks for; let it "
                    f'wait: after = "{name}"'
                )


def _shown(lesson: Lesson) -> Iterator[str]:
    """Everything that is shown can be made, every hunt opened."""
    for name, (kind, what) in lesson.places.items():
        try:
            lesson.words(name)
            if kind == "hunt":
                load(lesson.folder / what.hunt)
            if kind == "size":
                size(wanted_from(what.size, 1, False, bare=True))
            if kind == "final":
                for file in what.final:
                    load(lesson.folder / file)
            if kind in ("bench", "draw"):
                lesson.boat(getattr(what, kind))
        except CircuitError as error:
            yield from (f"{name}: {problem}" for problem in error.problems)
        except KeyError as error:
            yield f"{name}: no question {error} before it"
