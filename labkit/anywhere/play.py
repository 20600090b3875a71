"""A hunt in a page that runs Python by itself: what its worker calls, in plain data.

Nothing is kept here: each line of an attempt is handed to the page, which keeps it.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from pathlib import Path
from time import monotonic
from typing import Any

from labkit.aboard.acts import ACTS
from labkit.anywhere.hunt import PageHunt
from labkit.anywhere.lines import Lines
from labkit.anywhere.surveying import SurveyTable
from labkit.anywhere.weighing import Weighing, unpacked
from labkit.exercises.dealing import read_story
from labkit.exercises.exercise import Exercise
from labkit.exercises.surveys import SurveyExercise
from labkit.hunts.kept import play
from labkit.record import Record
from labkit.record.attempt import file_name
from labkit.record.lines import parse
from labkit.text.messages import CircuitError
from labkit.widgets.screen import Screen
from labkit.widgets.state import naming_state


class Table:
    """The hunt on the page.

    Parameters
    ----------
    exercise : Exercise
    learner : str
    weighing : Weighing
    former : Record, optional
        The attempt that goes on.

    Raises
    ------
    CircuitError
        If that cannot be played again.
    """

    def __init__(
        self, exercise: Exercise, learner: str, weighing: Weighing, former: Record | None = None
    ) -> None:
        self.hunt = PageHunt(exercise, learner, weighing)
        if former is not None:
            play(self.hunt, former)
        self.lines = Lines(exercise.title, learner, former)
        self.hunt.keep_in(self.lines)
        self.said = "Proven." if self.proven else ""
        asks: dict[str, Callable[..., object]] = {
            "name": self.name,
            "prove": self.prove,
            "hint": self.hint,
        }
        self.screen = Screen(self.hunt.bench, asks, exercise.proof.load)
        self.hunt.bench.watchers.append(lambda entry: self._found(entry.action))
        self._show()

    @property
    def proven(self) -> bool:
        """Whether the repair is proven."""
        return self.hunt.proven is not None and self.hunt.proven.ok

    def handle(self, asked: Mapping[str, Any]) -> None:
        """Do what the page asks for."""
        self.screen.handle(asked)

    def name(self, part: str, mode: str) -> None:
        """Name what is wrong."""
        self.said = self.hunt.name(part, mode).text
        self._show()

    def prove(self) -> None:
        """Prove the repair."""
        proven = self.hunt.prove()
        self.said = f"Proven. {proven.text}" if proven.ok else proven.text
        self._show()

    def hint(self) -> None:
        """Give the next step of a hint."""
        found = self.hunt.hint()
        cost = f" ({found.minutes:.0f} min)" if found.step else ""
        self.said = f"Hint{cost}: {found.text}"
        self._show()

    def told(self) -> dict[str, Any]:
        """Return what has changed: states, lines to keep, and the end once it is reached."""
        told = {"states": self.screen.news(), "lines": self.lines.fresh()}
        return {**told, "end": self.end} if self.proven else told

    @property
    def end(self) -> dict[str, Any]:
        """What there is to say once the repair is proven."""
        said, path, advised = self.hunt.looked_back()
        return {"said": said, "path": path, "advised": advised}

    def _show(self) -> None:
        self.screen.naming = naming_state(self.hunt, self.said)

    def _found(self, action: str) -> None:
        if ACTS[action].repairs:
            self.said = ""
        if ACTS[action].repairs or action == "trace":
            self._show()


class Page:
    """What a worker calls, with and by text in JSON.

    Parameters
    ----------
    folder : Path
        Of the exercises that are on the page.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._index = json.loads((folder / "index.json").read_text("utf-8"))
        self._table: Table | SurveyTable | None = None

    def open(self, slug: str, learner: str, file: str = "", text: str = "") -> str:
        """Begin a hunt, or go on with an attempt; one that cannot go on is said and left alone."""
        exercise = read_story(self._folder / self._index[slug])
        table: Table | SurveyTable | None = None
        trouble, former = "", None
        if text:
            try:
                former = parse(Path(file), text.encode())
                if not former.head or former.damage:
                    left = "it is left as it is, and a new one is started"
                    trouble = f"{file}: {former.damage}; {left}"
                else:
                    table = self._laid(slug, exercise, learner, former)
            except CircuitError as error:
                trouble = f"{error}; it is left as it is, and a new one is started"
        if table is None:
            table = self._laid(slug, exercise, learner)
            file = file_name(exercise.title, learner, datetime.now(UTC))
        self._table = table
        return json.dumps({**table.told(), "file": file, "trouble": trouble})

    def ask(self, asked: str) -> str:
        """Do what the bench asks for."""
        if self._table is None:
            raise CircuitError(["no hunt is open"])
        self._table.handle(json.loads(asked))
        return json.dumps(self._table.told())

    def weigh(self, seconds: float) -> str:
        """Weigh readings for so long; tell whether any are left to weigh."""
        if not isinstance(self._table, Table):
            return "false"
        end = monotonic() + seconds
        return json.dumps(self._table.hunt.weigh(lambda: monotonic() > end))

    def _laid(
        self,
        slug: str,
        exercise: Exercise | SurveyExercise,
        learner: str,
        former: Record | None = None,
    ) -> Table | SurveyTable:
        if isinstance(exercise, SurveyExercise):
            return SurveyTable(exercise, learner, former)
        return Table(exercise, learner, self._weighing(slug, exercise), former)

    def _weighing(self, slug: str, exercise: Exercise) -> Weighing:
        file = self._folder / "weighing" / f"{slug}.json"
        if not file.is_file():
            return Weighing()
        return unpacked(json.loads(file.read_text("utf-8")), exercise.deal().candidates)
