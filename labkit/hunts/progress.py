"""How a learner comes on: lessons and hunts done, wrong ideas met and mended, what each cost."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from html import escape
from pathlib import Path
from typing import Any

from labkit.hunts.again import Due, due
from labkit.hunts.choosing import clean
from labkit.paper.charts import STYLES, Chart
from labkit.record import Record, read_folder, records_folder, user
from labkit.record.attempt import begun_at
from labkit.text.messages import counted

MENDED_AFTER = 5
"""An idea is mended when so many answers and names have come since without it. Our choice."""


@dataclass(frozen=True)
class Done:
    """A hunt brought to its end."""

    title: str
    started: str
    cost: float
    minutes: float
    wrong: int
    hazards: int
    clean: bool


@dataclass(frozen=True)
class Met:
    """A wrong idea that answers came of.

    Attributes
    ----------
    key : str
        In the words of MISCONCEPTIONS.
    times : int
    where : str
        The title it was met in last.
    since : int
        Answers and names since then without it.
    owned : int
        How often the learner said, looking back, that a wrong name came of it.
    """

    key: str
    times: int
    where: str
    since: int
    owned: int = 0

    @property
    def mended(self) -> bool:
        """Whether it has not come back for long enough."""
        return self.since >= MENDED_AFTER


@dataclass(frozen=True)
class Progress:
    """One learner's way through the course, as the attempts kept tell it.

    Attributes
    ----------
    learner : str
    lessons : tuple of (str, int, int)
        Title, questions answered rightly and questions answered.
    hunts : tuple of Done
        In the order in which they were begun.
    ideas : tuple of Met
    due : tuple of Due
        Questions to be asked again by now.
    """

    learner: str
    lessons: tuple[tuple[str, int, int], ...]
    hunts: tuple[Done, ...]
    ideas: tuple[Met, ...]
    due: tuple[Due, ...] = ()

    @property
    def chart(self) -> Chart | None:
        """What each hunt cost, in order; None before the second."""
        return costs(self.hunts) if len(self.hunts) > 1 else None

    @property
    def lines(self) -> tuple[str, ...]:
        """The same in sentences."""
        if not (self.lessons or self.hunts):
            return (f"Nothing of {self.learner} is kept yet: answer a question, or take a hunt.",)
        said = [
            f"Asked again at the head of the next lesson you open, from '{one.title}': {one.ask}"
            for one in self.due
        ]
        said += [
            f"{title}: {right} of {counted(asked, 'question')} answered rightly."
            for title, right, asked in self.lessons
        ]
        said += [
            f"{hunt.title}: cost {hunt.cost:.0f} minutes, {counted(hunt.wrong, 'wrong name')}, "
            f"{counted(hunt.hazards, 'danger')}."
            for hunt in self.hunts
        ]
        said += [
            f"{idea.key}: met {counted(idea.times, 'time')}, last in '{idea.where}'"
            + (f", {counted(idea.owned, 'time')} by your own word; " if idea.owned else "; ")
            + (f"not in the {idea.since} answers since." if idea.mended else "not mended yet.")
            for idea in self.ideas
        ]
        return tuple(said)

    def __str__(self) -> str:
        return "\n".join(self.lines)

    __repr__ = __str__

    def _repr_mimebundle_(self, **_: Any) -> dict[str, str]:
        items = "".join(f"<li>{escape(line)}</li>" for line in self.lines)
        chart = self.chart
        html = f"<ul>{items}</ul>{chart.html if chart else ''}"
        return {"text/plain": str(self), "text/html": html}


def progress(learner: str = "", folder: Path | None = None) -> Progress:
    """Look through the attempts kept of a learner.

    Parameters
    ----------
    learner : str
        :func:`labkit.record.user` where not said.
    folder : Path, optional
        Where attempts are kept; :func:`labkit.record.records_folder` where not said.
    """
    whose = learner or user()
    return of_records(whose, records_of(whose, folder))


def records_of(learner: str, folder: Path | None = None) -> list[Record]:
    """Return a learner's attempts, in the order in which they were begun."""
    records, _ = read_folder(folder or records_folder())
    own = [record for record in records if record.head.get("learner") == learner]
    return sorted(own, key=lambda record: begun_at(record.path))


def of_records(learner: str, records: Sequence[Record]) -> Progress:
    """Sum up a learner's attempts."""
    return Progress(
        learner,
        tuple(_lessons(records)),
        tuple(_done(record) for record in records if record.finished),
        tuple(_ideas(records)),
        tuple(due(records, datetime.now(UTC))),
    )


def _lessons(records: Iterable[Record]) -> Iterable[tuple[str, int, int]]:
    answers: dict[str, dict[str, bool]] = {}
    for record in records:
        for line in record.of("answer"):
            asked = answers.setdefault(str(record.head.get("title", "")), {})
            asked[str(line.get("ask", ""))] = line.get("right") is True
    return [(title, sum(asked.values()), len(asked)) for title, asked in sorted(answers.items())]


def _done(record: Record) -> Done:
    end = record.of("finished")[-1]
    minutes = float(end.get("minutes", 0.0))
    return Done(
        str(record.head.get("title", "")),
        str(record.head.get("started", "")),
        float(end.get("cost", minutes)),
        minutes,
        sum(line.get("right") is False for line in record.of("named")),
        sum(len(line.get("hazards", ())) for line in record.of("act")),
        clean(record),
    )


def _ideas(records: Iterable[Record]) -> list[Met]:
    times: dict[str, int] = {}
    last: dict[str, tuple[str, int]] = {}
    owned = Counter[str]()
    number = 0
    for record in records:
        for line in record.lines:
            if line["kind"] not in ("answer", "named", "owned"):
                continue
            number += 1
            if key := line.get("misconception"):
                times[str(key)] = times.get(str(key), 0) + 1
                owned[str(key)] += line["kind"] == "owned"
                last[str(key)] = str(record.head.get("title", "")), number
    return [
        Met(key, count, last[key][0], number - last[key][1], owned[key])
        for key, count in sorted(times.items(), key=lambda item: -item[1])
    ]


def costs(hunts: Sequence[Done]) -> Chart:
    """Draw what each hunt cost and how much of that was spent at the bench."""
    told = ", ".join(f"{hunt.title} {hunt.cost:.0f}" for hunt in hunts)

    def paint(figure: Any) -> None:
        axes = figure.subplots()
        numbers = range(1, len(hunts) + 1)
        lines = (("cost", [h.cost for h in hunts]), ("at the bench", [h.minutes for h in hunts]))
        for (name, values), (color, mark, stroke) in zip(lines, STYLES, strict=False):
            axes.plot(numbers, values, color=color, marker=mark, linestyle=stroke, label=name)
        axes.set_xticks(list(numbers))
        axes.set_xlabel("hunt")
        axes.set_ylabel("minutes")
        axes.set_ylim(bottom=0)
        axes.grid(axis="y", color="0.88", linewidth=0.8)
        axes.spines[["top", "right"]].set_visible(False)
        axes.legend(frameon=False)

    return Chart(f"What each hunt cost, in minutes: {told}.", paint, (6.0, 2.8))
