"""Learners with right and wrong rules who play the hunts: does the cost tell them apart, and does
the review reach the wrong rule?

These are programs. Nothing here says that people learn.
"""

from tests.learners.play import Play
from tests.learners.table import HARM, Played, beats, played, plays_of, table
from tests.learners.ways import BY_NAME, LEARNERS, RIGHT, WRONG, Learner

__all__ = [
    "BY_NAME", "HARM", "LEARNERS", "RIGHT", "WRONG", "Learner", "Play", "Played", "beats",
    "played", "plays_of", "table",
]  # fmt: skip  # rows that a reader compares
