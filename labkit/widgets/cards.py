"""Cards in a notebook: predict a reading, choose an answer, name the fault, hunt.

Each shows a question of :mod:`labkit.questions` and what it says to the answer; the same is done in
code with `answer`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from html import escape
from typing import Any

import ipywidgets as widgets

from labkit.debrief import debrief
from labkit.hunt import Hunt
from labkit.questions import Choose, Predict, Verdict
from labkit.widgets.click import ClickBench
from labkit.widgets.places import visible_parts
from labkit.widgets.plain import PlainBench
from labkit.widgets.still import still

_MARKS = {True: "✓ Right.", False: "✗ Not yet.", None: "…"}


class _Card(widgets.VBox):  # type: ignore[misc]
    """A question, something to answer it with, and what is said to the answer.

    On paper, and wherever widgets are dead, `blank` stands for what it is answered with.
    """

    def __init__(self, ask: str, *inputs: Any, blank: Sequence[str]) -> None:
        self.verdict: Verdict | None = None
        self._ask, self._blank = ask, blank
        self._said = widgets.HTML()
        super().__init__([
            widgets.HTML(_text(f"<b>{escape(ask)}</b>")), *inputs, self._said,
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

    def _tell(self, verdict: Verdict) -> Verdict:
        self.verdict = verdict
        mark = _MARKS[verdict.right]
        self._said.value = _text(f"<b>{mark}</b> {escape(verdict.text)}", "status")
        return verdict


class PredictCard(_Card):
    """Predict what the meter will show, before it is shown.

    Parameters
    ----------
    question : Predict
    """

    def __init__(self, question: Predict) -> None:
        self.question = question
        self._box = widgets.Text(
            description="I expect", placeholder="a number and its unit, such as 12.6 V",
            layout={"width": "26em"}, style={"description_width": "initial"},
        )  # fmt: skip
        commit = widgets.Button(description="Commit", layout={"width": "auto"})
        commit.on_click(lambda _: self.answer(self._box.value))
        self._box.on_msg(lambda _, said, __: self._entered(said))
        blank = ["I expect ____________ (a number and its unit)"]
        super().__init__(question.ask, widgets.HBox([self._box, commit]), blank=blank)

    def answer(self, text: str) -> Verdict:
        """Answer, as the button does."""
        return self._tell(self.question.grade(text))

    def _entered(self, said: dict[str, Any]) -> None:
        if said.get("event") == "submit":  # the Enter key
            self.answer(self._box.value)


class ChooseCard(_Card):
    """Choose one of several answers.

    Parameters
    ----------
    question : Choose
    """

    def __init__(self, question: Choose) -> None:
        self.question = question
        self._choice = widgets.RadioButtons(
            options=list(question.answers), value=None, layout={"width": "max-content"}
        )
        self._choice.observe(lambda change: self.answer(change.new), "value")
        blank = [f"☐ {answer}" for answer in question.answers]
        super().__init__(question.ask, self._choice, blank=blank)

    def answer(self, text: str) -> Verdict:
        """Answer, as a click on the choice does."""
        return self._tell(self.question.grade(text))


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
        self.part = widgets.Dropdown(options=self._parts(), tooltip="part at fault")
        hunt.bench.watchers.append(lambda entry: self._found(entry.action))
        modes = [("how?", ""), *((word, word) for word in hunt.question.modes)]
        self.mode = widgets.Dropdown(options=modes, tooltip="how it failed")
        self._said = widgets.HTML()
        super().__init__([
            widgets.HTML(_story(exercise)), self.bench,
            widgets.HBox([
                self.part, self.mode,
                self._button("Name it", lambda: self.hunt.name(self.part.value, self.mode.value)),
                self._button("Prove the repair", self.hunt.prove),
            ], layout={"flex_flow": "row wrap"}),
            self._said,
        ])  # fmt: skip

    def __repr__(self) -> str:
        return repr(self.hunt)

    def _repr_mimebundle_(self, **kwargs: Any) -> dict[str, Any]:
        bundle = super()._repr_mimebundle_(**kwargs)
        html = _story(self.hunt.exercise) + still(self.bench.model)
        return {**bundle, "text/plain": repr(self), "text/html": html}

    def _parts(self) -> list[tuple[str, str]]:
        bench = self.hunt.bench
        seen = visible_parts(bench.drawn, bench.traced)
        return [("which part?", ""), *((f"{p.id} {p.label or p.kind}", p.id) for p in seen)]

    def _found(self, action: str) -> None:
        """Offer the parts that following a run has brought to light."""
        if action == "trace":
            chosen = self.part.value
            self.part.options = self._parts()
            self.part.value = chosen

    def _button(self, text: str, act: Callable[[], Any]) -> Any:
        button = widgets.Button(description=text, layout={"width": "auto"})
        button.on_click(lambda _: self._after(act))
        return button

    def _after(self, act: Callable[[], Any]) -> None:
        made = act()
        self.bench.refresh()
        proven = self.hunt.proven
        said = f"<p>{escape(made.text)}</p>"
        if proven is not None and proven.ok:
            said = debrief(self.hunt).html
        self._said.value = _text(said, "status")


def _text(html: str, role: str = "none") -> str:
    """Text as close as the page's own; ipywidgets spaces its lines for one-line controls."""
    return f'<div role="{role}" style="line-height:1.5">{html}</div>'


def _story(exercise: Any) -> str:
    seen = "".join(f"<li>{escape(text)}</li>" for text in exercise.seen)
    cautions = "".join(f"<li>{escape(text)}</li>" for text in exercise.cautions)
    return _text(
        f"<h3>{escape(exercise.title)}</h3><blockquote>{escape(exercise.complaint)}</blockquote>"
        f"<p>What can be seen and heard:</p><ul>{seen}</ul>"
        f"<p><b>Cautions</b></p><ul>{cautions}</ul>"
    )
