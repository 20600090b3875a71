"""The steps of a hunt in words: what was done, what it told, how many suspects it left."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING

from labkit.circuits.circuit import Circuit
from labkit.diagnosis.elimination import by_elimination
from labkit.diagnosis.evidence import Measurement
from labkit.diagnosis.logbook import Asked
from labkit.diagnosis.phrases import numbered, place_text, state_text
from labkit.diagnosis.weigher import Told
from labkit.hunts.hunt import Hunt
from labkit.hunts.next_time import is_idle, minutes, place
from labkit.paper.steps_table import Row
from labkit.text.messages import counted

if TYPE_CHECKING:
    from labkit.diagnosis.reviewing import Step


def rows_of(
    items: Sequence[Asked], told: Sequence[Step | Told], circuit: Circuit,
    suspected: Iterable[str], called: Callable[[str], str],
) -> tuple[Row, ...]:  # fmt: skip  # rows that a reader compares
    """Return what was done as a table has it.

    Parameters
    ----------
    items : sequence of Asked
    told : sequence of Step or Told
        What those of them told that are evidence.
    circuit : Circuit
    suspected : iterable of str
        Names before the first step.
    called : callable
        What a name is called to the learner.
    """
    suspects, steps = count(suspected, called), iter(told)
    most = max((step.bits for step in told), default=0.0)
    made: list[Row] = []
    state = ""
    for item in items:
        did, state = did_words(item.evidence, state, circuit)
        if item.void:
            row = Row(did, item.evidence.seen, suspects, suspects, item.minutes, 0.0, item.void)
        else:
            step = next(steps)
            remark = "a danger on the way" if item.hazards else ""
            better = "" if isinstance(step, Told) else better_words(step, circuit)
            if better:
                remark = better
            elif step.bits == most:
                remark = "told most"
            left = count(step.standing, called)
            row = Row(did, item.evidence.seen, suspects, left, item.minutes, step.bits, remark)
            suspects = left
        made.append(row)
    return tuple(made)


def better_words(step: Step, circuit: Circuit) -> str:
    """What would have been better than a step, where that was looked for."""
    if step.advice is None:
        return "nothing was left to learn"
    return f"better: {place(step.advice.measurement, circuit)}" if is_idle(step) else ""


def count(names: Iterable[str], called: Callable[[str], str]) -> int:
    """Suspects as the learner counts them: all that nobody drew is one."""
    return len(set(map(called, names)))


def did_words(measurement: Measurement, before: str, circuit: Circuit) -> tuple[str, str]:
    """What was done, with the state of the boat where that has changed; and that state."""
    state = state_text(measurement)
    told = state if state != before else ""
    back = "all as found: " if before and not state else ""
    where = place_text(numbered(measurement, circuit))
    did = re.sub(r"\b(F\d+):1 apart", r"\1 out", f"{told}{back}{where}")
    return did, state


def pace(rows: tuple[Row, ...], plan: tuple[Row, ...], judged: bool) -> str:
    """How many steps and minutes it took, and what the advised way takes."""
    if not rows:
        return "Nothing was looked at or measured."
    took = f"You went from {rows[0].before} suspects to {rows[-1].left} in {_spent(rows)}"
    if not judged:
        return (
            f"{took}. The list takes one fault at a time and here several parts are at fault: what "
            "is struck out by itself may still be wrong beside another, and no advised way is laid "
            "beside yours."
        )
    ends = f"goes to {plan[-1].left} in {_spent(plan)}" if plan else "takes no step"
    return f"{took}; the advised way {ends}."


def _spent(rows: tuple[Row, ...]) -> str:
    return f"{counted(len(rows), 'step')} and {counted(round(minutes(rows)), 'minute')}"


def eliminated(hunt: Hunt, items: list[Asked]) -> str:
    """What was named rightly without one reading at the part itself."""
    circuit = hunt.exercise.circuit
    found = []
    for named in hunt.named:
        if named.verdict.right:
            before = [item.evidence for item in items[: named.steps] if not item.void]
            found.append(by_elimination(named.what, before, circuit) if before else "")
    return " ".join(dict.fromkeys(filter(None, found)))
