"""labkit's wires against published tables: gauge, resistance, temperature, ampacity, sizing."""

from __future__ import annotations

import math
from collections.abc import Iterable

from labkit.parts.conductors import (
    AMPACITY_INSULATIONS,
    ampacity,
    awg_area,
)
from labkit.survey.sizing import Wanted
from labkit.survey.standards import FUSE_SHARE

from . import table_files
from .checks import Check, Row, near, printed
from .circuits import resistances

CIRCULAR_MIL = math.pi / 4 * (0.0254e-3) ** 2
"""Area of a circle one thousandth of an inch across. [m2]"""


def gauge_number(text: str) -> int:
    """Number of a printed gauge: "2/0" and "00" are both -1."""
    if text.endswith("/0"):
        return 1 - int(text[0])
    return 1 - len(text) if set(text) == {"0"} else int(text)


def _cable(id: str, size: str, length: str, celsius: str = "20") -> dict[str, str]:
    return {"id": id, "is": "cable", "size": size, "length": length, "temperature": f"{celsius} C"}


def _cables(cables: Iterable[tuple[str, str, str]]) -> list[float]:
    """Resistances of cables given as size, length and temperature [C], each solved in a circuit."""
    parts = [_cable(f"W{n}", *cable) for n, cable in enumerate(cables, 1)]
    return list(resistances(parts).values())


def _gauge_checks() -> list[Check]:
    checks = []
    for row in table_files.read("awg"):
        area = awg_area(gauge_number(row["awg"]))
        diameter = 2 * math.sqrt(area / math.pi) / 0.0254
        checks.append(near(f"{row['awg']} AWG, inches", diameter, *printed(row["diameter_in"])))
        mils = float(row["circular_mils"])
        half_of_fourth_digit = 0.5 * 10 ** (math.floor(math.log10(mils)) - 3)
        name = f"{row['awg']} AWG, circular mils"
        checks.append(near(name, area / CIRCULAR_MIL, mils, half_of_fourth_digit))
    return checks


def _at_20_c() -> list[Check]:
    rows = table_files.read("awg")
    per_1000_ft = _cables((f"{row['awg']} AWG", "1000 ft", "20") for row in rows)
    per_km = _cables((f"{row['awg']} AWG", "1 km", "20") for row in rows)
    checks = []
    for row, feet, km in zip(rows, per_1000_ft, per_km, strict=True):
        for column, found in (("ohm_per_1000_ft", feet), ("ohm_per_km", km)):
            if row[column]:
                value, half_a_digit = printed(row[column])
                # Published tables of the same copper differ by one in the last place.
                checks.append(near(f"{row['awg']} AWG, {column}", found, value, 2 * half_a_digit))
    return checks


def _at_75_c() -> list[Check]:
    rows = table_files.read("nec_table_8")
    found = _cables((f"{row['awg']} AWG", "1000 ft", "75") for row in rows)
    checks = []
    for row, ohms in zip(rows, found, strict=True):
        value, half_a_digit = printed(row["uncoated"])
        name = f"{row['awg']} AWG of {row['strands']}, 75 C"
        if row["strands"] == "1":
            # The table's copper is up to 0.2 % away from IACS.
            checks.append(near(f"{name}, solid", ohms, value, half_a_digit + 0.002 * value))
        else:  # labkit's wire is solid; strands take a longer way
            checks.append(Check(f"{name}, at most the stranded", ohms, 0.965 * value, value))
        coated = float(row["coated"])
        checks.append(Check(f"{name}, at most the coated", ohms, 0.9 * coated, coated))
    return checks


def _metric() -> list[Check]:
    rows = table_files.read("iec_60228")
    found = _cables((f"{row['mm2']} mm2", "1 km", "20") for row in rows)
    return [
        Check(f"{row['mm2']} mm2, {column}", ohms, 0.8 * float(most), float(most))
        for row, ohms in zip(rows, found, strict=True)
        for column, most in row.items()
        if column != "mm2"
    ]


def _temperature() -> list[Check]:
    rows = table_files.read("iec_temperature")
    cold, *warm = _cables(
        ("2.5 mm2", "1 km", celsius) for celsius in ("20", *(row["celsius"] for row in rows))
    )
    # The standard's table rounds copper's 0.00393/K to 0.004/K, which is up to 0.5 % by 100 C.
    return [
        near(f"factor at {row['celsius']} C", cold / ohms, float(row["factor"]), 0.005)
        for row, ohms in zip(rows, warm, strict=True)
    ]


def _sae() -> list[Check]:
    """A wire of SAE area has more resistance than one of the same AWG number, by their areas."""
    rows = table_files.read("sae")
    mils = {row["awg"]: float(row["circular_mils"]) for row in table_files.read("awg")}
    areas = [float(row["circular_mils"]) * CIRCULAR_MIL * 1e6 for row in rows]
    sae = _cables((f"{mm2:.6f} mm2", "1 km", "20") for mm2 in areas)
    awg = _cables((f"{row['gauge']} AWG", "1 km", "20") for row in rows)
    checks = []
    for row, worse, better in zip(rows, sae, awg, strict=True):
        printed_ratio = mils[row["gauge"]] / float(row["circular_mils"])
        # Both areas are printed with four digits.
        name = f"{row['gauge']} SAE over AWG"
        checks.append(near(name, worse / better, printed_ratio, 6e-4 * printed_ratio))
    return checks


def _ampacities() -> list[Check]:
    return [
        near(
            f"{row['awg']} AWG at {celsius} C",
            ampacity(gauge_number(row["awg"]), celsius),
            float(row[f"{celsius}C"]),
            0.0,
        )
        for row in table_files.read("ampacity")
        for celsius in AMPACITY_INSULATIONS
    ]


def _fuses() -> list[Check]:
    return [
        near(
            f"fuse for {row['awg']} AWG at {row['insulation']} C",
            FUSE_SHARE * ampacity(gauge_number(row["awg"]), int(row["insulation"])),
            float(row["amps"]),
            0.0,
        )
        for row in table_files.read("largest_fuse")
    ]


def _sizing() -> list[Check]:
    checks = []
    for row in table_files.read("sizing"):
        amps, feet, drop = (float(row[key]) for key in ("amps", "feet", "drop"))
        area = Wanted(amps, 0.3048 * feet / 2, 12.0, drop / 12.0).by_drop
        if row["circular_mils"]:
            name = f"{row['id']}, circular mils"
            published = printed(row["circular_mils"])[0]
            checks.append(near(name, area / CIRCULAR_MIL, published, 0.04 * published))
        if row["awg"]:
            right = gauge_number(row["awg"])
            checks.append(near(f"{row['id']}, AWG", _thinnest(area), right, 0.0))
    return checks


def _thinnest(area: float) -> int:
    """Thinnest stocked gauge of at least this area."""
    stocked = [gauge_number(row["awg"]) for row in table_files.read("awg")]
    return max(gauge for gauge in stocked if awg_area(gauge) >= area)


def rows() -> list[Row]:
    """The rows of the table on wires."""
    second_hand = "second-hand"
    return [
        Row(
            "Gauge to diameter and area (`awg_area`)",
            "ASTM B258, printed in Lessons in Electric Circuits I, ch. 12",
            "read",
            _gauge_checks,
        ),
        Row(
            "`cable` by gauge at 20 C", "cirris.com and 1728.org wire tables", second_hand, _at_20_c
        ),
        Row("`cable` by gauge at 75 C", "NEC chapter 9 table 8", second_hand, _at_75_c),
        Row(
            "`cable` by mm2 at 20 C: at most the maximum, within a fifth of it",
            "IEC 60228, two reprints",
            second_hand,
            _metric,
        ),
        Row("`cable` from 20 C to 30-100 C", "IEC 60228 factors", second_hand, _temperature),
        Row(
            "`cable` of SAE area over `cable` of the same AWG number",
            "ratio of the printed areas",
            second_hand,
            _sae,
        ),
        Row("`ampacity`", "33 CFR 183.425, table 5", "read", _ampacities),
        Row("Largest fuse of a wire", "33 CFR 183.455(c)(1) on table 5", "read", _fuses),
        Row(
            "Wire a voltage drop asks for, area within 4 %, and gauge",
            "sizings printed at sportsmensmarine.com, jamestowndistributors.com, zrd.com",
            second_hand,
            _sizing,
        ),
    ]
