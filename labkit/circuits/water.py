"""Water in the bilge: what comes in, what the pump takes out, where the float rises and falls."""

from __future__ import annotations

from collections.abc import Mapping

from pydantic import BaseModel, ConfigDict, Field

from labkit.parts import Float, MotorLoad, Part
from labkit.parts.keys import CubicMetres, Flow
from labkit.text.messages import did_you_mean
from labkit.text.quantities import show


class Water(BaseModel):
    """The table [water] of a circuit file.

    Attributes
    ----------
    switch : str
        Id of the float switch; `float` in a file.
    pump : str
        Id of the motor that pumps.
    leak, flow : float
        What comes in, and what the pump takes out at its rated speed. [m3/s]
    on, off : float
        Water that lifts the float, and that lets it fall. [m3]
    bilge : float
        What the bilge holds before it stands above the boards. [m3]
    start : float
        Water in it at first. [m3]
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    switch: str = Field(alias="float")
    pump: str
    leak: Flow
    flow: Flow = 30e-3 / 60  # of a small bilge pump against its hose; common practice, no source
    on: CubicMetres = 12e-3
    off: CubicMetres = 2e-3
    bilge: CubicMetres = 0.1
    start: CubicMetres = 0.0

    def problems(self, parts: Mapping[str, Part]) -> list[str]:
        """Return what does not fit the circuit, each a sentence starting with the key."""
        found = []
        for key, id, wanted in (("float", self.switch, Float), ("pump", self.pump, MotorLoad)):
            part = parts.get(id)
            if not isinstance(part, wanted):
                right = [p.id for p in parts.values() if isinstance(p, wanted)]
                what = f"is a {part.kind}" if part else "is not a part here"
                found.append(f'{key}: found "{id[:20]}", which {what}; {did_you_mean(id, right)}')
        if not self.off < self.on < self.bilge:
            litres = [show(1e3 * v, "l") for v in (self.off, self.on, self.bilge)]
            found.append(
                f"on: found off {litres[0]}, on {litres[1]}, bilge {litres[2]}; "
                "each is more than the one before"
            )
        return found
