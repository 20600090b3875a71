"""The way the current takes: from a source's positive terminal through a load to DC-."""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping

from labkit.circuits.circuit import NEGATIVE, Circuit
from labkit.circuits.tracing import Pass
from labkit.parts import Trait
from labkit.text.messages import CircuitError


def path_through(circuit: Circuit, load: str) -> tuple[Pass, ...]:
    """Follow the current from the source through a load to the negative bus.

    Parameters
    ----------
    circuit : Circuit
    load : str
        Id of the part the current is to pass.

    Returns
    -------
    tuple of Pass
        Parts in the order the current meets them, the source left out. Of several ways the one
        with the fewest parts.

    Raises
    ------
    CircuitError
        If the load lies on no way from a source to DC-.
    """
    circuit.part(load)
    at = {m: j.label for j in circuit.junctions for m in j.members}
    sources = {p.id for p in circuit.parts.values() if Trait.SOURCE in p.traits}
    ways: dict[str, list[tuple[Pass, str]]] = {}
    for run in circuit.runs:
        for step in run.passes:
            if step.part in sources:
                continue
            turned = Pass(step.part, step.leave, step.enter)
            ways.setdefault(at[step.first], []).append((step, at[step.second]))
            ways.setdefault(at[step.second], []).append((turned, at[step.first]))
    forward = [s for run in circuit.runs for s in run.passes if s.part == load][:1]
    starts = [at[f"{id}:+"] for id in circuit.parts if id in sources]
    for step in forward:
        there = next(
            (p for s in starts if (p := _shortest(ways, s, at[step.first], load)) is not None), None
        )
        back = _shortest(ways, at[step.second], NEGATIVE, load)
        if there is not None and back is not None:
            return (*there, step, *back)
    raise CircuitError([f"{load} lies on no way from a source to {NEGATIVE}"])


def _shortest(
    ways: Mapping[str, list[tuple[Pass, str]]], start: str, end: str, avoid: str
) -> tuple[Pass, ...] | None:
    came: dict[str, tuple[Pass, str] | None] = {start: None}
    queue = deque([start])
    while queue:
        here = queue.popleft()
        if here == end:
            steps = []
            while (last := came[here]) is not None:
                steps.append(last[0])
                here = last[1]
            return tuple(reversed(steps))
        for step, there in ways.get(here, ()):
            if there not in came and step.part != avoid:
                came[there] = (step, here)
                queue.append(there)
    return None
