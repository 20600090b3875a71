"""A hunt looked back on: what each measurement was worth, and what would have been worth more."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from labkit.diagnosis.ambiguity import alone
from labkit.diagnosis.cost import Visit
from labkit.diagnosis.evidence import Evidence
from labkit.diagnosis.faults import NO_PARTS, said
from labkit.diagnosis.information import by_name, likeliest
from labkit.diagnosis.phrases import NAMED, place_text, state_text, suspects
from labkit.diagnosis.ranking import Adviser, Ranked
from labkit.diagnosis.session import SURE, Diagnosis
from labkit.parts import Part


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


@dataclass(frozen=True)
class Left:
    """What evidence leaves, a suspect being a part and a way in which it fails.

    One notion for all that is said of it: a suspect remains until something seen strikes out every
    severity of it, as anybody can check reading by reading. What remains may still be unlikely, and
    then it is neither counted out nor in the way of a proof: it is said.

    Attributes
    ----------
    remaining : tuple of str
        Names that nothing seen has struck out, the likeliest first.
    unlikely : tuple of str
        Those of them that, with all no likelier, make up less than 1 - SURE of the belief.
    alike : tuple of str
        Those of them that no measurement in reach tells from the likeliest.
    parts : mapping of str to Part
        Of the circuit: what a failure is called may depend on the part.
    """

    remaining: tuple[str, ...]
    unlikely: tuple[str, ...]
    alike: tuple[str, ...]
    parts: Mapping[str, Part] = field(default_factory=lambda: NO_PARTS, kw_only=True, repr=False)

    def _listed(self, names: Iterable[str]) -> str:
        return suspects(names, parts=self.parts)

    def _besides(self, rest: Sequence[str]) -> str:
        told = self._listed(rest)
        return f"; also not ruled out, but far less likely: {told}" if rest else ""

    @property
    def likely(self) -> tuple[str, ...]:
        """Names that remain, without the unlikely ones."""
        return tuple(name for name in self.remaining if name not in self.unlikely)

    def called(self, call: Callable[[str], str]) -> Left:
        """Return the same with other names; several may be called alike, and are then one."""
        unlikely = dict.fromkeys(map(call, self.unlikely))
        kept = {call(name) for name in self.likely}
        return Left(
            tuple(dict.fromkeys(map(call, self.remaining))),
            tuple(name for name in unlikely if name not in kept),
            tuple(dict.fromkeys(map(call, self.alike))),
            parts=self.parts,
        )

    def proves(self, answer: str) -> bool:
        """Tell whether every likely explanation has the answer in it, or is not told from it.

        What no test in reach tells from the answer is no reason to go on measuring.
        """
        return bool(self._with(answer)) and all(
            _has(name, answer) or {name, answer} <= set(self.alike) for name in self.likely
        )

    def verdict(self, answer: str) -> str:
        """Say how well the readings bear out an answer such as 'X1 resistance'."""
        it = f"'{said(answer, self.parts)}'"
        if not self.remaining:
            return (
                f"Taken together the readings rule out every suspect, {it} too: either more is "
                "wrong than one of them says, or something was misread."
            )
        having = self._with(answer)
        if not having:
            return f"The readings speak against {it}: they leave {self._listed(self.remaining)}."
        if self.proves(answer):
            return self._proof(answer)
        others = [name for name in self.remaining if name != answer]
        if set(having) <= set(self.unlikely) and len(self.likely) == 1:
            rest = [name for name in self.unlikely if name != answer]
            return (
                f"{it} is not ruled out, but far less likely than {self._listed(self.likely)}"
                f"{self._besides(rest)}."
            )
        if having != [answer]:
            without = [name for name in self.remaining if name not in having]
            return (
                f"{it} is not in every explanation the readings allow: with it there is "
                f"{self._listed(having)}, without it {self._listed(without)}."
            )
        few = len(self.likely) <= NAMED  # among many that are likely, none is so by far
        rest = [name for name in self.unlikely if few and name != answer]
        beside = [name for name in others if name not in rest]
        return (
            f"{it} is not the only explanation the readings allow: {self._listed(beside)} "
            f"{'is' if len(beside) == 1 else 'are'} not ruled out either{self._besides(rest)}."
        )

    def _proof(self, answer: str) -> str:
        """Say that the readings prove an answer, and what stands beside it all the same."""
        others = [name for name in self.remaining if name != answer]
        alike = [name for name in others if name in self.alike]
        first, rest, it = self.likely[0], self.remaining[1:], said(answer, self.parts)
        if len(self.likely) == 1 and _has(first, answer) and not (first == answer and alike):
            one = "one likely" if rest else "one"
            it, besides = said(first, self.parts), self._besides(rest)
            return f"'{it}' is the {one} explanation the readings allow{besides}."
        if any(name != answer and _has(name, answer) for name in self.likely):
            told = f"'{it}' is in every explanation that the readings leave likely"
            return f"{told}: {self._listed(self.likely)}{self._besides(self.unlikely)}."
        told = f"The readings allow '{it}', and no test in reach tells it from"
        others = [name for name in others if name not in alike]
        return f"{told} {self._listed(alike)}{self._besides(others)}."

    def _with(self, answer: str) -> list[str]:
        return [name for name in self.remaining if _has(name, answer)]


def _has(name: str, answer: str) -> bool:
    return answer in name.split(" + ")


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
