"""What a hint says: what the readings so far leave, taking one fault at a time.

It knows what the learner has found and no more, never what was dealt.
"""

from __future__ import annotations

import re
from collections import defaultdict
from typing import TYPE_CHECKING

from labkit.circuits.circuit import visible_parts
from labkit.circuits.paths import path_through
from labkit.diagnosis.closing_in import named_in
from labkit.diagnosis.cost import Visit
from labkit.diagnosis.logbook import evidence_of
from labkit.diagnosis.ranking import Ranked, adviser_for
from labkit.diagnosis.session import Diagnosis
from labkit.hunts.hints import Hint, next_step
from labkit.hunts.next_time import place
from labkit.questions.naming import UNDRAWN
from labkit.text.messages import CircuitError

if TYPE_CHECKING:
    from labkit.hunts.hunt import Hunt

OVER = "A repair was made, and hints reckon with the boat as found: run the load and prove it."
NOTHING = "Nothing in reach tells more: name what is left, mend it, and prove it under load."


def hint(hunt: Hunt) -> Hint:
    """Return the next step of a hint.

    Parameters
    ----------
    hunt : Hunt
    """
    if hunt.mended:
        return Hint(0, OVER)
    exercise = hunt.exercise
    seen = evidence_of(hunt.bench.log, exercise.circuit)
    named = exercise.named | named_in(seen)
    adviser = adviser_for(exercise.circuit, exercise.candidates, named=named)
    diagnosis = adviser.start.copy().see(*seen)
    found = adviser.rank(diagnosis, Visit.after(exercise.circuit, seen), top=1)
    if not found:
        return Hint(0, NOTHING)
    step = next_step(hunt)
    says = (_where(hunt, diagnosis), _which(hunt, found[0]), _tells(hunt, found[0]))
    return Hint(step, says[step - 1], len(seen))


def _where(hunt: Hunt, diagnosis: Diagnosis) -> str:
    """On which side of the load most of what is still possible lies."""
    circuit, proof = hunt.exercise.circuit, hunt.exercise.proof
    load = proof.load
    try:
        ids = [step.part for step in path_through(circuit.with_position(**proof.positions), load)]
    except CircuitError:
        ids = []
    at = ids.index(load) if load in ids else len(ids)
    share: dict[str, float] = defaultdict(float)
    for name, belief in diagnosis.by_name.items():
        part = re.split(r"[: ]", name)[0]
        if part == load:
            side = f"in {load} itself"
        elif part in ids:
            side = f"{'before' if ids.index(part) < at else 'behind'} {load}, on its way"
        else:
            side = f"beside the way of {load}'s current"
        share[side] += belief
    side, most = max(share.items(), key=lambda item: item[1])
    sure = "Most" if most > 0.5 else "More than anywhere else" if len(share) > 2 else "Half"
    return f"{sure} of what your readings leave lies {side}. Which point lies in its middle?"


def _which(hunt: Hunt, best: Ranked) -> str:
    where = place(best.measurement, hunt.exercise.circuit)
    return f"Worth most for its minutes now: {where}, {best.minutes:.1f} min."


def _tells(hunt: Hunt, best: Ranked) -> str:
    """What each outcome would leave, without the names of parts not found yet."""
    parts = hunt.exercise.circuit.parts
    shown = {part.id for part in visible_parts(hunt.exercise.circuit, hunt.bench.traced)}
    text = " ".join(best.tells)
    for id in parts.keys() - shown:
        text = re.sub(rf"\b{re.escape(id)}\b[^,;.]*", UNDRAWN, text)
    return f"{place(best.measurement, hunt.exercise.circuit)}: {text}"
