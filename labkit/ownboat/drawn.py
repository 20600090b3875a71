"""A boat drawn from its doubts, to practise on: nobody knows how it differs from its drawing."""

from __future__ import annotations

import random
from dataclasses import replace
from types import MappingProxyType

from labkit.circuits.circuit import Circuit
from labkit.ownboat.figures import Figure, figures, middle
from labkit.parts import Part


def drawn_from(circuit: Circuit, chance: random.Random) -> Circuit:
    """Return one of the boats that a description allows, each figure drawn from its doubt.

    What stands on her parts, and on the drawing, is what the description says.
    """
    boat = middle(circuit)
    parts: dict[str, Part] = dict(boat.parts)
    for figure in figures(boat):
        deviations = max(-2.0, min(2.0, chance.gauss(0.0, 1.0)))
        parts[figure.part] = _moved(parts[figure.part], figure, deviations)
    parts = {id: part.printed_as(circuit.parts[id].shown_rating) for id, part in parts.items()}
    return replace(boat, parts=MappingProxyType(parts))


def _moved(part: Part, figure: Figure, deviations: float) -> Part:
    """The part with one figure so many standard deviations off: by ratio, or for volts evenly."""
    keys = {}
    for key in type(part).model_fields:
        up, down = getattr(figure.up, key), getattr(figure.down, key)
        if up != down:
            if figure.what == "emf":
                keys[key] = (up + down) / 2 + (up - down) / 2 * deviations
            else:
                keys[key] = (up * down) ** 0.5 * (up / down) ** (deviations / 2)
    return part.model_copy(update=keys)
