"""Is a circuit or an exercise fit to be used? Everything wrong with it, a sentence each."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

from labkit.circuits.circuit import Circuit
from labkit.circuits.in_doubt import in_doubt
from labkit.diagnosis.faults import in_use
from labkit.exercises.dealing import is_hand, read_hand
from labkit.exercises.difficulty import difficulty
from labkit.exercises.exercise import Dealt, Exercise
from labkit.exercises.files import load
from labkit.exercises.isolation import not_isolated
from labkit.exercises.proving import prove
from labkit.exercises.surveys import SurveyExercise
from labkit.exercises.told import contradictions
from labkit.measuring.senses import sensed
from labkit.solving.solver import solve
from labkit.survey.survey import survey
from labkit.text.messages import CircuitError, NoConvergenceError, counted
from labkit.text.plain_file import is_there

_TELLING = 2e-3  # a difference any voltmeter shows [V]


def toml_files(paths: Iterable[Path]) -> tuple[list[Path], list[str]]:
    """Return the TOML files named or in the folders named, and a sentence for each without any."""
    files: list[Path] = []
    problems = []
    for path in paths:
        if is_there(path) and path.is_dir():
            found = sorted(path.rglob("*.toml"))
            if not found:
                problems.append(f"{path}: no TOML files in this folder; name one that has some")
            files += found
        else:
            files.append(path)
    return list(dict.fromkeys(files)), problems


class Checked(NamedTuple):
    """What a check says of one file.

    Attributes
    ----------
    line : str
        What it is.
    problems : list of str
        Everything that makes it unfit for use.
    warnings : list of str
        What a survey of its circuit finds dangerous, or against a rule.
    """

    line: str
    problems: list[str]
    warnings: list[str]


def check_file(path: Path) -> Checked:
    """Check one file, and survey its circuit."""
    try:
        if is_hand(path):
            hand = read_hand(path)
            return Checked(f"{path}: {hand.exercise.title}: dealt to {hand.learner}", [], [])
        loaded = load(path)
        if isinstance(loaded, SurveyExercise):
            return Checked(_survey_line(loaded), check_survey(loaded), [])
        if isinstance(loaded, Exercise):
            return Checked(*_checked(loaded), survey(loaded.circuit).lines())
        return Checked(_circuit_line(loaded), check_circuit(loaded), survey(loaded).lines())
    except CircuitError as error:
        return Checked("", error.problems, [])


def _checked(exercise: Exercise) -> tuple[str, list[str]]:
    problems = check_exercise(exercise)
    if problems:
        return "", problems
    return _exercise_line(exercise), not_isolated(exercise)


def check_circuit(circuit: Circuit) -> list[str]:
    """Solve a circuit as its file has it; say what does not settle or opens by itself."""
    try:
        point = solve(circuit)
    except NoConvergenceError as error:
        return [f"{circuit.file}: {error}"]
    problems = [
        f"{circuit.file}: part {id}: chatters with nothing wrong; a healthy circuit settles"
        for id in point.chattering
    ]
    return problems + [
        f"{circuit.file}: part {id}: opens with nothing wrong; give it a rating its load allows"
        for id in point.opened
    ]


def check_exercise(exercise: Exercise) -> list[str]:
    """See that the healthy circuit passes its proof and that every variant shows and fails."""
    problems = check_circuit(exercise.circuit)
    sound = exercise.circuit
    healthy = prove(sound, exercise.proof, sound)
    if not healthy.ok:
        problems.append(
            f"{exercise.file}: proof: the healthy circuit does not pass: {healthy.text}"
        )
    problems += [f"{exercise.file}: {text}" for text in contradictions(exercise)]
    for number, faults in enumerate(exercise.variants):
        where = f"{exercise.file}: faults, {' + '.join(faults)}"
        try:
            dealt = exercise.extremes(number)
            for one in dealt:
                what = _unfit(exercise, one)
                problems += [f"{exercise.file}: faults, {' + '.join(one.faults)}: {what}"] * bool(
                    what
                )
            if len({_looks(exercise, one) for one in dealt}) > 1:
                problems.append(
                    f"{where}: at its mildest something aboard does not do what it does at worst; "
                    "narrow the span, since every learner is told the same complaint"
                )
        except NoConvergenceError as error:
            problems.append(f"{where}: {error}")
    return problems


def check_survey(exercise: SurveyExercise) -> list[str]:
    """See that everything works on the boat of a survey, and that something of it is dangerous."""
    problems = []
    for number, faults in enumerate(exercise.variants):
        where = f"{exercise.file}: {' + '.join(faults) or 'as it is built'}"
        boat = exercise.variant(number).circuit
        amiss = check_circuit(boat)
        problems += [f"{where}: {text.partition(': ')[2]}" for text in amiss]
        for positions in [] if amiss else in_use(exercise.circuit):
            there, sound = (c.with_position(**positions) for c in (boat, exercise.circuit))
            if sensed(there, solve(there)) != sensed(sound, solve(sound)):
                problems.append(f"{where}: something does not work; in a survey everything does")
                break
        if not survey(boat).findings:
            problems.append(f"{where}: nothing breaks a rule; a survey needs something to find")
    return problems


def _survey_line(exercise: SurveyExercise) -> str:
    boats = (exercise.variant(n).circuit for n in range(len(exercise.variants)))
    found = [str(len(survey(boat).findings)) for boat in boats]
    return f"{exercise.file}: {exercise.title}: a survey with {', '.join(found)} to find"


def _looks(exercise: Exercise, dealt: Dealt) -> tuple[tuple[str, str], ...]:
    """Return what everything aboard is seen and heard to do, as found and as proven."""
    states = [dealt.circuit.with_position(**p) for p in ({}, exercise.proof.positions)]
    return tuple(item for state in states for item in sensed(state, solve(state)).items())


def _unfit(exercise: Exercise, dealt: Dealt) -> str:
    """Say why a variant makes no hunt, or ''."""
    if not differs(exercise, dealt):
        return "shows neither as found nor as proven; deal a worse one"
    if prove(dealt.circuit, exercise.proof, exercise.circuit).ok:
        return (
            "passes the proof unrepaired; give proof other positions, a lower drop, or idle "
            "positions in which the load shows it"
        )
    return ""


def differs(exercise: Exercise, dealt: Dealt) -> bool:
    """Tell whether a variant shows in a voltage or to eye and ear: as found, or as proven.

    An intermittent fault is looked for while its part is wiggled.
    """
    healthy = exercise.circuit
    faulty = dealt.circuit.with_disturbed(*(f.part for f in dealt.circuit.faults))
    return any(
        _tells(healthy.with_position(**positions), faulty.with_position(**positions))
        for positions in ({}, exercise.proof.positions)
    )


def _tells(healthy: Circuit, faulty: Circuit) -> bool:
    a, b = solve(healthy), solve(faulty)
    if sensed(healthy, a) != sensed(faulty, b) or a.states != b.states:
        return True
    pairs = ((a.volts[m], b.volts[m]) for m in a.volts)
    return any((x is None) != (y is None) or abs((x or 0) - (y or 0)) > _TELLING for x, y in pairs)


def _circuit_line(circuit: Circuit) -> str:
    size = counted(len(circuit.parts), "part"), counted(len(circuit.runs), "run")
    line = f"{circuit.file}: {circuit.title}: {', '.join(size)}"
    unsure = len(in_doubt(circuit))
    return f"{line}, {unsure} figures in doubt" if unsure else line


def _exercise_line(exercise: Exercise) -> str:
    count = len(exercise.variants)
    variants = f"{count} variant{'s' if count > 1 else ''}"
    return f"{exercise.file}: {exercise.title}: {variants}, {difficulty(exercise)}"
