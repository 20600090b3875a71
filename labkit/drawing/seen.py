"""What of a circuit's state can be seen: positions, what turns and glows, what was looked at.

Faults are not seen. The one thing a drawing shows of them is what the caller says was looked at.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Protocol

from labkit.circuit import Circuit
from labkit.drawing.topology import Step

_DIM, _BRIGHT = 0.1, 0.85
"""Share of its rated current at which a lamp glows at all, and looks as it should. Chosen."""
_TURNS = 0.02
"""Share of its rated speed at which a motor is seen to turn. Chosen."""


@dataclass(frozen=True)
class Seen:
    """How one part looks.

    `state` is a position word, 'blown', 'missing', 'made', 'open' or '' (of a changeover switch,
    'other' where only its third contact is made, or 'both'); `turning` is 1 forwards and
    -1 backwards; `glow` goes from 0, dark, to 3, bright.
    """

    state: str = ""
    turning: int = 0
    glow: int = 0


class Operating(Protocol):
    """What is needed of an operating point."""

    @property
    def amps(self) -> Mapping[str, float]:
        """Current of each part. [A]"""

    @property
    def speeds(self) -> Mapping[str, float]:
        """Speed of each motor as a share of its rated speed."""

    @property
    def states(self) -> Mapping[str, str]:
        """State of each fuse and relay."""


def look(
    step: Step, circuit: Circuit, opened: Collection[str], operating: Operating | None
) -> Seen:
    """How a part looks to somebody who has looked at the parts in `opened`."""
    if step.bridge:
        return Seen()
    part = circuit.parts[step.id]
    state = circuit.positions.get(step.id, "")
    if part.kind == "changeover":
        ways = getattr(part, "positions", {}).get(state, "none").split(",")
        joined = {end for way in ways for end in way.strip().split("-")}
        made = step.enter in joined and step.leave in joined
        other = step.throw in joined
        state = ("both" if other else "made") if made else "other" if other else "open"
    if part.kind == "relay":
        pulled = operating is not None and operating.states.get(step.id) == "pulled in"
        resting = "87a" in (step.enter, step.leave)
        state = "made" if pulled != resting else "open"
    if step.id in opened and part.kind in ("fuse", "breaker", "lamp", "indicator"):
        missing = any(f.part == step.id and f.mode == "missing" for f in circuit.faults)
        state = "missing" if missing else "blown"
    if operating is None:
        return Seen(state)
    return Seen(state, _turning(step, operating), _glow(step, circuit, operating))


def _turning(step: Step, operating: Operating) -> int:
    speed = operating.speeds.get(step.id, 0.0)
    return 0 if abs(speed) < _TURNS else 1 if speed > 0 else -1


def _glow(step: Step, circuit: Circuit, operating: Operating) -> int:
    part = circuit.parts[step.id]
    if part.kind not in ("lamp", "indicator", "electronics"):
        return 0
    rated = getattr(part, "current", None)
    power = getattr(part, "power", None)
    volts = getattr(part, "voltage", None) or circuit.system
    if rated is None and power is not None:
        rated = power / volts
    amps = abs(operating.amps.get(step.id, 0.0))
    share = amps / rated if rated else float(amps > 1e-3)
    return 0 if share < _DIM else 3 if share > _BRIGHT else 2 if share > 0.5 else 1
