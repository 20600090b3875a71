"""The bench as a drawing to click: leads on test points, switches, fuses, the meter beside it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import anywidget
import traitlets

from labkit.aboard.bench import Bench
from labkit.circuits.circuit import Circuit
from labkit.text.messages import counted
from labkit.widgets.plain_bench import PlainBench
from labkit.widgets.screen import Screen
from labkit.widgets.still import still

_HERE = Path(__file__).parent


class ClickBench(anywidget.AnyWidget):  # type: ignore[misc]
    """A bench to work at with mouse or keyboard.

    A click on a test point puts what is in hand there: the red lead and then the black one, and the
    meter reads; or the jumper or the test lamp, at two points; or the tool that takes a terminal
    apart. A click on a part operates it: a switch moves, a plug parts, a fuse comes out, a
    load is looked at. Everything else is done from the list below. Minutes are spent and logged;
    nothing is undone.

    Parameters
    ----------
    bench : Bench
    asks : mapping of str to callable, optional
        What else the page may ask for, such as to name what is wrong; see `naming`.
    about : str
        The load that is complained of, with whose sheet a large boat begins.

    Attributes
    ----------
    screen : Screen
        What the page is told.

    Examples
    --------
    >>> from labkit import load_circuit
    >>> from labkit.aboard.bench import Bench
    >>> ClickBench(Bench(load_circuit("exercises/circuits/washdown.toml")))
    <ClickBench 'Foredeck washdown pump of the ketch Dunlin': 0 acts, 0.0 min>
    """

    _esm = "\n".join(
        (_HERE / name).read_text(encoding="utf-8") for name in ("paper.js", "bench.js")
    )
    _css = _HERE / "bench.css"
    title = traitlets.Unicode().tag(sync=True)
    drawing = traitlets.Dict().tag(sync=True)
    meter = traitlets.Dict().tag(sync=True)
    said = traitlets.Dict().tag(sync=True)
    history: Any = traitlets.List().tag(sync=True)
    more = traitlets.Dict().tag(sync=True)
    offers: Any = traitlets.List().tag(sync=True)
    naming = traitlets.Dict().tag(sync=True)

    def __init__(
        self,
        bench: Bench,
        asks: Mapping[str, Callable[..., object]] | None = None,
        about: str = "",
    ) -> None:
        self.screen = Screen(bench, asks, about)
        self.model = self.screen.model
        super().__init__(title=bench.drawn.title)
        self.on_msg(lambda _, asked, __: self.handle(asked))
        self.refresh()

    def __repr__(self) -> str:
        bench = self.model.bench
        return (
            f"<ClickBench {self.title!r}: {counted(len(bench.log), 'act')}, {self.model.minutes}>"
        )

    def _repr_mimebundle_(self, **kwargs: Any) -> tuple[dict[str, Any], dict[str, Any]]:
        self.refresh()
        bundle, metadata = super()._repr_mimebundle_(**kwargs) or ({}, {})
        return {**bundle, "text/html": still(self.model)}, metadata

    def handle(self, asked: dict[str, Any]) -> None:
        """Do what the page asks for, and show what came of it; see :meth:`.Screen.handle`."""
        self.screen.handle(asked)
        self.refresh()

    def refresh(self) -> None:
        """Show the bench as it is now; needed only after acts in code."""
        with self.hold_sync():
            for name, told in self.screen.news().items():
                setattr(self, name, told)
            self.history = list(self.screen.history)

    def send_state(self, key: Any = None) -> None:
        """Tell the page. A page that has the log is told what is new of it, in `more`."""
        keys = {key} if isinstance(key, str) else key
        super().send_state(keys if keys is None else set(keys) - {"history"})


def bench(circuit: Circuit | Bench, plain: bool = False) -> ClickBench | PlainBench:
    """Show a bench to work at.

    Parameters
    ----------
    circuit : Circuit or Bench
        A boat, or a bench where something was done already.
    plain : bool
        Lists and buttons instead of a drawing to click, where scripts in a page cannot run.
    """
    where = circuit if isinstance(circuit, Bench) else Bench(circuit)
    return PlainBench(where) if plain else ClickBench(where)
