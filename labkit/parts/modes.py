"""How parts fail: what each failure is called, how likely it is, and what it does."""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum
from typing import NamedTuple

from labkit.text.quantities import RESISTANCE, TEMPERATURE, Kind


class Effect(Enum):
    """What a failure does to the path through its part."""

    OWN = "the part's model knows"
    OPENS = "nothing passes"
    ADDS = "its amount stands in series"
    COMES_AND_GOES = "its amount stands in series, at times"
    BRIDGES = "its amount lies across the part"
    REVERSES = "current meets it the other way round"
    LEAKS = "its amount lies from one of its terminals to DC-"
    JOINS = "its amount lies from one of its terminals to another place aboard"
    WARMTH = "nothing until the part is as hot as its amount"


class Mode(NamedTuple):
    """A way for a part to fail.

    Attributes
    ----------
    name : str
        What a file calls it: 'X1 resistance 0.8 ohm'.
    word : str
        What a learner picks, and is told: 'high resistance'. Of one part, no two modes have the
        same; of all parts together, a word means one mode only.
    says : str
        What a technician would say of the part: 'X1 (crimped splice): corroded'.
    weight : float
        How likely it is beside the other failures aboard. Common practice, no source.
    amount : Kind or str or None
        What is written behind the mode: a kind of quantity, 'size' of a wire, or nothing.
    amounts : tuple of str
        Typical amounts, the first taken where none is written.
    effect : Effect
        What it does, where the part's model need say nothing.
    most : float or None
        The largest amount there can be, in SI units.
    family : str
        What an instructor files it under, who looks for a hunt that practises it.
    """

    name: str
    word: str
    says: str
    weight: float
    amount: Kind | str | None = None
    amounts: tuple[str, ...] = ()
    effect: Effect = Effect.OWN
    most: float | None = None
    family: str = "something else"


def modes_of(*modes: Mode) -> dict[str, Mode]:
    """Ways to fail by what a file calls them."""
    return {mode.name: mode for mode in modes}


RESISTANCE_MODE = Mode(
    "resistance",
    "high resistance",
    "high resistance",
    3.0,
    RESISTANCE,
    ("0.8 ohm", "0.1 ohm", "0.25 ohm", "2 ohm", "8 ohm", "100 ohm"),
    Effect.ADDS,
    family="corroded",
)
OPEN_MODE = Mode("open", "open", "open", 2.0, effect=Effect.OPENS, family="open")
SHORT_MODE = Mode("short", "shorted", "shorted", 0.3, RESISTANCE, ("0.05 ohm",), Effect.BRIDGES)
LEAK_MODE = Mode(
    "leak",
    "leaking to negative",
    "leaking to negative",
    0.3,
    RESISTANCE,
    ("30 ohm", "0.05 ohm", "1 ohm", "1 kohm"),
    Effect.LEAKS,
    family="short or leak",
)
INTERMITTENT_MODE = Mode(
    "intermittent",
    "comes and goes",
    "intermittent",
    0.5,
    RESISTANCE,
    ("1 Mohm", "2 ohm"),
    Effect.COMES_AND_GOES,
    family="comes and goes",
)
MISSING_MODE = Mode("missing", "missing", "missing", 0.1, effect=Effect.OPENS)
BLOWN_MODE = Mode("blown", "blown", "blown", 3.0, effect=Effect.OPENS, family="open")
REVERSED_MODE = Mode(
    "reversed",
    "wrong way round",
    "connected the wrong way round",
    0.1,
    effect=Effect.REVERSES,
    family="reversed",
)

OPENS_HOT = Mode(
    "opens hot", "opens when hot", "opening when hot", 0.1, TEMPERATURE, ("60 C",), Effect.WARMTH
)
LEAKS_HOT = Mode(
    "leaks hot", "leaks when hot", "with insulation that fails when hot", 0.1, TEMPERATURE,
    ("90 C",), Effect.WARMTH,
)  # fmt: skip  # rows that a reader compares

SHORT_TO = Mode(
    "short to",
    "shorted to another wire",
    "chafed through",
    0.1,
    RESISTANCE,
    ("0.1 ohm", "1 ohm", "10 ohm"),
    Effect.JOINS,
    family="short or leak",
)
LEAK_TO = Mode(
    "leak to",
    "leaking to bond, sea or another wire",
    "leaking",
    0.1,
    RESISTANCE,
    ("300 ohm", "30 ohm", "3 kohm"),
    Effect.JOINS,
    family="short or leak",
)
CHAFE_TO = Mode(
    "chafe to",
    "touches another place at times",
    "chafed, touching now and then",
    0.1,
    RESISTANCE,
    ("0.05 ohm", "1 ohm"),
    Effect.JOINS,
    family="comes and goes",
)

ELSEWHERE: Mapping[str, Mode] = modes_of(SHORT_TO, LEAK_TO, CHAFE_TO)
"""Modes that join a part to another place, which has to be named: suspected where a file says so,
since nobody can tell which wires lie side by side from a list of runs."""

AT_TIMES = frozenset({INTERMITTENT_MODE.name, CHAFE_TO.name})
"""Modes that do something only while their part is shaken."""

UNIVERSAL: Mapping[str, Mode] = {
    **modes_of(OPEN_MODE, RESISTANCE_MODE, SHORT_MODE, LEAK_MODE, OPENS_HOT, LEAKS_HOT),
    **ELSEWHERE,
}
"""Modes that any part can be given, likely or not."""
