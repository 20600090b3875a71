"""A hunt looked back on: the path taken beside the advised one, and what there is to practise."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from html import escape
from typing import Any

from labkit.aboard.bench import Bench
from labkit.diagnosis.closing_in import named_in
from labkit.diagnosis.cost import Visit
from labkit.diagnosis.evidence import Evidence
from labkit.diagnosis.logbook import asked
from labkit.diagnosis.observing import Observer
from labkit.diagnosis.ranking import Adviser, adviser_for
from labkit.diagnosis.reviewing import Review, review
from labkit.diagnosis.search import advised, search
from labkit.hunts.behind import Doubt, doubt_of
from labkit.hunts.hunt import Hunt
from labkit.hunts.looked_back import cause, hazard_words, named_words, outcome
from labkit.hunts.next_time import Walked, remarks
from labkit.hunts.path_taken import count, did_words, eliminated, pace, rows_of
from labkit.paper.charts import Chart
from labkit.paper.debrief_page import suspects_left
from labkit.paper.steps_table import Row, as_html, as_text


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
    start = adviser.start
    rows = rows_of(items, looked_back.steps, start.circuit, start.remaining(), question.called)
    # where more is wrong than one suspect says, who takes suspects one at a time is no measure
    plan = _advised(adviser, hunt, question.called) if question.judged else ()
    doubt = doubt_of(hunt)
    lines = (
        outcome(hunt),
        pace(rows, plan, question.judged),
        named_words(hunt, len(rows)),
        eliminated(hunt, items),
        hazard_words(hunt),
        cause(hunt),
        str(hunt.bill),
        *remarks(hunt, Walked(rows, plan, steps, doubt)),
    )
    return Debrief(rows, plan, looked_back, tuple(filter(None, lines)), doubt)


def advised_steps(hunt: Hunt) -> tuple[Sequence[Evidence], tuple[Row, ...]]:
    """Return what is done on the advised path to what a hunt was dealt; nothing without one.

    Parameters
    ----------
    hunt : Hunt
    """
    exercise, question = hunt.exercise, hunt.question
    if not question.judged:
        return (), ()
    adviser = adviser_for(exercise.circuit, exercise.candidates, named=exercise.named)
    taken = _searched(adviser, hunt)
    return taken, _as_rows(adviser, taken, question.called)


def _advised(adviser: Adviser, hunt: Hunt, called: Callable[[str], str]) -> tuple[Row, ...]:
    """The same fault searched by what is worth most for its minutes."""
    return _as_rows(adviser, _searched(adviser, hunt), called)


def _searched(adviser: Adviser, hunt: Hunt) -> Sequence[Evidence]:
    found = Bench(hunt.dealt.circuit).circuit
    return search(adviser.start, Observer(found), advised(adviser), adviser).evidence


def _as_rows(
    adviser: Adviser, taken: Iterable[Evidence], called: Callable[[str], str]
) -> tuple[Row, ...]:
    start = adviser.start
    diagnosis, visit = start.copy(), Visit(start.circuit)
    before, state = count(diagnosis.remaining(), called), ""
    made = []
    for item in taken:
        diagnosis.see(item)
        left = count(diagnosis.remaining(), called)
        did, state = did_words(item, state, start.circuit)
        made.append(Row(did, item.seen, before, left, visit.go(item), diagnosis.steps[-1].bits))
        before = left
    return tuple(made)
