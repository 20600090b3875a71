"""What touch, smell and a spot thermometer tell of a part's temperature."""

from __future__ import annotations

from labkit.clock.bodies import Body, ContactBody, ProtectionBody, WindingBody, WireBody
from labkit.clock.hot_spot import ABSOLUTE

TOO_HOT_METAL, TOO_HOT_PLASTIC = 51.0, 60.0
"""Above it a part is too hot to hold. [C]

Bare metal burns after 1 min at 51 C, 5 s at 60 C, 1 s at 70 C; plastic some 20 K later (a burn
institute's chart and EN 563, both second hand; ISO 13732-1's 51 C for 1 min from memory).
"""

BURNS = 70.0
"""Bare metal burns at a touch above it. [C] EN 563, second hand."""

_WARM, _HOT = 36.0, 43.0

_INSULATION = ((105.0, "smells"), (180.0, "melts"), (250.0, "smokes"), (525.0, "glows"))
"""A joint's sleeve: rating of its insulation; sleeve and solder give way; smoke; the first dull red
seen in the dark (Draper point). [C] From memory."""

_WINDING = ((180.0, "smells"), (220.0, "burnt"))
"""A motor's enamel: class H, and what chars it. [C] Chosen."""

_WIRE = ((105.0, "smells"), (160.0, "melts"), (250.0, "smokes"), (525.0, "glows"))
"""A wire: as a joint, but PVC has run by 160 C (IEC 60364-5-54's last temperature). [C]"""

SAYS = {
    "warm": "{id} has become warm to the hand: {celsius}.",
    "too hot": "{id} has become too hot to hold: {celsius}.",
    "smells": "{id} smells of hot insulation: {celsius}.",
    "melts": "{id}'s insulation melts, and solder drops: {celsius}.",
    "smokes": "{id} smokes: {celsius}.",
    "glows": "{id} glows a dull red in the dark: {celsius}.",
    "burnt": "{id}'s winding has burnt: {celsius}.",
}
"""State to the sentence an event says it with."""

EMISSIVITY = {"tape": 0.95, "sleeve": 0.95, "paint": 0.95, "copper": 0.6, "lug": 0.15}
"""Of what a spot thermometer looks at: dull plastic or paint, dirty copper, a bright tinned lug.
Common practice, no source."""


def too_hot(body: Body) -> float:
    """Temperature above which a part cannot be held. [C]"""
    return TOO_HOT_METAL if isinstance(body, ContactBody) else TOO_HOT_PLASTIC


def levels(body: Body) -> tuple[tuple[float, str], ...]:
    """Temperatures at which something new can be told of a part, and its name."""
    if isinstance(body, WindingBody):
        rest: tuple[tuple[float, str], ...] = _WINDING
    else:
        rest = _WIRE if isinstance(body, WireBody) else _INSULATION
    return ((_HOT, "warm"), (too_hot(body), "too hot"), *rest)


def felt(celsius: float, ambient: float, limit: float = TOO_HOT_METAL) -> str:
    """What a careful hand tells of a part.

    Parameters
    ----------
    celsius : float
        Of what is touched. [C]
    ambient : float
        Of the air. [C]
    limit : float
        Above it, it is too hot to hold. [C]
    """
    if celsius > max(BURNS, limit):
        return "burns at a touch"
    if celsius > limit:
        return "is too hot to hold"
    if celsius - ambient < 3.0 and celsius > _WARM:
        return "is as warm as the air"
    if celsius <= _WARM:
        return "is not warm" if celsius - ambient < 8.0 else "is lukewarm"
    return "is warm" if celsius <= _HOT else "is hot, and can be held"


def smelt(body: Body) -> str:
    """What nose and eye tell of a part's heat, '' where nothing."""
    told = {
        "smells": "smells of hot insulation",
        "melts": "has a sleeve that runs, and smells burnt",
        "smokes": "smokes",
        "glows": "glows a dull red",
        "burnt": "smells burnt",
    }
    found = [name for level, name in levels(body) if body.celsius > level and name in told]
    return told[found[-1]] if found else ""


def spot_thermometer(celsius: float, ambient: float, surface: str = "sleeve") -> float:
    """What an infrared thermometer set to 1.00 shows. [C]

    Parameters
    ----------
    celsius : float
        Of what it looks at. [C]
    ambient : float
        Of what that mirrors. [C]
    surface : str
        A key of EMISSIVITY.

    Notes
    -----
    Shown^4 = e T^4 + (1 - e) Ta^4 (Stefan and Boltzmann), so a bright lug of 150 C in air of 25 C
    reads 54 C, and 146 C under a piece of tape.
    """
    e = EMISSIVITY[surface]
    seen = e * (celsius + ABSOLUTE) ** 4 + (1.0 - e) * (ambient + ABSOLUTE) ** 4
    return float(seen**0.25 - ABSOLUTE)


def surface_of(body: Body | None) -> str:
    """What a spot thermometer meets on a part: bright metal at a heavy lug, else a sleeve."""
    heavy = isinstance(body, ContactBody | ProtectionBody) and max(body.spot.areas) > _HEAVY
    return "lug" if heavy else "sleeve"


_HEAVY = 20e-6  # wires above this end in a bare lug [m2]; common practice
