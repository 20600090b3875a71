"""A survey in a page: claims to tick, and what is said to them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from labkit.anywhere.lines import Lines
from labkit.exercises.surveys import SurveyExercise
from labkit.hunts.surveying import SurveyHunt
from labkit.record import Record

PATIENCE = 2
"""So many wrong answers, and what is right is told: as on a card in a notebook."""


class SurveyTable:
    """A survey on the page.

    Parameters
    ----------
    exercise : SurveyExercise
    learner : str
    former : Record, optional
        The attempt that goes on.
    """

    def __init__(
        self, exercise: SurveyExercise, learner: str, former: Record | None = None
    ) -> None:
        self.hunt = SurveyHunt(exercise, learner)
        self.lines = Lines(exercise.title, learner, former)
        self._ticked: list[str] = []
        self._said, self._right, self._misses = "", False, 0
        for line in former.of("answer") if former else ():
            said = line.get("said")
            self._judge([str(one) for one in said[0]] if said else [])

    def handle(self, asked: Mapping[str, Any]) -> None:
        """Take an answer: ``{"ask": "answer", "with": {"ticked": [...]}}``."""
        if asked.get("ask") != "answer":
            return
        ticked = [str(one) for one in asked["with"]["ticked"]]
        right = self._judge(ticked)
        if right is not None:
            self.lines.add(
                "answer", ask=self.hunt.question.ask, said=[ticked], right=right, misconception=""
            )
        if right:
            self.lines.add("finished", minutes=0.0)

    def _judge(self, ticked: list[str]) -> bool | None:
        verdict = self.hunt.question.grade(ticked)
        self._ticked, self._right = ticked, verdict.right is True
        self._misses += verdict.right is False
        hinted = verdict.right is False and self._misses < PATIENCE
        self._said = (hinted and verdict.hint) or verdict.text
        return verdict.right

    def told(self) -> dict[str, Any]:
        """Return how it stands, and the lines to keep."""
        settled = self._right or self._misses >= PATIENCE
        survey = {
            "claims": [claim.says for claim in self.hunt.question.claims],
            "fitted": self.hunt.fitted,
            "ticked": self._ticked,
            "right": self._right,
            "said": self._said,
            "report": self.hunt.report if settled else "",
        }
        return {"states": {"survey": survey}, "lines": self.lines.fresh()}
