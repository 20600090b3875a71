"""A survey on paper: what an owner or a surveyor would keep."""

from __future__ import annotations

from collections.abc import Iterator

from labkit.circuits.in_doubt import in_doubt
from labkit.parts import Protection
from labkit.survey.findings import Finding
from labkit.survey.survey import Survey
from labkit.survey.walk import Wiring, allowed_now, thinnest_behind
from labkit.text.messages import counted
from labkit.text.quantities import show

LAST_WORD = (
    "A survey on paper sees what the file says, not the boat: chafe, heat, corrosion and loose "
    "nuts are found aboard. What holds is the code of the place where she is kept; this replaces "
    "neither that nor a licensed person."
)


def report(found: Survey) -> Iterator[str]:
    """Write a survey, line by line."""
    circuit = found.circuit
    yield f"Survey of: {circuit.title} ({circuit.system:g} V)"
    size = counted(len(circuit.parts), "part"), counted(len(circuit.runs), "run")
    yield f"{circuit.file}: {', '.join(size)}"
    yield ""
    yield "What guards what"
    yield from (f"  {line}" for line in _guards(found))
    yield ""
    if doubts := in_doubt(circuit):
        yield "Taken where the file is in doubt: look at these aboard first"
        yield from (f"  {line}" for line in doubts)
        yield ""
    count = len(found.findings)
    yield f"{count} finding{'s' if count != 1 else ''}" if count else "Nothing found."
    for number, finding in enumerate(found.findings, 1):
        yield from finding_lines(number, finding)
    if found.accepted:
        yield ""
        yield "Accepted by the author of the file"
        for finding, reason in found.accepted:
            yield f"  {finding.part}, {finding.rule.name}: {finding.text}."
            yield f"     Why it stays: {reason.why}"
    yield ""
    yield LAST_WORD


def finding_lines(number: int, finding: Finding) -> Iterator[str]:
    """Write one finding: what, by which standard, whom that binds, and what puts it right."""
    yield f"{number}. {finding.part}, {finding.rule.name}: {finding.text}."
    yield f"     Standard: {finding.rule.standard}. Binds {finding.rule.binds}."
    yield f"     To put it right: {finding.remedy}."


def _guards(found: Survey) -> Iterator[str]:
    circuit = found.circuit
    wiring = Wiring(circuit)
    for id in wiring.sources:
        near = wiring.behind_source(id).protections.items()
        first = ", ".join(f"{f} after {show(far, 'm', 3)} of wire" for f, far in near)
        yield f"{id} {circuit.parts[id].label}: first protection {first or 'none'}"
    for id in wiring.protections:
        part = circuit.parts[id]
        assert isinstance(part, Protection)
        thin = thinnest_behind(circuit, id)
        behind = "no wire behind it"
        if thin is not None:
            amps = allowed_now(circuit, thin[0])
            behind = f"thinnest wire behind it {thin[0]}, which may carry {amps:.3g} A"
        yield f"{id} {part.label}: {part.rating} {part.make}, {behind}"
