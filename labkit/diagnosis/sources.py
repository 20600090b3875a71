"""A boat whose sources are a little off, and the fuses that faults have opened."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from types import MappingProxyType

from labkit.circuits.circuit import Circuit
from labkit.parts import Battery, Fault, Part, Supply
from labkit.parts.cells import rest_voltage

FaultSet = tuple[Fault, ...]

STRONGER = 0.01
"""One standard deviation of a source's EMF, as a share. Common practice, no source."""


def shifted(circuit: Circuit) -> list[Circuit]:
    """The circuit with each of its sources stronger by STRONGER; none where there is but one.

    Between two sources stands the difference of two large voltages, which moves by far more than
    its own 1 % when either of them is a little off. With one source readings move as it does.
    """
    sources = [part for part in circuit.parts.values() if isinstance(part, Battery | Supply)]
    if len(sources) < 2:
        return []
    return [
        replace(
            circuit, parts=MappingProxyType({**circuit.parts, part.id: _stronger(part, circuit)})
        )
        for part in sources
    ]


def _stronger(part: Battery | Supply, circuit: Circuit) -> Part:
    if isinstance(part, Supply):
        volts = part.volts(circuit.system)
        return part.model_copy(update={"voltage": volts * (1 + STRONGER)})
    emf = part.emf if part.emf is not None else rest_voltage(part.charge or 0.0, circuit.system)
    return part.model_copy(update={"emf": emf * (1 + STRONGER)})


def with_open(faults: FaultSet, ids: Iterable[str]) -> FaultSet:
    """Faults with these fuses blown as well."""
    known = {f.part for f in faults if f.mode in ("blown", "missing", "open")}
    return (*faults, *(Fault(id, "blown") for id in ids if id not in known))
