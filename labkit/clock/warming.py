"""What warmth does to a branch: more resistance in series with it."""

from __future__ import annotations

from dataclasses import replace

from labkit.parts.laws import Law, Linear
from labkit.parts.rotor import Motor


def grows(role: str) -> bool:
    """Tell whether a branch is the part itself, not what a fault put beside it."""
    return not role.startswith("leak") and role not in ("short", "coil")


def warmed(law: Law, ohms: float) -> Law:
    """Return a branch with so much more resistance in series. [ohm]"""
    if isinstance(law, Motor):
        return replace(law, resistance=law.resistance + ohms)
    if isinstance(law, Linear) and law.conductance:
        share = 1.0 / (1.0 + ohms * law.conductance)
        return Linear(conductance=law.conductance * share, source=law.source * share)
    return law
