"""What may stand in a lesson's file."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field

Positions = dict[str, str]


class _Keys(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Boat(_Keys):
    """A boat in some state: the lesson's circuit, or another one."""

    circuit: str = ""
    faults: list[str] = Field(default_factory=list)
    positions: Positions = Field(default_factory=dict)
    parted: list[str] = Field(default_factory=list)


class Staircase(_Keys):
    load: str
    boats: list[str] = Field(min_length=1)


class Ledger(_Keys):
    load: str
    boat: str


class Remaining(_Keys):
    boat: str
    healthy: str
    acts: list[str]
    only: list[str] = Field(default_factory=list)
    most: int = 8


class Planned(_Keys):
    boat: str
    only: list[str] = Field(default_factory=list)


class Tried(_Keys):
    label: str
    of: str
    answer: list[str]
    on: Positions = Field(default_factory=dict)


class Proven(_Keys):
    exercise: str
    variant: int = 1
    faults: list[str] = Field(default_factory=list)
    repair: list[str]


class Acts(_Keys):
    boat: str
    acts: list[str] = Field(min_length=1)
    print: Literal["log", "cautions"] = "log"


class Timed(_Keys):
    """What happens while time passes: "10 min" of a boat, with what is done at "30 s S2=off"."""

    boat: str
    lasts: str
    at: list[str] = Field(default_factory=list)
    show: list[str] = Field(min_length=1)


class Show(_Keys):
    """One thing shown; just one of these keys."""

    say: str | None = None
    table: list[list[str]] | None = Field(None, min_length=2)
    staircase: Staircase | None = None
    ledger: Ledger | None = None
    interval: dict[str, str] | None = None
    remains: Remaining | None = None
    plan: Planned | None = None
    tried: list[Tried] | None = None
    proof: Proven | None = None
    acts: Acts | None = None
    draw: str | None = None
    time: Timed | None = None


class _Place(_Keys):
    after: str | list[str] = Field(default_factory=list)


class Draw(_Place):
    draw: str


class Bench(_Place):
    bench: str


class Hunt(_Place):
    hunt: str


class Size(_Place):
    """Asks which wire: the size card's first fields."""

    size: dict[str, str]


class Final(_Place):
    final: list[str] = Field(min_length=1)


class Shows(_Place):
    show: list[Show] = Field(min_length=1)


class _Asked(_Place):
    ask: str = ""
    right: list[str] = Field(default_factory=list)
    wrong: dict[str, str] = Field(default_factory=dict)


class Predict(_Asked):
    predict: str
    boat: str
    twin: str = ""
    within: str = ""


class Both(_Asked):
    both: str
    boat: str
    off: Positions
    on: Positions


class Choose(_Place):
    choose: str
    answers: list[tuple[str, str]] = Field(min_length=2)
    right: int = Field(ge=1)


class Order(_Place):
    order: str
    groups: list[list[str]] = Field(min_length=2)


class Separate(_Place):
    separate: tuple[str, str]
    boat: str


class Remains(_Place):
    remains: list[str] = Field(min_length=1)
    boat: str
    suspects: list[str] = Field(min_length=2)


class Repair(_Place):
    repair: str
    variant: int = 1
    repairs: dict[str, list[str]]
    proofs: dict[str, Positions]


class Cause(_Place):
    cause: str
    boat: str
    causes: dict[str, list[str]]
    seen: list[str] = Field(default_factory=list)
    ask: str = ""


class Name(_Place):
    name: str
    variant: int = 1
    seen: list[str] = Field(default_factory=list)


PLACES: dict[str, type[_Place]] = {
    "predict": Predict, "both": Both, "choose": Choose, "order": Order, "separate": Separate,
    "repair": Repair, "cause": Cause, "name": Name, "remains": Remains, "bench": Bench,
    "draw": Draw, "hunt": Hunt, "final": Final, "size": Size, "show": Shows,
}  # fmt: skip  # rows that a reader compares
"""The key by which a table is known, to what may stand in it."""

ASKED = ("predict", "both", "choose", "order", "separate", "remains", "repair", "cause", "name")


class Head(_Keys):
    """What stands at the top of the file, beside one table for each place in the notebook."""

    title: str = Field(min_length=1, max_length=120)
    circuit: str
    boats: dict[str, Boat]
    points: list[str] = Field(default_factory=list)
    figures: dict[str, str] = Field(default_factory=dict)
    reckoned: dict[str, str] = Field(default_factory=dict)
    sources: dict[str, str] = Field(default_factory=dict)


def kind_of(table: dict[str, Any]) -> str:
    """Return the key by which a table is known, or ''."""
    return next((key for key in PLACES if key in table), "")
