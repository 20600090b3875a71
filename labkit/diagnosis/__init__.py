"""Reasoning about measurements: what remains, what fell and why, and what to measure next."""

from labkit.diagnosis.evidence import Evidence, Measurement, parse_seen
from labkit.diagnosis.explain import contrast, report, step_text
from labkit.diagnosis.ranking import Adviser, Ranked, rank
from labkit.diagnosis.scale import Spread
from labkit.diagnosis.session import Diagnosis

__all__ = [
    "Adviser", "Diagnosis", "Evidence", "Measurement", "Ranked", "Spread", "contrast",
    "parse_seen", "rank", "report", "step_text",
]  # fmt: skip
