"""What a class's attempts say together: hunt by hunt, question by question, and what to teach next.

Where a lesson's question and an idea recur, the class is told of them; nobody is named here.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from statistics import median
from types import MappingProxyType

from labkit.desk.marks import Mark
from labkit.questions import MISCONCEPTIONS
from labkit.record import Record
from labkit.text.messages import counted

MOST = 3
"""So many things are taught at once. Our choice."""


@dataclass(frozen=True)
class HuntRow:
    """One hunt as a class played it, by its last attempts."""

    title: str
    learners: int
    proven: int
    clean: int
    minutes: float
    cost: float | None
    readings: float
    wrong: tuple[tuple[str, int], ...]
    known: int = 0
    wasted: tuple[tuple[str, int], ...] = ()

    @property
    def cells(self) -> tuple[str, ...]:
        """What a table shows of it."""
        return (
            self.title,
            str(self.learners),
            str(self.proven),
            str(self.clean),
            str(self.known),
            f"{self.minutes:.0f}",
            "-" if self.cost is None else f"{self.cost:.0f}",
            f"{self.readings:.0f}",
            _counts(self.wasted),
            _counts(self.wrong),
        )


@dataclass(frozen=True)
class QuestionRow:
    """One question: how many answered it, and how many rightly at the first go."""

    title: str
    ask: str
    learners: int
    right: int
    ideas: tuple[tuple[str, int], ...]

    @property
    def cells(self) -> tuple[str, ...]:
        """What a table shows of it."""
        told = _counts(self.ideas)
        return self.title, self.ask, str(self.learners), str(self.right), told or "-"


@dataclass(frozen=True)
class ClassPage:
    """A class on a page.

    Attributes
    ----------
    hunts : tuple of HuntRow
    questions : tuple of QuestionRow
        Those answered worst first.
    teach : tuple of str
        What to teach next: at most MOST sentences, what most learners need first.
    """

    hunts: tuple[HuntRow, ...]
    questions: tuple[QuestionRow, ...]
    teach: tuple[str, ...]

    @property
    def html(self) -> str:
        """A page by itself, that asks nothing from anywhere."""
        hunts = _table(
            "Hunts",
            (
                "hunt",
                "learners",
                "proven",
                "clean",
                "known",
                "min",
                "cost",
                "readings",
                "of which told nothing",
                "wrong names",
            ),
            [row.cells for row in self.hunts],
        )
        questions = _table(
            "Questions, the worst answered first",
            ("lesson", "question", "learners", "right at once", "ideas behind wrong answers"),
            [row.cells for row in self.questions],
        )
        teach = "".join(f"<li>{escape(line)}</li>" for line in self.teach)
        return (
            f'<!doctype html><html lang="en"><meta charset="utf-8"><title>The class</title>'
            f'<meta name="viewport" content="width=device-width"><style>{_STYLE}</style>'
            f"<h1>The class</h1><h2>What to teach next</h2><ol>{teach}</ol>{hunts}{questions}"
            f"<p>Minutes, cost and readings are the middle of the class; in brackets, how many "
            f"learners. Clean: proven, nothing named wrongly, no danger. Known: named when the "
            f"readings left nothing else likely. A reading told nothing where several suspects "
            f"stood, and hardly one was more or less likely after it.</p></html>"
        )


_STYLE = (
    ":root{color-scheme:light dark}body{font:16px/1.5 sans-serif;max-width:70em;margin:1em auto;"
    "padding:0 1em}table{border-collapse:collapse;margin:1em 0}caption{text-align:left;"
    "font-weight:bold}th,td{text-align:left;vertical-align:top;padding:.25em .75em;"
    "border-bottom:1px solid #8888}"
)


def class_page(
    marks: Iterable[Mark],
    records: Sequence[Record],
    wasted: Mapping[str, Mapping[str, Collection[str]]] = MappingProxyType({}),
) -> ClassPage:
    """Sum up a class.

    Parameters
    ----------
    marks : iterable of Mark
        Of the attempts, as played again.
    records : sequence of Record
        The attempts, for the answers in them.
    wasted : mapping
        By hunt, which readings told nothing, and who took them.
    """
    last: dict[tuple[str, str], Mark] = {}
    given = sorted(marks, key=lambda mark: mark.started)
    for mark in given:
        if mark.right or mark.wrong or mark.readings:
            last[mark.title, mark.learner] = mark
    titles = sorted({title for title, _ in last})
    hunts = tuple(
        _hunt(title, [mark for (of, _), mark in last.items() if of == title], wasted.get(title, {}))
        for title in titles
    )
    questions = tuple(sorted(_questions(records), key=lambda row: row.right / row.learners))
    return ClassPage(hunts, questions, tuple(_teach([*last.values()], given))[:MOST])


def _hunt(title: str, marks: Sequence[Mark], wasted: Mapping[str, Collection[str]]) -> HuntRow:
    costs = [mark.cost for mark in marks if mark.cost is not None]
    wrong = Counter(what for mark in marks for what in {*mark.wrong})
    idle = Counter({did: len(who) for did, who in wasted.items()})
    return HuntRow(
        title,
        len(marks),
        sum(mark.proven for mark in marks),
        sum(mark.proven and not mark.wrong and not mark.hazards for mark in marks),
        median(mark.minutes for mark in marks),
        median(costs) if costs else None,
        median(mark.readings for mark in marks),
        tuple(wrong.most_common(MOST)),
        sum(mark.known is True for mark in marks),
        tuple(idle.most_common(MOST)),
    )


def _questions(records: Iterable[Record]) -> list[QuestionRow]:
    first: dict[tuple[str, str], dict[str, bool]] = defaultdict(dict)
    ideas: dict[tuple[str, str], Counter[str]] = defaultdict(Counter)
    for record in records:
        learner, title = (str(record.head.get(key, "")) for key in ("learner", "title"))
        for line in record.of("answer"):
            where = title, str(line.get("ask", ""))
            first[where].setdefault(learner, line.get("right") is True)
            if idea := line.get("misconception"):
                ideas[where][str(idea)] += 1
    return [
        QuestionRow(
            title, ask, len(who), sum(who.values()), tuple(ideas[title, ask].most_common(MOST))
        )
        for (title, ask), who in first.items()
    ]


def _teach(marks: Sequence[Mark], every: Iterable[Mark]) -> list[str]:
    """What to teach next, what most learners need first; danger before all."""
    who: Mapping[str, set[str]] = defaultdict(set)
    for mark in every:
        for idea in mark.misconceptions:
            who[idea].add(mark.learner)
    unsafe = {mark.learner for mark in marks if mark.safe is False}
    unproven = {mark.learner for mark in marks if not mark.proven}
    lines = []
    if unsafe:
        lines.append(
            f"Make safe before hands go in: {counted(len(unsafe), 'learner')} did not. Isolate, "
            "tag, prove dead."
        )
    if unproven:
        lines.append(
            f"Prove the repair under load: {counted(len(unproven), 'learner')} left one unproven."
        )
    for idea, learners in sorted(who.items(), key=lambda item: (-len(item[1]), item[0])):
        said = MISCONCEPTIONS.get(idea)
        lines.append(f"{counted(len(learners), 'learner')}: {said or idea}")
    return lines or ["Nothing recurs; give the class harder hunts."]


def _counts(what: Iterable[tuple[str, int]]) -> str:
    return ", ".join(f"{one} ({count})" for one, count in what) or "-"


def _table(caption: str, headings: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    if not rows:
        return ""
    head = "".join(f'<th scope="col">{escape(text)}</th>' for text in headings)
    body = "".join(
        "<tr>" + "".join(f"<td>{escape(cell)}</td>" for cell in row) + "</tr>" for row in rows
    )
    return f"<table><caption>{escape(caption)}</caption><tr>{head}</tr>{body}</table>"
