"""What a hint says, as far as it takes no array to know."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from labkit.circuits.circuit import visible_parts
from labkit.circuits.paths import path_through
from labkit.diagnosis.evidence import Measurement
from labkit.hunts.next_time import place
from labkit.questions.naming import UNDRAWN
from labkit.text.messages import CircuitError

if TYPE_CHECKING:
    from labkit.hunts.hunt import Hunt

OVER = "A repair was made, and hints reckon with the boat as found: run the load and prove it."
NOTHING = "Nothing in reach tells more: name what is left, mend it, and prove it under load."


def where(hunt: Hunt, by_name: Mapping[str, float]) -> str:
    """On which side of the load most of what is still possible lies."""
    circuit, proof = hunt.exercise.circuit, hunt.exercise.proof
    load = proof.load
    try:
        ids = [step.part for step in path_through(circuit.with_position(**proof.positions), load)]
    except CircuitError:
        ids = []
    at = ids.index(load) if load in ids else len(ids)
    share: dict[str, float] = defaultdict(float)
    for name, belief in by_name.items():
        part = re.split(r"[: ]", name)[0]
        if part == load:
            side = f"in {load} itself"
        elif part in ids:
            side = f"{'before' if ids.index(part) < at else 'behind'} {load}, on its way"
        else:
            side = f"beside the way of {load}'s current"
        share[side] += belief
    side, most = max(share.items(), key=lambda item: item[1])
    sure = "Most" if most > 0.5 else "More than anywhere else" if len(share) > 2 else "Half"
    return f"{sure} of what your readings leave lies {side}. Which point lies in its middle?"


def which(hunt: Hunt, best: Measurement, minutes: float) -> str:
    """Which reading is worth most."""
    where = place(best, hunt.exercise.circuit)
    return f"Worth most for its minutes now: {where}, {minutes:.1f} min."


def what(hunt: Hunt, best: Measurement, tells: Iterable[str]) -> str:
    """What each outcome would leave, without the names of parts not found yet."""
    parts = hunt.exercise.circuit.parts
    shown = {part.id for part in visible_parts(hunt.exercise.circuit, hunt.bench.traced)}
    text = " ".join(tells)
    for id in parts.keys() - shown:
        text = re.sub(rf"\b{re.escape(id)}\b[^,;.]*", UNDRAWN, text)
    return f"{place(best, hunt.exercise.circuit)}: {text}"
