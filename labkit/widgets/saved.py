"""A notebook as it is saved: pictures instead of views of widgets that end with their kernel."""

from __future__ import annotations

from typing import Any

WIDGET = "application/vnd.jupyter.widget-view+json"
"""A view of a widget, which without the kernel that made it is an error to look at."""

HOOK = "--ContentsManager.pre_save_hook=labkit.widgets.saved.without_views"
"""What tells a notebook server to call :func:`without_views`."""


def without_views(model: dict[str, Any], **_: Any) -> None:
    """Drop from a notebook about to be saved every view of a widget that left a picture beside it.

    ``labkit open`` has the notebook server call this, so that a notebook taken up another day
    shows benches and cards as they were drawn, and not that their kernel is gone.

    Parameters
    ----------
    model : dict
        What is saved, as the server describes it.
    """
    if model["type"] != "notebook" or model.get("content") is None:
        return
    for cell in model["content"]["cells"]:
        for output in cell.get("outputs", ()):
            data = output.get("data", {})
            if "text/html" in data:
                data.pop(WIDGET, None)
