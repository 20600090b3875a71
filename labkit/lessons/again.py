"""Questions of other lessons at the head of a lesson, because they are due to be asked again."""

from __future__ import annotations

from datetime import UTC, datetime
from html import escape
from pathlib import Path

import ipywidgets as widgets

from labkit.hunts.again import due
from labkit.hunts.kept import keep_answers
from labkit.hunts.progress import records_of
from labkit.lessons.lesson import Lesson
from labkit.lessons.order import title_of
from labkit.record import user
from labkit.widgets import Card
from labkit.widgets.cards import text


def asked_again(folder: Path, but: str, now: datetime | None = None) -> widgets.VBox | None:
    """Return cards of the questions that are due, or None where none is.

    Parameters
    ----------
    folder : Path
        Of the lessons.
    but : str
        Title of the lesson that is opened, whose own questions stand in it anyway.
    now : datetime, optional
    """
    waiting = [one for one in due(records_of(user()), now or datetime.now(UTC)) if one.title != but]
    if not waiting:
        return None
    lessons = {title_of(path.with_suffix(".ipynb")): path for path in folder.glob("*.toml")}
    made = []
    for one in waiting:
        asked = Lesson(lessons[one.title]).questions if one.title in lessons else {}
        for question in asked.values():
            if question.ask == one.ask:
                attempt, _ = keep_answers(one.title)
                made.append(widgets.HTML(text(f"<i>From '{escape(one.title)}'</i>")))
                made.append(Card(question, attempt))
    head = "<b>Asked again, since some days have gone by</b>"
    return widgets.VBox([widgets.HTML(text(head)), *made]) if made else None
