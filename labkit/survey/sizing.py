"""Which wire, and at most which fuse: by voltage drop, by what it may carry, by the fuse it has."""

from __future__ import annotations

import math
from dataclasses import dataclass

from labkit.parts.conductors import (
    AMPACITY,
    CLASS_5_TINNED,
    allowed_amps,
    awg_area,
    resistivity,
)
from labkit.parts.fuse_kinds import kinds_of, largest_made
from labkit.survey.standards import CRITICAL_DROP, FUSE_SHARE, US_LAW, VOLUNTARY
from labkit.text.messages import CircuitError

LEAST_GAUGE = 16
"""Thinnest wire allowed alone, 33 CFR 183.425(e). [AWG]"""

LEAST_METRIC = 1.0
"""Thinnest metric wire alone and longer than 200 mm, ISO 13297, second hand. [mm2]"""

GAUGES = tuple(gauge for gauge in AMPACITY if gauge <= LEAST_GAUGE)


@dataclass(frozen=True)
class Wanted:
    """What a wire is to do.

    Attributes
    ----------
    current : float
        [A]
    length : float
        One way. [m]
    system : float
        Nominal voltage. [V]
    drop : float
        Share of it that may be lost out and back.
    insulation : float
        What the insulation stands. [C]
    bundle : int
        Wires that carry current in one bundle, itself counted.
    engine_space : bool
    fuse : float
        Rating of the fuse that will guard it; 0 where it is still to be chosen. [A]
    """

    current: float
    length: float
    system: float = 12.0
    drop: float = CRITICAL_DROP
    insulation: float = 105.0
    bundle: int = 1
    engine_space: bool = False
    fuse: float = 0.0

    def allows(self, area: float) -> float:
        """Current a wire of this area [m2] may carry there. [A]"""
        return allowed_amps(area, self.insulation, self.bundle, self.engine_space)

    def lost(self, area: float) -> float:
        """Share of the system voltage lost in a wire of this area [m2], out and back."""
        return resistivity() * 2 * self.length * self.current / area / self.system

    def lost_tinned(self, mm2: float) -> float:
        """The same in the worst tinned flexible wire of that size that IEC 60228 allows."""
        ohms = CLASS_5_TINNED[mm2] * 1e-3 * 2 * self.length
        return ohms * self.current / self.system

    @property
    def by_drop(self) -> float:
        """Least area by voltage drop. [m2]"""
        return resistivity() * 2 * self.length * self.current / (self.drop * self.system)

    @property
    def by_ampacity(self) -> float:
        """Least area that may carry the current for good. [m2]"""
        return self._least(self.current)

    @property
    def by_fuse(self) -> float:
        """Least area that its fuse guards: the fuse is at most 150 % of what the wire carries."""
        return self._least(self.fuse / FUSE_SHARE)

    def _least(self, amps: float) -> float:
        fitting = [awg_area(g) for g in AMPACITY if self.allows(awg_area(g)) >= amps * (1 - 1e-9)]
        return min(fitting, default=math.inf) if amps else 0.0


@dataclass(frozen=True)
class Size:
    """The wire that does it.

    Attributes
    ----------
    wanted : Wanted
    least : float
        Area that is needed. [m2]
    because : str
        Which rule decides: 'drop', 'ampacity', 'fuse' or 'least size'.
    mm2 : float
        Smallest metric size that does.
    gauge : int
        Smallest AWG that does; 4/0 is -3.
    """

    wanted: Wanted
    least: float
    because: str
    mm2: float
    gauge: int

    @property
    def awg(self) -> str:
        """Gauge as printed on the reel."""
        return f"{self.gauge} AWG" if self.gauge > 0 else f"{1 - self.gauge}/0 AWG"

    @property
    def smaller_area(self) -> float:
        """Area of the thinner of the two. [m2]"""
        return min(self.mm2 * 1e-6, awg_area(self.gauge))

    @property
    def drop(self) -> float:
        """Share of the system voltage lost in the thinner of the two, copper at 20 C."""
        return self.wanted.lost(self.smaller_area)

    @property
    def drop_tinned(self) -> float:
        """Share lost in the metric one at the greatest resistance allowed to a tinned wire."""
        return self.wanted.lost_tinned(self.mm2)

    @property
    def fuse_most(self) -> float:
        """Largest fuse made that still guards the thinner of the two. [A]"""
        return largest_made(FUSE_SHARE * self.wanted.allows(self.smaller_area))

    @property
    def sources(self) -> tuple[str, ...]:
        """Where each figure comes from, and whom the rule binds."""
        w = self.wanted
        column = max(c for c in (60, 75, 80, 90, 105, 125, 200) if c <= max(w.insulation, 60))
        found = [
            f"drop: {100 * w.drop:g} % of {w.system:g} V, ABYC E-11 and ISO 13297 (second hand); "
            f"binds {VOLUNTARY}",
            "copper: 1.7241e-8 ohm m at 20 C, IEC 60028; greatest of a tinned flexible wire: "
            "IEC 60228, class 5",
            f"ampacity: 33 CFR 183.425 Table 5, row {self.awg}, {column} C column; binds {US_LAW}",
            "fuse: at most 150 % of that, 33 CFR 183.455(c)(1)",
            f"least size: {LEAST_GAUGE} AWG, 33 CFR 183.425(e); {LEAST_METRIC:g} mm2, ISO 13297 "
            "(second hand)",
        ]
        if w.engine_space:
            found.append("engine space: the note to Table 5 (second hand)")
        if w.bundle > 2:
            found.append(f"bundle of {w.bundle}: ABYC E-11, from memory")
        return tuple(found)


def size(wanted: Wanted) -> Size:
    """Return the smallest wire that satisfies every rule.

    Raises
    ------
    CircuitError
        If no tabled wire does.
    """
    needs = {"drop": wanted.by_drop, "ampacity": wanted.by_ampacity, "fuse": wanted.by_fuse}
    because = max(needs, key=lambda rule: needs[rule])
    least = needs[because]
    metric = [mm2 for mm2 in CLASS_5_TINNED if mm2 >= LEAST_METRIC and _does(wanted, mm2 * 1e-6)]
    gauges = [gauge for gauge in GAUGES if _does(wanted, awg_area(gauge))]
    if not metric or not gauges:
        raise CircuitError(
            [
                f"no wire up to 120 mm2 (4/0 AWG) does: {least * 1e6:.0f} mm2 would be needed by "
                f"{because}; carry less current, a shorter way, or a higher voltage"
            ]
        )
    if any(_does(wanted, mm2 * 1e-6) for mm2 in CLASS_5_TINNED if mm2 < LEAST_METRIC):
        because = "least size"
    return Size(wanted, least, because, min(metric), max(gauges))


def _does(wanted: Wanted, area: float) -> bool:
    slack = 1 + 1e-9
    return (
        area * slack >= wanted.by_drop
        and wanted.allows(area) * slack >= wanted.current
        and FUSE_SHARE * wanted.allows(area) * slack >= wanted.fuse
    )


def as_json_of(found: Size) -> dict[str, object]:
    """Return a size as plain data."""
    return {
        "least_mm2": _up(found.least * 1e6),
        "mm2": float(found.mm2),
        "awg": found.awg,
        "because": found.because,
        "drop": round(found.drop, 3),
        "drop_tinned": round(found.drop_tinned, 3),
        "fuse_most": f"{found.fuse_most:g} A",
        "sources": list(found.sources),
    }


def _up(value: float) -> float:
    """Two digits, rounded up: a least size is never rounded down."""
    if value <= 0:
        return 0.0
    step = 10.0 ** (math.floor(math.log10(value)) - 1)
    return float(f"{math.ceil(value / step - 1e-9) * step:.6g}")


def sentences(found: Size) -> list[str]:
    """Say the size in words, a line each."""
    w = found.wanted
    why = {
        "drop": f"voltage drop decides: {100 * w.drop:g} % of {w.system:g} V",
        "ampacity": "what the wire may carry for good decides",
        "fuse": f"the {w.fuse:g} A fuse decides: a thinner wire would burn before it opens",
        "least size": "every rule would allow less; this is the thinnest wire to be run alone",
    }[found.because]
    volts = found.drop * w.system
    most = found.fuse_most
    lines = [
        f"Needed: {_up(found.least * 1e6):g} mm2. Take {found.mm2:g} mm2 or {found.awg}: {why}.",
        f"Lost out and back: {volts:.2f} V, {100 * found.drop:.1f} %, in copper at 20 C of the "
        f"nominal area; in a tinned flexible {found.mm2:g} mm2 up to "
        f"{100 * found.drop_tinned:.1f} %.",
        f"It may carry {w.allows(found.smaller_area):.0f} A there. Fuse: {most:g} A at most "
        f"({', '.join(kinds_of(most)[:4])}), and no more than the load's maker allows; at the "
        "source.",
    ]
    if found.drop_tinned > w.drop:
        lines.append(
            f"The worst wire sold as {found.mm2:g} mm2 would lose more than {100 * w.drop:g} %: "
            "take the next size where it must hold."
        )
    return lines
