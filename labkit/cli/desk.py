"""The instructor's commands: new, key, deal, marks, sheet, schema."""

from __future__ import annotations

import json
import sys
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from labkit.cli.terminal import busy, new_table, out
from labkit.text.messages import CircuitError

if TYPE_CHECKING:
    from collections.abc import Mapping

    from labkit.desk.key import Key
    from labkit.desk.marks import Mark
    from labkit.desk.rubric import Row
    from labkit.exercises.exercise import Dealt, Exercise
    from labkit.handout.sheet import Sheet

ExerciseFile = Annotated[
    Path, typer.Argument(metavar="FILE", help="An exercise, or a file dealt to a learner.")
]
Seed = Annotated[
    str | None,
    typer.Option("--seed", metavar="NAME", help="The variant that this name or number is dealt."),
]
Overwrite = Annotated[bool, typer.Option("--overwrite", help="Replace what is there.")]


def register(app: typer.Typer) -> None:
    """Add the commands to the program."""
    for command in (new, key, deal, marks, sheet, schema):
        app.command()(command)


def new(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="The exercise to write, a .toml file.")
    ],
    circuit: Annotated[
        str,
        typer.Option(
            metavar="CIRCUIT", help="A template (lamp, pump, relay) or a circuit file of your own."
        ),
    ] = "",
    overwrite: Overwrite = False,
) -> None:
    """Write a starter exercise to build on.

    The circuit it needs is written beside it; both can be used as they are, and changed.

    Example: labkit new exercises/my-first.toml --circuit lamp
    """
    from labkit.desk.starter import start

    with busy.status("trying faults on the circuit"):
        written = start(file, circuit, overwrite)
    for path in written:
        out.print(f"wrote {path}", soft_wrap=True)
    if len(written) == 1:
        out.print("its circuit was there already", soft_wrap=True)


def key(
    file: ExerciseFile,
    seed: Seed = None,
    ways: Annotated[
        bool, typer.Option("--ways", help="Compare ways of searching too; takes some seconds.")
    ] = False,
) -> None:
    """Print the answer key of an exercise.

    Readings of the sound and the faulty boat, which of them decide, the best path, wrong answers
    that look the same, and the proof.

    Example: labkit key exercises/slow-washdown.toml
    """
    from labkit.desk.key import key_of

    exercise, hands = _dealt(file, seed)
    for number, dealt in enumerate(hands):
        with busy.status(f"measuring both boats, variant {number + 1} of {len(hands)}"):
            worked = key_of(exercise, dealt)
            _ = worked.path, worked.wrong_answers, ways and worked.ways
        if number:
            out.print()
        _print_key(worked, ways)


def deal(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="An exercise.")],
    name: Annotated[
        list[str] | None, typer.Argument(metavar="[NAME]...", help="Names of learners.")
    ] = None,
    group: Annotated[
        list[str] | None,
        typer.Option(
            "--class",
            metavar="NAMES",
            help="A text file with a name on each line, or a name. Repeatable.",
        ),
    ] = None,
    to: Annotated[
        Path | None,
        typer.Option(
            "-o", "--to", metavar="FOLDER", help="Write a file for each learner into this folder."
        ),
    ] = None,
    sealed: Annotated[
        bool, typer.Option("--sealed", help="Write notebooks that hold no list of faults.")
    ] = False,
    overwrite: Overwrite = False,
) -> None:
    """Deal each learner a variant of an exercise.

    The same name is always dealt the same variant. Prints who got which, or, with --to, writes a
    file for each learner.

    Sealed notebooks open by a double click. They are for practice and homework, not for exams:
    whoever runs Python can look up what is wrong.

    Example: labkit deal exercises/horn-mute.toml --class names.txt --to dealt --sealed
    """
    from labkit.exercises.dealing import deal_hands, deal_sealed, learners
    from labkit.exercises.exercise import load_exercise

    names = learners([*(name or []), *(group or [])])
    if to is not None:
        deal_each = deal_sealed if sealed else deal_hands
        for path in deal_each(file, names, to, overwrite):
            out.print(f"wrote {path}", soft_wrap=True)
        return
    if sealed:
        raise CircuitError(["--sealed: say where to write the notebooks, such as --to dealt"])
    exercise = load_exercise(file)
    table = new_table(exercise.title)
    for heading in ("learner", "variant", "what is wrong"):
        table.add_column(heading)
    for learner in names:
        dealt = exercise.deal(learner)
        number = dealt.number + 1
        table.add_row(learner, f"{number} of {len(exercise.variants)}", " + ".join(dealt.faults))
    out.print(table)


def sheet(
    file: Annotated[
        Path,
        typer.Argument(
            metavar="FILE", help="An exercise, a file dealt to a learner, or a circuit."
        ),
    ],
    answers: Annotated[bool, typer.Option("--key", help="Print the answers too.")] = False,
    paper: Annotated[
        str, typer.Option(metavar="SIZE", help="Size of the paper: a4 or letter.")
    ] = "a4",
    to: Annotated[
        Path | None, typer.Option("-o", "--to", metavar="FILE", help="The PDF to write.")
    ] = None,
    seed: Seed = None,
    overwrite: Overwrite = False,
) -> None:
    """Write a page to take aboard, as PDF.

    Drawing, cautions, test points to fill in, room for the conclusion. A circuit gives the readings
    to expect instead.

    Example: labkit sheet exercises/slow-washdown.toml --paper letter -o washdown.pdf
    """
    from labkit.handout import PAPERS, typeset
    from labkit.text.files import refuse_existing, write

    if paper not in PAPERS:
        raise CircuitError([f"--paper {paper}: there are {' and '.join(PAPERS)}"])
    target = to or Path(f"{file.stem}{'-answers' if answers else ''}.pdf")
    if target.suffix.lower() != ".pdf":
        raise CircuitError([f"{target}: the page is a PDF; name it {target.stem}.pdf"])
    refuse_existing([target], overwrite)
    with busy.status("measuring and setting the page"):
        pages = typeset(_sheet(file, answers, seed), paper)
    write(target, pages)
    out.print(f"wrote {target}", soft_wrap=True)


def marks(
    folder: Annotated[
        Path, typer.Argument(metavar="FOLDER", help="A folder with the files of attempts.")
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
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON instead of tables.")] = False,
    overwrite: Overwrite = False,
) -> None:
    """Print the results of a class.

    What was named, minutes, hazards, points, and errors that recur. With --exercises every attempt
    is played again, and what is printed is what came of that; an attempt that says otherwise is
    named and gets no points.

    Example: labkit marks attempts --exercises exercises --class names.txt --csv marks.csv
    """
    from labkit.desk.marks import exercises_below, replayed
    from labkit.desk.rubric import Rubric, as_csv, read_rubric, rows
    from labkit.exercises.dealing import learners
    from labkit.record import read_folder
    from labkit.text.files import refuse_existing, write

    if not folder.is_dir():
        raise CircuitError([f"{folder}: no such folder; name one that holds attempts"])
    if csv is not None:
        refuse_existing([csv], overwrite)
    names = learners(class_) if class_ else []
    given = read_rubric(rubric) if rubric is not None else Rubric()
    records, problems = read_folder(folder)
    known = exercises_below(exercises) if exercises is not None else {}
    with busy.status("playing the attempts again"):
        found, doubts = replayed(records, known)
    problems += doubts if exercises is not None else []
    table = rows(found, known, given, names)
    if not records:
        problems.append(f"{folder}: no attempts in this folder; name one that has some")
    elif as_json:
        sys.stdout.write(json.dumps([asdict(row) for row in table], indent=2) + "\n")
    else:
        _print_marks(found, known, table)
    if csv is not None and records:
        write(csv, as_csv(table))
        if not as_json:
            out.print(f"wrote {csv}", soft_wrap=True)
    if problems:
        raise CircuitError(problems)


def schema(
    to: Annotated[
        Path | None, typer.Option("-o", "--to", metavar="FILE", help="Write it to this file.")
    ] = None,
    overwrite: Overwrite = False,
) -> None:
    """Print the JSON schema of circuit and exercise files.

    An editor that knows TOML and JSON schema completes keys with it and underlines mistakes.

    Example: labkit schema --to labkit.schema.json
    """
    from labkit.desk.schema import file_schema
    from labkit.text.files import refuse_existing, write

    text = json.dumps(file_schema(), indent=2) + "\n"
    if to is None:
        sys.stdout.write(text)
        return
    refuse_existing([to], overwrite)
    write(to, text)
    out.print(f"wrote {to}", soft_wrap=True)


def _dealt(file: Path, seed: str | None) -> tuple[Exercise, list[Dealt]]:
    """Return the exercise and the variants asked for: the learner's, the seed's, or all."""
    from labkit.exercises.dealing import is_hand, read_hand, tidy
    from labkit.exercises.exercise import load_exercise

    if is_hand(file):
        hand = read_hand(file)
        if seed is not None:
            raise CircuitError([f"{file}: is dealt to {hand.learner}; leave --seed out"])
        return hand.exercise, [hand.dealt]
    exercise = load_exercise(file)
    if seed is not None:
        return exercise, [exercise.deal(tidy(seed))]
    return exercise, [exercise.variant(n) for n in range(len(exercise.variants))]


def _sheet(file: Path, answers: bool, seed: str | None) -> Sheet:
    from labkit.circuits.circuit_file import load_circuit
    from labkit.desk.key import key_of
    from labkit.handout import sheet_of
    from labkit.text.toml_file import read_toml

    if "run" in read_toml(file):
        if answers or seed is not None:
            raise CircuitError([f"{file}: is a circuit, with nothing wrong and no answers"])
        return sheet_of(load_circuit(file))
    exercise, hands = _dealt(file, seed)
    if not answers:
        return sheet_of(exercise, learner=_learner(file))
    if len(hands) > 1:
        raise CircuitError(
            [f"{file}: has {len(hands)} variants; say whose answers, such as --seed Ada"]
        )
    return sheet_of(exercise, key_of(exercise, hands[0]), _learner(file))


def _learner(file: Path) -> str:
    from labkit.exercises.dealing import is_hand, read_hand

    return read_hand(file).learner if is_hand(file) else ""


def _print_key(worked: Key, ways: bool) -> None:
    from labkit.diagnosis.faults import describe, family

    exercise, circuit = worked.exercise, worked.exercise.circuit
    wrong = [describe(fault, circuit) for fault in worked.dealt.circuit.faults]
    out.print(exercise.title, style="bold")
    out.print("What is wrong: " + "; ".join(wrong))
    for fault in worked.dealt.circuit.faults:
        name, *also = worked.dealt.suspects.same_as(family(fault))
        if also:
            out.print(f"As good an answer, since no test tells it from {name}: {' or '.join(also)}")
    if worked.opened:
        out.print(f"Fuses it blows: {', '.join(worked.opened)}")
    if worked.dealt.cause:
        out.print(f"Cause: {worked.dealt.cause}")
    table = new_table("Volts to DC-; sound boat → this boat where they differ; * decides")
    table.add_column("point", justify="right")
    table.add_column("at")
    for place in worked.situations:
        table.add_column(place.name, justify="right")
    for point in worked.points:
        cells = [c.cell for c in point.readings]
        table.add_row(str(point.number), " ".join(point.terminals), *cells)
    out.print(table)
    for place in worked.situations:
        out.print(f"  {place.name}: {place.says}")
    _list("Seen and heard", worked.symptoms)
    _list("Deciding readings, clearest first", [c.sentence for c in worked.telling[:8]])
    _list("Best path", worked.path)
    _list("Make safe", worked.safe)
    _list("Ways compared, from the complaint on", worked.ways if ways else ())
    _list("Wrong answers that look the same", worked.wrong_answers)
    _list("Proof", worked.proofs)


def _print_marks(given: list[Mark], known: Mapping[str, Exercise], book: list[Row]) -> None:
    from labkit.desk.marks import recurring
    from labkit.questions import MISCONCEPTIONS

    points = {row.file: row.points for row in book}
    for title in sorted({one.title for one in given}):
        exercise = known.get(title)
        par = f", par {exercise.par / 60:.0f} min" if exercise else ""
        table = new_table(f"{title}{par}")
        for heading in ("learner", "named", "wrong", "answers"):
            table.add_column(heading)
        for heading in ("min", "readings", "hazards"):
            table.add_column(heading, justify="right")
        table.add_column("made safe")
        table.add_column("proven")
        table.add_column("points", justify="right")
        for one in sorted(given, key=lambda m: m.learner):
            if one.title == title:
                table.add_row(
                    one.learner, ", ".join(one.right) or "-", ", ".join(one.wrong) or "-",
                    f"{one.correct} of {one.answered}" if one.answered else "-",
                    f"{one.minutes:.0f}", str(one.readings), str(len(one.hazards)),
                    {True: "yes", False: "no", None: "-"}[one.safe],
                    "yes" if one.proven else "no",
                    f"{points[one.file]:g}" if one.played else "-",
                )  # fmt: skip
        out.print(table)
    nobody = [f"{row.learner}: {row.exercise}" for row in book if not row.file]
    _list("Nothing handed in", nobody)
    if any(one.answered for one in given):
        out.print("Answers to questions are as the files tell them; they cannot be played again.")
    for name, items in recurring(given).items():
        said = [(f"{what}, {count} learners", MISCONCEPTIONS.get(what)) for what, count in items]
        _list(f"Recurring: {name}", [f"{head}: {text}" if text else head for head, text in said])


def _list(heading: str, lines: list[str] | tuple[str, ...]) -> None:
    if lines:
        out.print(heading, style="bold")
        for line in lines:
            out.print(f"  - {line}")
