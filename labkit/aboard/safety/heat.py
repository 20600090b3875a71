"""Currents and temperatures too high for what bears them: fuses, wires, joints."""

from __future__ import annotations

from collections.abc import Mapping

from labkit.circuits.circuit import Circuit
from labkit.measuring.meter import Hazard
from labkit.parts import Cable
from labkit.solving.solver import OperatingPoint
from labkit.survey.loading import Loading, cranks
from labkit.survey.serving import held_fast
from labkit.survey.standards import FUSE_SHARE, LOCKED_SHARE
from labkit.survey.walk import Wiring, allowed_now, thinnest_behind
from labkit.text.quantities import show


def opened(ids: tuple[str, ...]) -> list[Hazard]:
    """Name fuses and breakers that opened."""
    return [
        Hazard(
            "fuse opened",
            f"{id} opened: more than it is rated for flowed. A fuse is seldom the fault; "
            "look for what took the current before another is fitted.",
        )
        for id in ids
    ]


def fuse_size(circuit: Circuit, id: str) -> list[Hazard]:
    """Name the danger of a fuse too big for the thinnest wire, or the motor, up to the next one.

    References
    ----------
    33 CFR 183.455(c)(1): at most 150 % of the conductor's ampacity below 50 V.
    """
    part = circuit.parts[id]
    rated = circuit.state_of(id).amount("wrong fuse") or getattr(part, "rated", 0.0)
    weakest = thinnest_behind(circuit, id)
    if weakest is None or rated <= FUSE_SHARE * weakest[1] * (1 + 1e-9):
        return _motors_burn(circuit, id, rated)
    wire, amps = weakest
    text = (
        f"A {show(rated, 'A')} fuse is too big for {wire} behind {id}, the thinnest wire up to the "
        f"next fuse, which allows {show(FUSE_SHARE * amps, 'A', 3)} at most (33 CFR 183.455): in a "
        "short the wire burns. Fit the rating marked at the holder, or less."
    )
    return [Hazard("fuse too big", text)]


def _motors_burn(circuit: Circuit, id: str, rated: float) -> list[Hazard]:
    """Name motors that, held fast, open the fuse marked at the holder and not this bigger one."""
    marked = getattr(circuit.parts[id], "rated", rated)
    if rated <= marked:
        return []
    loading = Loading(Wiring(circuit))
    found = []
    for feed in loading.feeds:
        if feed.protection is None or feed.protection.id != id or cranks(feed.load):
            continue
        amps = held_fast(feed, loading)
        if LOCKED_SHARE * marked <= amps < LOCKED_SHARE * rated:
            motor = feed.load
            text = (
                f"A {show(rated, 'A')} fuse is too big for {motor.id} behind {id}: held fast it "
                f"draws {show(amps, 'A', 2)}, which opens the {show(marked, 'A')} marked at the "
                "holder and not this one, and the motor burns. Fit the rating marked, or less."
            )
            found.append(Hazard("fuse too big", text))
    return found


def hot_wires(circuit: Circuit, point: OperatingPoint) -> dict[str, Hazard]:
    """Name wires that carry more for good than 33 CFR 183.425 allows, with nothing opening."""
    found = {}
    for id, part in circuit.parts.items():
        amps = point.amps.get(id)
        if not isinstance(part, Cable) or amps is None:
            continue
        allowed = allowed_now(circuit, id)
        if abs(amps) > allowed:
            text = (
                f"{id} carries {show(abs(amps), 'A', 2)} and may carry {allowed:.3g} A for good: "
                "its insulation ages and in the end burns. Switch off, and find out why."
            )
            found[id] = Hazard("hot wire", text)
    return found


def too_hot(celsius: Mapping[str, float], limits: Mapping[str, float]) -> dict[str, Hazard]:
    """Name parts above the temperature they, or a hand, can bear. [C]"""
    return {
        id: Hazard(
            "too hot",
            f"{id} is at {degrees:.0f} °C, above the {limits[id]:.0f} °C it can bear: it burns a "
            "hand and then what is around it. Switch off and let it cool before anything else.",
        )
        for id, degrees in celsius.items()
        if degrees > limits.get(id, float("inf"))
    }
