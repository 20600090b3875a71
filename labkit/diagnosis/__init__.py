"""Reasoning about measurements: what remains, what fell and why, and what to measure next."""

from labkit.text.lazy import names_of

_HOMES = {
    "Adviser": "ranking",
    "Ambiguity": "ambiguity",
    "Diagnosis": "session",
    "Evidence": "evidence",
    "Left": "reviewing",
    "Measurement": "evidence",
    "Node": "planning",
    "Ranked": "ranking",
    "Review": "reviewing",
    "Spread": "scale",
    "adviser_for": "ranking",
    "leaves": "reviewing",
    "parse_seen": "said",
    "plan": "planning",
    "rank": "ranking",
    "report": "explain",
    "review": "reviewing",
    "step_text": "explain",
}

__all__ = sorted(_HOMES)

__getattr__, __dir__ = names_of(__name__, _HOMES)
