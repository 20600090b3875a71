"""The best path of a hunt: what a searcher who wastes nothing does, and what each step leaves."""

from __future__ import annotations

import re

from labkit.bench import Bench
from labkit.diagnosis import Adviser, Diagnosis, Measurement
from labkit.diagnosis.ambiguity import Ambiguity
from labkit.diagnosis.explain import listing, place_text, state_text
from labkit.diagnosis.search import advised, observer, search
from labkit.diagnosis.session import believed
from labkit.exercise import Dealt, Exercise
from labkit.senses import sensed
from labkit.solver import solve


def best_path(exercise: Exercise, dealt: Dealt) -> tuple[str, ...]:
    """Follow the measurements worth most for their minutes, on this variant, until it is named.

    Every load is looked at first, as found. The search knows faults of one part at a time, so
    with several at once it may end on one of them, or elsewhere, and the last line says so.

    Parameters
    ----------
    exercise : Exercise
    dealt : Dealt
        Of that exercise.

    Returns
    -------
    tuple of str
        A sentence for each step, and one for the end.
    """
    adviser = Adviser(Diagnosis(exercise.circuit))
    start = adviser.start.copy()
    found = Bench(dealt.circuit).circuit
    for load, does in sensed(found, solve(found)).items():
        start.see(Measurement("look", load).saw(does))
    ambiguity = Ambiguity(adviser, start)
    done = search(start, observer(found), advised(adviser), ambiguity.settled)
    said = []
    diagnosis = start.copy()
    for evidence in done.evidence:
        diagnosis.see(evidence)
        left = listing(believed(diagnosis))
        said.append(
            f"{state_text(evidence)}{place_text(evidence)}: {evidence.seen}. Leaves {left}."
        )
    return (*said, _end(done.named, dealt, done.minutes))


def _end(named: list[str], dealt: Dealt, minutes: float) -> str:
    alone = f"After {minutes:.0f} minutes it ends at {listing(named)}"
    faults = dealt.circuit.faults
    if not {f"{f.part} {f.mode}" for f in faults} & {re.sub(":[^ ]+", "", name) for name in named}:
        several = len({f.part for f in faults}) > 1
        why = "one fault alone does not explain it" if several else "the readings allow it as well"
        return f"{alone}, which is not what is wrong; {why}."
    return f"{alone}." if len(named) == 1 else f"{alone}, which nothing in reach tells apart."
