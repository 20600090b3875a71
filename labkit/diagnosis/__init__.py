"""Reasoning about measurements: what remains, what fell and why, and what to measure next."""

from labkit.diagnosis.ambiguity import Ambiguity
from labkit.diagnosis.evidence import Evidence, Measurement, parse_seen
from labkit.diagnosis.explain import contrast, report, step_text
from labkit.diagnosis.planning import Node, plan
from labkit.diagnosis.ranking import Adviser, Ranked, adviser_for, rank
from labkit.diagnosis.reviewing import Left, Review, leaves, review
from labkit.diagnosis.scale import Spread
from labkit.diagnosis.session import Diagnosis

__all__ = [
    "Adviser", "Ambiguity", "Diagnosis", "Evidence", "Left", "Measurement", "Node", "Ranked",
    "Review", "Spread", "adviser_for", "contrast", "leaves", "parse_seen", "plan", "rank",
    "report", "review", "step_text",
]  # fmt: skip
