"""A whole hunt as one card: the complaint, the bench, naming the fault, proving the repair."""

from __future__ import annotations

import os
from collections.abc import Callable
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any

import ipywidgets as widgets

from labkit.aboard.acts import ACTS
from labkit.drawing import draw
from labkit.exercises.dealing import open_exercise
from labkit.exercises.exercise import Exercise
from labkit.exercises.sealed import unseal
from labkit.exercises.surveys import SurveyExercise
from labkit.hunts.hunt import Hunt
from labkit.hunts.kept import KeptHunt, keep_answers
from labkit.hunts.looked_back import cause, hazard_words, named_words, outcome
from labkit.hunts.surveying import SurveyHunt
from labkit.record import Attempt, user
from labkit.referee.door import Door
from labkit.referee.remote import RemoteHunt
from labkit.text.messages import CircuitError
from labkit.widgets.cards import Card, text
from labkit.widgets.click import ClickBench
from labkit.widgets.plain_bench import PlainBench
from labkit.widgets.quiet import Quiet
from labkit.widgets.state import name_options, naming_state
from labkit.widgets.still import still

if TYPE_CHECKING:
    from labkit.hunts.behind import Doubt  # it weighs readings, by numpy

_EXAM_OVER = "What you did is kept by the referee. It is looked back on when the exam is over."

_LONGEST_PATH = 1024  # a box is longer [letters]


class HuntCard(widgets.VBox):  # type: ignore[misc]
    """A whole hunt: the complaint, the bench, naming the fault, proving the repair.

    Beside a drawing to click, name and proof stand below the meter; beside lists and buttons, below
    the bench.

    Parameters
    ----------
    hunt : Hunt or RemoteHunt
        A hunt whose boat stands here, or one that a referee holds.
    plain : bool
        Use lists and buttons for the bench instead of a drawing to click.
    """

    def __init__(self, hunt: Hunt | RemoteHunt, plain: bool = False) -> None:
        self.plain = plain
        self._trouble = widgets.HTML()
        self._looked_back = widgets.HTML()
        self._doubted = widgets.HBox()
        super().__init__()
        self.add_class("labkit-hunt")
        self._begin(hunt)

    def __repr__(self) -> str:
        return repr(self.hunt)

    def _repr_mimebundle_(self, **kwargs: Any) -> dict[str, Any]:
        bundle = super()._repr_mimebundle_(**kwargs)
        html = _story(self.hunt.exercise) + still(self.bench.model) + self._looked_back.value
        return {**bundle, "text/plain": repr(self), "text/html": html}

    def _begin(self, hunt: Hunt | RemoteHunt) -> None:
        self.hunt = hunt
        self.said = ""
        self.bench: ClickBench | PlainBench
        story = widgets.HTML(_story(hunt.exercise))
        if self.plain:
            self.bench = PlainBench(hunt.bench, _about(hunt))
            below = self._plain_naming()
        else:
            asks: dict[str, Callable[..., object]] = {
                "name": self.name,
                "prove": self.prove,
                "hint": self.hint,
                "anew": self.anew,
            }
            self.bench = ClickBench(hunt.bench, asks, _about(hunt))
            below = [Quiet()]
        kept = hunt.attempt if isinstance(hunt, KeptHunt) else None
        handed = widgets.HTML(_hand_in(hunt.exercise, kept))
        self.children = [
            story,
            self.bench,
            self._trouble,
            *below,
            self._looked_back,
            self._doubted,
            handed,
        ]
        hunt.bench.watchers.append(lambda entry: self._found(entry.action))
        self._trouble.value = self._looked_back.value = ""
        self._doubted.children = ()
        if isinstance(hunt, KeptHunt):
            hunt.attempt.tell = self._unkept
        if self.proven:
            self.said = "Proven."
            self._look_back()
        self._show()

    @property
    def proven(self) -> bool:
        """Whether the repair is proven."""
        return self.hunt.proven is not None and self.hunt.proven.ok

    def name(self, part: str, mode: str) -> None:
        """Name what is wrong, and say what there is to say to it."""
        try:
            self.said = self.hunt.name(part, mode).text
        except CircuitError as error:  # a referee may not answer
            self.said = str(error)
        self._show()

    def prove(self) -> None:
        """Prove the repair; a hunt that is proven is looked back on."""
        try:
            proven = self.hunt.prove()
        except CircuitError as error:
            self.said = str(error)
            self._show()
            return
        self.said = f"Proven. {proven.text}" if proven.ok else proven.text
        self.bench.refresh()
        self._show()
        if proven.ok:
            self._look_back()

    def hint(self) -> None:
        """Show the next step of a hint, and what it cost."""
        if isinstance(self.hunt, RemoteHunt):
            return  # an exam gives none
        if not self.hunt.question.weighs:
            self.said = "Readings are not weighed here, so there are no hints."
            self._show()
            return
        found = self.hunt.hint()
        cost = f" ({found.minutes:.0f} min)" if found.step else ""
        self.said = f"Hint{cost}: {found.text}"
        self._show()

    def anew(self) -> None:
        """Begin the same hunt again, from the complaint."""
        self._begin(self.hunt.anew())

    def _look_back(self) -> None:
        """Look back, which takes seconds where many suspects have to be weighed."""
        if isinstance(self.hunt, RemoteHunt):
            self._looked_back.value = text(f"<p>{_EXAM_OVER}</p>")
            return
        if not self.hunt.question.weighs:
            self._looked_back.value = text(_unweighed(self.hunt))
            return
        from labkit.hunts.debrief import debrief

        found = debrief(self.hunt)
        self._looked_back.value = text(found.html)
        if found.doubt:
            self._ask_about(self.hunt, found.doubt)

    def _ask_about(self, hunt: Hunt, doubt: Doubt) -> None:
        """Ask whether the rule that a wrong name looks like was the learner's own."""
        held = hunt.owned.get(doubt.rule)
        if held is not None:
            noted = f"Noted: yes, {doubt.rule}." if held else "Noted: no, that was not why."
            self._doubted.children = (widgets.HTML(text(escape(noted), "status")),)
            return

        def owned(held: bool) -> None:
            hunt.own(doubt.rule, held)
            self._ask_about(hunt, doubt)

        ask = f"<b>Was that why you named '{escape(doubt.name)}': {escape(doubt.rule)}?</b>"
        self._doubted.children = (
            widgets.HTML(text(ask)),
            _button("Yes, that was why", lambda: owned(True)),
            _button("No", lambda: owned(False)),
        )

    def _show(self) -> None:
        """Show what can be named, and what was said to the last name or proof."""
        if isinstance(self.bench, ClickBench):
            self.bench.screen.naming = naming_state(self.hunt, self.said)
            self.bench.refresh()
            return
        parts, modes = name_options(self.hunt, self.part.value or "")
        for box, options in ((self.part, parts), (self.mode, modes)):
            chosen = box.value
            box.options = options
            if chosen in [value for _, value in options]:
                box.value = chosen
        self._said.value = text(escape(self.said), "alert")

    def _plain_naming(self) -> list[Any]:
        self.part = widgets.Dropdown(description="Part")
        self.mode = widgets.Dropdown(description="How")
        self._said = widgets.HTML()
        self.part.observe(lambda _: self._show(), "value")
        row = [
            self.part,
            self.mode,
            _button("Name it", lambda: self.name(self.part.value, self.mode.value)),
            _button("Prove the repair", self.prove),
            _button("Hint", self.hint),
        ]
        return [widgets.HBox(row, layout={"flex_flow": "row wrap"}), self._said]

    def _found(self, action: str) -> None:
        """Offer the parts that following a run has brought to light; forget what a repair ended."""
        if isinstance(self.hunt, KeptHunt) and not self.hunt.attempt.trouble:
            self._trouble.value = ""
        if ACTS[action].repairs:
            self.said = ""
        if ACTS[action].repairs or action == "trace":
            self._show()

    def _unkept(self, sentence: str) -> None:
        """Say on the card that what is done is not kept; whoever works here sees no log."""
        self._trouble.value = text(f"<b>Not kept.</b> {escape(sentence)}", "alert")


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
        super().__init__(
            [
                widgets.HTML(_story(exercise)),
                widgets.HTML(self._drawn + _fitted(survey)),
                self.card,
                self._report,
                widgets.HTML(_hand_in(exercise, attempt)),
            ]
        )
        self.add_class("labkit-hunt")
        if self.card.settled:
            self._tell()

    def __repr__(self) -> str:
        return repr(self.survey)

    def _repr_mimebundle_(self, **kwargs: Any) -> dict[str, Any]:
        bundle = super()._repr_mimebundle_(**kwargs)
        html = _story(self.survey.exercise) + self._drawn + _fitted(self.survey)
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
    exercise = unseal(str(file)) if sealed else open_exercise(file)
    if isinstance(exercise, SurveyExercise):
        return SurveyCard(SurveyHunt(exercise, name or user()))
    return HuntCard(KeptHunt(exercise, name), plain)


def exam(name: str = "", url: str = "", token: str = "", plain: bool = False) -> HuntCard:
    """Begin a hunt that a referee holds, or go on with it where it was left.

    Parameters
    ----------
    name : str
        Of the hunt; where not said, the one that was dealt.
    url : str
        Of the referee; what LABKIT_REFEREE says where not said.
    token : str
        Yours; where not said what LABKIT_TOKEN says, or a hub's.
    plain : bool
        Use lists and buttons for the bench instead of a drawing to click.

    Raises
    ------
    CircuitError
        If nobody answers, or there is nothing, or a choice of hunts.
    """
    where = url or os.environ.get("LABKIT_REFEREE", "")
    mine = token or os.environ.get("LABKIT_TOKEN") or os.environ.get("JUPYTERHUB_API_TOKEN", "")
    if not where or not mine:
        raise CircuitError(['say where the referee is: exam(url="http://...", token="...")'])
    door = Door(where, mine)
    hunts = [name] if name else door.hunts()
    if len(hunts) != 1:
        there = ", ".join(f'exam("{one}")' for one in hunts) or "you were dealt none"
        raise CircuitError([f"say which hunt: {there}"])
    return HuntCard(RemoteHunt(door, hunts[0]), plain)


def _fitted(survey: SurveyHunt) -> str:
    """What is printed on fuses and wires, beside what is drawn."""
    rows = "".join(
        f"<tr><td>{escape(id)}</td><td>{escape(drawn)}</td><td>{escape(found)}</td></tr>"
        for id, drawn, found in survey.fitted
    )
    head = "<tr><th></th><th>as drawn</th><th>as found aboard</th></tr>"
    return text(f"<table>{head}{rows}</table>")


def _hand_in(exercise: Any, attempt: Attempt | None) -> str:
    """Which file a learner hands in of what was dealt; a hub keeps it where it is marked."""
    dealt = isinstance(exercise, Exercise | SurveyExercise) and exercise.learner
    if not dealt or attempt is None or "JUPYTERHUB_USER" in os.environ:
        return ""
    file = f"<code>{escape(str(attempt.path))}</code>"
    return text(f'<p style="overflow-wrap:anywhere">What you do is kept; hand in {file}</p>')


def _about(hunt: Hunt | RemoteHunt) -> str:
    """The load that is to work again; a referee does not tell which."""
    return hunt.exercise.proof.load if isinstance(hunt, Hunt) else ""


def _story(exercise: Any) -> str:
    seen = "".join(f"<li>{escape(text)}</li>" for text in exercise.seen)
    cautions = "".join(f"<li>{escape(text)}</li>" for text in exercise.cautions)
    return text(
        f"<h3>{escape(exercise.title)}</h3><blockquote>{escape(exercise.complaint)}</blockquote>"
        f"<p>What can be seen and heard:</p><ul>{seen}</ul>"
        f"<p><b>Cautions</b></p><ul>{cautions}</ul>"
    )


def _unweighed(hunt: Hunt) -> str:
    """What there is to say of a hunt where no readings are weighed."""
    said = (outcome(hunt), named_words(hunt, 0), hazard_words(hunt), cause(hunt), str(hunt.bill))
    return "".join(f"<p>{escape(one)}</p>" for one in said if one)


def _button(words: str, act: Callable[[], object]) -> Any:
    button = widgets.Button(description=words, layout={"width": "auto"})
    button.on_click(lambda _: act())
    return button
