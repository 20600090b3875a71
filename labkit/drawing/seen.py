"""What of a circuit's state can be seen: positions, what turns and glows, what was looked at.

Faults are not seen. What a drawing shows of them is what the caller says was looked at.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from labkit.circuits.circuit import Circuit
from labkit.drawing.topology import Step
from labkit.parts import Trait
from labkit.parts.traits import LIGHT_WORDS, drawn


@dataclass(frozen=True)
class Seen:
    """How one part looks.

    `state` is a position word, 'blown', 'missing', 'missing blown', 'made', 'open' or '' (of a
    changeover switch, 'other' where only its third contact is made, or 'both'); `turning` is 1
    forwards and -1 backwards; `glow` goes from 0, dark, to 3, bright; `does` says it in words.
    """

    state: str = ""
    turning: int = 0
    glow: int = 0
    does: str = ""


def look(step: Step, circuit: Circuit, opened: Collection[str], does: Mapping[str, str]) -> Seen:
    """How a part looks to somebody who has looked at the parts in `opened` and in `does`."""
    word = does.get(step.id, "")
    if step.bridge:
        return Seen(glow=drawn(word, LIGHT_WORDS), does=word)
    part = circuit.parts[step.id]
    lively = part.drawn(word)
    state = circuit.positions.get(step.id, "")
    if step.named:
        state = _contact(step, part.made(state or part.states[lively > 0]))
    if step.id in opened and "blown" in part.modes:
        modes = {fault.mode for fault in circuit.faults if fault.part == step.id}
        state = " ".join(m for m in ("missing", "blown") if m in modes) or "blown"
    if Trait.TURNS in part.traits:
        return Seen(state, turning=lively, does=word)
    return Seen(state, glow=lively, does=word)


def _contact(step: Step, made: Collection[tuple[str, str]]) -> str:
    """How the contact between two terminals of several looks, its throw's included."""
    joined = [set(way) for way in made]
    here = {step.enter, step.leave} in joined
    other = bool(step.throw) and any(step.throw in way for way in joined)
    return ("both" if other else "made") if here else "other" if other else "open"
