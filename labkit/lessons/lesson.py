"""A lesson: what is asked, shown and said stands in a TOML file beside the notebook."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from labkit.circuits.circuit import Circuit
from labkit.circuits.circuit_file import load_circuit
from labkit.diagnosis import parse_seen
from labkit.exercises.exercise import load_exercise
from labkit.lessons import keys
from labkit.lessons.shows import shown
from labkit.lessons.words import boat_of, filled, leads
from labkit.questions import (
    Cause,
    Choose,
    NameFault,
    Order,
    Predict,
    PredictBoth,
    Remains,
    Repair,
    Separate,
)
from labkit.questions.fields import Question
from labkit.text.messages import CircuitError, did_you_mean
from labkit.text.quantities import VOLTAGE
from labkit.text.toml_file import read_toml
from labkit.text.wording import sentences


class Lesson:
    """A lesson as its file says.

    Parameters
    ----------
    file : str or Path

    Raises
    ------
    CircuitError
        With everything that is wrong in the file, a sentence each.
    """

    def __init__(self, file: str | Path) -> None:
        self.file = Path(file)
        table = read_toml(self.file)
        head = {key: table[key] for key in keys.Head.model_fields if key in table}
        problems: list[str] = []
        self.head = self._valid(keys.Head, head, "a lesson", "", problems)
        self.places: dict[str, tuple[str, Any]] = {}
        for name in (name for name in table if name not in keys.Head.model_fields):
            kind = keys.kind_of(table[name]) if isinstance(table[name], dict) else ""
            if not kind:
                known = ", ".join(keys.PLACES)
                problems.append(
                    f"{self.file}: {name}: does not say what it is; write one of {known}"
                )
                continue
            made = self._valid(keys.PLACES[kind], table[name], f"'{kind}'", f"{name}: ", problems)
            self.places[name] = kind, made
        self._told: dict[str, list[str]] = {}
        if problems:
            raise CircuitError(problems)

    def __repr__(self) -> str:
        return f"<Lesson {self.head.title!r}: {len(self.questions)} questions>"

    @cached_property
    def boats(self) -> Mapping[str, Circuit]:
        """The boats by their names, each in its state."""
        loaded: dict[str, Circuit] = {}
        made = {}
        for name, boat in self.head.boats.items():
            file = boat.circuit or self.head.circuit
            if file not in loaded:
                loaded[file] = load_circuit(self.folder / file)
            afloat = loaded[file].with_fault(*boat.faults).with_position(**boat.positions)
            made[name] = afloat.with_parted(*boat.parted) if boat.parted else afloat
        return made

    @property
    def folder(self) -> Path:
        """Where the file lies; others are named from here."""
        return self.file.parent

    @cached_property
    def questions(self) -> Mapping[str, Question]:
        """What is asked, by the name of its place."""
        return {
            name: getattr(self, f"_{kind}")(what)
            for name, (kind, what) in self.places.items()
            if kind in keys.ASKED
        }

    def after(self, name: str) -> tuple[str, ...]:
        """Names of the questions that have to be settled before a place is shown."""
        after = self.places[name][1].after
        return (after,) if isinstance(after, str) else tuple(after)

    def shows(self, name: str) -> list[Any]:
        """What is shown at a place that only shows."""
        _, what = self.places[name]
        return [shown(item, self.boats, self.folder, self.questions) for item in what.show]

    def words(self, name: str) -> str:
        """What is shown at a place, in words."""
        kind, what = self.places[name]
        if kind == "show":
            return "\n".join(self.told(name))
        return f"{kind} {getattr(what, kind)}"

    def told(self, name: str) -> list[str]:
        """What is shown at a place that only shows, each thing in words; made once."""
        if name not in self._told:
            self._told[name] = [repr(item) for item in self.shows(name)]
        return self._told[name]

    def place(self, name: str) -> tuple[str, Any]:
        """Return kind and keys of a place. Raises CircuitError if there is none of this name."""
        if name not in self.places:
            hint = did_you_mean(name, self.places)
            raise CircuitError([f"{self.file}: no place '{name}'; {hint}"])
        return self.places[name]

    def boat(self, name: str) -> Circuit:
        """Return a boat by its name. Raises CircuitError if there is none."""
        return boat_of(name, self.boats)

    def _valid(
        self, model: type[Any], table: Any, noun: str, where: str, problems: list[str]
    ) -> Any:
        try:
            return model.model_validate(table)
        except ValidationError as error:
            refused = sentences(error, model, noun)
            problems.extend(f"{self.file}: {where}{text}" for text in refused)
            return None

    # -- questions --------------------------------------------------------------------------

    def _predict(self, what: keys.Predict) -> Question:
        red, black, function = leads(what.predict)
        twin = self.boat(what.twin) if what.twin else None
        ask = filled(what.ask, self.boats)
        within = VOLTAGE.parse(what.within) if what.within else None
        return Predict(self.boat(what.boat), red, black, function, ask, twin, within)

    def _both(self, what: keys.Both) -> Question:
        red, black, _ = leads(what.both)
        return PredictBoth(self.boat(what.boat), red, black, what.off, what.on)

    def _choose(self, what: keys.Choose) -> Question:
        answers = {answer: filled(why, self.boats) for answer, why in what.answers}
        return Choose(filled(what.choose, self.boats), answers, what.answers[what.right - 1][0])

    def _order(self, what: keys.Order) -> Question:
        return Order(what.order, what.groups)

    def _separate(self, what: keys.Separate) -> Question:
        return Separate(self.boat(what.boat), *what.separate)

    def _remains(self, what: keys.Remains) -> Question:
        return Remains(self.boat(what.boat), what.remains, what.suspects)

    def _repair(self, what: keys.Repair) -> Question:
        exercise = load_exercise(self.folder / what.repair)
        return Repair(exercise, exercise.variant(what.variant - 1), what.repairs, what.proofs)

    def _cause(self, what: keys.Cause) -> Question:
        return Cause(self.boat(what.boat), what.cause, what.causes, what.seen, what.ask)

    def _name(self, what: keys.Name) -> Question:
        exercise = load_exercise(self.folder / what.name)
        seen = [parse_seen(text, exercise.circuit) for text in what.seen]
        return NameFault(exercise.variant(what.variant - 1), seen)
