"""What answers a question waits behind it: nothing of it is on the page before."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from html import escape
from typing import Any

import ipywidgets as widgets

from labkit.widgets.cards import Card

WORDS = "application/vnd.labkit.behind+json"
"""The words of what is behind, which no reader shows; so a changed one does not go unnoticed."""

CLOSED = "What follows is shown when the question above is answered."
DEAD = f"{CLOSED} (Run the notebook first: Run > Run All Cells.)"


class Shown:
    """Several things in one place, as HTML.

    Parameters
    ----------
    items : sequence of object
        Each with a `repr` and a MIME bundle that holds HTML.
    """

    def __init__(self, items: Sequence[Any]) -> None:
        self.items = items

    def __repr__(self) -> str:
        return "\n".join(map(repr, self.items))

    def _repr_mimebundle_(self, **_: Any) -> dict[str, str]:
        html = "\n".join(map(html_of, self.items))
        return {"text/plain": repr(self), "text/html": html}


class Behind(widgets.VBox):  # type: ignore[misc]
    """Things kept back in the kernel until every one of some cards is settled.

    A notebook that is printed, reloaded or not run keeps them closed.

    Parameters
    ----------
    cards : sequence of Card
        Those that have to be settled.
    items : sequence of object
        What is behind: things with HTML, or functions that make a widget when it opens.
    words : str
        What stands behind, in words, kept beside the output for whoever compares it.
    told : bool
        Say that something waits here; not where the place before waits for the same cards.
    """

    def __init__(
        self, cards: Sequence[Card], items: Sequence[Any], words: str, told: bool = True
    ) -> None:
        self.cards, self.items, self.words, self.told = cards, items, words, told
        self.is_open = False
        button = widgets.Button(description="Show me", layout={"width": "auto", "flex": "none"})
        button.on_click(lambda _: self._all_shown())
        says = widgets.HTML(f'<p class="labkit-closed">{escape(CLOSED)}</p>')
        super().__init__([widgets.HBox([says, button])] if told else [])
        self.add_class("labkit-behind")
        for card in cards:
            card.watchers.append(self._look)
        self._look()

    def __repr__(self) -> str:
        return CLOSED if self.told else ""

    def _repr_mimebundle_(self, **kwargs: Any) -> dict[str, Any]:
        html = f"<p><i>{escape(DEAD)}</i></p>" if self.told else "<span></span>"
        bundle = {"text/plain": repr(self), "text/html": html, WORDS: {"behind": self.words}}
        return {**super()._repr_mimebundle_(**kwargs), **bundle}

    def _all_shown(self) -> None:
        for card in self.cards:
            card.show()

    def _look(self) -> None:
        if not self.is_open and all(card.settled for card in self.cards):
            self.is_open = True
            self.children = [_widget(item) for item in self.items]


def html_of(item: Any) -> str:
    """The HTML of something, as a notebook would show it."""
    if hasattr(item, "_repr_mimebundle_"):
        return str(item._repr_mimebundle_()["text/html"])
    return f"<pre>{escape(repr(item))}</pre>"


def _widget(item: Any | Callable[[], Any]) -> Any:
    return item() if callable(item) else widgets.HTML(html_of(item))
