"""A lesson on a notebook's page: `here("before")` shows the place of this name."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from IPython.display import display

from labkit.drawing import draw
from labkit.lessons.again import asked_again
from labkit.lessons.lesson import Lesson
from labkit.lessons.order import neighbours
from labkit.widgets import Card, FinalCard, SizeCard, bench, hunt, keep
from labkit.widgets.curtain import Behind, Shown
from labkit.widgets.head import Head


class Page:
    """Shows the places of a lesson, each by its name.

    Parameters
    ----------
    lesson : Lesson
    """

    def __init__(self, lesson: Lesson) -> None:
        self.lesson = lesson
        self.cards: dict[str, Card] = {}
        self._told: tuple[str, ...] = ()

    def __call__(self, name: str) -> Any:
        """Show a place: a question's card, a bench, a hunt, a drawing, or what waits for answers.

        Parameters
        ----------
        name : str
            Of a table in the lesson's file.

        Raises
        ------
        CircuitError
            If there is no such table.
        """
        kind, what = self.lesson.place(name)
        after = self.lesson.after(name)
        if name in self.lesson.questions:
            self.cards[name] = Card(self.lesson.questions[name])
        if not after:
            self._told = ()
            return self._made(name, kind, what)
        items = (
            self.lesson.shows(name) if kind == "show" else [lambda: self._made(name, kind, what)]
        )
        told, self._told = self._told != after, after
        return Behind([self.cards[a] for a in after], items, self.lesson.words(name), told)

    def _made(self, name: str, kind: str, what: Any) -> Any:
        if name in self.cards:
            return self.cards[name]
        if kind == "bench":
            return bench(self.lesson.boat(what.bench))
        if kind == "hunt":
            return hunt(self.lesson.folder / what.hunt)
        if kind == "final":
            return FinalCard([self.lesson.folder / file for file in what.final])
        if kind == "size":
            return SizeCard(**what.size)
        if kind == "draw":
            return draw(self.lesson.boat(what.draw))
        return Shown(self.lesson.shows(name))


def lesson(name: str) -> Page:
    """Open a lesson, and set the page of the notebook it is opened from.

    Parameters
    ----------
    name : str
        Of the TOML file beside the notebook, without its ending.

    Returns
    -------
    Page
        Called with the name of a table in that file, it shows it.
    """
    file = Path(f"{name}.toml")
    opened = Lesson(file)
    keep(opened.head.title)
    beside = neighbours(file.resolve().with_suffix(".ipynb"))
    before, after = ((one.file, one.title) if one else None for one in beside)
    display(Head(before, after))  # type: ignore[no-untyped-call]
    again = asked_again(opened.folder, opened.head.title)
    if again is not None:
        display(again)  # type: ignore[no-untyped-call]
    return Page(opened)
