"""What can be seen and heard aboard without an instrument: does it run, how fast, how bright."""

from __future__ import annotations

from labkit.circuits.circuit import Circuit
from labkit.parts import Part
from labkit.parts.filament import voltage_share
from labkit.parts.traits import LAMP_WORDS, LIGHT_EXPONENT, MOTOR_WORDS, word_for
from labkit.solving.solver import OperatingPoint
from labkit.text.quantities import show

LOADS = ("motor", "lamp", "electronics", "indicator", "heater", "relay", "ammeter", "voltmeter")
"""Kinds of part that show what they do."""


def sensed(circuit: Circuit, point: OperatingPoint) -> dict[str, str]:
    """Say what each load can be seen and heard to do.

    Parameters
    ----------
    circuit : Circuit
    point : OperatingPoint
        Of that circuit.

    Returns
    -------
    dict of str to str
        Part to a phrase that follows its name: 'runs as it should', 'is dim'.
    """
    return {
        id: "chatters" if id in point.chattering else _phrase(part, circuit, point)
        for id, part in circuit.parts.items()
        if part.kind in LOADS and (part.kind != "indicator" or not part.hidden)
    }


def brightness(circuit: Circuit, point: OperatingPoint, id: str) -> float:
    """Light of a lamp or LED as a fraction of rated."""
    part, amps = circuit.parts[id], point.amps[id]
    if amps is None:
        return 0.0
    if part.kind == "indicator":
        rated = float(getattr(part, "current", 0.01))
        return max(amps, 0.0) / rated
    rated = part.amps(circuit.system)  # type: ignore[attr-defined]
    # Light follows V^3.4, and V the current the filament passes.
    return float(voltage_share(abs(amps) / rated) ** LIGHT_EXPONENT)


def load_words(kind: str) -> tuple[str, ...]:
    """What a load of this kind can be seen and heard to do."""
    if kind == "motor":
        words = [word for _, word, _ in MOTOR_WORDS]
        backwards = [f"{word}, backwards" for word in words[1:]]
        return (*words, *backwards, "hums but stands still", "stutters", "chatters")
    return {
        "lamp": (*(word for _, word, _ in LAMP_WORDS), "flickers", "chatters"),
        "indicator": (*(word for _, word, _ in LAMP_WORDS), "flickers", "chatters"),
        "electronics": ("works", "is off", "chatters"),
        "relay": ("is pulled in", "is at rest", "chatters"),
        "heater": ("is warm", "is cold"),
    }.get(kind, ())


def _phrase(part: Part, circuit: Circuit, point: OperatingPoint) -> str:
    amps = point.amps[part.id]
    if part.kind == "motor":
        speed = point.speeds[part.id]
        if speed is None:
            return "stutters"
        if speed == 0 and amps is not None and abs(amps) > 0.5 * part.amps(circuit.system):  # type: ignore[attr-defined]
            return "hums but stands still"
        backwards = ", backwards" if speed < -0.02 else ""
        return word_for(abs(speed), MOTOR_WORDS) + backwards
    if part.kind in ("lamp", "indicator"):
        return (
            "flickers"
            if amps is None
            else word_for(brightness(circuit, point, part.id), LAMP_WORDS)
        )
    if part.kind == "electronics":
        return "works" if point.states[part.id] == "on" and amps else "is off"
    if part.kind == "relay":
        return "is pulled in" if point.states[part.id] == "pulled in" else "is at rest"
    if part.kind == "heater":
        return "is cold" if not amps else "is warm"
    if part.kind == "ammeter":
        return f"shows {show(amps or 0.0, 'A', 2)}"
    volts = point.volt(f"{part.id}:1", f"{part.id}:2")
    return f"shows {volts or 0.0:.1f} V"
