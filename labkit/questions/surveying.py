"""A question about a boat on which everything works: what of it is dangerous?"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from labkit.circuits.circuit import Circuit
from labkit.parts import Battery, Cable, Fuse, Part, Protection
from labkit.questions.fields import Field, Several
from labkit.questions.verdict import Verdict
from labkit.survey import standards
from labkit.survey.margins import margins
from labkit.survey.standards import Rule
from labkit.survey.survey import survey

_SAID_OF: Mapping[Rule, type[Part]] = {
    standards.NO_PROTECTION: Cable,
    standards.TOO_FAR: Protection,
    standards.WRONG_END: Protection,
    standards.NOT_MADE: Fuse,
    standards.REVERSED: Battery,
    standards.RINGS: Battery,
}
"""Rule to the parts of which its claim is made where it is not true."""


@dataclass(frozen=True)
class Claim:
    """Something said of a boat: true or not, and the figures."""

    says: str
    true: bool
    why: str


@dataclass(frozen=True)
class SurveyBoat:
    """Everything works; tick what is dangerous or against a rule.

    Parameters
    ----------
    circuit : Circuit
        With whatever is wrong with how it is wired, or with what is fitted.
    sound : int
        How many claims that are not true stand among the others: those nearest to their limits.
    """

    circuit: Circuit
    sound: int = 4

    @property
    def ask(self) -> str:
        """The question."""
        return (
            "Everything on this boat works. Walk from each source outward: which of these are so?"
        )

    @property
    def fields(self) -> tuple[Field, ...]:
        """The claims, to tick those that are true."""
        return (Several(tuple((claim.says, claim.says) for claim in self.claims)),)

    @cached_property
    def claims(self) -> tuple[Claim, ...]:
        """What is said of the boat, in alphabetical order so that it gives nothing away."""
        judged = margins(self.circuit)
        figures = {(m.rule.name, m.part): m for m in judged}
        true = []
        for finding in survey(self.circuit).findings:
            margin = figures.get((finding.rule.name, finding.part))
            says = margin.claim if margin else finding.rule.claim.format(finding.part)
            if says:
                true.append(Claim(says, True, f"{finding.text}; {finding.remedy}"))
        kept = [m for m in judged if not m.broken][: self.sound]
        claims = [*true, *(Claim(m.claim, False, m.text) for m in kept), *self._decoys(true)]
        return tuple(sorted(claims, key=lambda claim: claim.says))

    def _decoys(self, true: Sequence[Claim]) -> Iterator[Claim]:
        """Claims not to be measured that are not so, two of each kind that is, and one besides."""
        said = {claim.says for claim in true}
        named = set(re.findall(r"\w+", " ".join(f"{c.says} {c.why}" for c in true)))
        for rule, kind in _SAID_OF.items():
            all_of = [part.id for part in self.circuit.parts.values() if isinstance(part, kind)]
            so = any(rule.claim.format(id) in said for id in all_of)
            # Of a wire with its fuse at the far end, 'nothing guards it' is as good as true.
            free = [rule.claim.format(id) for id in all_of if id not in named]
            for says in free[: 2 if so else rule is standards.NO_PROTECTION]:
                yield Claim(says, False, "a walk from every source finds nothing of the kind")

    def grade(self, answer: Sequence[str]) -> Verdict:
        """Grade the claims ticked: each one missed, and each one that is not so."""
        known = [claim.says for claim in self.claims]
        if strange := [text for text in answer if text not in known]:
            return Verdict(None, f"'{strange[0]}' is not said of this boat.")
        missed = [c for c in self.claims if c.true and c.says not in answer]
        false = [c for c in self.claims if not c.true and c.says in answer]
        if not missed and not false:
            return Verdict(True, " ".join(f"{_capital(c.why)}." for c in self.claims if c.true))
        said = [f"Missed: {c.says}. {_capital(c.why)}." for c in missed]
        said += [f"Not so: {c.says}. {_capital(c.why)}." for c in false]
        hint = f"{len(missed)} missed, {len(false)} not so: follow each wire to its fuse again."
        return Verdict(False, " ".join(said), hint=hint)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
