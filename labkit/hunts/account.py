"""The account at the end of a final: what each hunt cost, what stayed unproven, what to practise.

The first attempt at each hunt counts; it is played again from its record, and only now looked
back on.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from pathlib import Path

from labkit.exercises.exercise import Exercise
from labkit.hunts.debrief import debrief
from labkit.hunts.hunt import Hunt
from labkit.hunts.kept import play
from labkit.hunts.progress import records_of
from labkit.record import user
from labkit.text.messages import CircuitError, counted

HONEST = (
    "This account certifies nothing. It says what you did on computed boats; nobody has shown that "
    "it foretells what you will do on a real one."
)


@dataclass(frozen=True)
class Entry:
    """What there is to say of one hunt.

    Attributes
    ----------
    title : str
    cost : float or None
        All together; None where the hunt was not begun or cannot be played again. [min]
    proven : bool
    wrong, dangers : int
        Wrong names, and dangers run into.
    lines : tuple of str
    ideas : tuple of str
        Wrong rules that its wrong names look like.
    next : tuple of str
        What to practise.
    """

    title: str
    cost: float | None = None
    proven: bool = False
    wrong: int = 0
    dangers: int = 0
    lines: tuple[str, ...] = ()
    ideas: tuple[str, ...] = ()
    next: tuple[str, ...] = ()


@dataclass(frozen=True)
class Account:
    """What a final came to, hunt by hunt and all together."""

    learner: str
    entries: tuple[Entry, ...]

    @property
    def lines(self) -> tuple[str, ...]:
        """What there is to say of all of them."""
        begun = [entry for entry in self.entries if entry.cost is not None]
        open_ = [entry.title for entry in self.entries if not entry.proven]
        cost = sum(entry.cost or 0.0 for entry in begun)
        ideas = Counter(idea for entry in begun for idea in entry.ideas)
        todo = Counter(text for entry in begun for text in entry.next)
        said = [
            f"{len(begun)} of {counted(len(self.entries), 'hunt')} begun, "
            f"{len(self.entries) - len(open_)} proven; cost {cost:.0f} minutes, "
            f"{counted(sum(e.wrong for e in begun), 'wrong name')}, "
            f"{counted(sum(e.dangers for e in begun), 'danger')}."
        ]
        said += [f"Left unproven: {', '.join(open_)}."] if open_ else []
        said += [
            f"A wrong name of yours looks like this rule ({counted(n, 'time')}): {idea}. Was it?"
            for idea, n in ideas.most_common()
        ]
        said += [f"What to do next: {text}" for text, _ in todo.most_common(3)]
        return (*said, HONEST)

    def __str__(self) -> str:
        told = [
            f"{entry.title}\n" + "\n".join(f"  {line}" for line in entry.lines)
            for entry in self.entries
        ]
        return "\n\n".join([f"Account of {self.learner}", *told, "\n".join(self.lines)])

    __repr__ = __str__

    @property
    def html(self) -> str:
        """The same for a page."""
        told = "".join(
            f"<h4>{escape(entry.title)}</h4><ul>"
            + "".join(f"<li>{escape(line)}</li>" for line in entry.lines)
            + "</ul>"
            for entry in self.entries
        )
        all_ = "".join(f"<p>{escape(line)}</p>" for line in self.lines)
        return f"<h3>Account of {escape(self.learner)}</h3>{told}<h4>All together</h4>{all_}"


def account(
    exercises: Sequence[Exercise], learner: str = "", folder: Path | None = None
) -> Account:
    """Look back on a learner's first attempts at some hunts.

    Parameters
    ----------
    exercises : sequence of Exercise
    learner : str
        :func:`labkit.record.user` where not said.
    folder : Path, optional
        Where attempts are kept; :func:`labkit.record.records_folder` where not said.
    """
    whose = learner or user()
    first = {str(r.head.get("title", "")): r for r in reversed(records_of(whose, folder))}
    entries = []
    for exercise in exercises:
        record = first.get(exercise.title)
        if record is None or not record.of("act"):
            entries.append(Entry(exercise.title, lines=("Not begun.",)))
            continue
        hunt = Hunt(exercise, whose)
        try:
            play(hunt, record)
        except CircuitError as error:
            entries.append(Entry(exercise.title, lines=(str(error),)))
            continue
        looked = debrief(hunt)
        marks = ("Practise next: ", "Then: ")
        todo = [line for line in looked.lines if line.startswith(marks)]
        entries.append(
            Entry(
                exercise.title,
                hunt.bill.minutes,
                hunt.proven is not None and hunt.proven.ok,
                sum(named.verdict.right is False for named in hunt.named),
                len(hunt.bench.hazards),
                looked.lines,
                (looked.doubt.rule,) if looked.doubt else (),
                tuple(line.split(": ", 1)[1] for line in todo),
            )
        )
    return Account(whose, tuple(entries))
