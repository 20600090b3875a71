"""Exercise files: a circuit, a complaint, the fault dealt, and when the repair counts as proven."""

from __future__ import annotations

import os
import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path, PurePosixPath
from types import MappingProxyType
from typing import Any, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, ValidationError, field_validator

from labkit.circuits.circuit import Circuit
from labkit.circuits.circuit_file import load_circuit
from labkit.diagnosis.faults import Candidate, family
from labkit.exercises.class_list import seeds_of
from labkit.exercises.proving import Proof, ProofKeys, proof_problems
from labkit.exercises.proving import prove as prove  # where notebooks look for it
from labkit.exercises.severity import drawn, ends, middle
from labkit.exercises.suspects import USUAL, Suspects
from labkit.ownboat.drawn import drawn_from
from labkit.parts import Fault, Relay
from labkit.parts.base import Seconds
from labkit.text.messages import CircuitError, did_you_mean
from labkit.text.quantities import shorten
from labkit.text.toml_file import read_toml
from labkit.text.wording import sentences

MOST_VARIANTS = 200
"""Of one exercise: each is tried before it is dealt. Our choice."""


class StoryKeys(BaseModel):
    """What may stand in the file of any hunt."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
    title: str = Field(min_length=1, max_length=120)
    circuit: str = Field(max_length=200)
    complaint: str = Field(min_length=1)
    seen: list[str] = Field(default_factory=list)
    positions: dict[str, str] = Field(default_factory=dict)
    deal: Literal["all", "one of"] = "all"
    cause: str | list[str] = ""
    par: Seconds = 1800.0
    cautions: list[str] = Field(default_factory=list)

    @field_validator("circuit")
    @classmethod
    def _inside(cls, path: str) -> str:
        inside = not (PurePosixPath(path).is_absolute() or ".." in PurePosixPath(path).parts)
        if not inside or "\\" in path or ":" in path or not path.endswith(".toml"):
            raise ValueError(
                f'found "{shorten(path)}"; name a file beside the exercise or in a folder below '
                'it, such as "circuits/washdown.toml"'
            )
        return path


class VariantKeys(BaseModel):
    """What may stand in a table `[[variant]]`: what is wrong, and what is told otherwise of it."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
    faults: list[str] = Field(min_length=1, max_length=MOST_VARIANTS)
    complaint: str = ""
    seen: list[str] = Field(default_factory=list)
    cause: str = ""


class ExerciseKeys(StoryKeys):
    """What may stand in an exercise file."""

    unheard: list[str] = Field(default_factory=list)
    faults: list[str] = Field(default_factory=list, max_length=MOST_VARIANTS)
    variant: list[VariantKeys] = Field(default_factory=list, max_length=MOST_VARIANTS)
    suspects: Suspects = USUAL
    proof: ProofKeys


@dataclass(frozen=True)
class Dealt:
    """One learner's variant: what is wrong in it, and why it came to that.

    Attributes
    ----------
    faults : tuple of str
    cause : str
    circuit : Circuit
        With the faults.
    suspects : Suspects
        For the names that are as good an answer.
    variants : tuple of Fault
        Everything that might have been dealt.
    number : int
        Of the variant, from 0.
    """

    faults: tuple[str, ...]
    cause: str
    circuit: Circuit
    suspects: Suspects = USUAL
    variants: tuple[Fault, ...] = ()
    number: int = 0

    @property
    def causes(self) -> tuple[Fault, ...]:
        """What is wrong, without the fuses that blew because of it."""
        faults = self.circuit.faults
        return tuple(fault for fault in faults if fault.mode != "blown") or faults

    @cached_property
    def candidates(self) -> tuple[Candidate, ...]:
        """What could be wrong, as the exercise has it."""
        dealt = self.variants or self.circuit.faults
        return self.suspects.of(self.circuit.without_faults(), dealt)


@dataclass(frozen=True, repr=False)
class Story:
    """What hunts and surveys tell alike.

    Attributes
    ----------
    circuit : Circuit
        Healthy, its switches as the learner finds them; an author's reasons for what breaks a rule
        are left out of a survey's.
    variants : tuple of tuple of str
        What is wrong in each variant that may be dealt.
    causes : tuple of str
        Why, a text for each variant.
    par : float
        Time a practised person takes. [s]
    learner : str
        Whom it was dealt to, if anybody: it is theirs, whoever opens it.
    seeds : mapping of str to str
        What was dealt to whom, by name; see :mod:`labkit.exercises.class_list`.
    words : tuple of tuple
        For each variant its own complaint and what is seen, where it is told otherwise than the
        others.
    """

    title: str
    circuit: Circuit
    complaint: str
    seen: tuple[str, ...]
    variants: tuple[tuple[str, ...], ...]
    causes: tuple[str, ...]
    par: float
    cautions: tuple[str, ...]
    learner: str = field(default="", kw_only=True)
    seeds: Mapping[str, str] = field(default_factory=dict, kw_only=True)
    words: tuple[tuple[str, tuple[str, ...]], ...] = field(default=(), kw_only=True)

    def __repr__(self) -> str:
        return f"<{type(self).__name__} {self.title!r}>"

    def told(self, number: int) -> Self:
        """Return it as one variant is told, by its number from 0: complaint, and what is seen."""
        if not self.words:
            return self
        complaint, seen = self.words[number]
        return replace(self, complaint=complaint or self.complaint, seen=seen or self.seen)

    def seed_of(self, seed: int | str) -> str:
        """Return what everything dealt to a learner follows from."""
        name = self.learner or str(seed)
        return f"{self.title}/{self.seeds.get(name, name)}"


@dataclass(frozen=True, repr=False)
class Exercise(Story):
    """An exercise as its file says.

    Attributes
    ----------
    suspects : Suspects
        What may be wrong, where the author says more than the circuit does.
    """

    proof: Proof
    file: str = ""
    suspects: Suspects = USUAL

    def deal(self, seed: int | str = 0) -> Dealt:
        """Deal a variant: the same for the same seed, such as a learner's name.

        Whoever stands in `seeds` gets what was dealt there. Where the circuit leaves figures in
        doubt, it is on a boat drawn from the doubts.
        """
        whose = self.seed_of(seed)
        dice = random.Random(whose)
        number = dice.randrange(len(self.variants))
        faults = [drawn(fault, dice) for fault in self.variants[number]]
        in_doubt = any(part.doubts for part in self.circuit.parts.values())
        boat = drawn_from(self.circuit, random.Random(f"{whose}/boat")) if in_doubt else None
        return self._deal(number, faults, boat)

    def variant(self, number: int) -> Dealt:
        """Return one variant by its number, from 0, each fault in the middle of its span."""
        return self._deal(number, [middle(fault) for fault in self.variants[number]])

    def extremes(self, number: int) -> list[Dealt]:
        """Return a variant at its mildest and at its worst; one, where no amount has a span."""
        each = [ends(fault) for fault in self.variants[number]]
        faults = [[given[0] for given in each], [given[-1] for given in each]]
        return [self._deal(number, given) for given in faults[: max(map(len, each))]]

    def _deal(self, number: int, faults: Sequence[str], boat: Circuit | None = None) -> Dealt:
        faulty = (boat or self.circuit).with_fault(*faults)
        return Dealt(tuple(faults), self.causes[number], faulty, self.suspects, self._dealt, number)

    @cached_property
    def candidates(self) -> tuple[Candidate, ...]:
        """What could be wrong, with prior weights: all that whoever hunts may suspect."""
        return self.suspects.of(self.circuit, self._dealt)

    @cached_property
    def named(self) -> frozenset[str]:
        """Parts of a large boat that it is about: the load to be proven, and what is dealt."""
        return frozenset({self.proof.load, *(fault.part for fault in self._dealt)})

    @cached_property
    def _dealt(self) -> tuple[Fault, ...]:
        """Every fault of every variant."""
        dealt = (self.circuit.with_fault(*map(middle, faults)).faults for faults in self.variants)
        return tuple(fault for faults in dealt for fault in faults)


def load_exercise(path: str | Path) -> Exercise:
    """Read an exercise file and the circuit it names.

    Raises
    ------
    CircuitError
        With everything that is wrong in either, a sentence each.
    """
    return exercise_from(read_toml(path), path)


def exercise_from(
    table: Mapping[str, Any], path: str | Path, on: Circuit | None = None
) -> Exercise:
    """Build an exercise from a parsed file, on the circuit it names where none is given.

    Raises
    ------
    CircuitError
        As :func:`load_exercise` does.
    """
    name = str(path)
    if "survey" in table:
        raise CircuitError([f"{name}: is a survey: everything works, and nothing is to be proven"])
    try:
        keys = ExerciseKeys.model_validate(table)
    except ValidationError as error:
        refused = sentences(error, ExerciseKeys, "an exercise")
        raise CircuitError([f"{name}: {text}" for text in refused]) from None
    circuit, problems = muffled(on or load_circuit(beside(path, keys.circuit)), keys.unheard)

    def tried(key: str, build: Any) -> Any:
        try:
            return build()
        except CircuitError as error:
            where = f"{circuit.file}: "
            problems.extend(f"{key}: {text.removeprefix(where)}" for text in error.problems)
            return None

    found = tried("positions", lambda: circuit.with_position(**keys.positions))
    tried("proof.positions", lambda: circuit.with_position(**keys.proof.positions))
    tried("proof.idle", lambda: circuit.with_position(**(keys.proof.idle or {})))
    tried("proof.load", lambda: circuit.part(keys.proof.load))
    variants, amiss = _variants(keys)
    problems += amiss
    worded = [[middle(fault) for fault in faults] for faults in variants]
    spans = [[end for fault in faults for end in ends(fault)] for faults in variants]
    for one in (fault for faults in spans for fault in faults):
        tried("faults", lambda one=one: circuit.with_fault(one))
    dealt = [tried("faults", lambda faults=f: circuit.with_fault(*faults)) for f in worded]
    names = [family(fault) for faulty in dealt if faulty for fault in faulty.faults]
    where = f"{circuit.file}: "
    problems += [t.replace(where, "") for t in proof_problems(circuit, keys.proof)]
    problems += [f"suspects.{text}" for text in keys.suspects.problems(circuit, names)]
    causes, amiss = causes_of(keys, len(variants))
    problems += amiss
    if problems:
        raise CircuitError(dict.fromkeys(f"{name}: {text}" for text in problems))
    if keys.variant:
        causes = tuple(one.cause or causes[n] for n, one in enumerate(keys.variant))
    return Exercise(
        keys.title,
        found,
        keys.complaint,
        tuple(keys.seen),
        variants,
        causes,
        keys.par,
        tuple(keys.cautions),
        Proof(**dict(keys.proof)),
        name,
        keys.suspects,
        words=tuple((one.complaint, tuple(one.seen)) for one in keys.variant),
        seeds=seeds_of(Path(path)) if on is None else {},
    )


def _variants(keys: ExerciseKeys) -> tuple[tuple[tuple[str, ...], ...], list[str]]:
    """Return what is wrong in each variant, and what is wrong with how that is written."""
    if keys.variant and keys.faults:
        return (), ["faults: there are tables [[variant]]; write every fault into one of them"]
    if not keys.variant and not keys.faults:
        return (), ['faults: found []; write one at least, such as faults = ["X1 open"]']
    if keys.variant:
        return tuple(tuple(map(str.strip, one.faults)) for one in keys.variant), []
    items = [tuple(one.strip() for one in item.split("+")) for item in keys.faults]
    together = (tuple(fault for item in items for fault in item),)
    return (tuple(items) if keys.deal == "one of" else together), []


def muffled(circuit: Circuit, unheard: Sequence[str]) -> tuple[Circuit, list[str]]:
    """Return the circuit with relays that nobody can hear click, and what is wrong with the key."""
    parts, problems = dict(circuit.parts), list[str]()
    for id in unheard:
        part = parts.get(id)
        if isinstance(part, Relay):
            parts[id] = part.model_copy(update={"audible": False})
        else:
            relays = [p.id for p in parts.values() if isinstance(p, Relay)]
            problems.append(f"unheard: '{id}' is not a relay here; {did_you_mean(id, relays)}")
    return (replace(circuit, parts=MappingProxyType(parts)) if unheard else circuit), problems


def causes_of(keys: StoryKeys, variants: int) -> tuple[tuple[str, ...], list[str]]:
    """Return the cause of each variant, and what is wrong with their number."""
    causes = (keys.cause,) * variants if isinstance(keys.cause, str) else tuple(keys.cause)
    wrong = f"cause: found {len(causes)} for {variants} variants; write one, or one for each"
    return causes, [wrong] * (len(causes) != variants)


def beside(path: str | Path, circuit: str) -> Path:
    """Return the circuit's file, unless a link leads to one elsewhere."""
    home = os.path.realpath(Path(path).parent)
    file = Path(path).parent / circuit
    if not Path(os.path.realpath(file)).is_relative_to(home):
        raise CircuitError(
            [
                f'{path}: circuit: "{circuit}" is a link that leads out of the exercise\'s folder; '
                "put the circuit itself there"
            ]
        )
    return file
