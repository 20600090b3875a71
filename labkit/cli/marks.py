"""The command that prints a class's results."""

from __future__ import annotations

import json
import sys
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from labkit.cli.options import Overwrite
from labkit.cli.terminal import busy, listed, new_table, out
from labkit.text.messages import CircuitError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from labkit.desk.marks import Mark
    from labkit.desk.rubric import Row
    from labkit.exercises.exercise import Exercise
    from labkit.exercises.surveys import SurveyExercise
    from labkit.lessons.regrading import Regraded
    from labkit.record import Record


def marks(
    folder: Annotated[
        list[Path],
        typer.Argument(
            metavar="FOLDER", help="Folders with the files of attempts; last year's too."
        ),
    ],
    exercises: Annotated[
        Path | None,
        typer.Option(
            metavar="FOLDER", help="Play the attempts again on the exercises in this folder."
        ),
    ] = None,
    class_: Annotated[
        list[str] | None,
        typer.Option(
            "--class",
            metavar="NAMES",
            help="A text file of names; who handed nothing in is listed too.",
        ),
    ] = None,
    since: Annotated[
        str, typer.Option(metavar="DATE", help="Only what was begun on this day or later.")
    ] = "",
    until: Annotated[
        str, typer.Option(metavar="DATE", help="Only what was begun on this day or before.")
    ] = "",
    rubric: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", help="A TOML file that says what gives and what costs points."
        ),
    ] = None,
    csv: Annotated[
        Path | None,
        typer.Option("--csv", metavar="FILE", help="Write the grade book to this file as well."),
    ] = None,
    page: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", help="Write a page about the class: hunts, questions, what to teach."
        ),
    ] = None,
    by_folder: Annotated[
        bool,
        typer.Option(
            "--by-folder",
            help="Each folder is a learner's; attempts in it of another name are not taken.",
        ),
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON instead of tables.")] = False,
    overwrite: Overwrite = False,
) -> None:
    """Print the results of a class.

    What was named, minutes, dangers, points, and errors that recur. With --exercises every attempt
    is played again and every answer to a lesson graded again, and what is printed is what came of
    that; an attempt that says otherwise is named and gets no points. Where two learners took the
    same steps, or the same seconds from one act to the next, that is said: it is a fact and no
    verdict. A term is --since 2026-09-01 --until 2027-01-31.

    Example: labkit marks attempts --exercises exercises --class names.txt --csv marks.csv
    """
    from labkit.desk.alike import alike
    from labkit.desk.class_page import class_page
    from labkit.desk.marks import exercises_below, replayed
    from labkit.desk.rubric import Rubric, as_csv, read_rubric, rows
    from labkit.desk.term import begun_in, day
    from labkit.desk.wasted import wasted
    from labkit.exercises.dealing import learners
    from labkit.text.files import refuse_existing, write

    for missing in (one for one in folder if not one.is_dir()):
        raise CircuitError([f"{missing}: no such folder; name one that holds attempts"])
    first, last = day(since, "--since"), day(until, "--until")
    wanted = [path for path in (csv, page) if path is not None]
    refuse_existing(wanted, overwrite)
    names = learners(class_) if class_ else []
    given = read_rubric(rubric) if rubric is not None else Rubric()
    records, problems = _attempts(folder, by_folder)
    records, undated = begun_in(records, first, last)
    problems += undated
    known, unread = exercises_below(exercises) if exercises is not None else ({}, [])
    problems += unread
    with busy.status("playing the attempts again"):
        lessons, hunts = _lessons(records, exercises)
        found, doubts = replayed(hunts, known)
    found += [one.mark for one in lessons]
    doubts += [one.differs for one in lessons if one.differs]
    graded = [*(_graded(one, known) for one in hunts), *(one.record for one in lessons)]
    problems += doubts if exercises is not None else []
    table = rows(found, known, given, names)
    if not records:
        where, when = ", ".join(map(str, folder)), " of that time" if since or until else ""
        problems.append(f"{where}: no attempts{when} there; name a folder that has some")
    elif as_json:
        sys.stdout.write(json.dumps([asdict(row) for row in table], indent=2) + "\n")
    else:
        _print_marks(found, known, table)
        listed("Alike, which may have many reasons", alike(records))
    if csv is not None and records:
        write(csv, as_csv(table))
    if page is not None and records:
        with busy.status("weighing the readings"):
            write(page, class_page(found, graded, wasted(hunts, known)).html)
    if records and not as_json:
        for path in wanted:
            out.print(f"wrote {path}", soft_wrap=True)
    if problems:
        raise CircuitError(problems)


def _attempts(folders: list[Path], by_folder: bool) -> tuple[list[Record], list[str]]:
    """Read every attempt below the folders; by folder, only those of whom the folder is."""
    from labkit.classroom.handed_in import own_work
    from labkit.record import read_folder

    records: list[Record] = []
    problems: list[str] = []
    for folder in folders:
        found, damaged = read_folder(folder)
        problems += damaged
        if by_folder:
            whose = {one.path: one.path.relative_to(folder).parts[0] for one in found}
            found, others = own_work(found, lambda one, whose=whose: whose[one.path])  # type: ignore[misc]
            problems += others
        records += found
    return records, problems


def _graded(record: Record, known: Mapping[str, Exercise | SurveyExercise]) -> Record:
    """Return an attempt at a survey with its answers graded anew, and another as it is."""
    from labkit.exercises.surveys import SurveyExercise
    from labkit.hunts.surveying import as_graded

    exercise = known.get(str(record.head.get("title", "")))
    return as_graded(record, exercise) if isinstance(exercise, SurveyExercise) else record


def _lessons(records: list[Record], exercises: Path | None) -> tuple[list[Regraded], list[Record]]:
    """Grade the answers to lessons anew: to those of a folder, and to the course's own."""
    from labkit.classroom.course import PARTS, source
    from labkit.lessons.regrading import lessons_below, marks_of_lessons

    if exercises is None or not any(record.of("answer") for record in records):
        return [], records
    files = lessons_below(exercises, source() / PARTS[0])
    return marks_of_lessons(records, files)


def _print_marks(
    given: list[Mark], known: Mapping[str, Exercise | SurveyExercise], book: list[Row]
) -> None:
    from labkit.desk.marks import recurring
    from labkit.questions import MISCONCEPTIONS

    points = {row.file: row.points for row in book}
    for title in sorted({one.title for one in given}):
        exercise = known.get(title)
        par = f", par {exercise.par / 60:.0f} min" if exercise else ""
        table = new_table(f"{title}{par}")
        shown = [one for one in sorted(given, key=lambda m: m.learner) if one.title == title]
        columns = [name for name, (of, _) in _COLUMNS.items() if any(map(of, shown))]
        for name in ["learner", *columns, "points"]:
            figures = name == "points" or _COLUMNS.get(name, ("", False))[1]
            table.add_column(name, justify="right" if figures else "left", overflow="fold")
        for one in shown:
            cells = [_COLUMNS[name][0](one) or "-" for name in columns]
            table.add_row(one.learner, *cells, f"{points[one.file]:g}" if one.played else "-")
        out.print(table)
    nobody = [f"{row.learner}: {row.exercise}" for row in book if not row.file]
    listed("Nothing handed in", nobody)
    if any(one.answered and not one.played for one in given):
        out.print("Answers without points are as the files tell them: nothing was graded again.")
    for name, items in recurring(given).items():
        said = [(f"{what}, {count} learners", MISCONCEPTIONS.get(what)) for what, count in items]
        listed(f"Recurring: {name}", [f"{head}: {text}" if text else head for head, text in said])


def _named(one: Mark) -> str:
    """What was named, what of it wrongly, and whether it was known."""
    known = {True: " (known)", False: " (lucky)", None: ""}[one.known]
    right = ", ".join(one.right) + known if one.right else ""
    wrong = "not " + ", ".join(one.wrong) if one.wrong else ""
    return "; ".join(filter(None, [right, wrong]))


_COLUMNS: Mapping[str, tuple[Callable[[Mark], str], bool]] = {
    "named": (_named, False),
    "answers": (lambda one: f"{one.correct} of {one.answered}" if one.answered else "", False),
    "min": (lambda one: f"{one.minutes:.0f}" if one.minutes else "", True),
    "cost": (lambda one: f"{one.cost:.0f}" if one.cost else "", True),
    "read": (lambda one: str(one.readings or ""), True),
    "danger": (lambda one: str(len(one.hazards) or ""), True),
    "safe": (lambda one: {True: "yes", False: "no", None: ""}[one.safe], False),
    "proven": (lambda one: "yes" if one.proven else "", False),
}
"""What stands in each column of a hunt's or lesson's table, and whether it is figures; one in which
nothing stands is left out."""
