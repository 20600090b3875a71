"""What of a circuit's state can be seen: positions, what turns and glows, what was looked at.

Faults are not seen. What a drawing shows of them is what the caller says was looked at.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from labkit.circuits.circuit import Circuit
from labkit.drawing.topology import Step

_GLOWS = {
    "glows": 1, "flickers": 1, "is dim": 2, "is bright": 3, "is far too bright": 3, "works": 3,
}  # fmt: skip
_STILL = frozenset({"", "stands still", "hums but stands still", "stutters", "chatters"})


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
        return Seen(glow=_GLOWS.get(word, 0), does=word)
    part = circuit.parts[step.id]
    state = circuit.positions.get(step.id, "")
    if part.kind == "changeover":
        ways = getattr(part, "positions", {}).get(state, "none").split(",")
        joined = {end for way in ways for end in way.strip().split("-")}
        made = step.enter in joined and step.leave in joined
        other = step.throw in joined
        state = ("both" if other else "made") if made else "other" if other else "open"
    if part.kind == "relay":
        resting = "87a" in (step.enter, step.leave)
        state = "made" if (word == "is pulled in") != resting else "open"
    if step.id in opened and part.kind in ("fuse", "breaker", "lamp", "indicator"):
        modes = {fault.mode for fault in circuit.faults if fault.part == step.id}
        state = " ".join(m for m in ("missing", "blown") if m in modes) or "blown"
    turning = 0
    if part.kind == "motor" and word not in _STILL:
        turning = -1 if word.endswith("backwards") else 1
    return Seen(state, turning, _GLOWS.get(word, 0), word)
