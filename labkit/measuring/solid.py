"""What is one piece of metal once every switch is on: places that no load, source or gap parts."""

from __future__ import annotations

from collections.abc import Collection

from labkit.circuits.circuit import Circuit
from labkit.parts import Part, Trait

_HOLDS = Trait.LOAD | Trait.SOURCE | Trait.JUNCTION


def carries(part: Part) -> bool:
    """Tell whether a part holds a current back by nothing worth counting when it is closed."""
    return not part.traits & _HOLDS


class Solid:
    """Places of a circuit that are joined by nothing but wires, contacts and fuses.

    Parameters
    ----------
    circuit : Circuit
        Connections taken apart count as apart, switches as on.
    without : collection of str
        Ids of parts to leave out.
    """

    def __init__(self, circuit: Circuit, without: Collection[str] = ()) -> None:
        self._at = circuit.node_of
        self._to: dict[str, str] = {}
        for part in circuit.parts.values():
            if part.id in without or not carries(part):
                continue
            for first, second in part.ways():
                ends = f"{part.id}:{first}", f"{part.id}:{second}"
                if all(end in self._at for end in ends):
                    self._to[self.piece(ends[0])] = self.piece(ends[1])

    def piece(self, place: str) -> str:
        """The piece a place belongs to; one name for all that are joined."""
        here = self._at[place]
        while self._to.get(here, here) != here:
            here = self._to[here]
        return here

    def pair(self, first: str, second: str) -> frozenset[str]:
        """The pieces of two places: one where they are joined."""
        return frozenset((self.piece(first), self.piece(second)))
