"""Copper conductors: gauge to area, area to resistance, and what the rules let a wire carry."""

from __future__ import annotations

import math
import re

from labkit.text.quantities import QuantityError, shorten

RESISTIVITY_20C = 1.7241e-8
"""Annealed copper, 100 % IACS, at 20 C. [ohm m] IEC 60028 as quoted beside IEC 60228 tables."""

TEMPERATURE_COEFFICIENT = 0.00393
"""Of annealed copper's resistance, referred to 20 C. [1/K] NBS Handbook 100 (from memory)."""

AMPACITY_INSULATIONS = (60, 75, 80, 90, 105, 125, 200)
"""Insulation ratings that are columns of the table below. [C]"""

AMPACITY = {
    18: (10, 10, 15, 20, 20, 25, 25),
    16: (15, 15, 20, 25, 25, 30, 35),
    14: (20, 20, 25, 30, 35, 40, 45),
    12: (25, 25, 35, 40, 45, 50, 55),
    10: (40, 40, 50, 55, 60, 70, 70),
    8: (55, 65, 70, 70, 80, 90, 100),
    6: (80, 95, 100, 100, 120, 125, 135),
    4: (105, 125, 130, 135, 160, 170, 180),
    3: (120, 145, 150, 155, 180, 195, 210),
    2: (140, 170, 175, 180, 210, 225, 240),
    1: (165, 195, 210, 210, 245, 265, 280),
    0: (195, 230, 245, 245, 285, 305, 325),
    -1: (225, 265, 285, 285, 330, 355, 370),
    -2: (260, 310, 330, 330, 385, 410, 430),
    -3: (300, 360, 385, 385, 445, 475, 510),
}
"""Allowable amperage by gauge, 30 C ambient. [A] 33 CFR 183.425, Table 5."""

ENGINE_SPACE = {60: 0.58, 75: 0.75, 80: 0.78, 90: 0.82, 105: 0.85, 125: 0.89, 200: 1.0}
"""Insulation rating [C] to the share of that amperage left in an engine space, taken as 50 C.

33 CFR 183.425, Table 5, its note; 105 C second hand, the others from memory.
"""

BUNDLING = ((3, 1.0), (4, 0.7), (7, 0.6), (25, 0.5), (math.inf, 0.4))
"""Wires that carry current in one bundle, fewer than the first figure, to the share left to each.

ABYC E-11, from memory (3: 0.7, 4 to 6: 0.6, 7 to 24: 0.5, more: 0.4); BS 7671 table 4C1 has 0.70,
0.57 and 0.45 for 3, 6 and 12 circuits.
"""

CLASS_5_TINNED = {
    0.5: 40.1, 0.75: 26.7, 1: 20.0, 1.5: 13.7, 2.5: 8.21, 4: 5.09, 6: 3.39, 10: 1.95, 16: 1.24,
    25: 0.795, 35: 0.565, 50: 0.393, 70: 0.277, 95: 0.210, 120: 0.164,
}  # fmt: skip  # rows that a reader compares
"""Size [mm2] to the greatest resistance of a tinned flexible conductor at 20 C. [ohm/km]

IEC 60228, class 5, as reprinted alike by two cable references.
"""

_AWG = re.compile(r"\s*(\d{1,2}|[1-4]/0)\s*AWG\s*")
_MM2 = re.compile(r"\s*(\d+\.?\d*|\.\d+)\s*mm[2²]\s*")


def awg_area(gauge: int) -> float:
    """Cross-section of a solid American Wire Gauge conductor.

    Parameters
    ----------
    gauge : int
        1/0 is 0, 2/0 is -1, 3/0 is -2, 4/0 is -3.

    Returns
    -------
    float
        Area. [m2]

    References
    ----------
    ASTM B258: diameter 0.005 in times 92^((36 - gauge) / 39).
    """
    diameter = 0.005 * 0.0254 * 92.0 ** ((36 - gauge) / 39)
    return float(math.pi / 4 * diameter * diameter)


def wire_area(size: object) -> float:
    """Cross-section of a wire from its size as printed on the reel.

    Parameters
    ----------
    size : str
        "12 AWG", "2/0 AWG" or "2.5 mm2".

    Returns
    -------
    float
        Area; for metric sizes the nominal one. [m2]

    Raises
    ------
    QuantityError
        If it is neither.
    """
    gauge = awg_number(size)
    if gauge is not None:
        return awg_area(gauge)
    if isinstance(size, str) and (match := _MM2.fullmatch(size)) and float(match.group(1)) > 0:
        return float(match.group(1)) * 1e-6
    found = f'"{shorten(size)}"' if isinstance(size, str) else shorten(repr(size))
    raise QuantityError(f'found {found}; write a wire size, such as "12 AWG" or "2.5 mm2"')


def awg_number(size: object) -> int | None:
    """Gauge of a size such as "12 AWG" (4/0 is -3), or None where the size is not in AWG."""
    match = _AWG.fullmatch(size) if isinstance(size, str) else None
    if match is None:
        return None
    word = match.group(1)
    return 1 - int(word[0]) if word.endswith("/0") else int(word)


def resistivity(temperature: float = 20.0) -> float:
    """Resistivity of annealed copper. [ohm m]

    Parameters
    ----------
    temperature : float
        Of the conductor. [C]
    """
    return RESISTIVITY_20C * (1 + TEMPERATURE_COEFFICIENT * (temperature - 20.0))


def cable_resistance(area: float, length: float, temperature: float = 20.0) -> float:
    """Resistance of a copper conductor, one way. [ohm]

    Parameters
    ----------
    area : float
        Cross-section. [m2]
    length : float
        Length of that one wire. [m]
    temperature : float
        Of the conductor. [C]

    Notes
    -----
    The nominal area of a metric size gives less than the maximum IEC 60228 allows, and a stranded
    wire lies some 2 % above a solid one: a real wire may be the worse one.
    """
    return resistivity(temperature) * length / area


def ampacity(gauge: int, insulation: int = 105) -> int:
    """Current a conductor may carry outside engine spaces. [A]

    Parameters
    ----------
    gauge : int
        AWG, 18 to 4/0 (-3).
    insulation : int
        Temperature rating of its insulation, one of AMPACITY_INSULATIONS. [C]

    Raises
    ------
    ValueError
        If the table has no such row or column.

    References
    ----------
    33 CFR 183.425, Table 5.
    """
    if gauge not in AMPACITY or insulation not in AMPACITY_INSULATIONS:
        raise ValueError(f"33 CFR 183.425 Table 5 has no entry for gauge {gauge} at {insulation} C")
    return AMPACITY[gauge][AMPACITY_INSULATIONS.index(insulation)]


def ampacity_of_area(area: float, insulation: int = 105) -> int:
    """Current the largest tabled gauge not larger than this area may carry. [A]

    A metric size takes the entry of the next smaller gauge. Below 18 AWG there is no entry: 0.
    """
    fitting = [gauge for gauge in AMPACITY if awg_area(gauge) <= area * (1 + 1e-9)]
    return ampacity(min(fitting), insulation) if fitting else 0


def allowed_amps(
    area: float, insulation: float = 105.0, bundle: int = 1, engine_space: bool = False
) -> float:
    """Current a wire may carry where it lies. [A]

    Parameters
    ----------
    area : float
        Cross-section. [m2]
    insulation : float
        What its insulation stands; between two columns of the table the lower holds. [C]
    bundle : int
        Wires that carry current in one bundle, itself counted.
    engine_space : bool
        Whether it lies in an engine space.

    Notes
    -----
    33 CFR 183.425, Table 5, times ENGINE_SPACE and BUNDLING. Below 18 AWG, where the table ends,
    in proportion to the area, which is on the careful side.
    """
    column = max((c for c in AMPACITY_INSULATIONS if c <= insulation), default=60)
    smallest = awg_area(18)
    amps = float(ampacity_of_area(max(area, smallest), column)) * min(area / smallest, 1.0)
    share = next(left for fewer, left in BUNDLING if bundle < fewer)
    return amps * share * (ENGINE_SPACE[column] if engine_space else 1.0)
