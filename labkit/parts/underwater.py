"""Metal under water: what it stands at against the sea, and what passes between the two."""

from __future__ import annotations

from typing import ClassVar, Literal

from labkit.parts.base import Model, Part, PartState, extras
from labkit.parts.laws import Linear
from labkit.parts.modes import OPEN_MODE, RESISTANCE_MODE, Mode, modes_of
from labkit.parts.traits import Trait

Metal = Literal[
    "magnesium", "zinc", "aluminium", "steel", "stainless steel", "naval brass", "copper",
    "manganese bronze", "silicon bronze", "bronze",
]  # fmt: skip  # rows that a reader compares

POTENTIALS: dict[str, tuple[float, float]] = {
    "magnesium": (-1.65, -1.60),
    "zinc": (-1.03, -0.98),
    "aluminium": (-1.00, -0.76),
    "steel": (-0.71, -0.60),
    "stainless steel": (-0.58, -0.43),
    "naval brass": (-0.40, -0.30),
    "copper": (-0.37, -0.30),
    "manganese bronze": (-0.34, -0.27),
    "silicon bronze": (-0.29, -0.26),
    "bronze": (-0.31, -0.24),
}
"""Metal to the least and greatest potential in sea water against silver/silver chloride. [V]

Professional BoatBuilder 100 (2006), table as reprinted at kiwiprops.co.nz; stainless steel is 304
and 316, active; copper as other tables have it.
"""


class Fitting(Part):
    """Metal fitting in the water, a through-hull, a shaft or an anode: terminal 2 is in the sea.

    It stands at its metal's potential against the sea, behind a resistance for what passes between
    metal and water (a straight line, good for some tenths of a volt: common practice, no source).
    Bonded to others it is drawn to a potential between; where a current from a leak leaves it into
    the water it rises, and is eaten away: iron by 9.1 kg for each ampere and year, copper by 10.4
    (Faraday). A meter's black lead on the node `sea` stands for a reference cell hung in the water
    beside it.
    """

    kind: ClassVar[str] = "fitting"
    letters: ClassVar[str] = "XF"
    traits: ClassVar[Trait] = Trait.GALVANIC | Trait.NOT_OHMS
    default_resistance: ClassVar[float] = 10.0  # a fist of metal; common practice, no source
    modes: ClassVar[dict[str, Mode]] = modes_of(
        Mode("spent", "eaten away", "eaten away", 0.5, effect=OPEN_MODE.effect),
        RESISTANCE_MODE._replace(
            says="corroded at its stud", weight=1.0, amounts=("8 ohm", "100 ohm", "1 kohm")
        ),
        OPEN_MODE._replace(says="off its wire", weight=0.5),
    )
    metal: Metal = "bronze"

    @property
    def rating(self) -> str:
        return self.metal

    def model(self, state: PartState) -> Model:
        law = Linear.emf(-sum(POTENTIALS[self.metal]) / 2, self.series(state))
        return Model((*self.path(state, law), *extras(self, state)))
