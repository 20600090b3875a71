"""The head of a lesson: sets the page, and keeps the reader's place when all cells are run."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import anywidget
import traitlets

from labkit.text.glossary import glossary

_HERE = Path(__file__).parent
_SAYS = "A lesson. Choose Run > Run All Cells, and its questions come to life."


class Head(anywidget.AnyWidget):  # type: ignore[misc]
    """Folds the code of a lesson away, sets lines to be read, and stays where the reader is.

    A notebook scrolls to its last cell when all are run; this puts the reader back until they
    move the page themselves. It also keeps letters typed at cards and benches from being taken
    for the notebook's commands, links to the lessons before and after, and puts the meaning of a
    trade word under it.

    Parameters
    ----------
    before, after : (str, str) or None
        File and title of the lessons beside this one.
    """

    _esm = "\n".join((_HERE / name).read_text(encoding="utf-8") for name in ("terms.js", "head.js"))
    _css = _HERE / "head.css"
    beside = traitlets.Dict().tag(sync=True)
    terms: Any = traitlets.List().tag(sync=True)

    def __init__(
        self, before: tuple[str, str] | None = None, after: tuple[str, str] | None = None
    ) -> None:
        beside = {"before": before, "after": after}
        super().__init__(
            beside={way: list(lesson) for way, lesson in beside.items() if lesson},
            terms=[[term.means, *term.forms] for term in glossary()],
        )

    def __repr__(self) -> str:
        return _SAYS

    def _repr_mimebundle_(self, **kwargs: Any) -> tuple[dict[str, Any], dict[str, Any]]:
        bundle, metadata = super()._repr_mimebundle_(**kwargs) or ({}, {})
        return {**bundle, "text/plain": _SAYS, "text/html": f"<p><i>{_SAYS}</i></p>"}, metadata
