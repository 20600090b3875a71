"""What a survey finds: a rule that is broken, where, and what would put it right."""

from __future__ import annotations

from dataclasses import dataclass

from labkit.survey.standards import Rule


@dataclass(frozen=True)
class Finding:
    """A rule that a circuit breaks at one part.

    Attributes
    ----------
    rule : Rule
    part : str
    text : str
        What was found, a sentence without its full stop.
    remedy : str
        What would put it right.
    """

    rule: Rule
    part: str
    text: str
    remedy: str

    def line(self, file: str) -> str:
        """Write it as one line of a check."""
        where = f"{file}: " if file else ""
        return f"warning: {where}part {self.part}: {self.rule.name}: {self.text}; {self.remedy}"
