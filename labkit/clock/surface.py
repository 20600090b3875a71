"""Surface charge: the volts above rest at a lead battery's posts, for hours after charging.

The voltage of the plates' surface falls by what still flows into them and becomes gas, and at once
with a load: the capacity behind it is small. A step of it is the cells' own implicit one
(:class:`labkit.parts.cells.Cell`); it falls the more slowly the longer it has fallen, so that steps
may grow with the time since. A lithium battery has none to speak of.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from labkit.parts import Battery
from labkit.parts.cells import CHEMISTRIES, Cell
from labkit.parts.laws import Floats

if TYPE_CHECKING:
    from labkit.clock.world import Look, World

FROZEN = 0.0
"""Step of time of cells whose surface is as it was. [s]"""

_FIRST, _GROWTH = 1.0, 0.1  # first step, and what later ones are of the time since [s, -]
_LEAST = 5e-3  # above where it would come to rest, or above nothing at all [V]
_RESTS = 1e-7  # falling more slowly it has come to rest [V/s]


class Surface:
    """Since when the surfaces of batteries have been falling, where they are."""

    def __init__(self, world: World) -> None:
        self._world, self._since = world, -math.inf
        self.falls = False

    def begins(self, look: Look, seconds: float) -> bool:
        """Tell whether a surface stands above where it would come to rest as things are now.

        Parameters
        ----------
        look : Look
            With everything quick at rest.
        seconds : float
            Now. [s]
        """
        kept = self._world.surfaces
        rest = self._of(look)
        self.falls = any(kept.get(id, 0.0) > max(volts, 0.0) + _LEAST for id, volts in rest.items())
        self._since = seconds
        return self.falls

    def step(self, seconds: float) -> float:
        """Longest step, infinite where no surface falls. [s]"""
        return _FIRST + _GROWTH * (seconds - self._since) if self.falls else math.inf

    def moved(self, look: Look, seconds: float) -> bool:
        """Keep the surfaces at the end of a step [s]; tell whether they have just come to rest."""
        before, now = dict(self._world.surfaces), self._of(look)
        self._world.surfaces.update(now)
        if not self.falls:
            return False
        fell = (before.get(id, 0.0) - volts for id, volts in now.items() if volts > _LEAST)
        self.falls = any(by > _RESTS * seconds for by in fell)
        if not self.falls:
            self._world.surfaces.clear()
        return not self.falls

    def _of(self, look: Look) -> dict[str, float]:
        parts = self._world.circuit.parts
        return {
            id: volts
            for id, volts in surfaces_of(look).items()
            if id in self._world.charged
            and isinstance(battery := parts[id], Battery)
            and CHEMISTRIES[battery.chemistry].gases
        }


def surfaces_of(look: Look) -> dict[str, float]:
    """Voltage of the surface of each battery that has one in this look. [V]"""
    wires, inner = look.net.wires, look.solution.inner
    cells = ((wires[n].owner, wires[n].law, v) for n, v in inner.items())
    return {owner: law.after(v, Floats)["surface"] for owner, law, v in cells if type(law) is Cell}
