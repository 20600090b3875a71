"""What evidence leaves, and how well that bears out an answer."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from labkit.diagnosis.faults import NO_PARTS, said
from labkit.diagnosis.phrases import NAMED, suspects
from labkit.parts import Part


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
