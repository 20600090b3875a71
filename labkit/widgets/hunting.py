"""A whole hunt as one card: the complaint, the bench, naming the fault, proving the repair."""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from labkit.drawing import draw
from labkit.exercises.dealing import open_exercise
from labkit.exercises.sealed import unseal
from labkit.exercises.surveys import is_survey, load_survey
from labkit.hunts.hunt import Hunt
from labkit.hunts.kept import KeptHunt, keep_answers
from labkit.hunts.surveying import SurveyHunt
from labkit.questions.naming import HOW, part_options
from labkit.record import user
from labkit.widgets.cards import Card, text
from labkit.widgets.click import ClickBench
from labkit.widgets.plain_bench import PlainBench
from labkit.widgets.quiet import Quiet
from labkit.widgets.still import still

_LONGEST_PATH = 1024  # a box is longer [letters]


class HuntCard(widgets.VBox):  # type: ignore[misc]
    """A whole hunt: the complaint, the bench, naming the fault, proving the repair.

    Parameters
    ----------
    hunt : Hunt
    plain : bool
        Use lists and buttons for the bench instead of a drawing to click.
    """

    def __init__(self, hunt: Hunt, plain: bool = False) -> None:
        self.hunt = hunt
        exercise = hunt.exercise
        self.bench = (PlainBench if plain else ClickBench)(hunt.bench)
        self.part = widgets.Dropdown(options=self._parts(), description="Part")
        hunt.bench.watchers.append(lambda entry: self._found(entry.action))
        self._trouble = widgets.HTML()
        modes = [HOW, *((word, word) for word in hunt.question.modes)]
        self.mode = widgets.Dropdown(options=modes, description="How")
        self._said = widgets.HTML()
        super().__init__([
            widgets.HTML(_story(exercise)), self.bench,
            widgets.HBox([
                self.part, self.mode,
                self._button("Name it", lambda: self.hunt.name(self.part.value, self.mode.value)),
                self._button("Prove the repair", self.hunt.prove),
            ], layout={"flex_flow": "row wrap"}),
            self._said, self._trouble, *([] if plain else [Quiet()]),
        ])  # fmt: skip
        self.add_class("labkit-hunt")
        if isinstance(hunt, KeptHunt):
            hunt.attempt.tell = self._unkept

    def __repr__(self) -> str:
        return repr(self.hunt)

    def _repr_mimebundle_(self, **kwargs: Any) -> dict[str, Any]:
        bundle = super()._repr_mimebundle_(**kwargs)
        html = _story(self.hunt.exercise) + still(self.bench.model)
        return {**bundle, "text/plain": repr(self), "text/html": html}

    def _parts(self) -> tuple[tuple[str, str], ...]:
        return part_options(self.hunt.bench.drawn, self.hunt.bench.traced)

    def _found(self, action: str) -> None:
        """Offer the parts that following a run has brought to light."""
        if isinstance(self.hunt, KeptHunt) and not self.hunt.attempt.trouble:
            self._trouble.value = ""
        if action == "trace":
            chosen = self.part.value
            self.part.options = self._parts()
            self.part.value = chosen

    def _unkept(self, sentence: str) -> None:
        """Say on the card that what is done is not kept; whoever works here sees no log."""
        self._trouble.value = text(f"<b>Not kept.</b> {escape(sentence)}", "alert")

    def _button(self, text: str, act: Callable[[], Any]) -> Any:
        button = widgets.Button(description=text, layout={"width": "auto"})
        button.on_click(lambda _: self._after(act))
        return button

    def _after(self, act: Callable[[], Any]) -> None:
        made = act()
        self.bench.refresh()
        done = self.hunt.proven is not None and self.hunt.proven.ok
        self._said.value = said = text("Proven." if done else escape(made.text), "alert")
        if done:  # looking back takes seconds where many suspects have to be weighed
            from labkit.hunts.debrief import debrief

            self._said.value = said + text(debrief(self.hunt).html)


class SurveyCard(widgets.VBox):  # type: ignore[misc]
    """A survey: the boat, what may be wrong with it to tick, and a surveyor's words afterwards.

    Parameters
    ----------
    survey : SurveyHunt
    folder : Path, optional
        Where attempts are kept; :func:`labkit.record.records_folder` where not said.

    Attributes
    ----------
    card : Card
        The question.
    """

    def __init__(self, survey: SurveyHunt, folder: Path | None = None) -> None:
        self.survey = survey
        exercise, question = survey.exercise, survey.question
        attempt, lines = keep_answers(exercise.title, survey.name, folder)
        self.card = Card(question, attempt, [one for one in lines if one["kind"] == "answer"])
        self._drawn = draw(question.circuit, wires=True)._repr_mimebundle_()["text/html"]
        self._report = widgets.HTML()
        self.card.watchers.append(self._tell)
        super().__init__([
            widgets.HTML(_story(exercise)), widgets.HTML(self._drawn), self.card, self._report,
        ])  # fmt: skip
        self.add_class("labkit-hunt")
        if self.card.settled:
            self._tell()

    def __repr__(self) -> str:
        return repr(self.survey)

    def _repr_mimebundle_(self, **kwargs: Any) -> dict[str, Any]:
        bundle = super()._repr_mimebundle_(**kwargs)
        html = _story(self.survey.exercise) + self._drawn
        return {**bundle, "text/plain": repr(self), "text/html": html}

    def _tell(self) -> None:
        verdict, attempt = self.card.verdict, self.card.attempt
        if verdict is not None and verdict.right and attempt is not None:
            attempt.add("finished", minutes=0.0)
        said = f"<b>The surveyor wrote:</b> {escape(self.survey.report)}"
        self._report.value = text(said, "alert") if self.survey.report else ""


def hunt(file: str | Path, name: str = "", plain: bool = False) -> HuntCard | SurveyCard:
    """Begin the hunt of an exercise file or a survey, or go on with it where it was left.

    Parameters
    ----------
    file : str or Path
        An exercise, a file dealt to a learner, or the box in a notebook that was dealt sealed.
    name : str
        Whose hunt it is, which decides what is dealt; :func:`labkit.record.user` where not said.
    plain : bool
        Use lists and buttons for the bench instead of a drawing to click.
    """
    sealed = isinstance(file, str) and len(file) > _LONGEST_PATH
    if not sealed and is_survey(file):
        return SurveyCard(SurveyHunt(load_survey(file), name or user()))
    exercise = unseal(str(file)) if sealed else open_exercise(file)
    return HuntCard(KeptHunt(exercise, name), plain)


def _story(exercise: Any) -> str:
    seen = "".join(f"<li>{escape(text)}</li>" for text in exercise.seen)
    cautions = "".join(f"<li>{escape(text)}</li>" for text in exercise.cautions)
    return text(
        f"<h3>{escape(exercise.title)}</h3><blockquote>{escape(exercise.complaint)}</blockquote>"
        f"<p>What can be seen and heard:</p><ul>{seen}</ul>"
        f"<p><b>Cautions</b></p><ul>{cautions}</ul>"
    )
