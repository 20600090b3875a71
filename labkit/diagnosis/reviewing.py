"""A hunt looked back on: what each measurement was worth, and what would have been worth more."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from labkit.diagnosis.ambiguity import alone
from labkit.diagnosis.cost import Visit
from labkit.diagnosis.evidence import Evidence
from labkit.diagnosis.information import by_name, likeliest
from labkit.diagnosis.left import Left
from labkit.diagnosis.odds import SURE
from labkit.diagnosis.phrases import place_text, state_text
from labkit.diagnosis.ranking import Adviser, Ranked
from labkit.diagnosis.session import Diagnosis


@dataclass(frozen=True)
class Step:
    """One measurement of a hunt.

    Attributes
    ----------
    evidence : Evidence
    bits : float
        What it turned out to tell about part and mode.
    minutes : float
        What it took.
    fell : tuple of str
        Names it struck out.
    standing : tuple of str
        Names that nothing had struck out after it.
    advice : Ranked or None
        The best that could have been done instead, None where nothing was left to learn.
    """

    evidence: Evidence
    bits: float
    minutes: float
    fell: tuple[str, ...]
    standing: tuple[str, ...]
    advice: Ranked | None

    @property
    def left(self) -> int:
        """How many names stood after it."""
        return len(self.standing)

    def __str__(self) -> str:
        item = self.evidence
        did = f"{state_text(item)}{place_text(item)} ({item.seen}, {self.minutes:.1f} min)"
        told = f"told {round(self.bits, 2) + 0.0:.2f} bit and struck out {len(self.fell)}"
        if self.advice is None:
            return f"{did}: {told}; nothing was left to learn."
        best = self.advice
        return (
            f"{did}: {told}, {self.left} left. Best just then: "
            f"{place_text(best.measurement)}, {best.bits:.2f} bit in {best.minutes:.1f} min."
        )


def leaves(adviser: Adviser, diagnosis: Diagnosis) -> Left:
    """Work out what the evidence of a diagnosis leaves.

    Parameters
    ----------
    adviser : Adviser
        Of the circuit as it was found.
    diagnosis : Diagnosis
    """
    known, standing = diagnosis.known, diagnosis.standing
    if not standing.any():
        return Left((), (), (), parts=diagnosis.circuit.parts)
    belief = np.where(standing, diagnosis.belief, 0.0)
    shares = by_name(belief / belief.sum(), known.name_of, len(known.names)).round(9)
    there = set(known.name_of[standing].tolist())
    order = [n for n in likeliest(shares).tolist() if n in there]
    unlikely = [n for n in order if shares[shares <= shares[n]].sum() < 1 - SURE]
    names = [known.names[n] for n in order]
    rows = np.flatnonzero(standing & (known.name_of == order[0]))
    likely = known.rows[int(rows[belief[rows].argmax()])]
    alike = alone(diagnosis, likely.candidate.faults, adviser.without)
    return Left(
        tuple(names),
        tuple(known.names[n] for n in unlikely),
        tuple(name for name in names if name in alike),
        parts=diagnosis.circuit.parts,
    )


@dataclass(frozen=True)
class Review(Left):
    """A whole hunt.

    Attributes
    ----------
    steps : tuple of Step
    minutes : float
    """

    steps: tuple[Step, ...]
    minutes: float

    @property
    def bits(self) -> float:
        """Learnt in all."""
        return sum(step.bits for step in self.steps)

    def __str__(self) -> str:
        lines = [f"{n}. {step}" for n, step in enumerate(self.steps, 1)]
        lines.append(
            f"{self.bits:.2f} bit in {self.minutes:.1f} min; left: {self._listed(self.remaining)}."
        )
        return "\n".join(lines)


def review(
    adviser: Adviser, evidence: Iterable[Evidence], known: Sequence[Evidence] = ()
) -> Review:
    """Look back on a hunt, measurement by measurement.

    Parameters
    ----------
    adviser : Adviser
        Of the circuit as it was found.
    evidence : iterable of Evidence
        In the order it was found.
    known : sequence of Evidence
        What was known before the first measurement, such as the complaint.
    """
    diagnosis = adviser.start.copy().see(*known)
    visit = Visit.after(diagnosis.circuit, known)
    steps = []
    for item in evidence:
        best = adviser.rank(diagnosis, visit, top=1, explained=False)
        before = set(diagnosis.remaining())
        minutes = visit.go(item)
        diagnosis.see(item)
        standing = tuple(diagnosis.remaining())
        fell = tuple(sorted(before.difference(standing)))
        advice = best[0] if best else None
        bits = diagnosis.steps[-1].bits if before else 0.0  # of nothing left nothing is learnt
        steps.append(Step(item, bits, minutes, fell, standing, advice))
    left = leaves(adviser, diagnosis)
    minutes = sum(step.minutes for step in steps)
    return Review(
        left.remaining, left.unlikely, left.alike, tuple(steps), minutes, parts=left.parts
    )
