"""A hint where numpy is not: the best of a list of readings that were worth much to somebody.

What a reading is worth is counted as in :mod:`labkit.hunts.hinting`, but over a list that was drawn
up beforehand, and each suspect at its typical severity.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from labkit.diagnosis.cost import Visit
from labkit.diagnosis.evidence import Measurement
from labkit.diagnosis.logbook import evidence_of
from labkit.diagnosis.phrases import suspects
from labkit.diagnosis.weigher import Line, Weigher
from labkit.hunts.hint_words import NOTHING, OVER, what, where, which
from labkit.hunts.hints import Hint, next_step
from labkit.measuring.meter import FUNCTIONS, display

if TYPE_CHECKING:
    from labkit.hunts.hunt import Hunt

APART = 4.0
"""Readings nearer than this are not told apart. [sigma]"""

LEAST_BITS = 0.005
"""Less than this is not worth a measurement."""

MOST = 80
"""So many of the likeliest are looked at. Our choice: a second or two."""

_SAID = 5  # so many outcomes are described


@dataclass(frozen=True)
class Outcome:
    """What a measurement may come out as, and how likely each name then is."""

    seen: str
    names: Mapping[str, float]

    @property
    def chance(self) -> float:
        """How likely it is."""
        return sum(self.names.values())

    def __str__(self) -> str:
        return f"{self.seen} ({100 * self.chance:.0f} %)"


def hint(hunt: Hunt, weigher: Weigher, worth_asking: Iterable[Measurement]) -> Hint:
    """Return the next step of a hint.

    Parameters
    ----------
    hunt : Hunt
    weigher : Weigher
    worth_asking : iterable of Measurement
    """
    if hunt.mended:
        return Hint(0, OVER)
    circuit = hunt.exercise.circuit
    seen = evidence_of(hunt.bench.log, circuit)
    weigher.see(*seen)
    step = next_step(hunt)
    if step == 1:
        return Hint(1, where(hunt, weigher.by_name), len(seen))
    visit = Visit.after(circuit, seen)
    done = {visit.key(item) for item in seen}
    lines = sorted((one for one in weigher.lines if not one.struck), key=lambda one: -one.belief)
    rated = [
        (bits / (minutes := visit.minutes(item)), minutes, item, found)
        for item in worth_asking
        if visit.key(item) not in done
        and (bits := told_by(found := outcomes(weigher, lines[:MOST], item))) > LEAST_BITS
    ]
    if not rated:
        return Hint(0, NOTHING)
    _, minutes, best, found = max(rated, key=lambda one: one[0])
    if step == 2:
        return Hint(2, which(hunt, best, minutes), len(seen))
    likely = sorted(found, key=lambda one: -one.chance)[:_SAID]
    tells = [f"{one}: leaves {suspects(_main(one), parts=circuit.parts)}" for one in likely]
    return Hint(3, what(hunt, best, tells), len(seen))


def outcomes(weigher: Weigher, lines: Sequence[Line], item: Measurement) -> list[Outcome]:
    """What a measurement may come out as, by what each suspect predicts."""
    total = sum(line.belief for line in lines)
    found: dict[str, dict[str, float]] = defaultdict(lambda: defaultdict(float))
    for line, seen in zip(lines, _seen(weigher, lines, item), strict=True):
        found[seen][line.candidate.name] += line.belief / total
    return [Outcome(seen, names) for seen, names in found.items()]


def _seen(weigher: Weigher, lines: Sequence[Line], item: Measurement) -> list[str]:
    predictor, typical = weigher.predictor, [line.sets[1] for line in lines]
    if item.function not in FUNCTIONS:
        words = predictor.words(item)
        return [
            max(zip(predictor.chances(faults, item), words, strict=True))[1] for faults in typical
        ]
    on, function = predictor.scale(item.function), FUNCTIONS[item.function]
    readings = [predictor.sensed(faults, item) for faults in typical]
    order = sorted(range(len(lines)), key=lambda n: on.u(readings[n]))
    groups: list[list[int]] = []
    for n in order:
        near = groups and on.u(readings[n]) - on.u(readings[groups[-1][-1]]) < APART
        if near:
            groups[-1].append(n)
        else:
            groups.append([n])
    told = [""] * len(lines)
    for group in groups:
        ends = dict.fromkeys(
            "unsteady" if math.isnan(r) else display(function, r)
            for r in (readings[group[0]], readings[group[-1]])
        )
        for n in group:
            told[n] = " to ".join(ends)
    return told


def told_by(found: Sequence[Outcome]) -> float:
    """Information about the name in a measurement that comes out as one of these. [bit]"""
    whole: dict[str, float] = defaultdict(float)
    for one in found:
        for name, belief in one.names.items():
            whole[name] += belief
    return _spread(whole.values()) - sum(_spread(one.names.values()) for one in found)


def _spread(shares: Iterable[float]) -> float:
    """Entropy of shares times their sum. [bit]"""
    kept = [share for share in shares if share > 0]
    total = sum(kept)
    return total * math.log2(total) - sum(p * math.log2(p) for p in kept) if kept else 0.0


def _main(one: Outcome) -> list[str]:
    """Names that make up nearly all of an outcome, the likeliest first."""
    names, left = [], 0.99 * one.chance
    for name, belief in sorted(one.names.items(), key=lambda item: -item[1]):
        if left > 0:
            names.append(name)
            left -= belief
    return names
