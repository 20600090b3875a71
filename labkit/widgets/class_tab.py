"""The class at the instructor's desk: names, what is dealt and printed for them, and marks."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from labkit.text.files import write
from labkit.text.plain_file import text_of
from labkit.text.toml_file import LARGEST_FILE
from labkit.widgets.cards import text

CLASS, RUBRIC = "class.txt", "rubric.toml"
"""Where the names of the class are kept, one a line; what gives points, where it is there."""

MARKS, PAGE = "marks.csv", "class.html"
"""What marks are written to."""

_LABEL = {"description_width": "7em"}


class ClassTab(widgets.VBox):  # type: ignore[misc]
    """Deal to a class, print for it, and mark what it handed in.

    Parameters
    ----------
    folder : Path
        The instructor's.
    run : callable
        Runs a command, shows what it prints, and returns that.
    file : callable
        Returns the exercise that is open, or None.

    Attributes
    ----------
    names : Textarea
        The class, a name on each line.
    attempts : Text
        Folders below the instructor's own, a comma between: where attempts are handed in.
    since, until : Text
        The first and the last day of the term, such as 2026-09-01.
    """

    def __init__(
        self,
        folder: Path,
        run: Callable[..., str],
        file: Callable[[], Path | None],
    ) -> None:
        self.folder, self._run, self._file = folder, run, file
        listed = folder / CLASS
        there = text_of(listed, LARGEST_FILE) if listed.is_file() else ""
        self.names = widgets.Textarea(
            value=there,
            placeholder="a name on each line",
            layout={"width": "20em", "height": "11em"},
        )
        self.again = widgets.Checkbox(description="Replace files that are there", indent=False)
        self.attempts = _box("Handed in to", "attempts", "last year's too: attempts, last-year")
        self.since = _box("Begun since", "", "2026-09-01")
        self.until = _box("until", "", "2027-01-31")
        self.page = widgets.HTML()
        dealt, exam, sheets = (str(folder / name) for name in ("dealt", "exam", "sheets"))
        buttons = [
            _button("Who has what", lambda: self.for_class("deal")),
            _button(
                "Deal notebooks, sealed (dealt)",
                lambda: self.for_class("deal", after=["--sealed", "--to", dealt]),
            ),
            _button(
                "Deal for an exam (exam)", lambda: self.for_class("deal", after=["--to", exam])
            ),
            _button(
                "A page for each (sheets)", lambda: self.for_class("sheet", after=["-o", sheets])
            ),
            self.again,
        ]
        marks = [
            self.attempts,
            self.since,
            self.until,
            _button(f"Marks ({MARKS}, {PAGE})", self.mark),
        ]
        columns = [self.names, widgets.VBox(buttons), widgets.VBox(marks)]
        super().__init__([widgets.HBox(columns, layout={"flex_flow": "row wrap"})])

    def for_class(self, *words: str, after: Sequence[str] = ()) -> None:
        """Keep the names of the class, and run a command on the file that is open for them."""
        again = ["--overwrite"] if self.again.value and after else []
        self.page.value = ""
        if file := self._file():
            self._run(*words, str(file), "--class", str(self._listed()), *after, *again)

    def mark(self) -> None:
        """Mark what the class handed in: on the card, as a table for a grade book, as a page."""
        page, rubric = self.folder / PAGE, self.folder / RUBRIC
        named = [name.strip() for name in self.attempts.value.split(",")]
        days = [("--since", self.since.value.strip()), ("--until", self.until.value.strip())]
        shown = self._run(
            "marks",
            *(str(self.folder / name) for name in named if name),
            "--exercises",
            str(self.folder),
            *(["--class", str(self._listed())] if self.names.value.strip() else []),
            *(word for option, day in days if day for word in (option, day)),
            *(["--rubric", str(rubric)] if rubric.is_file() else []),
            "--csv",
            str(self.folder / MARKS),
            "--page",
            str(page),
            "--overwrite",
        )
        written = text_of(page, LARGEST_FILE) if f"wrote {page}" in shown else ""
        frame = f'<iframe title="The class" srcdoc="{escape(written)}" style="{_FRAME}"></iframe>'
        self.page.value = text(frame) if written else ""

    def _listed(self) -> Path:
        """Where the names are kept, as they stand on the card."""
        listed = self.folder / CLASS
        write(listed, self.names.value.strip() + "\n")
        return listed


_FRAME = "width:100%;height:34em;border:0;resize:vertical"


def _box(label: str, value: str, hint: str) -> Any:
    return widgets.Text(
        value=value,
        description=label,
        placeholder=hint,
        tooltip=hint,
        style=_LABEL,
        layout={"width": "22em"},
    )


def _button(words: str, act: Callable[[], object]) -> Any:
    button = widgets.Button(description=words, layout={"width": "auto"})
    button.on_click(lambda _: act())
    return button
