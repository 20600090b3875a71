"""A hunt looked back on: the path taken beside the advised one, and what there is to practise."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from html import escape
from typing import Any

from labkit.aboard.bench import Bench
from labkit.circuits.circuit import Circuit
from labkit.diagnosis.closing_in import named_in
from labkit.diagnosis.cost import Visit
from labkit.diagnosis.elimination import by_elimination
from labkit.diagnosis.evidence import Measurement
from labkit.diagnosis.logbook import Asked, asked
from labkit.diagnosis.observing import Observer
from labkit.diagnosis.phrases import numbered, place_text, state_text
from labkit.diagnosis.ranking import Adviser, adviser_for
from labkit.diagnosis.reviewing import Review, review
from labkit.diagnosis.search import advised, search
from labkit.hunts.behind import Doubt, doubt_of
from labkit.hunts.hunt import Hunt
from labkit.hunts.looked_back import cause, hazard_words, named_words, outcome
from labkit.hunts.next_time import Walked, is_idle, minutes, place, remarks
from labkit.paper.charts import Chart
from labkit.paper.debrief_page import Row, as_html, as_text, suspects_left
from labkit.text.messages import counted


@dataclass(frozen=True)
class Debrief:
    """What a hunt's steps told, and whether they bore out what was named.

    Attributes
    ----------
    rows : tuple of Row
        The learner's steps, up to the first repair.
    advised : tuple of Row
        Those of somebody who always takes what is worth most for its minutes.
    review : Review
    lines : tuple of str
        What there is to say, a sentence or two each.
    doubt : Doubt or None
        The wrong rule that a wrong name looks like, which the learner is asked about.
    """

    rows: tuple[Row, ...]
    advised: tuple[Row, ...]
    review: Review
    lines: tuple[str, ...]
    doubt: Doubt | None = None

    @property
    def chart(self) -> Chart:
        """Suspects left against minutes: the path taken beside the advised one."""
        return suspects_left({"your path": self.rows, "advised": self.advised})

    @property
    def html(self) -> str:
        """The table and what there is to say, as a page shows them; the chart comes with it."""
        said = "".join(f"<p>{escape(line)}</p>" for line in self.lines)
        steps = as_html(self.rows, "Your path, step by step")
        room = "contain:inline-size;overflow-x:auto"  # a narrow page scrolls the chart, not all
        beside = f"{steps}{self._advised_html}"
        return f'{beside}<div style="{room}">{self.chart.html}</div>{said}'

    @property
    def _advised_html(self) -> str:
        if not self.advised:
            return ""
        table = as_html(self.advised, "The advised path, step by step")
        return f"<details><summary>The advised path, beside yours</summary>{table}</details>"

    def __str__(self) -> str:
        advised = ("", "The advised path:", as_text(self.advised)) if self.advised else ()
        told = (as_text(self.rows), *advised, "", self.chart.alt, "", *self.lines)
        return "\n".join(told)

    __repr__ = __str__

    def _repr_mimebundle_(self, **_: Any) -> dict[str, str]:
        return {"text/plain": str(self), "text/html": self.html}


def debrief(hunt: Hunt) -> Debrief:
    """Look back on a hunt.

    Parameters
    ----------
    hunt : Hunt
    """
    exercise, question = hunt.exercise, hunt.question
    items = asked(hunt.bench.log, exercise.circuit)
    named = exercise.named | named_in(item.evidence for item in items)
    adviser = adviser_for(exercise.circuit, exercise.candidates, named=named)
    looked_back = review(adviser, [item.evidence for item in items if not item.void])
    taken = (n for n, item in enumerate(items, 1) if not item.void)
    steps = list(zip(taken, looked_back.steps, strict=True))
    rows = _rows(items, looked_back, adviser, question.called)
    # where more is wrong than one suspect says, who takes suspects one at a time is no measure
    plan = _advised(adviser, hunt, question.called) if question.judged else ()
    doubt = doubt_of(hunt)
    lines = (
        outcome(hunt), _pace(rows, plan, question.judged), named_words(hunt, len(rows)),
        _eliminated(hunt, items), hazard_words(hunt),
        cause(hunt), str(hunt.bill), *remarks(hunt, Walked(rows, plan, steps, doubt)),
    )  # fmt: skip
    return Debrief(rows, plan, looked_back, tuple(filter(None, lines)), doubt)


def advised_rows(hunt: Hunt) -> tuple[Row, ...]:
    """Return the steps of the advised path to what a hunt was dealt; none where it is no measure.

    Parameters
    ----------
    hunt : Hunt
    """
    exercise, question = hunt.exercise, hunt.question
    if not question.judged:
        return ()
    adviser = adviser_for(exercise.circuit, exercise.candidates, named=exercise.named)
    return _advised(adviser, hunt, question.called)


# -- the table ------------------------------------------------------------------------------


def _rows(
    items: list[Asked], looked_back: Review, adviser: Adviser, called: Callable[[str], str]
) -> tuple[Row, ...]:
    circuit, suspects = adviser.start.circuit, _count(adviser.start.remaining(), called)
    steps = iter(looked_back.steps)
    most = max((step.bits for step in looked_back.steps), default=0.0)
    made: list[Row] = []
    state = ""
    for item in items:
        did, state = _did(item.evidence, state, circuit)
        if item.void:
            row = Row(did, item.evidence.seen, suspects, suspects, item.minutes, 0.0, item.void)
        else:
            step = next(steps)
            remark = "a danger on the way" if item.hazards else ""
            if step.advice is None:
                remark = "nothing was left to learn"
            elif is_idle(step):
                remark = f"better: {place(step.advice.measurement, circuit)}"
            elif step.bits == most:
                remark = "told most"
            left = _count(step.standing, called)
            row = Row(did, item.evidence.seen, suspects, left, item.minutes, step.bits, remark)
            suspects = left
        made.append(row)
    return tuple(made)


def _count(names: Iterable[str], called: Callable[[str], str]) -> int:
    """Suspects as the learner counts them: all that nobody drew is one."""
    return len(set(map(called, names)))


def _did(measurement: Measurement, before: str, circuit: Circuit) -> tuple[str, str]:
    """What was done, with the state of the boat where that has changed; and that state."""
    state = state_text(measurement)
    told = state if state != before else ""
    back = "all as found: " if before and not state else ""
    where = place_text(numbered(measurement, circuit))
    did = re.sub(r"\b(F\d+):1 apart", r"\1 out", f"{told}{back}{where}")
    return did, state


def _advised(adviser: Adviser, hunt: Hunt, called: Callable[[str], str]) -> tuple[Row, ...]:
    """The same fault searched by what is worth most for its minutes."""
    found = Bench(hunt.dealt.circuit).circuit
    start = adviser.start
    done = search(start, Observer(found), advised(adviser), adviser)
    diagnosis, visit = start.copy(), Visit(start.circuit)
    before, state = _count(diagnosis.remaining(), called), ""
    made = []
    for item in done.evidence:
        diagnosis.see(item)
        left = _count(diagnosis.remaining(), called)
        did, state = _did(item, state, start.circuit)
        made.append(Row(did, item.seen, before, left, visit.go(item), diagnosis.steps[-1].bits))
        before = left
    return tuple(made)


# -- what there is to say ---------------------------------------------------------------------


def _pace(rows: tuple[Row, ...], plan: tuple[Row, ...], judged: bool) -> str:
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


def _eliminated(hunt: Hunt, items: list[Asked]) -> str:
    """What was named rightly without one reading at the part itself."""
    circuit = hunt.exercise.circuit
    found = []
    for named in hunt.named:
        if named.verdict.right:
            before = [item.evidence for item in items[: named.steps] if not item.void]
            found.append(by_elimination(named.what, before, circuit) if before else "")
    return " ".join(dict.fromkeys(filter(None, found)))
