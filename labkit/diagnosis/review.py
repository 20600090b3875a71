"""A hunt looked back on: what each measurement was worth, and what would have been worth more."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from labkit.diagnosis.ambiguity import Ambiguity
from labkit.diagnosis.cost import Visit
from labkit.diagnosis.evidence import Evidence
from labkit.diagnosis.explain import listing, place_text, state_text
from labkit.diagnosis.ranking import Adviser, Ranked
from labkit.diagnosis.session import Diagnosis, believed


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
    left : int
        Names still standing after it.
    advice : Ranked or None
        The best that could have been done instead, None where nothing was left to learn.
    """

    evidence: Evidence
    bits: float
    minutes: float
    fell: tuple[str, ...]
    left: int
    advice: Ranked | None

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


@dataclass(frozen=True)
class Left:
    """What evidence leaves.

    Attributes
    ----------
    remaining : tuple of str
        Names the readings leave, the likeliest first: all that make up SURE of the belief.
    alike : tuple of str
        Those of them that no measurement in reach tells from the likeliest.
    """

    remaining: tuple[str, ...]
    alike: tuple[str, ...]

    def proves(self, answer: str) -> bool:
        """Tell whether nothing else is left, or nothing that any test in reach tells from it."""
        others = set(self.remaining) - {answer}
        return answer in self.remaining and others <= set(self.alike)

    def verdict(self, answer: str) -> str:
        """Say how well the readings bear out an answer such as 'X1 resistance'."""
        others = [name for name in self.remaining if name != answer]
        if any(answer in name.split(" + ") for name in others):
            return f"{answer} alone does not explain the readings: they leave {listing(others)}."
        if answer not in self.remaining:
            return f"The readings speak against {answer}: they leave {listing(others)}."
        if not others:
            return f"{answer} is the one explanation the readings allow."
        if self.proves(answer):
            alike = listing(others)
            return f"The readings allow {answer}, and no test in reach tells it from {alike}."
        open_ = [name for name in others if name not in self.alike]
        return (
            f"{answer} is not the only explanation the readings allow: {listing(open_)} would have "
            "read the same so far."
        )


def leaves(adviser: Adviser, diagnosis: Diagnosis) -> Left:
    """Work out what the evidence of a diagnosis leaves.

    Parameters
    ----------
    adviser : Adviser
        Of the circuit as it was found.
    diagnosis : Diagnosis
    """
    remaining = believed(diagnosis)
    ambiguity = Ambiguity(adviser, diagnosis, remaining)
    alike = set(ambiguity.lookalikes(diagnosis.likeliest(remaining[0])))
    return Left(tuple(remaining), tuple(name for name in remaining if name in alike))


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
            f"{self.bits:.2f} bit in {self.minutes:.1f} min; left: {listing(self.remaining)}."
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
        standing = diagnosis.remaining()
        fell = tuple(sorted(before - set(standing)))
        advice = best[0] if best else None
        steps.append(Step(item, diagnosis.steps[-1].bits, minutes, fell, len(standing), advice))
    left = leaves(adviser, diagnosis)
    minutes = sum(step.minutes for step in steps)
    return Review(left.remaining, left.alike, tuple(steps), minutes)
