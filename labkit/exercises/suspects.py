"""Suspects of an exercise: what may be wrong, how likely it is, and what nothing tells apart."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace

from pydantic import BaseModel, ConfigDict, Field, field_validator

from labkit.circuits.circuit import Circuit
from labkit.diagnosis.faults import Candidate, candidates, family, suspect_problem
from labkit.parts import Fault
from labkit.parts.base import Fraction
from labkit.text.messages import CircuitError
from labkit.text.wording import short

ABOUT = 1.5
"""A fault about as bad as another has its ohms within this factor. Our choice."""

_PLACE = re.compile(r":\S+")


class Suspects(BaseModel):
    """The table `[suspects]` of an exercise file; without it, everything is suspected as usual."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
    only: list[str] = Field(
        default=[],
        description="Nothing else is suspected: parts, modes, or both.",
        examples=[["X1", "open", "G1 weak"]],
    )
    likely: dict[str, float] = Field(
        default={},
        description="So many times as likely as usual; 0 rules it out.",
        examples=[{"X1": 3, "G1 weak": 0.2}],
    )
    pairs: Fraction = Field(
        default=0.0, description="How often a second fault stands beside the first."
    )
    also: list[str] = Field(
        default=[],
        description="Suspected too: wires that may touch, for good or at times, and what may "
        "leak to bond or sea.",
        examples=[["W6:2 short W5:2", "W3:2 leak bond"]],
    )
    alike: list[list[str]] = Field(
        default=[],
        description="Groups that no test in reach tells apart: each in a group is the answer.",
        examples=[[["M1 open", "M1 open winding"]]],
    )

    @field_validator("likely", mode="before")
    @classmethod
    def _factors(cls, found: object) -> object:
        if not isinstance(found, dict):
            raise ValueError(
                f'found {found}; write a table of factors, such as {{ X1 = 3, "G1 weak" = 0.2 }}'
            )
        for key, factor in found.items():
            if isinstance(factor, bool) or not isinstance(factor, int | float) or not factor >= 0:
                raise ValueError(
                    f"found {key} = {short(factor)}; write how many times as likely as usual, "
                    "such as 3, or 0 to rule it out"
                )
        return found

    @field_validator("pairs")
    @classmethod
    def _chance(cls, found: float) -> float:
        if not found < 1:
            raise ValueError(f'found {100 * found:g} %; write less than "100 %", such as "10 %"')
        return found

    @field_validator("alike")
    @classmethod
    def _groups(cls, found: list[list[str]]) -> list[list[str]]:
        for group in found:
            if len(group) < 2:
                raise ValueError(f"found the group {group}; write two faults at least in each")
        return found

    def of(self, circuit: Circuit, dealt: Iterable[Fault] = ()) -> tuple[Candidate, ...]:
        """List what is suspected of a circuit, with prior weights.

        Parameters
        ----------
        circuit : Circuit
        dealt : iterable of Fault
            What may be dealt: where it is milder or worse than is usual, it is one severity more of
            its part and mode, so that true readings never speak against what is wrong.
        """
        listed = candidates(circuit, self.only, self.likely, pairs=self.pairs, also=self.also)
        more: dict[Fault, Candidate] = {}
        for fault in dealt:
            if not any(answers_for(candidate, fault) for candidate in listed):
                alone = fault if fault.to else replace(fault, terminal="")
                usual = [c.weight for c in listed if c.name == family(alone)] or [1 / len(listed)]
                more[alone] = Candidate((alone,), sum(usual) / len(usual), about((alone,)))
        total = 1 + sum(candidate.weight for candidate in more.values())
        return tuple(replace(c, weight=c.weight / total) for c in (*listed, *more.values()))

    def same_as(self, name: str) -> list[str]:
        """Names that are taken for the same answer as this one, itself included."""
        groups = [group for group in self.alike if plain(name) in map(plain, group)]
        others = [other for group in groups for other in group if plain(other) != plain(name)]
        return [name, *dict.fromkeys(others)]

    def problems(self, circuit: Circuit, dealt: Iterable[str]) -> list[str]:
        """Say what does not fit a circuit, or leaves out a fault that is dealt, each with its key.

        Parameters
        ----------
        circuit : Circuit
        dealt : iterable of str
            Names of the faults dealt, such as 'X1 resistance'.
        """
        alike = [name for group in self.alike for name in group]
        named = {"only": self.only, "likely": list(self.likely), "alike": alike}
        found = [
            f"{key}: {problem}"
            for key, names in named.items()
            for problem in _unknown(circuit, names, both=key == "alike")
        ]
        found += [f"also: {problem}" for text in self.also for problem in _unjoined(circuit, text)]
        for name in () if found else dict.fromkeys(map(plain, dealt)):
            part, _, mode = name.partition(" ")
            keys = {part, mode, name}
            if self.only and not keys & set(self.only):
                found.append(f'only: leaves out {name}, which is dealt; add "{name}"')
            if any(self.likely.get(key) == 0 for key in keys):
                found.append(f"likely: rules out {name}, which is dealt; write more than 0 for it")
        return found


USUAL = Suspects()
"""Everything is suspected, each part as often as it fails elsewhere."""


def plain(name: str) -> str:
    """A name without the terminal, which nobody has to name: 'W2:2 leak' is 'W2 leak'."""
    return _PLACE.sub("", name)


def answers_for(candidate: Candidate, fault: Fault) -> bool:
    """Tell whether a candidate is this part and mode, in an interval that holds its amount."""
    if plain(candidate.name) != plain(family(fault)):
        return False
    span = candidate.spans[0] if candidate.spans else None
    if span is None or fault.value is None:
        return candidate.faults[0].amount == fault.amount
    return bool(span[0] <= fault.value <= span[1])


def about(faults: Sequence[Fault]) -> tuple[tuple[float, float] | None, ...]:
    """The amounts, in SI units, of faults about as bad as these."""
    return tuple(
        (fault.value / ABOUT, fault.value * ABOUT)
        if fault.value is not None and fault.amount.endswith("ohm")
        else None
        for fault in faults
    )


def _unjoined(circuit: Circuit, text: str) -> Iterable[str]:
    """Say why this is no fault that joins two places of a circuit."""
    try:
        fault = circuit.with_fault(text).faults[-1]
    except CircuitError as error:
        return [problem.removeprefix(f"{circuit.file}: ") for problem in error.problems]
    if fault.to:
        return []
    right = 'write what a part may touch or leak to, such as "W6:2 short W5:2"'
    return [f'"{text}" is suspected anyway, or ruled in by only; {right}']


def _unknown(circuit: Circuit, names: Sequence[str], both: bool) -> Iterable[str]:
    for name in dict.fromkeys(names):
        problem = suspect_problem(circuit, plain(name) if both else name, both)
        if problem:
            yield problem
