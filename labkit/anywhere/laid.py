"""Hunts as a page holds them: words, the bench as it stands at first, what only numpy works out.

The last takes long (which path is advised, how hard a hunt is) and is kept between builds.
"""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

import labkit
from labkit.anywhere.weighing import Weighing, packed
from labkit.diagnosis.evidence import Evidence, Measurement
from labkit.drawing import draw
from labkit.drawing.drawing import Drawing
from labkit.exercises.dealing import read_story
from labkit.exercises.exercise import Exercise
from labkit.exercises.surveys import SurveyExercise
from labkit.handout.sheet import drawn_near
from labkit.hunts.choosing import SAID
from labkit.hunts.hunt import Hunt
from labkit.hunts.played import trials
from labkit.hunts.surveying import SurveyHunt
from labkit.paper.steps_table import Row
from labkit.record import PROGRAM
from labkit.text.files import write
from labkit.text.messages import CircuitError
from labkit.text.toml_file import read_toml
from labkit.widgets.screen import Screen
from labkit.widgets.state import naming_state

FOR_LATER = ("final", "study")
"""Folders of hunts that nobody should have met before their day."""

NOBODY = "learner"
"""Who gives no name is dealt what this one is: in the page, and on its worksheet."""

OTHERS = "More hunts"
"""Heading of the hunts of which nobody knows what they are against; it comes last."""

UNKNOWN = 6
"""Where hunts stand whose level nobody knows: after the hardest."""

FIRST = 12
"""So many of the readings worth most at the start may be named by a hint. Our choice."""


@dataclass(frozen=True)
class Laid:
    """One hunt.

    Attributes
    ----------
    slug : str
        By which the page names it: its file's name.
    exercise : Exercise or SurveyExercise
    drawing : Drawing
        As the bench shows it at first.
    paper : Drawing
        For a worksheet: of a large boat, all that the complaint may come from.
    states : dict
        Of the bench at first, for its page; the drawing itself apart.
    weighing : dict
        What weighs its readings, see :mod:`labkit.anywhere.weighing`.
    level : int
        How hard, from 1 to 5; 0 where nobody has looked.
    """

    slug: str
    exercise: Exercise | SurveyExercise
    drawing: Drawing
    paper: Drawing
    states: dict[str, Any]
    weighing: dict[str, Any] = field(default_factory=dict)
    level: int = 0

    @property
    def teaches(self) -> str:
        """What the hunt is for, as a heading: against the wrong rule that fewest hunts are."""
        if isinstance(self.exercise, SurveyExercise):
            return "Surveys: everything works, and something is dangerous"
        trial = trials().get(self.exercise.title)
        harms = [rule for rule in (trial.harms if trial else ()) if rule in SAID]
        if not harms:
            return OTHERS
        often = Counter(rule for played in trials().values() for rule in played.harms)
        return f"Against {SAID[min(harms, key=often.__getitem__)].removeprefix('for ')}"


def chosen(files: Sequence[Path]) -> list[Path]:
    """Return the exercise files meant: those named, and those of the folders named.

    What is kept for later, see `FOR_LATER`, has to be named itself.

    Raises
    ------
    CircuitError
        If there is none, or two bear one name.
    """
    found: list[Path] = []
    for file in files:
        found += _below(file) if file.is_dir() else [file]
    if not found:
        raise CircuitError([f"{', '.join(map(str, files))}: no exercises here; name some"])
    names = [path.stem for path in found]
    twice = [path for path in found if names.count(path.stem) > 1]
    if twice:
        raise CircuitError(
            [f"{path}: two hunts on one page have this name; rename one" for path in twice]
        )
    return found


def _below(folder: Path) -> list[Path]:
    """Hunts and surveys in a folder and below: what is set in a circuit."""
    found = (path for path in sorted(folder.rglob("*.toml")) if "circuit" in read_toml(path))
    return [path for path in found if path.relative_to(folder).parts[0] not in FOR_LATER]


def lay(file: Path) -> Laid:
    """Lay one hunt out, as it can be seen at its beginning.

    Raises
    ------
    CircuitError
        As reading the exercise does.
    """
    exercise = read_story(file)
    if isinstance(exercise, SurveyExercise):
        drawn = draw(exercise.circuit.without_faults(), wires=True)
        survey = SurveyHunt(exercise, NOBODY)
        claims = [claim.says for claim in survey.question.claims]
        asked = {"survey": survey.question.ask, "fitted": survey.fitted, "claims": claims}
        return Laid(file.stem, exercise, drawn, drawn, asked)
    hunt = Hunt(exercise, "")
    screen = Screen(hunt.bench, about=exercise.proof.load)
    screen.naming = naming_state(hunt, "")
    states = {"title": hunt.bench.drawn.title, "history": [], **screen.news()}
    states["drawing"] = {**states["drawing"], "svg": ""}
    drawn = screen.model.drawing
    paper = drawn_near(exercise) if screen.model.sheets else drawn
    return Laid(file.stem, exercise, drawn, paper, states)


def worked_out(laid: Laid, cache: Path, whole: bool) -> Laid:
    """Add what numpy is needed for, from what is kept where nothing has changed.

    Parameters
    ----------
    laid : Laid
    cache : Path
    whole : bool
        With what takes long: advised paths, what a hint may name, how hard it is.
    """
    exercise = laid.exercise
    if isinstance(exercise, SurveyExercise):
        return laid
    told = f"{PROGRAM} {whole} {exercise!r} {exercise.variants} {exercise.circuit} {_rules()}"
    told += f" {exercise.suspects} {exercise.proof}"
    kept = cache / "hunts" / f"{laid.slug}-{hashlib.sha256(told.encode()).hexdigest()[:16]}.json"
    if kept.is_file():
        known = json.loads(kept.read_text("utf-8"))
    else:
        known = _worked_out(exercise, whole)
        write(kept, json.dumps(known))
    played = trials().get(exercise.title)
    level = played.level if played else known["level"]
    return replace(laid, weighing=known["weighing"], level=level)


@lru_cache
def _rules() -> str:
    """The rooms that decide what is worked out, as a sum of their lines."""
    home = Path(labkit.__file__).parent
    rooms = ("circuits", "diagnosis", "exercises", "hunts", "measuring", "parts", "solving")
    files = sorted(file for room in rooms for file in (home / room).rglob("*.py"))
    return hashlib.sha256(b"".join(file.read_bytes() for file in files)).hexdigest()


def _worked_out(exercise: Exercise, whole: bool) -> dict[str, Any]:
    from labkit.diagnosis.closing_in import close_in
    from labkit.diagnosis.hypotheses import Hypotheses
    from labkit.hunts.ladder import level_of
    from labkit.solving.near import NearCircuit

    listed = exercise.deal().candidates
    found = Weighing()
    if not isinstance(close_in(exercise.circuit, exercise.named), NearCircuit):
        rows = Hypotheses(exercise.circuit, listed).rows
        found = replace(found, rows=[(row.candidate, row.opened) for row in rows])
    if whole:
        plans, ask = _advised(exercise)
        found = replace(found, plans=plans, worth_asking=ask)
    return {"weighing": packed(found, listed), "level": level_of(exercise) if whole else 0}


def _advised(exercise: Exercise) -> tuple[list[Sequence[Row]], list[Measurement]]:
    """The advised path to each variant, and what was ever worth most on one of them."""
    from labkit.diagnosis.cost import Visit
    from labkit.diagnosis.ranking import adviser_for
    from labkit.hunts.debrief import advised_steps

    plans, ask = list[Sequence[Row]](), list[Measurement]()
    for number in range(len(exercise.variants)):
        hunt = Hunt(exercise)
        hunt.dealt = exercise.variant(number)
        taken, rows = advised_steps(hunt)
        plans.append(rows)
        ask += [_asked(item) for item in taken]
    circuit = exercise.circuit
    adviser = adviser_for(circuit, exercise.candidates, named=exercise.named)
    first = adviser.rank(adviser.start, Visit(circuit), top=FIRST, explained=False)
    ask += [one.measurement for one in first]
    key = Visit(circuit).key
    return plans, list({key(item): item for item in ask}.values())


def _asked(item: Evidence) -> Measurement:
    """What was asked, without the answer."""
    return Measurement(
        item.function, item.red, item.black, item.positions, item.parted, item.jumper, item.lamp
    )


def laid_all(
    files: Sequence[Path], cache: Path, whole: bool, each: Callable[[Sequence[Path]], Any] = list
) -> list[Laid]:
    """Lay out all hunts, the easiest first.

    Parameters
    ----------
    files : sequence of Path
    cache : Path
        Where what takes long is kept.
    whole : bool
        With the advised paths and levels.
    each : callable
        Goes through the files, and may show how far it has come.

    Raises
    ------
    CircuitError
        With everything that is wrong with any of them.
    """
    found, problems = [], []
    for file in each(files):
        try:
            laid = lay(file)
            found.append(worked_out(laid, cache, whole))
        except CircuitError as error:
            problems += error.problems
    if problems:
        raise CircuitError(problems)
    return sorted(found, key=lambda one: (one.level or UNKNOWN, one.exercise.title))
