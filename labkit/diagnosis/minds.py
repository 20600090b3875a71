"""Beliefs of somebody who reads a meter by a wrong rule.

A wrong rule is nearly always the right prediction of another measurement: who takes volts read with
nothing flowing for proof of a joint predicts of them what loaded volts would show. So a mind is a
diagnosis whose predictions are bent, and a wrong name it comes to all by itself is the rule's.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.circuits.paths import path_through
from labkit.diagnosis.cost import moved
from labkit.diagnosis.evidence import Evidence, Measurement
from labkit.diagnosis.positions import all_off
from labkit.diagnosis.session import Diagnosis
from labkit.parts import Trait
from labkit.solving.arrays import Array, Flags
from labkit.text.messages import CircuitError

RULES = (
    "volts without load",
    "open reads nothing",
    "return is zero",
    "bad joint passes nothing",
    "blames the load",
    "ohms on a live circuit",
    "ohms of one part",
)
"""Wrong rules that are known here, by the words of :data:`labkit.questions.MISCONCEPTIONS`."""

_BLAMED = 15.0
"""A load is held so many times as likely to be at fault by who blames the load. Our choice."""

_OVERLOOKED = 0.05
"""What a rule has no room for is held this many times as likely. Our choice."""

_HALF = 0.98
"""How sure who knows only 'there' and 'not there' is of what was seen. Our choice."""


@dataclass(frozen=True)
class Work:
    """What a hunt is about: a load, and the switches as it runs.

    Attributes
    ----------
    circuit : Circuit
        Sound, as found.
    load : str
    positions : mapping of str to str
    """

    circuit: Circuit
    load: str
    positions: Mapping[str, str]

    @cached_property
    def on(self) -> dict[str, str]:
        """Positions of all switches as the load runs."""
        return {**self.circuit.positions, **self.positions}

    @cached_property
    def return_parts(self) -> frozenset[str]:
        """Parts that the current meets behind the load."""
        try:
            passed = path_through(self.circuit.with_position(**self.positions), self.load)
        except CircuitError:
            return frozenset()
        ids = [step.part for step in passed]
        return frozenset(ids[ids.index(self.load) + 1 :])

    @cached_property
    def return_nodes(self) -> frozenset[str]:
        """Labels of the nodes on the way home, the negative bus with them."""
        nodes = {
            self.node(f"{id}:{t}")
            for id in self.return_parts
            for t in self.circuit.parts[id].terminals
        }
        return frozenset(nodes | {self.node(NEGATIVE)})

    def node(self, place: str) -> str:
        """Label of the node a place is on."""
        return self.circuit.node_of.get(place, place)

    def runs(self, positions: Mapping[str, str]) -> bool:
        """Tell whether switches stand as the load runs."""
        return {**self.circuit.positions, **positions} == self.on


class Mind(Diagnosis):
    """A diagnosis by somebody with a wrong rule.

    Parameters
    ----------
    start : Diagnosis
        Before any evidence.
    rule : str
        One of RULES.
    work : Work
    """

    def __init__(self, start: Diagnosis, rule: str, work: Work) -> None:
        self.__dict__.update(start.copy().__dict__)
        self.rule, self.work = rule, work
        faults = [row.candidate.faults for row in self.known.rows]
        self._loads = np.array([any(f.part == work.load for f in some) for some in faults])
        factors = {
            "blames the load": np.where(self._loads, _BLAMED, 1.0),
            "bad joint passes nothing": np.array(
                [_OVERLOOKED if any(f.amount for f in some) else 1.0 for some in faults]
            ),
            "return is zero": np.array(
                [
                    _OVERLOOKED if any(f.part in work.return_parts for f in some) else 1.0
                    for some in faults
                ]
            ),
        }
        belief = self.belief * factors.get(rule, 1.0)
        self.belief = belief / belief.sum()

    def predicted(self, measurement: Measurement) -> tuple[Array, Array]:
        """Readings each row predicts by the rule, least and greatest. [sigma]"""
        low, high = super().predicted(self._taken_for(measurement))
        home = {self.work.node(lead) for lead in (measurement.red, measurement.black or NEGATIVE)}
        zero = self.rule == "return is zero" and measurement.function == "volts"
        if zero and home <= self.work.return_nodes:
            return np.zeros_like(low), np.zeros_like(high)
        return low, high

    def _taken_for(self, asked: Measurement) -> Measurement:
        """The measurement that this one is taken for."""
        work, rule = self.work, self.rule
        if asked.function == "volts":
            if rule == "volts without load" and (asked.parted or not work.runs(asked.positions)):
                return replace(asked, positions=moved(work.circuit, work.on), parted=frozenset())
            if rule == "open reads nothing":
                return replace(asked, black=NEGATIVE)
        own = asked.red.partition(":")[0]
        across_one = own == asked.black.partition(":")[0]
        if rule.startswith("ohms") and asked.function == "ohms" and not asked.parted and across_one:
            off = {id: word for id, word in all_off(work.circuit).items() if id != own}
            alone = frozenset({asked.red})
            return replace(asked, positions=moved(work.circuit, off), parted=alone)
        return asked

    def _weigh_reading(self, item: Evidence) -> tuple[Array, Flags, Array, Array]:
        like, struck, low, high = super()._weigh_reading(item)
        if self.rule == "bad joint passes nothing" and item.function == "volts":
            half = self.circuit.system / 2
            middle = (np.nan_to_num(low) + np.nan_to_num(high)) / 2
            struck = (np.abs(middle) > half) != (abs(item.value) > half)
            like = np.where(struck, 1 - _HALF, _HALF)
        if self.rule == "blames the load":  # no volts and no amps speak for it
            like, struck = like.copy(), struck.copy()
            like[self._loads], struck[self._loads] = like.max(), False
        return like, struck, low, high


def rules_behind(
    name: str, evidence: tuple[Evidence, ...], start: Diagnosis, work: Work
) -> tuple[str, ...]:
    """Return the wrong rules by which evidence leads to a name that the right rules do not.

    Parameters
    ----------
    name : str
        Such as 'X1 open'.
    evidence : tuple of Evidence
        What the learner had found.
    start : Diagnosis
        Before any evidence.
    work : Work

    Returns
    -------
    tuple of str
        None where nothing speaks for one; several where nothing tells them apart: a question to
        put to the learner, never a finding.
    """
    if not evidence:
        return ()
    right = start.copy().see(*evidence).by_name.get(name, 0.0)
    held = {
        rule: Mind(start, rule, work).see(*evidence).by_name.get(name, 0.0)
        for rule in RULES
        if _bears(rule, evidence, work)
    }
    best = max(held.values(), default=0.0)
    if best < _LIKELY or best < _TIMES * right:
        return ()
    return tuple(rule for rule, belief in held.items() if belief > _CLOSE * best)


_LIKELY, _TIMES, _CLOSE = 0.3, 3.0, 0.67
"""A rule is told of that believes a name this much, and so many times as much as the right rules;
beside the likeliest, those that come this near it. Measured on simulated learners: it finds three
rules in five, and is wrong in two of a hundred."""


def _bears(rule: str, evidence: tuple[Evidence, ...], work: Work) -> bool:
    """Tell whether a rule changes how anything that was seen is taken, for speed."""
    functions = {item.function for item in evidence}
    if rule.startswith("ohms"):
        return "ohms" in functions
    if rule == "blames the load":
        return Trait.LOAD in work.circuit.part(work.load).traits
    return "volts" in functions
