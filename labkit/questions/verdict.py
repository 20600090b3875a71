"""How an answer is judged, and how near a prediction need be."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from labkit.measuring.meter import Reading
from labkit.questions.misconceptions import MISCONCEPTIONS
from labkit.text.quantities import CURRENT, RESISTANCE, VOLTAGE, Kind

KINDS: Mapping[str, tuple[Kind, float, float]] = {
    "V": (VOLTAGE, 0.03, 0.05),
    "A": (CURRENT, 0.05, 0.05),
    "ohm": (RESISTANCE, 0.05, 0.5),
}
"""Unit to its kind, and what a boat does not promise: a share of the reading, and so much more.

Published tables of a battery's rest voltage differ by 0.1 V, wires by a few per cent; a prediction
in the head need not be nearer than the boat.
"""


@dataclass(frozen=True)
class Verdict:
    """How an answer was graded.

    Attributes
    ----------
    right : bool or None
        None where the answer could not be read as one.
    text : str
        What was said, what the circuit does, why.
    misconception : str
        Key of MISCONCEPTIONS, or ''.
    hint : str
        What is said first of a wrong answer, before what is right is given away; or ''.
    """

    right: bool | None
    text: str
    misconception: str = ""
    hint: str = ""

    def __repr__(self) -> str:
        mark = {True: "Right", False: "Not yet", None: "?"}[self.right]
        return f"{mark}: {self.text}"


def wrong(text: str, slip: str = "") -> Verdict:
    """Return the verdict on a wrong answer, and what there is to say to the idea behind it."""
    return Verdict(False, f"{text} {MISCONCEPTIONS.get(slip, '')}".strip(), slip)


def agrees(said: float, truth: Reading, within: float | None = None) -> bool:
    """Tell whether a value lies within a reading's interval and what a boat does not promise.

    Parameters
    ----------
    said : float
    truth : Reading
    within : float, optional
        How near it has to be, where a question says so.
    """
    if truth.value is None:
        return False
    if within is not None:
        return abs(said - truth.value) <= within
    _, share, least = KINDS[truth.unit]
    slack = share * abs(truth.value) + least
    return truth.low - slack <= said <= truth.high + slack


def with_unit(answer: str, unit: str) -> str:
    """Read a bare number in the unit that is meant, and a comma between figures as a point.

    A comma and a point in one number are left as they are, and so refused.
    """
    said = answer.strip().replace("\u2212", "-")
    if "." not in said:
        said = re.sub(r"(?<=\d),(?=\d)", ".", said, count=1)
    return f"{said} {unit}" if re.fullmatch(r"[-+]?(\d+\.?\d*|\.\d+)", said) else said
