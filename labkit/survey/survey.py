"""A whole circuit held against the rules, and what its author has accepted with a reason."""

from __future__ import annotations

from dataclasses import dataclass

from labkit.circuits.circuit import Accepted, Circuit
from labkit.survey import serving, standards
from labkit.survey.findings import Finding
from labkit.survey.guarding import Guarding
from labkit.survey.walk import Wiring


@dataclass(frozen=True)
class Survey:
    """What was found.

    Attributes
    ----------
    circuit : Circuit
    findings : tuple of Finding
        Those that nobody accepted.
    accepted : tuple of (Finding, Accepted)
        Those that the file accepts, each with the reason.
    """

    circuit: Circuit
    findings: tuple[Finding, ...]
    accepted: tuple[tuple[Finding, Accepted], ...]

    def lines(self) -> list[str]:
        """Return a warning for each finding, as a check prints it."""
        return [finding.line(self.circuit.file) for finding in self.findings]


def survey(circuit: Circuit) -> Survey:
    """Walk a circuit from every source outward and hold it against the rules.

    What is fitted counts (a fuse of another size, a thinner piece of wire); how the switches
    stand does not.
    """
    wiring = Wiring(circuit)
    guarding = Guarding(wiring)
    found = (*guarding.findings(), *serving.findings(wiring, guarding))
    reasons = {(one.rule, one.part): one for one in circuit.accepts}
    open_, accepted = [], []
    for finding in found:
        reason = reasons.pop((finding.rule.name, finding.part), None)
        if reason is None:
            open_.append(finding)
        else:
            accepted.append((finding, reason))
    open_ += [_stale(one) for one in reasons.values()]
    return Survey(circuit, tuple(open_), tuple(accepted))


def _stale(one: Accepted) -> Finding:
    names = [rule.name for rule in standards.RULES]
    if one.rule in names:
        text, remedy = f'"{one.rule}" is accepted here, and not broken', "take that line out"
    else:
        text = f'"{one.rule}" is not a rule of the survey'
        remedy = "the rules are " + ", ".join(f'"{name}"' for name in names)
    return Finding(standards.STALE, one.part, text, remedy)
