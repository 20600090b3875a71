"""Hunts by what they practise: those of the instructor's folder, and those of the course."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, NamedTuple

import ipywidgets as widgets

from labkit.desk.outcomes import all_outcomes
from labkit.exercises.exercise import Exercise
from labkit.exercises.files import load
from labkit.hunts.played import trials
from labkit.text.files import write
from labkit.text.messages import CircuitError
from labkit.text.plain_file import is_there
from labkit.text.toml_file import read_toml

_LABEL = {"description_width": "7em"}


class _Hunt(NamedTuple):
    title: str
    practises: set[str]
    own: bool


class FindTab(widgets.VBox):  # type: ignore[misc]
    """Find a hunt by its outcome; one of the course is copied into the folder to be changed.

    Parameters
    ----------
    folder : Path
        The instructor's own.
    course : Path, optional
        Where the course's exercises lie.
    files : callable
        Returns the names of the folder's files.
    take : callable
        Opens one of them.

    Attributes
    ----------
    outcome : Dropdown
        What is to be practised.
    found : Select
        The hunts that practise it, by their files.
    """

    def __init__(
        self,
        folder: Path,
        course: Path | None,
        files: Callable[[], list[str]],
        take: Callable[[str], object],
    ) -> None:
        self.folder, self.course, self._files, self._take = folder, course, files, take
        self.outcome = widgets.Dropdown(
            description="Practises",
            style=_LABEL,
            layout={"width": "min(100%, 34em)"},
            options=["any"],
        )
        self.found = widgets.Select(layout={"width": "min(100%, 60em)", "height": "14em"})
        self._hunts: Mapping[Path, _Hunt] = {}
        self.outcome.observe(lambda _: self._narrow(), "value")
        row = {"flex_flow": "row wrap", "align_items": "center"}
        super().__init__(
            [
                widgets.HBox(
                    [_button("Go through all hunts", self.survey), self.outcome], layout=row
                ),
                self.found,
                widgets.HBox([_button("Open it; one of the course as a copy", self.take)]),
            ]
        )

    def survey(self) -> None:
        """Work out what each hunt practises."""
        own = [self.folder / name for name in self._files()]
        shipped = sorted(self.course.glob("*.toml")) if self.course else []
        found = {}
        for path in (*own, *shipped):
            try:
                loaded = load(path)
            except CircuitError:
                continue  # it says what is wrong with it when it is opened
            if isinstance(loaded, Exercise):
                found[path] = _Hunt(loaded.title, all_outcomes(loaded), path in own)
        self._hunts = found
        every = sorted(set().union(*(hunt.practises for hunt in found.values())))
        self.outcome.options = ["any", *every]
        self._narrow()

    def _narrow(self) -> None:
        wanted, played = self.outcome.value, trials()
        rows = [
            (not hunt.own, played[hunt.title].level if hunt.title in played else 0, hunt, path)
            for path, hunt in self._hunts.items()
            if wanted == "any" or wanted in hunt.practises
        ]
        self.found.options = [
            (
                f"{'yours' if hunt.own else f'level {level}' if level else 'course'}: "
                f"{hunt.title} ({', '.join(sorted(hunt.practises))})",
                path,
            )
            for _, level, hunt, path in sorted(rows, key=lambda row: (row[0], row[1], row[2].title))
        ]

    def take(self) -> None:
        """Open the hunt that is chosen; what is in the folder already is never written over."""
        path = self.found.value
        if path is None:
            return
        if not self._hunts[path].own:
            circuit = str(read_toml(path)["circuit"])
            for name in (circuit, path.name):
                if not is_there(self.folder / name):
                    write(self.folder / name, (path.parent / name).read_bytes())
            path = self.folder / path.name
        self._take(path.relative_to(self.folder).as_posix())


def _button(words: str, act: Callable[[], object]) -> Any:
    button = widgets.Button(description=words, layout={"width": "auto"})
    button.on_click(lambda _: act())
    return button
