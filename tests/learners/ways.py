"""Who plays: a way of looking, a wrong rule or none, and a habit."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Learner:
    """A way of looking, a wrong rule or none, and a habit.

    Attributes
    ----------
    name : str
    look : str
        'bus', 'across', 'clamp', 'ohms', 'advised', or 'none' for who measures nothing.
    half : bool
        Takes the middle of what is suspected, else the first along the wire.
    loaded : bool
        Reads with the load on, else with its wire taken off.
    rule : str
        The wrong rule it reads by, or ''.
    proves : bool
    swaps : bool
        Mends what is nearest to the symptom instead of naming.
    fuses : bool
        Renews a blown fuse first, and fits a bigger one if that opens too.
    """

    name: str
    look: str = "bus"
    half: bool = True
    loaded: bool = True
    rule: str = ""
    proves: bool = True
    swaps: bool = False
    fuses: bool = False


RIGHT = (
    Learner("guesser", "none"),
    Learner("loudest symptom", "none", swaps=True),
    Learner("along the wire, no load", half=False, loaded=False),
    Learner("along the wire", half=False),
    Learner("half-splitter"),
    Learner("across each part", "across"),
    Learner("advised", "advised"),
)
WRONG = (
    Learner("volts without load", loaded=False, rule="volts without load"),
    Learner("0 V is dead here", "across", rule="open reads nothing"),
    Learner("return is zero", rule="return is zero"),
    Learner("blames the load", rule="blames the load"),
    Learner("there or not there", rule="bad joint passes nothing"),
    Learner("ohms live", "ohms", rule="ohms on a live circuit"),
    Learner("ohms in place", "ohms", rule="ohms of one part"),
    Learner("renews the fuse", rule="fuse without the cause", fuses=True),
    Learner("current used up", "clamp", rule="current is used up"),
    Learner("never proves", proves=False),
)

CONTROL = (Learner("ohms, dead", "ohms"), Learner("clamp along the way", "clamp"))
"""Right rules by two ways of looking that are a wrong rule's: what the rule alone costs."""

LEARNERS = (*RIGHT, *CONTROL, *WRONG)

BY_NAME = {learner.name: learner for learner in LEARNERS}

NO_MEASURE = ("guesser", "loudest symptom")
"""Who measures nothing says nothing of how hard a hunt is."""
