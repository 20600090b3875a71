"""What it takes to weigh readings in a page, in plain data: written by the build, read there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import astuple, dataclass, field
from typing import Any

from labkit.diagnosis.evidence import Measurement
from labkit.diagnosis.faults import Candidate
from labkit.diagnosis.weigher import Weigher
from labkit.exercises.exercise import Exercise
from labkit.paper.steps_table import Row
from labkit.parts import Fault

Opened = tuple[str, ...]


@dataclass(frozen=True)
class Weighing:
    """What weighs the readings of one hunt.

    Attributes
    ----------
    rows : sequence of (Candidate, tuple of str)
        Suspects within which nothing switches, with the fuses each has opened; none where the boat
        is too large to be weighed in a page.
    worth_asking : sequence of Measurement
        What a hint may name.
    plans : sequence of sequence of Row
        The advised path to each variant; none where they were not worked out.
    """

    rows: Sequence[tuple[Candidate, Opened]] = ()
    worth_asking: Sequence[Measurement] = ()
    plans: Sequence[Sequence[Row]] = field(default=())

    def weigher(self, exercise: Exercise, same_as: Any) -> Weigher | None:
        """Return what weighs, before anything was seen."""
        return Weigher(exercise.circuit, self.rows, same_as) if self.rows else None


def packed(weighing: Weighing, listed: Sequence[Candidate]) -> dict[str, Any]:
    """Return it as data; suspects that are as the exercise lists them go by their number."""
    number = {candidate: n for n, candidate in enumerate(listed)}
    own: dict[Candidate, int] = {}
    rows = []
    for candidate, opened in weighing.rows:
        if candidate in number:
            rows.append([number[candidate], opened])
        else:
            rows.append([-1 - own.setdefault(candidate, len(own)), opened])
    return {
        "rows": rows,
        "cut": [[[astuple(fault) for fault in c.faults], c.weight, c.spans, c.called] for c in own],
        "ask": [
            [m.function, m.red, m.black, dict(m.positions), sorted(m.parted)]
            for m in weighing.worth_asking
        ],
        "plans": [[astuple(row) for row in plan] for plan in weighing.plans],
    }


def unpacked(data: Mapping[str, Any], listed: Sequence[Candidate]) -> Weighing:
    """Return what :func:`packed` has packed."""
    cut = [
        Candidate(
            tuple(Fault(*fault) for fault in faults),
            weight,
            tuple(None if span is None else (span[0], span[1]) for span in spans),
            called,
        )
        for faults, weight, spans, called in data["cut"]
    ]
    rows = [(listed[n] if n >= 0 else cut[-1 - n], tuple(opened)) for n, opened in data["rows"]]
    ask = [
        Measurement(function, red, black, positions, frozenset(parted))
        for function, red, black, positions, parted in data["ask"]
    ]
    return Weighing(rows, ask, [[Row(*row) for row in plan] for plan in data["plans"]])
