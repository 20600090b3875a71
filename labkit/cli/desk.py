"""The instructor's commands: new, key, deal, marks, sheet, schema."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from labkit.cli.marks import marks
from labkit.cli.options import Names, Overwrite
from labkit.cli.terminal import busy, new_table, out
from labkit.text.messages import CircuitError

if TYPE_CHECKING:
    from labkit.exercises.exercise import Dealt, Exercise
    from labkit.exercises.surveys import SurveyExercise
    from labkit.handout.sheet import Sheet

ExerciseFile = Annotated[
    Path, typer.Argument(metavar="FILE", help="An exercise, or a file dealt to a learner.")
]
Seed = Annotated[
    str | None,
    typer.Option("--seed", metavar="NAME", help="The variant that this name or number is dealt."),
]


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
    short: Annotated[
        bool, typer.Option("--short", help="Print a table of the variants, a line each.")
    ] = False,
) -> None:
    """Print the answer key of an exercise.

    Readings of the sound and the faulty boat, which of them decide, the best path, wrong answers
    that look the same, and the proof. Of a survey: every finding with its rule, the standard, whom
    that binds, and what puts it right.

    Example: labkit key exercises/slow-washdown.toml
    """
    from labkit.cli.answers import print_key, print_short, print_survey
    from labkit.desk.key import key_of
    from labkit.exercises.surveys import SurveyExercise

    exercise, hands = _dealt(file, seed)
    if isinstance(exercise, SurveyExercise):
        if ways:
            raise CircuitError(
                [f"{file}: is a survey, with no ways of searching to compare; leave --ways out"]
            )
        print_survey(exercise, hands, short)
        return
    if short:
        print_short(exercise, hands)
        return
    for number, dealt in enumerate(hands):
        with busy.status(f"measuring both boats, variant {number + 1} of {len(hands)}"):
            worked = key_of(exercise, dealt)
            _ = worked.path, worked.wrong_answers, ways and worked.ways
        if number:
            out.print()
        print_key(worked, ways)


def deal(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="An exercise.")],
    name: Annotated[
        list[str] | None, typer.Argument(metavar="NAME", help="Names of learners.")
    ] = None,
    group: Names = None,
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
    file for each learner. With --to each variant comes as often as another, drawn in secret; a
    file beside the exercise, its name ending in .dealt, keeps who got what: not for learners.

    Sealed notebooks open by a double click. They are for practice and homework, not for exams:
    whoever runs Python can look up what is wrong.

    Example: labkit deal exercises/horn-mute.toml --class names.txt --to dealt --sealed
    """
    from labkit.exercises.dealing import deal_hands, deal_sealed, enter_class, learners, read_story

    names = learners([*(name or []), *(group or [])])
    if to is not None:
        deal_each = deal_sealed if sealed else deal_hands
        enter_class(file, names)
        for path in deal_each(file, names, to, overwrite):
            out.print(f"wrote {path}", soft_wrap=True)
        return
    if sealed:
        raise CircuitError(["--sealed: say where to write the notebooks, such as --to dealt"])
    exercise = read_story(file)
    if not exercise.seeds.keys() >= set(names):
        out.print("Not dealt yet: so it follows from the names alone; --to deals it in secret.")
    table = new_table(exercise.title)
    for heading in ("learner", "variant", "what is wrong"):
        table.add_column(heading)
    for learner in names:
        dealt = exercise.deal(learner)
        number = dealt.number + 1
        wrong = " + ".join(dealt.faults) or "as it is built"
        table.add_row(learner, f"{number} of {len(exercise.variants)}", wrong)
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
    group: Names = None,
    overwrite: Overwrite = False,
) -> None:
    """Write a page to take aboard, as PDF.

    Drawing, cautions, test points to fill in, room for the conclusion. A circuit gives the readings
    to expect instead. With --class each learner gets a page with the name on it, and --to names a
    folder.

    Example: labkit sheet exercises/slow-washdown.toml --paper letter -o washdown.pdf
    """
    from labkit.handout import PAPERS, typeset
    from labkit.text.files import refuse_existing, write

    if paper not in PAPERS:
        raise CircuitError([f"--paper {paper}: there are {' and '.join(PAPERS)}"])
    if group:
        _sheets(file, group, answers, paper, to or Path("."), overwrite)
        return
    target = to or Path(f"{file.stem}{'-answers' if answers else ''}.pdf")
    if target.suffix.lower() != ".pdf":
        raise CircuitError([f"{target}: the page is a PDF; name it {target.stem}.pdf"])
    refuse_existing([target], overwrite)
    with busy.status("measuring and setting the page"):
        pages = typeset(_sheet(file, answers, seed), paper)
    write(target, pages)
    out.print(f"wrote {target}", soft_wrap=True)


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


def _dealt(file: Path, seed: str | None) -> tuple[Exercise | SurveyExercise, list[Dealt]]:
    """Return the exercise and the variants asked for: the learner's, the seed's, or all."""
    from labkit.exercises.dealing import is_hand, read_hand, read_story, tidy

    _refuse_notebook(file)
    if is_hand(file):
        hand = read_hand(file)
        if seed is not None:
            raise CircuitError([f"{file}: is dealt to {hand.learner}; leave --seed out"])
        return hand.exercise, [hand.dealt]
    exercise = read_story(file)
    if seed is not None:
        return exercise, [exercise.deal(tidy(seed))]
    return exercise, [exercise.variant(n) for n in range(len(exercise.variants))]


def _refuse_notebook(file: Path) -> None:
    if file.suffix == ".ipynb":
        raise CircuitError(
            [
                f"{file}: is a notebook, and a sealed one holds no answers; name the exercise it "
                "was dealt from, and the learner, as in --seed Ada"
            ]
        )


def _sheet(file: Path, answers: bool, seed: str | None) -> Sheet:
    from labkit.circuits.circuit_file import load_circuit
    from labkit.desk.key import key_of
    from labkit.exercises.surveys import SurveyExercise
    from labkit.handout import sheet_of
    from labkit.text.toml_file import read_toml

    _refuse_notebook(file)
    if "run" in read_toml(file):
        if answers or seed is not None:
            raise CircuitError([f"{file}: is a circuit, with nothing wrong and no answers"])
        return sheet_of(load_circuit(file))
    exercise, hands = _dealt(file, seed)
    if isinstance(exercise, SurveyExercise):
        raise CircuitError(
            [f"{file}: is a survey, which has no page of readings; 'labkit key' prints its answers"]
        )
    if not answers:
        return sheet_of(exercise, learner=_learner(file))
    if len(hands) > 1:
        raise CircuitError(
            [f"{file}: has {len(hands)} variants; say whose answers, such as --seed Ada"]
        )
    return sheet_of(exercise, key_of(exercise, hands[0]), _learner(file))


def _sheets(
    file: Path,
    group: list[str],
    answers: bool,
    paper: Literal["a4", "letter"],
    folder: Path,
    overwrite: bool,
) -> None:
    """Write a page for each learner of a class."""
    from labkit.desk.key import key_of
    from labkit.exercises.dealing import learners
    from labkit.exercises.exercise import load_exercise
    from labkit.handout import sheet_of, typeset
    from labkit.record.attempt import file_word
    from labkit.text.files import refuse_existing, write

    exercise, names = load_exercise(file), learners(group)
    end = "-answers" if answers else ""
    targets = {name: folder / f"{file.stem}-{file_word(name)}{end}.pdf" for name in names}
    refuse_existing(targets.values(), overwrite)
    for name, target in targets.items():
        with busy.status(f"setting the page of {name}"):
            dealt = exercise.deal(name)
            worked = key_of(exercise, dealt) if answers else None
            write(target, typeset(sheet_of(exercise.told(dealt.number), worked, name), paper))
        out.print(f"wrote {target}", soft_wrap=True)


def _learner(file: Path) -> str:
    from labkit.exercises.dealing import is_hand, read_hand

    return read_hand(file).learner if is_hand(file) else ""
