"""Cards in a notebook: a question, something to answer it with, what is said to the answer.

Each shows a question of :mod:`labkit.questions`. The same is done in code with `answer`, which
takes what the question's `grade` takes.
"""

from __future__ import annotations

import asyncio
from collections.abc import Collection, Iterable, Sequence
from html import escape
from typing import Any, ClassVar

import ipywidgets as widgets
from IPython import get_ipython

from labkit.circuits.circuit import NEGATIVE, Circuit, visible_parts
from labkit.diagnosis.faults import describe
from labkit.drawing import draw
from labkit.hunts.kept import keep_answers
from labkit.measuring.meter import FUNCTIONS
from labkit.questions import (
    Cause,
    Choose,
    NameFault,
    Predict,
    PredictBoth,
    Remains,
    Repair,
    Separate,
    Verdict,
)
from labkit.record import Attempt
from labkit.widgets.offers import positions_of
from labkit.widgets.places import named, places

HOW = ("how?", "")
_MARKS = {True: "✓ Right.", False: "✗ Not yet.", None: "…"}
_WIDE = {"width": "min(100%, 30em)"}
_LABELS = {"description_width": "initial"}
_STYLE = (  # answers longer than a line take two; ipywidgets gives them the height of one
    "<style>.labkit-card :is(.widget-radio-box,.widget-checkbox) label"
    "{height:auto;line-height:1.4;white-space:normal;margin-bottom:.3em}"
    ".labkit-card .widget-radio-box label"
    "{display:flex;flex-direction:row-reverse;justify-content:flex-end;align-items:flex-start}"
    ".labkit-card .widget-checkbox{height:auto}</style>"
)
_LETTERS = 0.2  # by then the last letters typed have come, too [s]
_NUMBER = "a number and its unit, such as 3.5 V"


class Card(widgets.VBox):  # type: ignore[misc]
    """A question, something to answer it with, and what is said to the answer.

    On paper, and wherever widgets are dead, `blank` stands for what it is answered with.

    Attributes
    ----------
    question : object
        Of :mod:`labkit.questions`.
    verdict : Verdict or None
        The last one.
    attempt : Attempt or None
        Where the answers to all cards are kept; see :func:`keep`.
    """

    attempt: ClassVar[Attempt | None] = None

    def __init__(self, question: Any, *inputs: Any, blank: Sequence[str]) -> None:
        self.question = question
        self.verdict: Verdict | None = None
        self._ask, self._blank = question.ask, blank
        self._said = widgets.HTML()
        super().__init__([
            widgets.HTML(_STYLE + text(f"<b>{escape(self._ask)}</b>")), *inputs, self._said,
        ], layout={"max_width": "44em", "margin": "0.6em 0"})  # fmt: skip
        self.add_class("labkit-card")

    def __repr__(self) -> str:
        return f"{self._ask} [{self.verdict if self.verdict else 'not answered yet'}]"

    def _repr_mimebundle_(self, **kwargs: Any) -> dict[str, Any]:
        bundle = super()._repr_mimebundle_(**kwargs)
        blank = "<br>".join(map(escape, self._blank))
        said = f"<p>{escape(str(self.verdict))}</p>" if self.verdict else ""
        html = f"<p><b>{escape(self._ask)}</b></p><p>{blank}</p>{said}"
        return {**bundle, "text/plain": repr(self), "text/html": html}

    def answer(self, *args: Any, **named: Any) -> Verdict:
        """Answer, as the button does: with what the question's `grade` takes."""
        verdict: Verdict = self.question.grade(*args, **named)
        self.verdict = verdict
        if self.attempt is not None and verdict.right is not None:
            self.attempt.add(
                "answer", ask=self._ask, said=[*args, *named.items()], right=verdict.right,
                misconception=verdict.misconception,
            )  # fmt: skip
        mark = _MARKS[verdict.right]
        self._said.value = text(f"<b>{mark}</b> {escape(verdict.text)}", "alert")
        return verdict


def keep(lesson: str, name: str = "") -> Attempt:
    """Keep the answers to all cards from here on.

    Parameters
    ----------
    lesson : str
        Title they are kept under.
    name : str
        The learner's; :func:`labkit.record.user` where not said.
    """
    Card.attempt = keep_answers(lesson, name)
    return Card.attempt


class _FormCard(Card):
    """A card whose fields are answered together, with a button or the Enter key."""

    def __init__(self, question: Any, *fields: Any, blank: Sequence[str]) -> None:
        self.fields = fields
        self.button = widgets.Button(description="Commit", layout={"width": "auto"})
        self.button.on_click(lambda _: self._entered())
        for field in fields:
            field.on_msg(lambda _, said, __: self._told(said))
        row = {"flex_flow": "row wrap", "align_items": "flex-end"}
        super().__init__(question, widgets.HBox([*fields, self.button], layout=row), blank=blank)

    def commit(self) -> Verdict:
        """Answer with what the fields hold."""
        return self.answer(*(field.value for field in self.fields))

    def _told(self, said: dict[str, Any]) -> None:
        if said.get("event") == "submit":
            self._entered()

    def _entered(self) -> None:
        """The Enter key or the button, which may overtake the last letters typed."""
        if get_ipython() is None:  # no kernel, no typing
            self.commit()
        else:
            asyncio.get_running_loop().call_later(_LETTERS, self.commit)


class PredictCard(_FormCard):
    """Predict what the meter will show, before it is shown.

    Parameters
    ----------
    question : Predict
    """

    def __init__(self, question: Predict) -> None:
        blank = ["I expect ____________ (a number and its unit)"]
        super().__init__(question, _line("I expect"), blank=blank)


class PredictBothCard(_FormCard):
    """Predict what the meter will show without the load and with it.

    Parameters
    ----------
    question : PredictBoth
    """

    def __init__(self, question: PredictBoth) -> None:
        blank = ["load off ____________", "load on ____________ (numbers and units)"]
        super().__init__(question, _line("load off"), _line("load on"), blank=blank)


class ChooseCard(Card):
    """Choose one of several answers.

    Parameters
    ----------
    question : Choose or Cause
    """

    def __init__(self, question: Choose | Cause) -> None:
        self.choice = _radio(question.answers)
        self.choice.observe(lambda change: self.answer(change.new), "value")
        super().__init__(question, self.choice, blank=_boxes(question.answers))


class RepairCard(_FormCard):
    """Choose a repair, and the proof of it.

    Parameters
    ----------
    question : Repair
    """

    def __init__(self, question: Repair) -> None:
        blank = [*_boxes(question.repairs), "Proven:", *_boxes(question.proofs)]
        super().__init__(
            question, _radio(question.repairs, "I do"), _radio(question.proofs, "and prove it"),
            blank=blank,
        )  # fmt: skip


class RemainsCard(_FormCard):
    """Tick the suspects that remain.

    Parameters
    ----------
    question : Remains
    """

    def __init__(self, question: Remains) -> None:
        says = [describe(suspect, question.circuit) for suspect in question.suspects]
        ticks = [
            widgets.Checkbox(description=words, indent=False, layout={"width": "100%"})
            for words in says
        ]
        super().__init__(question, *ticks, blank=_boxes(says))

    def commit(self) -> Verdict:
        """Answer with the suspects ticked."""
        ticked = zip(self.question.suspects, self.fields, strict=True)
        return self.answer([suspect for suspect, tick in ticked if tick.value])


class SeparateCard(_FormCard):
    """Put the leads, set the meter and the switches so that two suspects are told apart.

    Parameters
    ----------
    question : Separate
    """

    def __init__(self, question: Separate) -> None:
        circuit = question.circuit
        spots = places(circuit, (), draw(circuit))
        points = [(spot.label, spot.key) for spot in spots]
        bus = next(s.key for s in spots if circuit.node_of[s.key] == NEGATIVE)
        self.switches = {
            id: _list(named(circuit.parts[id]), positions_of(circuit.parts[id]), position)
            for id, position in circuit.positions.items()
            if not circuit.parts[id].hidden
        }
        fields = (
            _list("Red lead", points), _list("Black lead", points, bus), _list("Meter", FUNCTIONS),
        )  # fmt: skip
        blank = [
            "red ______  black ______  meter ______",
            *(f"{id} ______" for id in self.switches),
        ]
        super().__init__(question, *fields, *self.switches.values(), blank=blank)

    def commit(self) -> Verdict:
        """Answer with where the leads are, and how the switches stand."""
        positions = {id: box.value for id, box in self.switches.items()}
        return self.answer(*(box.value for box in self.fields[:3]), **positions)


class NameCard(_FormCard):
    """Name the part at fault and how it failed.

    Parameters
    ----------
    question : NameFault
    """

    def __init__(self, question: NameFault) -> None:
        parts = part_choices(question.dealt.circuit)
        modes = [HOW, *((word, word) for word in question.modes)]
        blank = ["part ____________  how ____________"]
        super().__init__(question, _list("Part", parts), _list("How", modes), blank=blank)


def part_choices(circuit: Circuit, traced: Collection[str] = ()) -> list[tuple[str, str]]:
    """Parts to choose from, those that nobody drew only once they were found."""
    return [("which part?", ""), *((named(p), p.id) for p in visible_parts(circuit, traced))]


def text(html: str, role: str = "none") -> str:
    """Text as close as the page's own; ipywidgets spaces its lines for one-line controls.

    What is put in when an answer is given is an alert: a screen reader says it then.
    """
    return f'<div role="{role}" style="line-height:1.5">{html}</div>'


def _line(label: str) -> Any:
    return widgets.Text(
        description=label, placeholder=_NUMBER, layout={"width": "min(100%, 26em)"}, style=_LABELS
    )


def _list(label: str, options: Iterable[Any], value: str | None = None) -> Any:
    box = widgets.Dropdown(description=label, options=list(options), layout=_WIDE, style=_LABELS)
    if value is not None:
        box.value = value
    return box


def _radio(options: Iterable[str], label: str = "") -> Any:
    return widgets.RadioButtons(
        options=list(options), value=None, description=label, style=_LABELS,
        layout={"width": "max-content", "max_width": "100%"},
    )  # fmt: skip


def _boxes(options: Iterable[str]) -> list[str]:
    return [f"☐ {option}" for option in options]
