"""The wrong rule behind a wrong name, put as a question: the learner knows, and nobody else."""

from __future__ import annotations

from dataclasses import dataclass

from labkit.diagnosis.faults import said
from labkit.diagnosis.logbook import asked
from labkit.diagnosis.minds import Work, rules_behind
from labkit.diagnosis.ranking import adviser_for
from labkit.hunts.hunt import Hunt, Named

QUESTIONS = {
    "volts without load": (
        "did you take volts read with nothing flowing as proof that a joint or wire was sound? "
        "Without current a bad one loses nothing: load it first."
    ),
    "open reads nothing": (
        "did you take 0 V across a part to mean that it is dead or broken? A sound part loses "
        "nothing, and across an open one stands the whole supply."
    ),
    "return is zero": (
        "did you take the way home for sound without measuring it? It is a wire like any other."
    ),
    "bad joint passes nothing": (
        "did you ask only whether the volts were there, and not how many were missing? A bad "
        "joint passes some current and loses part of the volts."
    ),
    "blames the load": (
        "did you blame the load because it is what did not work? Read the volts at its own "
        "terminals while it should run: with all of them there it is the load, and else it is not."
    ),
    "ohms on a live circuit": (
        "did you trust ohms read while the circuit was live? Switch off first: on a live circuit "
        "the number means nothing."
    ),
    "ohms of one part": (
        "did you take ohms read in place for those of the part alone? Take one end off first: the "
        "meter's current has other ways beside it."
    ),
}
"""What is asked about each wrong rule; it is answered by the learner, and is never a finding."""


def ideas_behind(hunt: Hunt, named: Named) -> tuple[str, ...]:
    """Return the wrong rules by which a learner's readings lead to the wrong name given.

    Parameters
    ----------
    hunt : Hunt
    named : Named
        One of its wrong names.

    Returns
    -------
    tuple of str
        By the words of MISCONCEPTIONS; none where nothing speaks for one.
    """
    exercise = hunt.exercise
    items = asked(hunt.bench.log, exercise.circuit)[: named.steps]
    start = adviser_for(exercise.circuit, exercise.candidates).start
    work = Work(exercise.circuit, exercise.proof.load, exercise.proof.positions)
    evidence = tuple(item.evidence for item in items if not item.void)
    return rules_behind(named.what, evidence, start, work)


@dataclass(frozen=True)
class Doubt:
    """A wrong rule that a wrong name looks like, to be asked about.

    Attributes
    ----------
    rule : str
        In the words of MISCONCEPTIONS.
    name : str
        What was named, in words.
    ask : str
    """

    rule: str
    name: str
    ask: str


def doubt_of(hunt: Hunt) -> Doubt | None:
    """Return the rule that the first wrong name of a hunt looks like that looks like any."""
    for named in hunt.named:
        ideas = ideas_behind(hunt, named) if named.verdict.right is False else ()
        if ideas:
            name = said(named.what, hunt.dealt.circuit.parts)
            return Doubt(ideas[0], name, f"when you named '{name}', {QUESTIONS[ideas[0]]}")
    return None
