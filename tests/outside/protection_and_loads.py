"""labkit's fuses, batteries, lamps and motors against published limits, tables and laws."""

from __future__ import annotations

import math
from itertools import pairwise

from labkit.parts.protection import opening_time
from labkit.solving.solver import solve

from . import table_files
from .checks import Check, Row, near, printed
from .circuits import NEGATIVE, across_a_source, circuit_of, known, resistances

FILAMENT = 2800.0
"""A 12 V lamp's at its rating, within the usual 2400 to 2900 K. [K] Common practice, no source."""


def _fuse(id: str, form: str, rating: str) -> dict[str, str]:
    if form == "breaker":
        return {"id": id, "is": "breaker", "rating": f"{rating} A"}
    return {"id": id, "is": "fuse", "kind": form, "rating": f"{rating} A"}


def _opening_times() -> list[Check]:
    checks = []
    for row in table_files.read("fuse_times"):
        low = float(row["least"] or 0)
        high = float(row["greatest"] or math.inf)
        found = opening_time(row["form"], float(row["percent"]) / 100, float(row["rating"]))
        name = f"{row['form']} {row['rating']} A at {row['percent']} %"
        checks.append(Check(f"{name}, least", found[0], low, high))
        checks.append(Check(f"{name}, greatest", found[1], low, high))
    return checks


def _carries(form: str, rating: float, share: float) -> bool:
    """Whether a fuse still carries, once settled, a current of this share of its rating."""
    fuse = _fuse("F1", form, f"{rating:g}") | {"resistance": "1 mohm"}
    load = 12 / (rating * share) - 1e-3
    source = {"id": "G1", "is": "battery", "emf": "12 V", "resistance": "0 ohm"}
    resistor = {"id": "R1", "is": "resistor", "resistance": f"{load!r} ohm"}
    runs = [
        {"from": NEGATIVE, "to": "live", "parts": [source]},
        {"from": "live", "to": NEGATIVE, "parts": [fuse, resistor]},
    ]
    solved = solve(circuit_of("a fuse and its load", runs))
    assert (solved.states["F1"] == "intact") == (known(solved.amps["F1"]) > 0)
    return bool(solved.states["F1"] == "intact")


def _settled() -> list[Check]:
    """A share the table lets a fuse carry for hours is carried; one it must open at opens."""
    checks = []
    for row in table_files.read("fuse_times"):
        share = float(row["percent"]) / 100
        for_good = not row["greatest"]
        # A hair above: the settled fuse opens where it would carry more than 135 %.
        carried = _carries(row["form"], float(row["rating"]), share if for_good else share + 0.001)
        name = f"{row['form']} {row['rating']} A carries {row['percent']} %"
        checks.append(Check(name, float(carried), float(for_good), float(for_good)))
    return checks


def _cold_resistance() -> list[Check]:
    rows = table_files.read("fuse_resistance")
    parts = [_fuse(f"F{n}", row["form"], row["rating"]) for n, row in enumerate(rows, 1)]
    # A thousandth of the rating or less: cold, and nowhere near opening.
    found = resistances(parts, "1 uV").values()
    checks = []
    for row, ohms in zip(rows, found, strict=True):
        value, half_a_digit = printed(f"{row['milliohm']} mohm")
        name = f"{row['form']} {row['rating']} A"
        checks.append(near(name, ohms, value, half_a_digit))
    return checks


def battery_at_rest(percent: float) -> float:
    """Voltage of an unloaded 12 V battery of labkit at a state of charge. [V]"""
    battery = {"id": "G1", "is": "battery", "charge": f"{percent!r} %", "capacity": "100 Ah"}
    switch = {"id": "S1", "is": "switch", "position": "off"}
    runs = [
        {"from": NEGATIVE, "to": "stud", "parts": [battery]},
        {"from": "stud", "to": NEGATIVE, "parts": [switch]},
    ]
    return known(solve(circuit_of("a battery at rest", runs)).volts["stud"])


def _rest_voltage() -> list[Check]:
    return [
        near(
            f"{row['percent']} % by {row['source']}",
            battery_at_rest(float(row["percent"])),
            float(row["volts"]),
            float(row["tolerance"]),
        )
        for row in table_files.read("rest_voltage")
    ]


def _lamp(share: float) -> tuple[float, float]:
    """Voltage and current of a 12 V, 21 W lamp at a share of its rated voltage."""
    lamp = {"id": "E1", "is": "lamp", "voltage": "12 V", "power": "21 W"}
    solved = solve(across_a_source(f"{12 * share!r} V", [lamp]))
    return known(solved.volts["live"]), known(solved.amps["E1"])


def _lamp_exponents() -> list[Check]:
    (v0, i0), (v1, i1) = _lamp(0.9), _lamp(1.1)
    rise = math.log(v1 / v0)
    return [
        near("exponent of current", math.log(i1 / i0) / rise, 0.55, 0.005),
        # Printed to one decimal, and 1 + 0.55 is 1.55.
        near("exponent of power", math.log(v1 * i1 / (v0 * i0)) / rise, 1.6, 0.05),
    ]


def _tungsten(kelvin: float) -> float:
    table = [(float(r["kelvin"]), float(r["resistivity"])) for r in table_files.read("tungsten")]
    for (t0, rho0), (t1, rho1) in pairwise(table):
        if t0 <= kelvin <= t1:
            return rho0 + (rho1 - rho0) * (kelvin - t0) / (t1 - t0)
    raise ValueError(f"{kelvin:.0f} K is outside the table of tungsten")


def _filament() -> list[Check]:
    """Resistance of a dimmed lamp against tungsten's, at T = T_rated (V / V_rated)^0.42."""
    volts, amps = _lamp(1.0)
    rated = volts / amps
    checks = []
    for share in (0.5, 0.6, 0.7, 0.8, 0.9, 1.1, 1.2):
        volts, amps = _lamp(share)
        hot = _tungsten(FILAMENT * share**0.42) / _tungsten(FILAMENT)
        # Both laws are fits made near the rating; at half the voltage they part by a few per cent.
        name = f"resistance at {share:.0%} of rated voltage"
        checks.append(near(name, volts / amps / rated, hot, 0.06 * hot))
    return checks


def _stall() -> list[Check]:
    """Stall current over running current of motors whose resistance nobody gave."""
    checks = []
    for volts, amps in ((12, 3), (12, 7), (12, 80), (24, 5)):
        motor = {"id": "M1", "is": "motor", "voltage": f"{volts} V", "current": f"{amps} A"}
        circuit = across_a_source(f"{volts} V", [motor], f"{volts} V")
        runs = known(solve(circuit).amps["M1"])
        stalls = known(solve(circuit.with_fault("M1 seized")).amps["M1"])
        checks.append(Check(f"{volts} V {amps} A motor", stalls / runs, 1.0, 10.0))
    return checks


def rows() -> list[Row]:
    """The rows of the table on fuses, batteries, lamps and motors."""
    makers = "makers' sheets of series 2041, 287, 299 (ISO 8820-3); NSN 5925-00-752-6909"
    mixed = "read (glass), second-hand (others)"
    return [
        Row("`opening_time` within the limits", makers, mixed, _opening_times),
        Row("Settled `fuse` and `breaker`: carry or open", makers, mixed, _settled),
        Row(
            "Cold resistance of `fuse`",
            "makers' sheets of series 2041, 287, 299",
            mixed,
            _cold_resistance,
        ),
        Row(
            "`battery` by charge, at rest",
            "tables of motorhome.com, lists.ettus.com",
            "read",
            _rest_voltage,
        ),
        Row(
            "`lamp`: exponents of current and power",
            "Fink and Beaty, Standard Handbook for Electrical Engineers, p. 22-8",
            "second-hand",
            _lamp_exponents,
        ),
        Row(
            "`lamp`: resistance of a dimmed filament",
            "tungsten of Forsythe and Worthing 1925; colour temperature of Fink and Beaty",
            "second-hand",
            _filament,
        ),
        Row(
            "`motor` without a resistance: stall at most ten times running",
            "Lessons in Electric Circuits I, ch. 12",
            "read",
            _stall,
        ),
    ]
