"""The drawing in words, for those who hear it and those who search it."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from labkit.circuits.circuit import Circuit
from labkit.drawing.content import typeset
from labkit.drawing.seen import Seen
from labkit.drawing.topology import Step


def tell(step: Step, circuit: Circuit, seen: Seen) -> str:
    """One part in a few words: 'F2, fuse 15 A, blown'."""
    if step.bridge:
        return ", ".join(t for t in (step.id, step.kind * (step.kind != step.id), seen.does) if t)
    part = circuit.parts[step.id]
    words = [step.id, " ".join(t for t in (part.kind, typeset(part.shown_rating)) if t)]
    if part.label:
        words.append(part.label)
    if step.named:
        words.append(f"terminals {step.enter} and {step.leave}")
    if part.settings():
        words.append(circuit.positions[step.id])
    words += [part.mode(m).says for m in ("missing", "blown") if m in seen.state.split()]
    if seen.does:
        words.append(seen.does)
    return ", ".join(words)


def describe(circuit: Circuit, looks: Mapping[str, Seen], traced: Collection[str]) -> str:
    """The whole circuit, run by run, in the order the current meets the parts."""
    sentences = []
    for run in circuit.runs:
        told = []
        for met in run.passes:
            part = circuit.parts[met.part]
            if part.hidden and run.name not in traced:
                continue
            step = Step.through(part, met.enter, met.leave)
            seen = looks.get(f"{part.id} {met.enter}-{met.leave}") or looks.get(
                f"{part.id} {met.leave}-{met.enter}", Seen()
            )
            told.append(tell(step, circuit, seen))
        through = "; ".join(told) if told else "a wire"
        sentences.append(f"Run {run.name}, from {run.start} to {run.end}: {through}.")
    if circuit.parted:
        sentences.append("Taken apart: " + ", ".join(sorted(circuit.parted)) + ".")
    for bridge in circuit.bridges:
        sentences.append(f"A {bridge.kind} joins {bridge.first} and {bridge.second}.")
    return " ".join(sentences)
