"""What to practise next after a hunt: up to three things, an unproven repair and danger first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from labkit.aboard.safety.kinds import HAZARDS
from labkit.circuits.circuit import Circuit
from labkit.diagnosis.cost import Visit
from labkit.diagnosis.evidence import Evidence, Measurement
from labkit.diagnosis.faults import said
from labkit.diagnosis.phrases import numbered, place_text, state_text
from labkit.diagnosis.weigher import Told
from labkit.hunts.hunt import Hunt
from labkit.paper.steps_table import Row
from labkit.solving.solver import solve
from labkit.text.messages import counted

if TYPE_CHECKING:
    from labkit.diagnosis.reviewing import Step
    from labkit.hunts.behind import Doubt

MOST = 3
"""More is not taken in at once. Our choice."""

IDLE = 0.05
"""A reading that told less has told nothing. [bit]"""

_SPARE = 1.0
"""So many minutes beyond the advised way are nothing to mend. [min]

Chosen: which of two readings worth the same comes first is chance, and a second look with a switch
moved there and back for it takes 0.9 min.
"""

_FLOWS = 1e-3
"""Less than this through a load is no load. [A] Our choice."""


@dataclass(frozen=True)
class Walked:
    """A hunt's steps beside those of the advised way.

    Attributes
    ----------
    rows, plan : sequence of Row
        The learner's, and the advised ones; no plan where none is a measure.
    steps : sequence of (int, Step)
        Those that were evidence, by their numbers from 1.
    doubt : Doubt or None
        The wrong rule that a wrong name looks like.
    """

    rows: Sequence[Row]
    plan: Sequence[Row]
    steps: Sequence[tuple[int, Step | Told]]
    doubt: Doubt | None = None

    @property
    def idle(self) -> list[Step | Told]:
        """Steps that told nothing where there was something to learn."""
        return [step for _, step in self.steps if is_idle(step)]

    @property
    def slow(self) -> bool:
        """Whether it took longer than it need, or more steps without being quicker."""
        over = round(minutes(self.rows) - minutes(self.plan), 1)
        longer = len(self.rows) > len(self.plan)
        return bool(self.plan) and (over > _SPARE or (over > 0 and longer))


def remarks(hunt: Hunt, walked: Walked) -> tuple[str, ...]:
    """Say what went least well, the most pressing first; at most MOST of them.

    Parameters
    ----------
    hunt : Hunt
    walked : Walked
    """
    found = [text for text in _all(hunt, walked) if text][:MOST]
    if not found:
        left = "this one leaves nothing to mend"
        if not walked.plan and walked.rows:
            left = "of what is judged here, nothing is left to mend"
        found = [f"the next hunt; {left}."]
    return tuple(f"{'Then' if n else 'Practise next'}: {text}" for n, text in enumerate(found))


def _all(hunt: Hunt, walked: Walked) -> Iterator[str]:
    """What there is to say of a hunt, in the order in which it counts."""
    yield _unproven(hunt)
    yield from _dangers(hunt)
    yield _wrong_names(hunt, walked.doubt)
    yield _needless(hunt)
    yield _symptom(hunt)
    yield _unloaded(hunt, walked)
    judged = [named.proved for named in hunt.named if named.proved is not None]
    if judged and not any(judged):
        yield "the reading that tells your favourite from the next likeliest, before you name it."
    if len(walked.idle) * 2 > len(walked.steps):
        yield (
            "predict each reading for two suspects before you take it; more than half of these "
            "would have read the same whatever was wrong."
        )
    elif walked.idle or walked.slow:
        dearest = _dearest(walked, hunt.exercise.circuit)
        yield f"the reading that tells most for its minutes.{_beyond(walked)}{dearest}"


def _unproven(hunt: Hunt) -> str:
    named = any(named.verdict.right for named in hunt.named)
    if hunt.proven is not None and hunt.proven.ok and named:
        return ""
    if hunt.proven is None and hunt.mended:
        return "prove the repair. You mended something and never ran the load to see it work."
    if hunt.proven is not None and not hunt.proven.ok and hunt.mended:
        return "go on until it is proven; the load does not run as it should yet."
    if not named:
        return "going on to the end: part and mode named, and the repair proven under load."
    return "mend what you named, and prove it under load."


def _dangers(hunt: Hunt) -> Iterator[str]:
    kinds = {hazard.kind for hazard in hunt.bench.hazards}
    if any(HAZARDS[kind].hands for kind in kinds) or hunt.safe.ok is False:
        yield "making a circuit safe before hands, jumpers and fuses go into it."
    if any(HAZARDS[kind].meter for kind in kinds):
        yield "which function of the meter the circuit must be dead for."


def _wrong_names(hunt: Hunt, doubt: Doubt | None) -> str:
    if all(named.verdict.right is not False for named in hunt.named):
        return ""
    return (
        doubt.ask if doubt else "striking out: name a part when nothing else is left on the list."
    )


def _needless(hunt: Hunt) -> str:
    parts = list(dict.fromkeys(hunt.needless))
    if not parts:
        return ""
    was, it = ("was", "it") if len(parts) == 1 else ("were", "them")
    return (
        f"measure before you replace: {', '.join(parts)} {was} sound, and no reading blamed {it}."
    )


def _symptom(hunt: Hunt) -> str:
    """Say so where a fuse that opened was named, and what opened it was not."""
    causes = {fault.part for fault in hunt.dealt.causes}
    right = [named for named in hunt.named if named.verdict.right]
    if not right or any(named.part in causes for named in right):
        return ""
    parts = hunt.dealt.circuit.parts
    told = ", ".join(said(named.what, parts) for named in right)
    return f"ask why. {told} is what happened, and something else made it happen."


def _unloaded(hunt: Hunt, walked: Walked) -> str:
    """Say so where most volts were read with no current through the load, and that cost."""
    volts = [step.evidence for _, step in walked.steps if step.evidence.function == "volts"]
    idle = [item for item in volts if not _runs(item, hunt)]
    cost = walked.idle or walked.slow or any(n.verdict.right is False for n in hunt.named)
    if len(idle) < 2 or 2 * len(idle) <= len(volts) or not cost:
        return ""
    load = hunt.exercise.proof.load
    return (
        f"load first, then read: {len(idle)} of your {counted(len(volts), 'reading')} of volts "
        f"were taken where no current could flow through {load}."
    )


def _runs(item: Evidence, hunt: Hunt) -> bool:
    """Tell whether current would flow through the load on the sound boat, in the state read in."""
    circuit, load = hunt.exercise.circuit, hunt.exercise.proof.load
    state = circuit.with_position(**item.positions)
    apart = [terminal for terminal in item.parted if terminal in state.node_of]
    for terminal in apart:
        state = state.with_parted(terminal)
    return abs(solve(state).amps.get(load) or 0.0) > _FLOWS


# -- what could have been spared --------------------------------------------------------------


def is_idle(step: Step | Told) -> bool:
    """Tell whether a step told nothing where there was something to learn.

    A fuse put back where it was is no step of its own. Where nobody looked for what would have been
    better, there was something to learn as long as more than one suspect stood.
    """
    more = len(step.standing) > 1 if isinstance(step, Told) else step.advice is not None
    could = more and step.evidence.function != "fit"
    return could and step.bits < IDLE and not step.fell


def place(measurement: Measurement, circuit: Circuit) -> str:
    """Say where and in which state something is measured."""
    drifts = measurement.function == "clamp" and circuit.clamp_drift
    first = ", zeroed just before" if drifts else ""
    return f"{state_text(measurement)}{place_text(numbered(measurement, circuit))}{first}"


def minutes(rows: Sequence[Row]) -> float:
    """How long some steps took. [min]"""
    return sum(row.minutes for row in rows)


def _beyond(walked: Walked) -> str:
    """Say by how much a hunt was slower than the advised way; '' where it was not."""
    if not walked.slow:
        return ""
    rows, plan = walked.rows, walked.plan
    more = len(rows) - len(plan)
    over = round(minutes(rows)) - round(minutes(plan))  # as both have been told of
    told = [counted(n, what) for n, what in ((more, "step"), (over, "minute")) if n > 0]
    return f" You took {' and '.join(told)} more than the advised way." if told else ""


def _dearest(walked: Walked, circuit: Circuit) -> str:
    """Say which step cost most for what it told, and what would have been worth more just then.

    That is minutes beyond those in which the best to be had tells as much, going by what it could
    be expected to tell: what it would have shown, nobody aboard can know.
    """
    key, rows = Visit(circuit).key, walked.rows
    steps = [(n, step) for n, step in walked.steps if not isinstance(step, Told)]
    lost = {
        n: rows[n - 1].minutes - (max(step.bits, 0.0) / step.advice.rate if step.advice else 0.0)
        for n, step in steps
        if step.advice is None or key(step.advice.measurement) != key(step.evidence)
    }
    number = max(lost, key=lambda n: lost[n], default=0)
    if not number or lost[number] <= 0:
        return ""
    row, best = rows[number - 1], dict(steps)[number].advice
    told = f" Step {number} cost most for what it told: {row.told}, in {row.minutes:.1f} min"
    if best is None:
        return f"{told}; by then nothing was left to learn."
    where = place(best.measurement, circuit)
    return f"{told}, where {where} promised more for its {best.minutes:.1f} min."
