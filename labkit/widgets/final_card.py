"""A final: hunts met unseen, without hints or words on the way, and an account at the end."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from labkit.exercises.exercise import Exercise, load_exercise
from labkit.hunts.hunt import Hunt
from labkit.hunts.kept import KeptHunt
from labkit.record import user
from labkit.text.messages import CircuitError
from labkit.widgets.cards import text
from labkit.widgets.click import ClickBench
from labkit.widgets.hunting import HuntCard
from labkit.widgets.quiet import Quiet

NOTED = "Noted. Whether it is right stands in the account at the end."
OVER = "Proven. It is looked back on in the account at the end."
_WIDE = {"width": "min(100%, 40em)"}


class SilentCard(HuntCard):
    """A hunt on whose card nothing is advised: no hint, no word to a name, no review."""

    def name(self, part: str, mode: str) -> None:
        """Take a name without saying whether it is right; what is no name is said so."""
        try:
            verdict = self.hunt.name(part, mode)
            self.said = verdict.text if verdict.right is None else NOTED
        except CircuitError as error:
            self.said = str(error)
        self._show()

    def hint(self) -> None:
        """Give none."""

    def _look_back(self) -> None:
        self._looked_back.value = text(f"<p>{OVER}</p>")

    def _show(self) -> None:
        super()._show()
        if isinstance(self.bench, ClickBench):
            self.bench.screen.naming = {**self.bench.screen.naming, "hint": ""}


class FinalCard(widgets.VBox):  # type: ignore[misc]
    """Hunts, one opened after another, and the account of them.

    Parameters
    ----------
    hunts : str or Path, or a sequence of them
        A folder of exercises, or exercise files in their order.
    name : str
        The learner's, which decides what is dealt; :func:`labkit.record.user` where not said.
    records : Path, optional
        Where attempts are kept; :func:`labkit.record.records_folder` where not said.
    """

    def __init__(
        self, hunts: str | Path | Sequence[Path], name: str = "", records: Path | None = None
    ) -> None:
        files = sorted(Path(hunts).glob("*.toml")) if isinstance(hunts, str | Path) else hunts
        if not files:
            raise CircuitError([f"{hunts}: no exercises in this folder; name one that has some"])
        self.exercises: list[Exercise] = [load_exercise(file) for file in files]
        self._records = records
        self.name = widgets.Text(
            value=name or user(),
            description="Your name",
            continuous_update=False,
            style={"description_width": "6em"},
        )
        titles = [(f"{n}. {one.title}", n - 1) for n, one in enumerate(self.exercises, 1)]
        self.choice = widgets.Dropdown(
            options=titles, description="Hunt", layout=_WIDE, style={"description_width": "6em"}
        )
        self._said = widgets.HTML()
        self._place = widgets.VBox()
        self.told = widgets.HTML()
        super().__init__(
            [
                self.name,
                self.choice,
                widgets.HBox(
                    [
                        _button("Open this one", self.open_hunt),
                        _button("I am done: the account", self.settle),
                    ],
                    layout={"flex_flow": "row wrap"},
                ),
                self._said,
                self._place,
                self.told,
                Quiet(),
            ]
        )
        self.add_class("labkit-ladder")

    def __repr__(self) -> str:
        return f"A final of {len(self.exercises)} hunts: run the notebook, and open the first."

    def _repr_mimebundle_(self, **kwargs: Any) -> dict[str, Any]:
        bundle = {**super()._repr_mimebundle_(**kwargs), "text/plain": repr(self)}
        html = "".join(c._repr_mimebundle_()["text/html"] for c in self._place.children)
        if html or self.told.value:
            bundle["text/html"] = html + self.told.value
        return bundle

    @property
    def hunt(self) -> Hunt | None:
        """The one that is open."""
        return next((card.hunt for card in self._place.children), None)

    def open_hunt(self) -> Hunt | None:
        """Open the hunt chosen in the list, or go on with it where it was left."""
        self._said.value = self.told.value = ""
        exercise = self.exercises[self.choice.value]
        hunt = KeptHunt(exercise, self.name.value.strip(), self._records, tell=self._say)
        self._place.children = (SilentCard(hunt),)
        return hunt

    def settle(self) -> str:
        """Show the account; weighing every reading takes some seconds a hunt."""
        from labkit.hunts.account import account

        self._say("Looking back; this takes some seconds a hunt.")
        found = account(self.exercises, self.name.value.strip(), self._records)
        self.told.value = text(found.html)
        self._say("The account stands below. Print it, and keep it with your log.")
        return str(found)

    def _say(self, sentence: str) -> None:
        self._said.value = text(escape(sentence), "status")


def _button(words: str, act: Callable[[], object]) -> Any:
    button = widgets.Button(description=words, layout={"width": "auto"})
    button.on_click(lambda _: act())
    return button
