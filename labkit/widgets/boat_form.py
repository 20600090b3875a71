"""A boat of one's own described in a form, the drawing growing beside it."""

from __future__ import annotations

import tomllib
from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from labkit.circuits.circuit_file import circuit_from
from labkit.drawing import draw
from labkit.jobs.interview import Question, answered, next_question, template
from labkit.text.files import write
from labkit.text.messages import CircuitError
from labkit.text.picture import img
from labkit.text.plain_file import text_of
from labkit.widgets.quiet import Quiet

_LARGEST = 256 * 1024
_STYLE = (  # the question stands above its box, and takes the lines it needs
    "<style>.labkit-form .widget-text{flex-direction:column;align-items:flex-start;height:auto;"
    "margin-bottom:.5em}.labkit-form .widget-text .widget-label{width:auto;height:auto;"
    "white-space:normal;text-align:left;line-height:1.35;margin-bottom:.2em}"
    ".labkit-form .widget-text input{width:min(100%,16em);flex:none}</style>"
)


class BoatForm(widgets.VBox):  # type: ignore[misc]
    """What a template leaves open, a box for each; the file is written after every answer.

    A box left empty means 'not known': the usual figure is taken, as one in doubt.

    Parameters
    ----------
    file : str or Path
        The circuit file to write; one that is there is continued.
    start : str
        The template to begin from.
    *answers : str
        The first ones, such as "F2 rating 10 A".
    """

    def __init__(self, file: str | Path, start: str = "panel", *answers: str) -> None:
        self.file = Path(file)
        there = self.file.is_file()
        self._base = text_of(self.file, _LARGEST) if there else template(start)
        self.questions = _questions(self._base)
        self.answers: dict[tuple[str, str], str] = {}
        self._boxes: dict[tuple[str, str], Any] = {}
        self._problem = ""
        self.picture, self.says = widgets.HTML(), widgets.HTML()
        rows = [self._row(question) for question in self.questions]
        left = {"flex": "1 1 20em", "min_width": "0"}
        right = {"flex": "2 1 24em", "min_width": "0", "overflow": "auto"}
        super().__init__(
            [
                widgets.HTML(_STYLE),
                widgets.HBox(
                    [
                        widgets.VBox(rows, layout=left),
                        widgets.VBox([self.picture], layout=right, tabbable=True),  # it may scroll
                    ],
                    layout={"flex_flow": "row wrap", "align_items": "flex-start"},
                ),
                self.says,
                Quiet(),
            ]
        )
        self.add_class("labkit-form")
        self.add_class("labkit-card")
        for text in answers:
            self.answer(text)
        self._show("Leave empty what you do not know.")
        if not there and not answers:
            write(self.file, self._base)

    def _row(self, question: Question) -> Any:
        box = widgets.Text(
            description=question.text,
            placeholder="not known",
            continuous_update=False,
            layout={"width": "100%"},
        )
        key = question.part, question.key
        box.observe(lambda _, key=key: self._typed(key), "value")
        self._boxes[key] = box
        return box

    def __repr__(self) -> str:
        lines = [
            f"{q.part} {q.key}: {self.answers.get((q.part, q.key), 'not known')}"
            for q in self.questions
        ]
        return "\n".join([f"{self.file.name}: {self.circuit.title}", *lines])

    def _repr_mimebundle_(self, **kwargs: Any) -> dict[str, Any]:
        bundle = super()._repr_mimebundle_(**kwargs)
        rows = "".join(
            f"<li>{escape(q.text)}: {escape(self.answers.get((q.part, q.key), '________'))}</li>"
            for q in self.questions
        )
        html = f"<ul>{rows}</ul>{self.picture.value}"
        return {**bundle, "text/plain": repr(self), "text/html": html}

    @property
    def text(self) -> str:
        """The boat's file as it stands."""
        made = self._base
        for question in reversed(self.questions):
            answer = self.answers.get((question.part, question.key))
            made = answered(made, question, answer) if answer else made
        return made

    @property
    def circuit(self) -> Any:
        """The boat as it stands."""
        return circuit_from(tomllib.loads(self.text))

    def answer(self, text: str) -> None:
        """Answer one question: part, key and value, such as "F2 rating 10 A".

        Raises
        ------
        CircuitError
            If it is none that is open, or cannot be right; the file stays as it was.
        """
        part, _, rest = text.strip().partition(" ")
        key, _, value = rest.partition(" ")
        if (part, key) not in self._boxes:
            known = ", ".join(f"{q.part} {q.key}" for q in self.questions)
            raise CircuitError(
                [f'answer "{text}": does not answer an open question; there are {known}']
            )
        self._problem = ""
        self._boxes[part, key].value = value
        if self._problem:
            raise CircuitError([f'answer "{text}": {self._problem}'])

    def _typed(self, key: tuple[str, str]) -> None:
        before = self.answers.pop(key, None)
        value = str(self._boxes[key].value).strip()
        if value and value != "?":
            self.answers[key] = value
        try:
            made = self.text
        except CircuitError as error:
            del self.answers[key]
            if before:
                self.answers[key] = before
            self._problem = error.problems[0]
            self._show(self._problem, bad=True)
            return
        write(self.file, made)
        left = len(self.questions) - len(self.answers)
        self._show(f"{self.file.name} is written; {left} of {len(self.questions)} are left open.")

    def _show(self, text: str, bad: bool = False) -> None:
        circuit = self.circuit
        drawing = draw(circuit)
        alt = f"{drawing.title}. {drawing.description}"
        self.picture.value = img(drawing.svg, alt, drawing.width)
        mark = "<b>✗</b> " if bad else ""
        self.says.value = f'<p role="{"alert" if bad else "status"}">{mark}{escape(text)}</p>'


def _questions(text: str) -> list[Question]:
    found: list[Question] = []
    place = 0
    while (question := next_question(text, place)) is not None:
        found.append(question)
        place = question.end
    return found
