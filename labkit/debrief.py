"""A hunt looked back on: the path taken beside the advised one, and what there is to practise."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from html import escape
from typing import Any

from labkit.bench import Bench
from labkit.charts import Chart
from labkit.circuit import Circuit
from labkit.debrief_page import Row, as_html, as_text, suspects_left
from labkit.diagnosis import Adviser, Measurement, Review, adviser_for, review
from labkit.diagnosis.cost import Visit
from labkit.diagnosis.explain import numbered, place_text, state_text
from labkit.diagnosis.search import advised, observer, search
from labkit.faults import family
from labkit.hunt import Hunt
from labkit.logbook import Asked, asked

HAZARDS = {
    "ohms live": "ohms on a live circuit",
    "meter short": "the meter in amps across a supply",
    "parted under load": "a connection parted under load",
    "fuse bypassed": "a jumper across a fuse",
    "jumper short": "a jumper that blew its fuse",
    "fuse too big": "a fuse too big for its wire",
    "fuse opened": "a fuse that opened",
    "hot wire": "a wire left to burn",
}
"""Kinds of hazard in plain words."""

_METER = {"ohms live", "meter short"}
_HANDS = {"parted under load", "fuse bypassed", "jumper short", "fuse too big", "hot wire"}
_IDLE = 0.05  # a reading that told less has told nothing [bit]


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
    """

    rows: tuple[Row, ...]
    advised: tuple[Row, ...]
    review: Review
    lines: tuple[str, ...]

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
        return f'{steps}<div style="{room}">{self.chart.html}</div>{said}'

    def __str__(self) -> str:
        return "\n".join((as_text(self.rows), "", self.chart.alt, "", *self.lines))

    __repr__ = __str__

    def _repr_mimebundle_(self, **_: Any) -> dict[str, str]:
        return {"text/plain": str(self), "text/html": self.html}


def debrief(hunt: Hunt) -> Debrief:
    """Look back on a hunt.

    Parameters
    ----------
    hunt : Hunt
    """
    exercise = hunt.exercise
    adviser = adviser_for(exercise.circuit, exercise.candidates)
    items = asked(hunt.bench.log, exercise.circuit)
    looked_back = review(adviser, [item.evidence for item in items if not item.void])
    rows = _rows(items, looked_back, exercise.circuit, len(adviser.start.remaining()))
    plan = _advised(adviser, hunt)
    lines = (
        _outcome(hunt), _pace(rows, plan), _named(hunt), _hazards(hunt), _cause(hunt),
        _practise(hunt, rows, plan, looked_back),
    )  # fmt: skip
    return Debrief(rows, plan, looked_back, tuple(filter(None, lines)))


# -- the table ------------------------------------------------------------------------------


def _rows(
    items: list[Asked], looked_back: Review, circuit: Circuit, suspects: int
) -> tuple[Row, ...]:
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
            elif step.bits < _IDLE and not step.fell:
                best = step.advice.measurement
                remark = f"better: {state_text(best)}{place_text(numbered(best, circuit))}"
            elif step.bits == most:
                remark = "told most"
            row = Row(did, item.evidence.seen, suspects, step.left, item.minutes, step.bits, remark)
            suspects = step.left
        made.append(row)
    return tuple(made)


def _did(measurement: Measurement, before: str, circuit: Circuit) -> tuple[str, str]:
    """What was done, with the state of the boat where that has changed; and that state."""
    state = state_text(measurement)
    told = state if state != before else ""
    back = "all as found: " if before and not state else ""
    where = place_text(numbered(measurement, circuit))
    did = re.sub(r"\b(F\d+):1 apart", r"\1 out", f"{told}{back}{where}")
    return did, state


def _advised(adviser: Adviser, hunt: Hunt) -> tuple[Row, ...]:
    """The same fault searched by what is worth most for its minutes."""
    found = Bench(hunt.dealt.circuit).circuit
    start = adviser.start
    done = search(start, observer(found), advised(adviser), adviser)
    diagnosis, visit = start.copy(), Visit(start.circuit)
    before, state = len(diagnosis.remaining()), ""
    made = []
    for item in done.evidence:
        diagnosis.see(item)
        left = len(diagnosis.remaining())
        did, state = _did(item, state, start.circuit)
        made.append(Row(did, item.seen, before, left, visit.go(item), diagnosis.steps[-1].bits))
        before = left
    return tuple(made)


# -- what there is to say ---------------------------------------------------------------------


def _outcome(hunt: Hunt) -> str:
    if hunt.proven is None:
        return "No repair was proven."
    return f"{'Repair proven' if hunt.proven.ok else 'Not proven'}: {hunt.proven.text}"


def _cause(hunt: Hunt) -> str:
    known = hunt.proven is not None and hunt.proven.ok and hunt.dealt.cause
    return f"Why it failed: {hunt.dealt.cause}" if known else ""


def _pace(rows: tuple[Row, ...], plan: tuple[Row, ...]) -> str:
    if not rows:
        return "Nothing was looked at or measured."
    return (
        f"You went from {rows[0].before} suspects to {rows[-1].left} in {len(rows)} steps and "
        f"{_minutes(rows):.0f} minutes; the advised way takes {len(plan)} steps and "
        f"{_minutes(plan):.0f} minutes."
    )


def _minutes(rows: tuple[Row, ...]) -> float:
    return sum(row.minutes for row in rows)


def _named(hunt: Hunt) -> str:
    wrong = dict.fromkeys(n.what for n in hunt.named if n.verdict.right is False)
    right = {n.what: n.proof for n in hunt.named if n.verdict.right}
    causes = [family(f) for f in hunt.dealt.circuit.faults if f.mode != "blown"]
    missed = [what for what in causes if re.sub(":[^ ]+", "", what) not in right]
    said = [f"Named wrongly on the way: {', '.join(wrong)}."] if wrong else []
    said += [f"Named rightly: {', '.join(right)}."] if right else []
    said += [f"Not named: {', '.join(missed)}."] if missed and hunt.named else []
    said += [proof for proof in right.values() if proof]
    return " ".join(said) or "Nothing was named, so nobody can say whether you knew."


def _hazards(hunt: Hunt) -> str:
    kinds = Counter(hazard.kind for hazard in hunt.bench.hazards)
    if not kinds:
        return "No hazards."
    said = (f"{HAZARDS[k]}{f', {n} times' if n > 1 else ''}" for k, n in kinds.items())
    return f"Hazards: {'; '.join(said)}."


def _open(rows: tuple[Row, ...]) -> bool:
    return not rows or rows[-1].left > 1


def _practise(hunt: Hunt, rows: tuple[Row, ...], plan: tuple[Row, ...], looked_back: Review) -> str:
    """What to practise next: what went least well, the dangerous first."""
    kinds = {hazard.kind for hazard in hunt.bench.hazards}
    idle = [s for s in looked_back.steps if s.bits < _IDLE and s.advice is not None]
    unloaded = [s for s in idle if s.advice and s.advice.positions and not s.evidence.positions]
    said = "the next hunt; this one leaves nothing to mend."
    if kinds & _HANDS:
        said = "making a circuit safe before hands, jumpers and fuses go into it."
    elif kinds & _METER:
        said = "which function of the meter the circuit must be dead for."
    elif any(named.verdict.right is False for named in hunt.named):
        said = "striking out: name a part when nothing else is left on the list."
    elif hunt.named and not any(named.proved for named in hunt.named) and _open(rows):
        said = "the reading that tells your favourite from the next likeliest, before you name it."
    elif len(unloaded) * 2 > len(looked_back.steps):
        said = (
            f"load first, then read: {len(unloaded)} of your readings were taken with nothing "
            "switched on."
        )
    elif len(idle) * 2 > len(looked_back.steps):
        said = (
            "predict each reading for two suspects before you take it; more than half of these "
            "would have read the same whatever was wrong."
        )
    elif _minutes(rows) > 1.5 * _minutes(plan) + 5:
        said = "asking what is near before what is far: minutes go where floorboards are lifted."
    return f"Practise next: {said}"
