"""A bench as a page is told of it: what the page asks for goes in, what has changed comes out.

The one door between `bench.js` and Python, whoever carries the messages: a notebook's kernel or a
page that runs Python by itself.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from labkit.aboard.bench import Bench
from labkit.widgets import state
from labkit.widgets.model import BenchModel


class Screen:
    """A bench on a page.

    Parameters
    ----------
    bench : Bench
    asks : mapping of str to callable, optional
        What else the page may ask for, such as to name what is wrong.
    about : str
        The load that is complained of, with whose sheet a large boat begins.

    Attributes
    ----------
    model : BenchModel
    naming : dict
        What a hunt has the page show beside the meter, see :func:`.state.naming_state`. Empty
        without a hunt.
    history : list of dict
        The lines of the log that the page was told of.
    """

    def __init__(
        self,
        bench: Bench,
        asks: Mapping[str, Callable[..., object]] | None = None,
        about: str = "",
    ) -> None:
        self.model = model = BenchModel(bench, live=True, about=about)
        self.naming: dict[str, Any] = {}
        self.history: list[dict[str, Any]] = []
        self._told: dict[str, Any] = {}
        self._does: dict[str, Callable[..., object]] = {
            "touch": model.touch,
            "put": model.put,
            "swap": model.swap,
            "lift": model.lift,
            "take": model.take,
            "turn_to": model.turn_to,
            "operate": model.operate,
            "again": model.again,
            "read": model.read,
            "do": model.do,
            "undo": model.undo,
            "turn_sheet": model.turn_sheet,
            "narrow": self._laid_out,
            **(asks or {}),
        }

    def handle(self, asked: Mapping[str, Any]) -> None:
        """Do what the page asks for: ``{"ask": "touch", "with": {"key": "X1:1"}}``."""
        done = self._does.get(str(asked.get("ask")))
        if done is not None:
            done(**asked.get("with", {}))

    def news(self) -> dict[str, Any]:
        """Return the states that are no longer as the page was last told, each by its name.

        Of the log nothing but what is new: under `more`, its `lines` from which place on.
        """
        model = self.model
        now = {
            "drawing": state.drawing_state(model),
            "meter": state.meter_state(model),
            "said": state.said_state(model),
            "more": self._more(),
            "offers": state.offers_state(model),
            "naming": self.naming,
        }
        changed = {name: told for name, told in now.items() if self._told.get(name) != told}
        self._told = now
        return changed

    def _more(self) -> dict[str, Any]:
        told, new = len(self.history), state.log_state(self.model, len(self.history))
        if not new and "more" in self._told:
            return dict(self._told["more"])
        self.history += new
        return {"from": told, "lines": new}

    def _laid_out(self, narrow: bool) -> None:
        self.model.on_bench.narrow = narrow
