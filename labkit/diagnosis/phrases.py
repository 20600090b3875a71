"""Measurements, readings and suspects in a few words, as a technician would say them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from labkit.aboard.acts import ACTS
from labkit.circuits.circuit import Circuit
from labkit.diagnosis.evidence import Evidence, Measurement
from labkit.diagnosis.faults import NO_PARTS, said
from labkit.parts import Part
from labkit.text.quantities import show

TOLD = ((0.05, "nothing"), (0.5, "a little"), (1.5, "something"), (float("inf"), "much"))
"""Words for what is told, up to so many bits. Chosen: a bit halves what could be wrong."""

NAMED = 4
"""So many names are listed before 'and N more'."""


def how_much(bits: float) -> str:
    """How much so many bits tell, in a word."""
    return next(word for most, word in TOLD if bits < most)


def listing(names: Sequence[str], most: int = NAMED) -> str:
    """Names in a sentence: 'X1 open, X2 open and 3 more'."""
    if not names:
        return "nothing"
    if len(names) == 1:
        return names[0]
    if len(names) <= most:
        return ", ".join(names[:-1]) + " and " + names[-1]
    return ", ".join(names[:most]) + f" and {len(names) - most} more"


def suspects(names: Iterable[str], most: int = NAMED, parts: Mapping[str, Part] = NO_PARTS) -> str:
    """Names of explanations in a sentence, each said as learners choose it."""
    return listing(list(dict.fromkeys(said(name, parts) for name in names)), most)


def value_text(value: float, unit: str) -> str:
    """A reading to the digits that matter."""
    if abs(value) < {"V": 5e-4, "A": 5e-4, "ohm": 0.05}[unit]:
        return f"0 {unit}"
    if unit in ("V", "A") and 0.1 <= abs(value) < 1000:
        return f"{value:.2f} {unit}" if abs(value) < 10 else f"{value:.1f} {unit}"
    return show(value, unit, 3)


def state_text(measurement: Measurement) -> str:
    """The state a measurement asks for, as a phrase in front: 'S2 on, X1:2 apart: '."""
    said = [f"{id} {word}" for id, word in measurement.positions.items()]
    said += [f"{terminal} apart" for terminal in sorted(measurement.parted)]
    if measurement.jumper:
        said.append("{} and {} bridged".format(*measurement.jumper))
    return ", ".join(said) + ": " if said else ""


def place_text(measurement: Measurement) -> str:
    """What is done, in a few words: 'X1:1 to DC-'."""
    m = measurement
    sense = ACTS[m.function].sense if m.function in ACTS else None
    if sense is not None:
        return sense.asked.format(red=m.red, black=m.black)
    if m.function == "clamp":
        return f"the clamp at {m.red}"
    what = "" if m.function == "volts" else f"{m.function} "
    return f"{what}{m.red} to {m.black}"


def seen_text(evidence: Evidence, circuit: Circuit) -> str:
    """What was done and seen, its leads by the numbers on the drawing."""
    told = numbered(evidence, circuit, "point ")
    return f"{state_text(evidence)}{place_text(told)}, {evidence.seen}"


def numbered(measurement: Measurement, circuit: Circuit, point: str = "") -> Measurement:
    """The same with its leads by the numbers on the drawing."""
    numbers = {point.node: point.number for point in circuit.test_points}

    def named(lead: str) -> str:
        node = circuit.node_of.get(lead, "")
        spelt = lead if ":" in node or measurement.function == "clamp" else node
        return f"{point}{numbers[node]} ({spelt})" if node in numbers else lead

    return replace(measurement, red=named(measurement.red), black=named(measurement.black))
