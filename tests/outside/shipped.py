"""The shipped circuits, sound, against the rules a surveyor would hold them to, and ngspice."""

from __future__ import annotations

import math
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from labkit.circuits.circuit import Circuit
from labkit.circuits.circuit_file import load_circuit
from labkit.exercises.exercise import load_exercise
from labkit.exercises.proving import prove
from labkit.parts import Cable
from labkit.parts.conductors import ampacity_of_area, awg_area
from labkit.parts.protection import Breaker, Fuse
from labkit.parts.solar import Panel
from labkit.parts.underwater import Fitting
from labkit.solving.solver import solve

from ..solving.shipped import CIRCUITS, chatter_checks, points, positions, reference_checks
from .checks import Check, Row

EXERCISES = sorted((CIRCUITS[0].parents[1]).glob("*.toml"))
CRANKING = "engine-start"
"""Its heavy conductors feed a cranking motor, which 33 CFR 183.425(g) and 183.460 exempt."""

CRITICAL = ("anchor-light", "bilge-pump", "blower", "nav-lights", "radio")
"""Circuits that the 3 % is for; it is for electronics in the others too."""


SHARING = {"the-dark-earth-lamp": "E3"}
"""Hunts proven at a lamp that shares the volts with its twin; a load there that has them all."""


def _circuits() -> Iterator[tuple[str, Circuit]]:
    for path in CIRCUITS:
        yield path.stem, load_circuit(path)


def _cables(circuit: Circuit) -> list[Cable]:
    return [part for part in circuit.parts.values() if isinstance(part, Cable) and part.area]


def _smallest() -> list[Check]:
    """No conductor is thinner than 16 AWG, so that it may run singly."""
    least = awg_area(16)
    return [
        Check(f"{name} {cable.id}, mm2", 1e6 * (cable.area or 0.0), 1e6 * least, math.inf)
        for name, circuit in _circuits()
        for cable in _cables(circuit)
    ]


def _carried() -> list[Check]:
    """In no position of the switches does a conductor carry more than the table allows."""
    checks = []
    for name, circuit in _circuits():
        solved = [solve(circuit.with_position(**at)) for at in positions(circuit)]
        for cable in _cables(circuit):
            amps = max(abs(point.amps[cable.id] or 0.0) for point in solved)
            most = ampacity_of_area(cable.area or 0.0)
            if name != CRANKING:
                checks.append(Check(f"{name} {cable.id}, amps", amps, -most, most))
    return checks


def _protected() -> list[Check]:
    """With every fuse and breaker open, no conductor carries anything: each lies behind one.

    A solar panel is taken off too: it drives no more than its short-circuit current, which the
    thinnest conductor must bear for ever. So are metals in the sea, between which
    milliamperes flow. Common practice, no source.
    """
    checks = []
    for name, circuit in _circuits():
        opened = [f"{id} open" for id, part in circuit.parts.items()
                  if part.kind in ("fuse", "breaker")]  # fmt: skip  # rows that a reader compares
        opened += [f"{id} open" for id, part in circuit.parts.items() if isinstance(part, Fitting)]
        panels = [part for part in circuit.parts.values() if isinstance(part, Panel)]
        opened += [f"{panel.id} open" for panel in panels]
        for panel in panels:
            bears = min(ampacity_of_area(cable.area or 0.0) for cable in _cables(circuit))
            amps = panel.shorted(circuit.system)
            checks.append(Check(f"{name} {panel.id}, amps shorted", amps, 0.0, bears))
        dead = circuit.with_fault(*opened)
        solved = [solve(dead.with_position(**at)) for at in positions(circuit)]
        for cable in _cables(circuit):
            amps = max(abs(point.amps[cable.id] or 0.0) for point in solved)
            if name != CRANKING:
                checks.append(Check(f"{name} {cable.id}, amps unprotected", amps, -1e-9, 1e-9))
    return checks


def _ratings() -> list[Check]:
    """No fuse is rated more than 150 % of what the thinnest wire in its run may carry."""
    checks = []
    for name, circuit in _circuits():
        for stretch in circuit.runs:
            passed = [circuit.parts[step.part] for step in stretch.passes]
            areas = [part.area for part in passed if isinstance(part, Cable) and part.area]
            for part in passed:
                if isinstance(part, Fuse | Breaker) and areas:
                    most = 1.5 * ampacity_of_area(min(areas))
                    checks.append(Check(f"{name} {part.id}, amps", part.rated, -most, most))
    return checks


def _drops() -> list[Check]:
    """The sound boat loses no more than 3 % on the way to what safety depends on, else 10 %."""
    checks = []
    for path in EXERCISES:
        exercise = load_exercise(path)
        proof = replace(exercise.proof, load=SHARING.get(path.stem, exercise.proof.load))
        load = exercise.circuit.part(proof.load)
        if load.kind in ("battery", "gauge") or path.stem == "flat-by-friday":
            continue  # what is charged or drained is no load; a gauge shares volts with its sender
        critical = Path(exercise.circuit.file).stem in CRITICAL or load.kind == "electronics"
        limit = 0.03 if critical else 0.10
        found = prove(exercise.circuit, proof, exercise.circuit).drop
        checks.append(Check(f"{path.stem}, share lost", found, -limit, limit))
        if path.stem not in SHARING:
            checks.append(Check(f"{path.stem}, limit of its proof", proof.drop, -limit, limit))
    return checks


def _against_ngspice() -> list[Check]:
    """The worst of every operating point's voltages and currents."""
    found = []
    with tempfile.TemporaryDirectory() as folder:
        for path in CIRCUITS:
            compared = reference_checks(path, Path(folder))
            found += [max(checks, key=lambda check: check.strain) for checks in compared.values()]
            found += chatter_checks(path, Path(folder))
    return found


def _tried() -> int:
    """How many operating points are compared, without solving any."""
    return sum(len(list(points(circuit))) for _, circuit in _circuits())


def rows() -> list[Row]:
    """The rows of the table on what is shipped."""
    return [
        Row("Wires of the shipped circuits: none below 16 AWG", "33 CFR 183.425(e)", "read",
            _smallest),
        Row("Wires of the shipped circuits: what they carry, all switch positions",
            "33 CFR 183.425, table 5", "read", _carried),
        Row("Wires of the shipped circuits: each behind a fuse or breaker",
            "33 CFR 183.455(a); cranking exempt, solar panels off", "read", _protected),
        Row("Fuses and breakers of the shipped circuits: at most 150 % of their wire",
            "33 CFR 183.455(c)(1) on table 5", "read", _ratings),
        Row("Shipped exercises, sound: volts lost to the load, and the limit set",
            "3 % and 10 % of ABYC E-11; ISO 13297 (once ISO 10133) for the 3 %",
            "second-hand", _drops),
        Row("Shipped circuits, every position and single fault: all voltages and currents",
            "ngspice; Newton in 120 digits where only diodes tie a node", "computed by it at each "
            "run", _against_ngspice, _tried),
    ]  # fmt: skip  # rows that a reader compares
