"""What a hint says: what the readings so far leave, taking one fault at a time.

It knows what the learner has found and no more, never what was dealt.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from labkit.diagnosis.closing_in import named_in
from labkit.diagnosis.cost import Visit
from labkit.diagnosis.logbook import evidence_of
from labkit.diagnosis.ranking import adviser_for
from labkit.hunts.hint_words import NOTHING, OVER, what, where, which
from labkit.hunts.hints import Hint, next_step

if TYPE_CHECKING:
    from labkit.hunts.hunt import Hunt


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
    best = found[0]
    says = (
        where(hunt, diagnosis.by_name),
        which(hunt, best.measurement, best.minutes),
        what(hunt, best.measurement, best.tells),
    )
    return Hint(step, says[step - 1], len(seen))
