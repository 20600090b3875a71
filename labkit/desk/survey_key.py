"""The answer key of a survey: every finding, and which of the claims to tick are so."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from labkit.exercises.exercise import Dealt
from labkit.exercises.surveys import SurveyExercise
from labkit.questions.surveying import Claim, SurveyBoat
from labkit.survey.findings import Finding
from labkit.survey.report import finding_lines
from labkit.survey.survey import survey


@dataclass(frozen=True)
class SurveyKey:
    """The answer key of one variant of a survey.

    Attributes
    ----------
    findings : tuple of Finding
        Every rule that the boat breaks.
    claims : tuple of Claim
        What the learner is given to tick.
    """

    exercise: SurveyExercise
    dealt: Dealt
    findings: tuple[Finding, ...]
    claims: tuple[Claim, ...]

    @property
    def report(self) -> Iterator[str]:
        """Each finding with its rule, the standard, whom that binds, and what puts it right."""
        for number, finding in enumerate(self.findings, 1):
            yield from finding_lines(number, finding)

    @property
    def short(self) -> str:
        """The findings in a line."""
        return "; ".join(f"{finding.part} {finding.rule.name}" for finding in self.findings)

    def said(self, true: bool) -> list[str]:
        """Return the claims that are so, or those that are not, each with the reason."""
        return [f"{c.says}: {c.why}" for c in self.claims if c.true is true]


def survey_key(exercise: SurveyExercise, dealt: Dealt) -> SurveyKey:
    """Work out the answer key of a variant of a survey.

    Parameters
    ----------
    exercise : SurveyExercise
    dealt : Dealt
        Of that survey.
    """
    boat = dealt.circuit
    claims = SurveyBoat(boat, exercise.sound).claims
    return SurveyKey(exercise, dealt, survey(boat).findings, claims)
