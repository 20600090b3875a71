"""Answer keys as a terminal shows them: of a hunt, of a survey, or all variants in a table."""

from __future__ import annotations

from typing import TYPE_CHECKING

from labkit.cli.terminal import busy, listed, new_table, out
from labkit.exercises.severity import ends, middle

if TYPE_CHECKING:
    from labkit.desk.key import Key
    from labkit.desk.survey_key import SurveyKey
    from labkit.exercises.exercise import Dealt, Exercise
    from labkit.exercises.surveys import SurveyExercise


def print_short(exercise: Exercise, hands: list[Dealt]) -> None:
    """Print a line for each variant: what is wrong, the volts it costs, and why it failed."""
    from labkit.desk.key import key_of
    from labkit.diagnosis.faults import describe

    table = new_table(exercise.title)
    for heading in ("variant", "what is wrong", "lost on the way", "cause"):
        table.add_column(heading)
    for dealt in hands:
        with busy.status(f"measuring variant {dealt.number + 1}"):
            worked = key_of(exercise, dealt)
        wrong = "; ".join(describe(fault, exercise.circuit) for fault in dealt.circuit.faults)
        wrong += f" (dealt: {', '.join(spans)})" if (spans := _spans(exercise, dealt)) else ""
        drop = worked.before.drop  # all of it where nothing flows, which is no reading
        lost = f"{drop * exercise.circuit.system:.1f} V" if drop < 1.0 else "nothing flows"
        why = (dealt.cause or "-").partition(". ")[0]
        table.add_row(str(dealt.number + 1), wrong, lost, why)
    out.print(table)


def _spans(exercise: Exercise, dealt: Dealt) -> list[str]:
    """Return the faults whose amount differs from learner to learner, where no learner is meant."""
    written = exercise.variants[dealt.number]
    if dealt.faults != tuple(map(middle, written)):
        return []
    return [fault for fault in written if len(ends(fault)) > 1]


def print_survey(exercise: SurveyExercise, hands: list[Dealt], short: bool) -> None:
    """Print what is found on the boat of each variant, or a line for each."""
    from labkit.desk.survey_key import survey_key

    keys = [survey_key(exercise, dealt) for dealt in hands]
    if not short:
        for number, worked in enumerate(keys):
            if number:
                out.print()
            _print_survey_key(worked)
        return
    table = new_table(exercise.title)
    for heading in ("variant", "what a survey finds"):
        table.add_column(heading)
    for worked in keys:
        table.add_row(str(worked.dealt.number + 1), worked.short)
    out.print(table)


def _print_survey_key(worked: SurveyKey) -> None:
    from labkit.diagnosis.faults import describe

    exercise, boat = worked.exercise, worked.dealt.circuit
    fitted = [describe(fault, exercise.circuit) for fault in boat.faults]
    out.print(exercise.title, style="bold")
    out.print("Fitted otherwise than drawn: " + ("; ".join(fitted) or "nothing"))
    if worked.dealt.cause:
        out.print(f"A surveyor would write: {worked.dealt.cause}")
    out.print("Findings", style="bold")
    for line in worked.report:
        out.print(f"  {line}")
    listed("To tick", worked.said(True))
    listed("Not to tick", worked.said(False))


def print_key(worked: Key, ways: bool) -> None:
    """Print the answer key of a variant of a hunt."""
    from labkit.diagnosis.faults import describe, family

    exercise, circuit = worked.exercise, worked.exercise.circuit
    wrong = [describe(fault, circuit) for fault in worked.dealt.circuit.faults]
    out.print(exercise.title, style="bold")
    out.print("What is wrong: " + "; ".join(wrong))
    if spans := _spans(exercise, worked.dealt):
        out.print(
            f"Each learner is dealt an amount of their own: {', '.join(spans)}. The readings below "
            "are those of the middle; --seed NAME prints a learner's."
        )
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
    listed("Seen and heard", worked.symptoms)
    listed("Deciding readings, clearest first", [c.sentence for c in worked.telling[:8]])
    listed("Best path", worked.path)
    listed("Make safe", worked.safe)
    listed("Ways compared, from the complaint on", worked.ways if ways else ())
    listed("Wrong answers that look the same", worked.wrong_answers)
    listed("Proof", worked.proofs)
