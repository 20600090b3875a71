"""What of a proof needs time: a load that goes on as it should, and nothing that gets too warm."""

from __future__ import annotations

from collections import Counter
from typing import NamedTuple

from pydantic import BaseModel, ConfigDict

from labkit.circuits.circuit import Circuit
from labkit.clock.course import Course
from labkit.clock.warmth_words import SAYS
from labkit.parts import Trait
from labkit.parts.keys import Celsius, Seconds

ENOUGH = 0.7
"""As many of the sound boat's cycles count as all: one begins or ends outside the time. Our
choice."""

_MEANT_HOT = Trait.LOAD | Trait.SOURCE | Trait.MEANT_HOT


class Warmest(BaseModel):
    """How warm anything may be that is to carry current and not to be hot, after how long."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
    after: Seconds
    limit: Celsius


class Change(NamedTuple):
    """What became of a part, such as a fuse that opened or a float that rose."""

    part: str
    state: str


def played(circuit: Circuit, seconds: float) -> Course:
    """Let a circuit run from cold for so long. [s]"""
    return Course(circuit, show=("DC-",)).play(seconds)


def changes(course: Course) -> Counter[Change]:
    """Count what opened, closed, rose and fell; that things get warm is no change."""
    events = course.chronicle.events
    return Counter(Change(e.part, e.state) for e in events if e.state not in SAYS)


def otherwise(course: Course, sound: Counter[Change]) -> tuple[bool, str]:
    """Judge whether a boat went through what the sound one does, and say so.

    Parameters
    ----------
    course : Course
        Of the boat as it is.
    sound : Counter of Change
        Of the sound boat in the same time.
    """
    found = changes(course)
    span = minutes(course.seconds)
    for change in sorted({*found, *sound}):
        here, should = found[change], sound[change]
        if here < ENOUGH * should or ENOUGH * here > should:
            what = f"'{change.part} {change.state}'"
            return False, f"in {span} {what} came {_times(here)}; sound, {_times(should)}."
    return True, f"In {span} all went on as on a sound boat{_told(sound)}."


def _told(sound: Counter[Change]) -> str:
    said = [f"{part} {state} {_times(n)}" for (part, state), n in sorted(sound.items())]
    return f" ({', '.join(said)})" if said else ""


def _times(number: int) -> str:
    return {0: "never", 1: "once", 2: "twice"}.get(number, f"{number} times")


def warmest(course: Course, limit: float) -> tuple[bool, str]:
    """Judge the warmest part that is not meant to be hot. [C]"""
    world = course.world
    parts = world.circuit.parts
    warm = [(world.celsius(id), id) for id in world.warm if not parts[id].traits & _MEANT_HOT]
    celsius, id = max(warm, default=(world.circuit.ambient, "nothing"))
    said = f"after {minutes(course.seconds)} {id} is the warmest, at {celsius:.0f} °C"
    return celsius <= limit, f"{said}; at most {limit:.0f} °C asked."


def minutes(seconds: float) -> str:
    """Write a time as a proof says it. [s]"""
    return f"{seconds / 60:g} min"
