"""A card to put steps in order: click them one after the other."""

from __future__ import annotations

from typing import Any

import ipywidgets as widgets

from labkit.questions import Order
from labkit.widgets.cards import Card

_WIDE = {"width": "auto", "display": "flex", "justify_content": "flex-start"}


class OrderCard(Card):
    """Put steps in order.

    A step clicked is taken as the next one and its place is written before it; clicked again, it
    is put back.

    Parameters
    ----------
    question : Order

    Attributes
    ----------
    taken : list of str
        Steps so far, in the order they were clicked.
    """

    def __init__(self, question: Order) -> None:
        self.taken: list[str] = []
        self.steps = {step: self._step(step) for step in question.steps}
        commit = widgets.Button(description="That is my order", layout={"width": "auto"})
        commit.on_click(lambda _: self.answer(self.taken))
        super().__init__(
            question,
            widgets.VBox(list(self.steps.values())),
            widgets.HBox([commit]),
            blank=[f"___ {step}" for step in question.steps],
        )

    def _step(self, step: str) -> Any:
        button = widgets.Button(layout=_WIDE, tooltip="take as the next step, or put back")
        button.description = _placed(step, 0)
        button.on_click(lambda _: self._take(step))
        return button

    def _take(self, step: str) -> None:
        if step in self.taken:
            self.taken.remove(step)
        else:
            self.taken.append(step)
        for each, button in self.steps.items():
            place = self.taken.index(each) + 1 if each in self.taken else 0
            button.description = _placed(each, place)


def _placed(step: str, place: int) -> str:
    return f"{place}. {step}" if place else f"–  {step}"
