"""Figures of a boat that nobody knows exactly, and how far each may be off."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

from labkit.circuits.circuit import Circuit
from labkit.parts import Battery, Cable, Heater, Part
from labkit.parts.cells import rest_voltage

EMF_MIDDLE, EMF_SPREAD = 12.5, 0.2
"""A lead-acid battery in use, at rest, and one standard deviation; of a 12 V boat. [V]
Common practice, no source."""

LEAD_ACID = 0.6
"""A written voltage nearer to EMF_MIDDLE than this is that of a lead-acid battery. [V]"""

UNSEEN_JOINT = 1.8e-3
"""A joint nobody has seen, added to its cable's spread. [ohm]"""

FAR = 1.5
"""How many standard deviations off the boats are that draw more, or less, than the usual one."""


@dataclass(frozen=True)
class Figure:
    """One thing not known exactly.

    Attributes
    ----------
    part : str
    what : str
        'emf', 'ohms' or 'load'.
    up, down : Part
        The part with the figure one standard deviation more, or less.
    ohms : float
        For 'ohms', what one standard deviation adds, on average of both ways. [ohm]
    more : float
        Which way more current flows: 1 up, -1 down.
    """

    part: str
    what: str
    up: Part
    down: Part
    ohms: float = 0.0
    more: float = 1.0


def middle(circuit: Circuit) -> Circuit:
    """Return the circuit as the boat most likely is: battery in use, contacts some years old."""
    changed: dict[str, Part] = {}
    for id, part in circuit.parts.items():
        if isinstance(part, Battery):
            emf, _ = _emf(part, circuit.system)
            ohms = part.own_resistance
            keys: dict[str, Any] = {"emf": emf, "charge": None, "resistance": ohms}
            changed[id] = part.model_copy(update=keys)
        elif part.scatter.aged and part.resistance is None:
            changed[id] = part.model_copy(update={"resistance": part.scatter.aged})
    return replace(circuit, parts=MappingProxyType({**circuit.parts, **changed}))


def _emf(part: Part, system: float) -> tuple[float, float]:
    """Voltage of a battery at rest and its standard deviation. [V]"""
    scale = system / 12.0
    doubt = part.doubts.get("emf")
    if doubt is not None and doubt.known:
        return doubt.middle, doubt.spread
    written = getattr(part, "emf", None)
    if written is None:
        charge = getattr(part, "charge", None)
        chemistry = getattr(part, "chemistry", "flooded")
        written = rest_voltage(1.0 if charge is None else charge, system, chemistry)
    near = abs(written - EMF_MIDDLE * scale) <= LEAD_ACID * scale
    return (EMF_MIDDLE * scale if near else written), EMF_SPREAD * scale


def figures(circuit: Circuit) -> list[Figure]:
    """List what is not known exactly of a circuit (of :func:`middle`, that is)."""
    found: list[Figure] = []
    for part in circuit.parts.values():
        if isinstance(part, Battery):
            _, spread = _emf(part, circuit.system)
            found.append(_moved(part, "emf", {"emf": getattr(part, "emf", 0.0)}, spread))
        elif part.scatter.volts:
            spread = _spread_of(part, "voltage", part.scatter.volts * circuit.system / 12.0)
            volts = getattr(part, "voltage", 0.0)
            found.append(_moved(part, "emf", {"voltage": volts}, spread))
        found += _ohms(part)
        found += _load(part)
    return found


def _spread_of(part: Part, key: str, usual: float) -> float:
    doubt = part.doubts.get(key)
    return doubt.spread if doubt is not None and doubt.known else usual


def _share_of(part: Part, key: str, usual: float) -> float:
    doubt = part.doubts.get(key)
    return doubt.share if doubt is not None and doubt.known else usual


def _moved(part: Part, what: str, keys: dict[str, float], spread: float) -> Figure:
    """A figure whose keys grow or shrink by an amount."""
    up = {key: value + spread for key, value in keys.items()}
    down = {key: value - spread for key, value in keys.items()}
    return Figure(part.id, what, part.model_copy(update=up), part.model_copy(update=down))


def _ohms(part: Part) -> Iterator[Figure]:
    usual, own = part.scatter.ohms, part.own_resistance
    if isinstance(part, Heater) and part.resistance is None:
        return  # given by its rating: a load
    if not usual or own <= 0:
        return
    share = _share_of(part, "resistance", usual)
    if isinstance(part, Cable) and part.resistance is None:
        length, size = _share_of(part, "length", usual), _share_of(part, "size", 0.0)
        joints = _spread_of(part, "joints", 0.0) * UNSEEN_JOINT / own
        share = math.sqrt(length**2 + size**2 + joints**2)
    if "rating" in part.doubts:
        share = max(share, 0.6)
    up, down = own * math.exp(share), own * math.exp(-share)
    yield Figure(
        part.id,
        "ohms",
        part.model_copy(update={"resistance": up}),
        part.model_copy(update={"resistance": down}),
        (up - down) / 2,
        -1.0,
    )


def _load(part: Part) -> Iterator[Figure]:
    usual = part.scatter.draw
    keys = [key for key in ("current", "power") if getattr(part, key, None) is not None]
    if not usual or not keys:
        return
    share = _share_of(part, keys[0], usual)
    value = getattr(part, keys[0])
    yield Figure(
        part.id,
        "load",
        part.model_copy(update={keys[0]: value * math.exp(share)}),
        part.model_copy(update={keys[0]: value * math.exp(-share)}),
    )


def leaning(circuit: Circuit, known: list[Figure], more: float) -> Circuit:
    """Return the boat with everything FAR standard deviations towards more current, or less.

    Parameters
    ----------
    more : float
        1 for more, -1 for less.
    """
    changed: dict[str, Part] = {}
    for figure in known:
        now = changed.get(figure.part, circuit.parts[figure.part])
        end = figure.up if figure.more * more > 0 else figure.down
        before = circuit.parts[figure.part]
        keys = {
            key: getattr(now, key) + FAR * (getattr(end, key) - getattr(before, key))
            if getattr(before, key) is not None
            else getattr(end, key)
            for key in type(before).model_fields
            if getattr(end, key) != getattr(before, key)
        }
        if all(value is None or value > 0 for value in keys.values()):
            changed[figure.part] = now.model_copy(update=keys)
    return replace(circuit, parts=MappingProxyType({**circuit.parts, **changed}))
