"""A card that opens one hunt after another, the easiest first, then by what there is to learn."""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from labkit.exercises.exercise import Exercise
from labkit.hunts.choosing import Choice, beliefs_of, choose
from labkit.hunts.hunt import Hunt
from labkit.hunts.kept import KeptHunt
from labkit.hunts.ladder import finished, ladder
from labkit.hunts.progress import records_of
from labkit.record import user
from labkit.widgets.hunting import HuntCard
from labkit.widgets.quiet import Quiet

_WIDE = {"width": "min(100%, 40em)"}
_LABELS = {"description_width": "6em"}


class LadderCard(widgets.VBox):  # type: ignore[misc]
    """All hunts of a folder: choose one, or take the next one not done.

    A learner's name decides what is dealt. Nothing is begun or written before a hunt is opened.

    Parameters
    ----------
    folder : str or Path
        Of exercises.
    name : str
        The learner's; :func:`labkit.record.user` where not said.
    records : Path, optional
        Where attempts are kept; :func:`labkit.record.records_folder` where not said.
    begin : callable, optional
        Makes a hunt of an exercise and a name; one kept on disk where not said.

    Attributes
    ----------
    rungs : list of Rung
        The hunts in the order of the list.
    """

    def __init__(
        self,
        folder: str | Path,
        name: str = "",
        records: Path | None = None,
        begin: Callable[[Exercise, str], Hunt] | None = None,
    ) -> None:
        self.rungs, problems = ladder(folder)
        self._open_for = ""  # whose hunt is open; the name in the box may have changed since
        self._records = records
        self._begin = begin or self._kept
        self._done_here: dict[str, set[str]] = {}
        self.name = widgets.Text(
            value=name or user(),
            description="Your name",
            continuous_update=False,
            style=_LABELS,
            tooltip="your name decides what you are dealt",
        )
        self.choice = widgets.Dropdown(description="Hunt", layout=_WIDE, style=_LABELS)
        self._said = widgets.HTML()
        self._place = widgets.VBox()
        self.name.observe(lambda _: self._list(), "value")
        super().__init__(
            [
                self.name,
                self.choice,
                widgets.HBox(
                    [
                        self._button("Open this one", self.open_hunt),
                        self._button("Take the next one", self.take_next),
                    ]
                ),
                self._said,
                self._place,
                Quiet(),
            ]
        )
        self.add_class("labkit-ladder")
        self._list()
        self._say(problems)

    def __repr__(self) -> str:
        return "All hunts, the easiest first: run the notebook, choose one or take the next one."

    def _repr_mimebundle_(self, **kwargs: Any) -> dict[str, Any]:
        bundle = {**super()._repr_mimebundle_(**kwargs), "text/plain": repr(self)}
        for card in self._place.children:
            bundle["text/html"] = card._repr_mimebundle_()["text/html"]
        return bundle

    @property
    def hunt(self) -> Hunt | None:
        """The one that is open, which may have been begun anew on its card."""
        hunt: Hunt | None = next((card.hunt for card in self._place.children), None)
        return hunt

    @property
    def learner(self) -> str:
        """Whose hunts they are."""
        return self.name.value.strip() or user()

    @property
    def done(self) -> set[str]:
        """Titles of the exercises this learner has proven, now or on another day."""
        return finished(self.learner, self._records) | self._done_here.get(self.learner, set())

    def open_hunt(self) -> Hunt | None:
        """Open the hunt chosen in the list."""
        self._note()
        if self.choice.value is None:
            return None
        self._say([])
        hunt = self._begin(self.rungs[self.choice.value].exercise, self.learner)
        self._open_for = self.learner
        self._place.children = (HuntCard(hunt),)
        self._list()
        return self.hunt

    def take_next(self) -> Hunt | None:
        """Open the next hunt this learner has not done, or say that all are done."""
        self._note()
        chosen = self._next()
        if chosen is None:
            self._list()
            self._say(["All of them are done. Write one of your own, for somebody else."])
            return None
        self.choice.value = chosen.place
        opened = self.open_hunt()
        self._say([chosen.why])
        return opened

    def _next(self) -> Choice | None:
        """The hunt that goes wrong for what this learner may still hold."""
        beliefs = beliefs_of(records_of(self.learner, self._records))
        return choose(self.rungs, self.done, beliefs)

    def _note(self) -> None:
        """Remember that the hunt now open was proven."""
        if self.hunt is not None and self.hunt.proven is not None and self.hunt.proven.ok:
            self._done_here.setdefault(self._open_for, set()).add(self.hunt.exercise.title)

    def _list(self) -> None:
        done, chosen = self.done, self.choice.value
        self.choice.options = [
            (f"{'✓ ' if rung.exercise.title in done else ''}{n + 1}. {rung}", n)
            for n, rung in enumerate(self.rungs)
        ]
        first = self._next() if self.hunt is None else None
        self.choice.value = first.place if first is not None else chosen

    def _kept(self, exercise: Exercise, name: str) -> Hunt:
        return KeptHunt(exercise, name, self._records, tell=lambda text: self._say([text]))

    def _button(self, text: str, act: Callable[[], Any]) -> Any:
        button = widgets.Button(description=text, layout={"width": "auto"})
        button.on_click(lambda _: act())
        return button

    def _say(self, texts: list[str]) -> None:
        said = "".join(f"<p>{escape(text)}</p>" for text in texts)
        self._said.value = f'<div role="status" style="line-height:1.5">{said}</div>'
