"""Hunts as a page holds them: words, the bench as it stands at first, what only numpy works out.

The last takes long (which path is advised, how hard a hunt is) and is kept between builds.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from labkit.drawing.drawing import Drawing
from labkit.exercises.exercise import Exercise, load_exercise
from labkit.hunts.choosing import SAID
from labkit.hunts.hunt import Hunt
from labkit.hunts.played import trials
from labkit.record import PROGRAM
from labkit.text.files import write
from labkit.text.messages import CircuitError
from labkit.widgets.screen import Screen
from labkit.widgets.state import naming_state

Paths = tuple[str, ...]
"""The advised path to each variant, as HTML."""


@dataclass(frozen=True)
class Laid:
    """One hunt.

    Attributes
    ----------
    slug : str
        By which the page names it: its file's name.
    exercise : Exercise
    drawing : Drawing
        As the bench shows it at first.
    states : dict
        Of the bench at first, for its page; the drawing itself apart.
    paths : tuple of str
        Empty where they were not asked for.
    level : int
        How hard, from 1 to 5; 0 where nobody has looked.
    """

    slug: str
    exercise: Exercise
    drawing: Drawing
    states: dict[str, Any]
    paths: Paths = ()
    level: int = 0

    @property
    def teaches(self) -> str:
        """What the hunt is for, as a heading."""
        trial = trials().get(self.exercise.title)
        harms = [SAID[rule] for rule in (trial.harms if trial else ()) if rule in SAID]
        if harms:
            return f"Against {harms[0].removeprefix('for ')}"
        return f"Level {self.level} of 5" if self.level else "Hunts"


def chosen(files: Sequence[Path]) -> list[Path]:
    """Return the exercise files meant: those named, and those of the folders named.

    Raises
    ------
    CircuitError
        If there is none, or two bear one name.
    """
    found: list[Path] = []
    for file in files:
        found += sorted(file.glob("*.toml")) if file.is_dir() else [file]
    if not found:
        raise CircuitError([f"{', '.join(map(str, files))}: no exercises here; name some"])
    names = [path.stem for path in found]
    twice = [path for path in found if names.count(path.stem) > 1]
    if twice:
        raise CircuitError(
            [f"{path}: two hunts on one page have this name; rename one" for path in twice]
        )
    return found


def lay(file: Path) -> Laid:
    """Lay one hunt out, as it can be seen at its beginning.

    Raises
    ------
    CircuitError
        As reading the exercise does.
    """
    exercise = load_exercise(file)
    hunt = Hunt(exercise, "")
    screen = Screen(hunt.bench, about=exercise.proof.load)
    screen.naming = {**naming_state(hunt, ""), "hint": ""}  # no readings are weighed there
    states = {"title": hunt.bench.drawn.title, "history": [], **screen.news()}
    states["drawing"] = {**states["drawing"], "svg": ""}
    return Laid(file.stem, exercise, screen.model.drawing, states)


def worked_out(laid: Laid, cache: Path) -> Laid:
    """Add the advised paths and the level, from what is kept where nothing has changed."""
    exercise = laid.exercise
    told = f"{PROGRAM} {exercise!r} {exercise.variants} {exercise.circuit} {exercise.suspects}"
    kept = cache / "hunts" / f"{laid.slug}-{hashlib.sha256(told.encode()).hexdigest()[:16]}.json"
    if kept.is_file():
        known = json.loads(kept.read_text("utf-8"))
    else:
        known = _worked_out(exercise)
        write(kept, json.dumps(known))
    return replace(laid, paths=tuple(known["paths"]), level=known["level"])


def _worked_out(exercise: Exercise) -> dict[str, Any]:
    from labkit.hunts.debrief import advised_rows
    from labkit.hunts.ladder import level_of
    from labkit.paper.debrief_page import as_html

    def path(number: int) -> str:
        hunt = Hunt(exercise)
        hunt.dealt = exercise.variant(number)
        rows = advised_rows(hunt)
        return as_html(rows, "Step by step, at a middling severity") if rows else ""

    return {
        "paths": [path(number) for number in range(len(exercise.variants))],
        "level": level_of(exercise),
    }


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
            found.append(worked_out(laid, cache) if whole else laid)
        except CircuitError as error:
            problems += error.problems
    if problems:
        raise CircuitError(problems)
    return sorted(found, key=lambda one: (one.level, one.exercise.title))
