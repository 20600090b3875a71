"""Surveys as exercises: everything works, and something of the boat is dangerous."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from labkit.circuits.circuit import Circuit
from labkit.circuits.circuit_file import load_circuit
from labkit.exercises.class_list import seeds_of
from labkit.exercises.exercise import MOST_VARIANTS, Dealt, Story, StoryKeys, beside, causes_of
from labkit.text.messages import CircuitError
from labkit.text.wording import sentences


class Asked(BaseModel):
    """What may stand in the table `[survey]`."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
    sound: int = Field(
        4, ge=1, le=20, description="So many claims that are not true stand among the others."
    )


class SurveyKeys(StoryKeys):
    """What may stand in the file of a survey."""

    faults: list[str] = Field(default_factory=list, max_length=MOST_VARIANTS)
    survey: Asked


@dataclass(frozen=True, repr=False)
class SurveyExercise(Story):
    """A survey as its file says.

    Attributes
    ----------
    variants : tuple of tuple of str
        What is fitted otherwise in each variant; one without any where the file names none.
    causes : tuple of str
        What a surveyor would write, a text for each variant.
    sound : int
        Claims that are not true among those to choose from.
    """

    sound: int
    file: str = ""

    def deal(self, seed: int | str = 0) -> Dealt:
        """Deal a variant: the same for the same seed, such as a learner's name."""
        dice = random.Random(self.seed_of(seed))
        return self.variant(dice.randrange(len(self.variants)))

    def variant(self, number: int) -> Dealt:
        """Return one variant by its number, from 0."""
        faults = self.variants[number]
        boat = self.circuit.with_fault(*faults)
        return Dealt(faults, self.causes[number], boat, number=number)


def survey_from(
    table: Mapping[str, Any], path: str | Path, on: Circuit | None = None
) -> SurveyExercise:
    """Build a survey from a parsed file, on the circuit it names where none is given.

    Raises
    ------
    CircuitError
        With everything that is wrong in either, a sentence each.
    """
    name = str(path)
    try:
        keys = SurveyKeys.model_validate(table)
    except ValidationError as error:
        refused = sentences(error, SurveyKeys, "a survey")
        raise CircuitError([f"{name}: {text}" for text in refused]) from None
    circuit = replace(on or load_circuit(beside(path, keys.circuit)), accepts=())
    items = [tuple(one.strip() for one in item.split("+")) for item in keys.faults]
    together = (tuple(fault for item in items for fault in item),)
    variants = tuple(items) if keys.deal == "one of" and items else together
    causes, problems = causes_of(keys, len(variants))
    found = circuit
    try:
        found = circuit.with_position(**keys.positions)
    except CircuitError as error:
        problems += [f"positions: {_bare(text, circuit)}" for text in error.problems]
    for faults in variants:
        try:
            circuit.with_fault(*faults)
        except CircuitError as error:
            problems += [f"faults: {_bare(text, circuit)}" for text in error.problems]
    if problems:
        raise CircuitError(dict.fromkeys(f"{name}: {text}" for text in problems))
    return SurveyExercise(
        keys.title,
        found,
        keys.complaint,
        tuple(keys.seen),
        variants,
        causes,
        keys.par,
        tuple(keys.cautions),
        keys.survey.sound,
        name,
        seeds=seeds_of(Path(path)) if on is None else {},
    )


def _bare(text: str, circuit: Circuit) -> str:
    return text.removeprefix(f"{circuit.file}: ")
