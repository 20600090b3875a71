"""A notebook as it is saved: pictures instead of views of widgets that end with their kernel."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from html import escape, unescape
from pathlib import Path
from typing import Any

from labkit.record import read_record, unfinished
from labkit.text.messages import CircuitError

_CARD = re.compile(r"<p><b>(?P<ask>[^<]*)</b></p><p>.*", re.DOTALL)
"""A question's card as it is stored: the question, then lines to fill in or what was said."""

WIDGET = "application/vnd.jupyter.widget-view+json"
"""A view of a widget, which without the kernel that made it is an error to look at."""

HOOK = "--ContentsManager.pre_save_hook=labkit.widgets.saved.without_views"
"""What tells a notebook server to call :func:`without_views`."""


def without_views(
    model: dict[str, Any], path: str = "", contents_manager: Any = None, **_: Any
) -> None:
    """Drop from a notebook about to be saved every view of a widget that left a picture beside it.

    ``labkit open`` has the notebook server call this, so that a notebook taken up another day
    shows benches and cards as they were drawn, and not that their kernel is gone. What its reader
    has answered so far stands on a lesson's cards.

    Parameters
    ----------
    model : dict
        What is saved, as the server describes it.
    path : str
        Of the notebook, below the server's folder.
    contents_manager : object, optional
        Knows that folder as `root_dir`.
    """
    if model["type"] != "notebook" or model.get("content") is None:
        return
    answered = _answers(Path(getattr(contents_manager, "root_dir", "")) / path)
    for cell in model["content"]["cells"]:
        for output in cell.get("outputs", ()):
            data = output.get("data", {})
            if "text/html" in data:
                data.pop(WIDGET, None)
                data["text/html"] = _filled_in("".join(data["text/html"]), answered)


def _answers(notebook: Path) -> dict[str, str]:
    """What this user answered last to each question of the lesson in a notebook, in words."""
    lesson = notebook.with_suffix(".toml")
    if not lesson.is_file():
        return {}
    try:
        title = tomllib.loads(lesson.read_text(encoding="utf-8"))["title"]
        records = [read_record(file) for file in unfinished(title, tell=lambda _: None)[:1]]
    except (OSError, KeyError, ValueError, CircuitError):
        return {}  # a save must not fail for it
    lines = [line for record in records for line in record.lines if line["kind"] == "answer"]
    return {str(line["ask"]): _in_words(line) for line in lines}


def _in_words(line: Mapping[str, Any]) -> str:
    said = [word[1] if isinstance(word, list) and len(word) == 2 else word for word in line["said"]]
    words = "; ".join(", ".join(w) if isinstance(w, list) else str(w) for w in said)
    return f"You answered: {words}. {'Right.' if line['right'] else 'Not yet.'}"


def _filled_in(html: str, answered: Mapping[str, str]) -> str:
    """A card as a worksheet, with what was answered where there are lines to fill in."""
    card = _CARD.fullmatch(html)
    if card is None or unescape(card["ask"]) not in answered:
        return html
    said = escape(answered[unescape(card["ask"])])
    return f"<p><b>{card['ask']}</b></p><p>{said}</p>"
