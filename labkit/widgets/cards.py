"""Cards in a notebook: a question, something to answer it with, what is said to the answer."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Mapping, Sequence
from html import escape
from typing import Any, ClassVar

import ipywidgets as widgets
from IPython import get_ipython
from traitlets import TraitError

from labkit.hunts.kept import keep_answers
from labkit.questions import Verdict
from labkit.questions.fields import OneOf, Question
from labkit.record import Attempt
from labkit.widgets.entry import blank, made

_MARKS = {True: "✓ Right.", False: "✗ Not yet.", None: "…"}
_STYLE = (  # answers longer than a line take two; ipywidgets gives them the height of one
    "<style>.labkit-card :is(.widget-radio-box,.widget-checkbox) label"
    "{height:auto;line-height:1.4;white-space:normal;margin-bottom:.3em}"
    ".labkit-card .widget-radio-box label"
    "{display:flex;flex-direction:row-reverse;justify-content:flex-end;align-items:flex-start}"
    ".labkit-card .widget-checkbox{height:auto}"
    ".labkit-card .labkit-step"
    "{height:auto;line-height:1.4;padding:.3em .6em;white-space:normal;text-align:left}</style>"
)
_LETTERS = 0.2  # by then the last letters typed have come, too [s]
_PATIENCE = 2
"""So many wrong answers, and what is right is told."""


Former = Sequence[Mapping[str, Any]]
"""Lines of an attempt, each an answer or that it was shown."""


class Card(widgets.VBox):  # type: ignore[misc]
    """A question, something to answer it with, and what is said to the answer.

    A first wrong answer is met with a hint, a second with what is right and why; so is the button
    'Show me', which is there once an answer was wrong. The same is done in code with `answer`,
    which takes what the question's `grade` takes. On paper, and wherever widgets are dead, lines to
    fill in stand for the fields.

    Parameters
    ----------
    question : Question
        Of :mod:`labkit.questions`.
    attempt : Attempt, optional
        Where its answers are kept; where those of all cards are, if not said.
    former : sequence of mapping
        Answers kept there already.

    Attributes
    ----------
    verdict : Verdict or None
        The last one.
    settled : bool
        Whether what is right may be seen: it was answered rightly, wrongly twice, or asked for.
    watchers : list of callable
        Called once, when the card settles.
    attempt : Attempt or None
        Where the answers to all cards are kept; see :func:`keep`.
    """

    attempt: ClassVar[Attempt | None] = None
    former: ClassVar[Mapping[str, Sequence[Mapping[str, Any]]]] = {}

    def __init__(
        self, question: Question, attempt: Attempt | None = None, former: Former = ()
    ) -> None:
        self.question = question
        if attempt is not None:
            self.attempt, self.former = attempt, {question.ask: former}  # type: ignore[misc]
        self.verdict: Verdict | None = None
        self.settled = False
        self.watchers: list[Callable[[], object]] = []
        self._misses = 0
        self._ask = question.ask
        asked = question.fields
        self._blank = [line for field in asked for line in blank(field)]
        self.fields = [made(field) for field in asked]
        self._names = [field.name if isinstance(field, OneOf) else "" for field in asked]
        self._said = widgets.HTML()
        self.button = _button("Commit", self._entered)
        self.show_me = _button("Show me", self.show)
        self.show_me.layout.display = "none"
        self._at_once = len(asked) == 1 and isinstance(asked[0], OneOf)
        buttons = [self.show_me] if self._at_once else [self.button, self.show_me]
        row = {"flex_flow": "row wrap", "align_items": "flex-end", "grid_gap": "0 1em"}
        super().__init__(
            [
                widgets.HTML(_STYLE + text(f"<b>{escape(self._ask)}</b>")),
                widgets.HBox([*self.fields, *buttons], layout=row),
                self._said,
            ],
            layout={"max_width": "44em", "margin": "0.6em 0"},
        )
        self.add_class("labkit-card")
        self._restore()
        self._listen()

    def __repr__(self) -> str:
        return f"{self._ask} [{self.verdict if self.verdict else 'not answered yet'}]"

    def _repr_mimebundle_(self, **kwargs: Any) -> dict[str, Any]:
        bundle = super()._repr_mimebundle_(**kwargs)
        lines = "<br>".join(map(escape, self._blank))
        said = f"<p>{escape(str(self.verdict))}</p>" if self.verdict else ""
        html = f"<p><b>{escape(self._ask)}</b></p><p>{lines}</p>{said}"
        return {**bundle, "text/plain": repr(self), "text/html": html}

    def answer(self, *args: Any, **named: Any) -> Verdict:
        """Answer, as the button does: with what the question's `grade` takes."""
        verdict = self.question.grade(*args, **named)
        if self.attempt is not None and verdict.right is not None:
            self.attempt.add(
                "answer",
                ask=self._ask,
                said=[*args, *named.items()],
                right=verdict.right,
                misconception=verdict.misconception,
            )
        return self._judged(verdict)

    def commit(self) -> Verdict:
        """Answer with what the fields hold."""
        return self._graded(self.answer)

    def _graded(self, grade: Callable[..., Verdict]) -> Verdict:
        held = list(zip(self._names, (field.value for field in self.fields), strict=True))
        placed = [value for name, value in held if not name]
        return grade(*placed, **{name: value for name, value in held if name})

    def show(self) -> None:
        """Tell what is right, unanswered."""
        if self.attempt is not None and not self.settled:
            self.attempt.add("shown", ask=self._ask)
        if self.verdict is not None:
            self._tell(self.verdict.text, self.verdict)
        self._settle()

    def _judged(self, verdict: Verdict) -> Verdict:
        self.verdict = verdict
        self._misses += verdict.right is False
        hint = verdict.hint if verdict.right is False and self._misses < _PATIENCE else ""
        self._tell(hint or verdict.text, verdict)
        self.show_me.layout.display = "" if hint and not self.settled else "none"
        if verdict.right or self._misses >= _PATIENCE:
            self._settle()
        return verdict

    def _tell(self, said: str, verdict: Verdict) -> None:
        self._said.value = text(f"<b>{_MARKS[verdict.right]}</b> {escape(said)}", "alert")

    def _settle(self) -> None:
        self.show_me.layout.display = "none"
        if not self.settled:
            self.settled = True
            for watch in self.watchers:
                watch()

    def _restore(self) -> None:
        """Put what was answered on another day back on the card."""
        lines = self.former.get(self._ask, ())
        answers = [line for line in lines if line["kind"] == "answer"]
        if answers:
            said = answers[-1]["said"]
            placed = iter(said)
            told = dict(said[self._names.count("") :])
            try:
                for name, field in zip(self._names, self.fields, strict=True):
                    field.value = told[name] if name else next(placed)
                self._misses = [line["right"] for line in answers[:-1]].count(False)
                self._judged(self._graded(self.question.grade))
            except (KeyError, TypeError, ValueError, StopIteration, TraitError):
                self._said.value = ""  # the question has changed since
        if len(answers) < len(lines):
            self.show()

    def _listen(self) -> None:
        if self._at_once:
            self.fields[0].observe(lambda change: self.answer(change.new), "value")
        for field in self.fields:
            getattr(field, "box", field).on_msg(lambda _, said, __: self._told(said))

    def _told(self, said: dict[str, Any]) -> None:
        if said.get("event") == "submit":
            self._entered()

    def _entered(self) -> None:
        """The Enter key or the button, which may overtake the last letters typed."""
        if get_ipython() is None:  # no kernel, no typing
            self.commit()
        else:
            asyncio.get_running_loop().call_later(_LETTERS, self.commit)


def ask(question: Question) -> Card:
    """Ask a question on a card.

    Parameters
    ----------
    question : Question
        Such as `Predict(circuit, "X1:2")`; its fields decide what the card looks like.
    """
    return Card(question)


def keep(lesson: str, name: str = "") -> Attempt:
    """Keep the answers to all cards from here on, and put those given before back on their cards.

    Parameters
    ----------
    lesson : str
        Title they are kept under.
    name : str
        The learner's; :func:`labkit.record.user` where not said.
    """
    Card.attempt, lines = keep_answers(lesson, name)
    former: dict[str, list[Mapping[str, Any]]] = {}
    for line in lines:
        if line["kind"] in ("answer", "shown"):
            former.setdefault(line["ask"], []).append(line)
    Card.former = former
    return Card.attempt


def text(html: str, role: str = "none") -> str:
    """Text as close as the page's own; ipywidgets spaces its lines for one-line controls.

    What is put in when an answer is given is an alert: a screen reader says it then.
    """
    return f'<div role="{role}" style="line-height:1.5">{html}</div>'


def _button(words: str, act: Callable[[], object]) -> Any:
    button = widgets.Button(description=words, layout={"width": "auto", "flex": "none"})
    button.on_click(lambda _: act())
    return button
