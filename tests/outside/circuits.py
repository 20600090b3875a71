"""Circuits for the checks, always built by way of labkit's file format."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from labkit.circuits.circuit import Circuit
from labkit.circuits.circuit_file import circuit_from
from labkit.solving.solver import solve

NEGATIVE = "DC-"


def known(value: float | None) -> float:
    """Return a figure of a solved circuit, which has none where nothing ties it to DC-."""
    assert value is not None, "it floats, or does not settle"
    return value


def circuit_of(title: str, runs: Sequence[Mapping[str, Any]], system: str = "12 V") -> Circuit:
    """Build a circuit from the runs of a parsed file."""
    return circuit_from({"title": title, "system": system, "run": [dict(run) for run in runs]})


def across_a_source(emf: str, parts: Sequence[Mapping[str, Any]], system: str = "12 V") -> Circuit:
    """Connect each part by itself across one ideal source, between the node "live" and DC-."""
    source = {"id": "G1", "is": "battery", "emf": emf, "resistance": "0 ohm"}
    runs = [{"from": NEGATIVE, "to": "live", "parts": [source]}]
    runs += [{"from": "live", "to": NEGATIVE, "parts": [part]} for part in parts]
    return circuit_of("parts side by side", runs, system)


def resistances(parts: Sequence[Mapping[str, Any]], emf: str = "1 V") -> dict[str, float]:
    """Resistance of each part as a solved circuit shows it: volts across over amps through."""
    solved = solve(across_a_source(emf, parts))
    volts = known(solved.volts["live"])
    return {part["id"]: volts / known(solved.amps[part["id"]]) for part in parts}
