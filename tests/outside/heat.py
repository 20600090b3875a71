"""labkit's fuses, wires and joints as they warm, against published limits, tables and reports."""

from __future__ import annotations

import math

from labkit.clock.copper import HEAT_OF_COPPER, loss, settled, warmed
from labkit.clock.hot_spot import HotSpot
from labkit.clock.melting import COLD, Melting, melting_of
from labkit.parts.conductors import (
    AMPACITY,
    AMPACITY_INSULATIONS,
    RESISTIVITY_20C,
    TEMPERATURE_COEFFICIENT,
    ampacity,
    awg_area,
    resistivity,
)

from . import table_files
from .checks import Check, Row, near

_LONG = 1e7  # a fuse that has not opened by then never does [s]


def opening(melting: Melting, share: float, sample: float = 1.0) -> float:
    """Time a cold fuse takes to open at its reference ambient. [s]"""
    return melting.opens_after(COLD, share * share, melting.reference, _LONG, sample)


def _opens() -> list[Check]:
    """Every published limit at every tabled current, by the least, usual and greatest of a lot."""
    checks = []
    for row in table_files.read("fuse_times"):
        melting = melting_of(row["form"], float(row["rating"]))
        low, high = float(row["least"] or 0), float(row["greatest"] or math.inf)
        for sample in (melting.spread[0], 1.0, melting.spread[1]):
            found = opening(melting, float(row["percent"]) / 100, sample)
            name = f"{row['form']} {row['rating']} A at {row['percent']} %, sample {sample:g}"
            checks.append(Check(name, found, low, high))
    return checks


def melting_integral(kind: Melting) -> float:
    """I^2 t that opens it in a pulse far shorter than either time constant. [rating^2 s]"""
    rate = kind.quick / kind.tau_quick + (1.0 - kind.quick) / kind.tau_slow
    return kind.least**2 / rate


def time_constant(area: float, insulation: int = 105) -> float:
    """Time in which a wire without current loses all but a third of its warmth. [s]"""
    return HEAT_OF_COPPER * area / loss(area, insulation)


def _melting_integrals() -> list[Check]:
    checks = []
    for form, rating, published in (
        ("maxi", 30, 4100), ("maxi", 35, 6000), ("maxi", 40, 8500), ("blade", 40, 3300),
    ):  # fmt: skip  # rows that a reader compares
        found = melting_integral(melting_of(form, rating)) * rating**2
        checks.append(near(f"{form} {rating} A", found, published, 0.1 * published))
    return checks


def _hot_drops() -> list[Check]:
    checks = []
    for form, milliohm, millivolts in (("maxi", 1.4, 75.0), ("blade", 1.44, 96.0)):
        melting = melting_of(form, 40.0)
        heat = melting.after(COLD, 1.0, _LONG)
        found = 40.0 * milliohm * (1.0 + melting.growth(heat))
        checks.append(near(f"{form} 40 A at its rating", found, millivolts, 0.02 * millivolts))
    return checks


def _breaker_ambient() -> list[Check]:
    """The current that opens it in the end, against the same at its reference ambient."""
    checks = []
    for row in table_files.read("fuse_ambient"):
        celsius = float(row["celsius"])
        found = math.sqrt(melting_of(row["form"], float(row["rating"])).limit(celsius))
        name = f"{row['form']} at {row['celsius']} C"
        checks.append(near(name, found, float(row["share"]), float(row["tolerance"])))
    return checks


def _ampacities() -> list[Check]:
    """The table's current, for ever, brings each gauge to its insulation's rating."""
    return [
        near(
            f"{gauge} AWG, {insulation} C",
            settled(ampacity(gauge, insulation) ** 2, awg_area(gauge), 30.0, insulation),
            insulation,
            0.1,
        )
        for gauge in AMPACITY
        for insulation in AMPACITY_INSULATIONS
    ]


def largest(insulation: int, ambient: float, area: float = 3.31e-6) -> float:
    """Current that brings a wire to its insulation's rating in the end. [A]"""
    low, high = 0.0, 1000.0
    for _ in range(60):
        middle = (low + high) / 2
        if settled(middle**2, area, ambient, _column(insulation)) < insulation:
            low = middle
        else:
            high = middle
    return low


def _column(insulation: int) -> int:
    return insulation if insulation in AMPACITY_INSULATIONS else 75


def _ambient_factors() -> list[Check]:
    checks = []
    for row in table_files.read("ambient_factor"):
        insulation, celsius = int(row["insulation"]), float(row["celsius"])
        found = largest(insulation, celsius) / largest(insulation, 30.0)
        name = f"{row['source']}: {insulation} C in {celsius:g} C"
        checks.append(near(name, found, float(row["share"]), float(row["tolerance"])))
    return checks


def _k() -> list[Check]:
    """k from the copper alone: a pulse too short for any loss."""
    checks = []
    for row in table_files.read("conductor_k"):
        first, last = float(row["first"]), float(row["last"])
        alpha = TEMPERATURE_COEFFICIENT
        growth = math.log(resistivity(last) / resistivity(first))
        found = math.sqrt(HEAT_OF_COPPER / RESISTIVITY_20C / alpha * growth) * 1e-6
        published = float(row["k"])
        checks.append(near(f"{first:g} to {last:g} C", found, published, 0.5))
    return checks


def pulse(area: float, amps: float, first: float, last: float) -> float:
    """Time a wire takes from one temperature to another at a current. [s]"""
    low, high = 0.0, 3600.0
    for _ in range(70):
        middle = (low + high) / 2
        if warmed(first, amps * amps, middle, area, 30.0) < last:
            low = middle
        else:
            high = middle
    return low


def _pulses() -> list[Check]:
    """Worked times, and k^2 S^2 of every gauge at a twentieth of its time constant."""
    checks = []
    for row in table_files.read("conductor_pulses"):
        published = float(row["seconds"])
        found = pulse(float(row["mm2"]) * 1e-6, float(row["amps"]), 70.0, 160.0)
        name = f"{row['mm2']} mm2, {row['amps']} A"
        checks.append(near(name, found, published, 0.05 * published))
    for gauge in AMPACITY:
        area = awg_area(gauge)
        published = time_constant(area) / 20.0
        amps = 115.0 * area * 1e6 / math.sqrt(published)
        found = pulse(area, amps, 70.0, 160.0)
        checks.append(near(f"{gauge} AWG, {published:.2f} s", found, published, 0.05 * published))
    return checks


def _joints() -> list[Check]:
    """Heat of bad joints that somebody measured; the tolerances are chosen."""
    spot = HotSpot((2.7e-6, 2.7e-6))
    glowing = spot.settled(35.0, 25.0, 25.0)
    pair = HotSpot((3.31e-6, 3.31e-6)).settled(0.5, 25.0, 25.0) - 25.0
    wire = settled(30.0**2, 3.31e-6, 25.0) - 25.0
    return [
        # 35 W at 15 A for 100 h: the metal was over 750 F, and did not melt (copper at 1085 C).
        Check("glowing joint, 35 W on 14/12 AWG, above 399 C", glowing, 399.0, 1085.0),
        # A 0.55 mohm connector pair: 27.8 K at 30 A on 12 AWG, the wire's own warmth included.
        near("connector pair, 30 A on 12 AWG", pair + wire, 27.8, 15.0),
    ]


def rows() -> list[Row]:
    """The rows of the table on heat."""
    sheets = "makers' sheets of series 2041, 287, 299 (ISO 8820-3); NSN 5925-00-752-6909"
    mixed = "read (glass, breaker), second-hand (others)"
    return [
        Row("Warming `fuse` and `breaker`: when they open", sheets, mixed, _opens),
        Row(
            "Warming `fuse`: melting integral", "series 287, 299", "second-hand", _melting_integrals
        ),
        Row("Hot `fuse`: drop at its rating", "series 287, 299", "second-hand", _hot_drops),
        Row(
            "`breaker` in hot air",
            "a breaker maker's factors",
            "read",
            _breaker_ambient,
        ),
        Row("Wire for ever at its ampacity", "33 CFR 183.425, table 5", "read", _ampacities),
        Row(
            "Wire in hot air",
            "BS 7671 table 4B1; 33 CFR 183.425 note 1",
            "second-hand",
            _ambient_factors,
        ),
        Row("k of copper", "BS 7671, IEC 60364-5-54", "second-hand", _k),
        Row("Wire in a short pulse", "t = k^2 S^2 / I^2", "second-hand", _pulses),
        Row(
            "Joint that glows, connector that warms",
            "NBSIR 76-1011; a connector's specification",
            "read, second-hand",
            _joints,
        ),
    ]
