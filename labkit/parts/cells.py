"""What a battery's cells do with current: EMF and resistance by charge and kind, and a surface.

Two wells of charge, one near the plates and one in the bulk of them; a resistance that grows as the
near one empties, and in the cold; a surface whose voltage must rise before the plates take current
in, and gas beside it. Everything is reckoned for 12 V and scaled to the system. The figures were
fitted to published ones (tests/outside says to which): cranking definitions, Peukert's law,
charging times, cranking power in the cold.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from labkit.parts.laws import Law, Value

REST_VOLTAGE = ((0.0, 11.6), (0.25, 12.0), (0.5, 12.2), (0.75, 12.4), (1.0, 12.6))
"""State of charge to rest voltage of a 12 V lead-acid battery. [V]

A rule-of-thumb table printed by a radio makers' mailing list; published tables differ from one
another by about 0.1 V at the same charge.
"""

_BEYOND = (-1.0, 10.0), (2.0, 13.4)  # near the plates there may be less than none, or more than all

NEAR = 0.445
"""Share of the capacity that lies near the plates."""

EVENS_OUT = 0.548 / 3600
"""Charge that flows between the wells, per unit of difference, as a share of capacity. [1/s]"""

WARM = 25.0
"""Temperature at which rest voltages are tabled. [C]"""


class Chemistry(NamedTuple):
    """What a kind of battery is like.

    Attributes
    ----------
    rest : table
        Charge to rest voltage. [V]
    ohm_amp_hours : float
        Resistance of the full, warm battery times its capacity. [ohm Ah]
    switch : float
        Resistance of its own protection. [ohm]
    takes : float
        How readily it takes current in, beside flooded lead.
    gases : bool
        Whether what it does not take becomes gas.
    room : float
        Share that is left to fill as far as taking current is concerned, until it is all but full.
    fades : float
        How far its resistance grows as it empties.
    """

    rest: tuple[tuple[float, float], ...]
    ohm_amp_hours: float
    switch: float = 0.0
    takes: float = 1.0
    gases: bool = True
    room: float = 0.0
    fades: float = 0.725


_AGM = ((-1.0, 10.0), (0.0, 11.7), (0.25, 12.1), (0.5, 12.35), (0.75, 12.6), (1, 12.8), (2, 13.6))
_LIFEPO4 = (
    (-1.0, 8.0),
    (-0.03, 9.5),
    (0.0, 12.0),
    (0.2, 13.0),
    (0.5, 13.2),
    (0.8, 13.3),
    (0.99, 13.4),
    (2, 14.2),
)
CHEMISTRIES: Mapping[str, Chemistry] = {
    "flooded": Chemistry((_BEYOND[0], *REST_VOLTAGE, _BEYOND[1]), 0.30),
    "agm": Chemistry(
        _AGM,
        0.15,
        takes=2.0,
    ),
    "lifepo4": Chemistry(
        _LIFEPO4,
        0.15,
        switch=5e-3,
        gases=False,
        room=0.3,
        fades=0.02,
    ),
}
"""flooded: fitted, see above; with a key `cca` its resistance is 1.69 V over that.
agm: half the resistance, twice the acceptance, 0.2 V more when full, from memory.
lifepo4: packs of 300 Ah are printed at 15 mohm at most, of 4 Ah at 50; rest voltages from memory.
"""

CRANKING = 1.69
"""Resistance of the full, warm battery times its cold cranking amperes (SAE J537). [V]"""

_LAYER = 0.19  # resistance of the surface to current drawn, as a share of the rest
_BEND, _TAKES = 0.485, 0.0615 / 3600  # volts, and share of capacity a second, of current put in
_GAS, _GAS_BEND, _GAS_FROM = 0.005 / 3600, 0.5, 14.4  # at 14.4 V 0.5 A of 100 Ah
_FARADS = 6.0 / 3600  # of the surface, by capacity in coulombs [F/C]
_MOST = 40.0  # exponents beyond this are no battery any more


GUARD = (10.0, 10.5, 15.2, 14.4)
"""Of a lithium battery of 12 V: opens below, closes above, opens above, closes below. [V]

A pack maker's set points (lithiumhub.com); its cells' 3.80 and 3.60 V agree (another maker's
manual).
"""

TAKES_CHARGE = (0.0, 45.0)
"""Between these its protection lets a lithium battery be charged. [C]

Data sheet of a 12.8 V pack, second-hand.
"""

_BRINK = 1e-6  # as far beyond it, a bend may be passed in one step [V]
_REFUSES = 1e-9, 10.0  # of a battery that takes none: amperes, and volts they bend over; chosen


def refusing(law: Cell) -> Cell:
    """The law of cells that give current and take none."""
    taking, bend = _REFUSES
    return replace(law, taking=taking, bend=bend, gas=0.0)


def rest_voltage(charge: float, system: float = 12.0, chemistry: str = "flooded") -> float:
    """Rest voltage of a battery at 25 C. [V]

    Parameters
    ----------
    charge : float
        State of charge; a little below 0 and above 1 near the plates.
    system : float
        Nominal voltage. [V]
    chemistry : str
        A key of CHEMISTRIES.
    """
    table = CHEMISTRIES[chemistry].rest
    k = min(max(bisect_right([row[0] for row in table], charge), 1), len(table) - 1)
    (c0, v0), (c1, v1) = table[k - 1], table[k]
    return (v0 + (v1 - v0) * (charge - c0) / (c1 - c0)) * system / 12.0


def emptiness(near: float, chemistry: str = "flooded") -> float:
    """How many times a battery's resistance is what it is when full."""
    near = min(max(near, -0.11), 1.0)
    return 1.0 + CHEMISTRIES[chemistry].fades * math.pow((1.0 - near) / (near + 0.133), 2.1)


def cold(celsius: float) -> float:
    """How many times a battery's resistance is what it is at 27 C: twice and a half at -18 C."""
    below = max(27.0 - celsius, -20.0)
    return math.exp(0.00722 * below + 0.000292 * below * below)


def full_resistance(chemistry: str, ohm_amp_hours: float, amp_hours: float) -> float:
    """Resistance of a full, warm battery of 12 V to a current drawn for long. [ohm]"""
    return (1 + _LAYER) * ohm_amp_hours / amp_hours + CHEMISTRIES[chemistry].switch


def behind_surface(chemistry: str, ohms: float, amp_hours: float) -> float:
    """The other way about: resistance times capacity, surface and protection left out. [ohm Ah]"""
    least = 1e-3 * ohms
    return max(ohms - CHEMISTRIES[chemistry].switch, least) * amp_hours / (1 + _LAYER)


def worn(ohms: float, health: float) -> float:
    """Resistance that age has put into a battery of 12 V, the same in warmth and cold. [ohm]

    Chosen so that one with 60 % of its capacity left just fails a load test.
    """
    return 2.3 * ohms * (1 / health - 1) / 0.67


def settle_wells(near: float, bulk: float, share: float, seconds: float) -> tuple[float, float]:
    """Charge near the plates and in the bulk after some time.

    Parameters
    ----------
    near, bulk : float
        Before. [share of full]
    share : float
        What goes in meanwhile (out where negative), as a share of the capacity, each second. [1/s]
    seconds : float
        [s]
    """
    whole = NEAR * near + (1 - NEAR) * bulk + share * seconds
    tau = 1.0 / (EVENS_OUT * (1 / NEAR + 1 / (1 - NEAR)))
    end = -share / NEAR * tau
    apart = end + (bulk - near - end) * math.exp(-seconds / tau)
    near = whole - (1 - NEAR) * apart
    return near, near + apart


@dataclass(frozen=True)
class Cell(Law):
    """A battery from - to +, behind its resistance: EMF, surface and gas.

    With y = -V - emf the surface's voltage, the current put in is bend-like where y > 0,
    taking sinh(y / bend) + gas (exp(y / gas_bend) - 1), and y * layer where y < 0; in a step of
    time its capacity adds farads (y - before) / dt, which is `held` times (y - before).
    """

    emf: Value = 12.6
    layer: Value = 1000.0  # [S]
    taking: Value = 1.0  # [A]
    bend: Value = _BEND
    gas: Value = 0.0  # [A]
    gas_bend: Value = _GAS_BEND
    held: Value = 0.0  # [S]
    before: Value = 0.0  # [V]

    def filling(self, surface: Value, xp: Any) -> Value:
        """Current that fills the plates, or empties them: without what becomes gas. [A]"""
        up = xp.minimum(xp.maximum(surface, 0.0) / self.bend, _MOST)
        into = 0.5 * self.taking * (xp.exp(up) - xp.exp(-up))
        return xp.where(surface > 0, into, self.layer * surface)

    def at(self, v: Value, close: Value, xp: Any) -> tuple[Value, Value]:
        surface = -v - self.emf
        rises = surface > 0
        up = xp.minimum(xp.maximum(surface, 0.0) / self.bend, _MOST)
        slope = 0.5 * self.taking / self.bend * (xp.exp(up) + xp.exp(-up))
        bubbles = self.gas * xp.exp(xp.minimum(xp.maximum(surface, 0.0) / self.gas_bend, _MOST))
        amps = self.filling(surface, xp) + xp.where(rises, bubbles - self.gas, 0.0)
        slope = xp.where(rises, slope + bubbles / self.gas_bend, self.layer)
        return -amps - self.held * (surface - self.before), slope + self.held

    def softest(self) -> Value:
        """Slope where the plates begin to take current in: the least there is. [S]"""
        return self.taking / self.bend + self.gas / self.gas_bend + self.held

    def heat(self, v: Value, amps: Value) -> Value:
        """All that is not stored at the EMF or drawn from it, gas included. [W]"""
        return amps * (v + self.emf)

    def drives(self) -> Value:
        return self.emf + abs(self.before)

    def start(self) -> Value:
        return -self.emf

    def limit(self, old: Value, new: Value, current: Value, xp: Any) -> Value:
        was, wanted = -old - self.emf, -new - self.emf
        # Held at the bend, except so close by that rounding alone decides on which side it stands:
        # held there, one that takes no charge is thrown from side to side for ever.
        crosses = (was * wanted < 0) & (abs(wanted) > _BRINK)
        wanted = xp.where(crosses, 0.0 * wanted, wanted)
        step = 1.5 * xp.minimum(self.bend, self.gas_bend)
        held = xp.minimum(wanted, was + step)
        return -self.emf - xp.where((was >= 0) & (wanted > was), held, wanted)

    def after(self, v: Value, xp: Any) -> dict[str, Value]:
        return {"surface": -v - self.emf}


def cell(
    chemistry: str,
    amp_hours: float,
    near: float,
    celsius: float,
    system: float,
    ohm_amp_hours: float,
) -> tuple[Cell, float]:
    """Law of a battery's cells, settled, and the resistance before them. [ohm]

    Parameters
    ----------
    chemistry : str
        A key of CHEMISTRIES.
    amp_hours : float
        Capacity.
    near : float
        Charge near the plates.
    celsius : float
    system : float
        Nominal voltage. [V]
    ohm_amp_hours : float
        Resistance of a full, warm battery of 12 V times its capacity, its protection left out.
    """
    kind, scale, coulombs = CHEMISTRIES[chemistry], system / 12.0, amp_hours * 3600.0
    grows, slow = emptiness(near, chemistry), cold(celsius)
    emf = rest_voltage(near, 12.0, chemistry) + 6 * 2e-4 * (celsius - WARM)
    room = max(1.0 - near, kind.room if near < 0.98 else 0.0, 1e-5)
    above = (emf - _GAS_FROM + 0.025 * (celsius - WARM)) / _GAS_BEND
    law = Cell(
        emf=emf * scale,
        layer=amp_hours / (_LAYER * ohm_amp_hours * grows * slow) / scale,
        taking=coulombs * _TAKES * kind.takes * room / slow,
        bend=_BEND * scale,
        gas=coulombs * _GAS * math.exp(min(above, _MOST)) if kind.gases else 0.0,
        gas_bend=_GAS_BEND * scale,
        held=coulombs * _FARADS / scale,
    )
    return law, (ohm_amp_hours / amp_hours * grows * slow + kind.switch) * scale
