"""Water in the bilge: what comes in, what the pump takes out, where the float rises and falls."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema

from labkit.parts import Part
from labkit.text.messages import did_you_mean
from labkit.text.quantities import FLOW, VOLUME, Kind, show


def _key(kind: Kind) -> tuple[BeforeValidator, WithJsonSchema]:
    schema = {"type": "string", "examples": [kind.example], "description": f"{kind.name} with unit"}
    return BeforeValidator(kind.parse), WithJsonSchema(schema)


Flow = Annotated[float, *_key(FLOW)]
Volume = Annotated[float, *_key(VOLUME)]


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
    on: Volume = 12e-3
    off: Volume = 2e-3
    bilge: Volume = 0.1
    start: Volume = 0.0

    def problems(self, parts: Mapping[str, Part]) -> list[str]:
        """Return what does not fit the circuit, each a sentence starting with the key."""
        found = []
        for key, id, kind in (("float", self.switch, "float"), ("pump", self.pump, "motor")):
            part = parts.get(id)
            if part is None or part.kind != kind:
                right = [p.id for p in parts.values() if p.kind == kind]
                what = f"is a {part.kind}" if part else "is no part here"
                found.append(f'{key}: found "{id[:20]}", which {what}; {did_you_mean(id, right)}')
        if not self.off < self.on < self.bilge:
            litres = [show(1e3 * v, "l") for v in (self.off, self.on, self.bilge)]
            found.append(
                f"on: found off {litres[0]}, on {litres[1]}, bilge {litres[2]}; "
                "each is more than the one before"
            )
        return found
