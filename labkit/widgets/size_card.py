"""Which wire and which fuse: a form that answers as it is filled in."""

from __future__ import annotations

from html import escape
from typing import Any

import ipywidgets as widgets

from labkit.survey.asked import wanted_from
from labkit.survey.sizing import sentences, size
from labkit.text.messages import CircuitError

_FIELDS = (
    ("current", "Current", "5 A"),
    ("length", "Length, one way", "6 m"),
    ("system", "System", "12 V"),
    ("drop", "May be lost", "3 %"),
    ("insulation", "Insulation stands", "105 C"),
    ("fuse", "Fuse, if it is there", ""),
)
_LABELS = {"description_width": "initial"}
_WIDE = {"width": "min(100%, 22em)"}


class SizeCard(widgets.VBox):  # type: ignore[misc]
    """A form for what a wire is to do; below it, the wire, the fuse and the rules.

    Parameters
    ----------
    **texts
        What stands in it at first, such as ``current="7 A"``; a number alone takes its unit.
    """

    def __init__(self, **texts: str) -> None:
        known = [key for key, _, _ in _FIELDS]
        if strange := [key for key in texts if key not in known]:
            raise CircuitError([f"no field '{strange[0]}'; there are {', '.join(known)}"])
        self.boxes = {
            key: widgets.Text(
                value=texts.get(key, usual),
                description=label,
                style=_LABELS,
                layout=_WIDE,
                continuous_update=False,
            )
            for key, label, usual in _FIELDS
        }
        self.bundle = widgets.BoundedIntText(
            value=1, min=1, max=200, description="Wires in the bundle", style=_LABELS, layout=_WIDE
        )
        self.engine_space = widgets.Checkbox(description="In an engine space", indent=False)
        self.says = widgets.HTML()
        inputs = [*self.boxes.values(), self.bundle, self.engine_space]
        super().__init__([*inputs, self.says])
        for one in inputs:
            one.observe(lambda _: self.refresh(), "value")
        self.refresh()

    def __repr__(self) -> str:
        return "\n".join(self.lines)

    def _repr_mimebundle_(self, **kwargs: Any) -> dict[str, Any]:
        bundle = super()._repr_mimebundle_(**kwargs)
        return {**bundle, "text/plain": repr(self), "text/html": self._html()}

    @property
    def lines(self) -> list[str]:
        """The answer, or what cannot be read."""
        texts = {key: box.value for key, box in self.boxes.items()}
        missing = [label for key, label, _ in _FIELDS[:2] if not texts[key].strip()]
        if missing:
            return [f"Write the {missing[0].lower()}."]
        try:
            found = size(wanted_from(texts, self.bundle.value, self.engine_space.value, bare=True))
        except CircuitError as error:
            return error.problems
        return [*sentences(found), *found.sources]

    def refresh(self) -> None:
        """Answer what stands in the form now."""
        self.says.value = f'<div role="status">{self._html()}</div>'

    def _html(self) -> str:
        first, *rest = self.lines
        said = f"<p><b>{escape(first)}</b></p>"
        return said + "".join(f"<p>{escape(line)}</p>" for line in rest)
