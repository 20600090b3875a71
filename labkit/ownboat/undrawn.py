"""Where a boat does not fit her drawing: which joint that nobody drew would explain it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from types import MappingProxyType

from labkit.circuits.circuit import Circuit
from labkit.circuits.tracing import Pass, Run
from labkit.ownboat.boat import Boat
from labkit.ownboat.inference import Inference
from labkit.parts import Joint, Part

SOUND = "0.1 mohm"
"""Of a joint that nobody drew, where it is none to speak of."""

LEAST = 0.3
"""A joint believed less is not worth a sentence. Our choice."""


@dataclass(frozen=True)
class Undrawn:
    """A bad joint between two terminals that are one point on the drawing."""

    first: str
    second: str
    belief: float


def undrawn(inference: Inference) -> Undrawn | None:
    """Return the joint nobody drew that explains best what was seen, if it does so well.

    Everything is weighed once more on a boat with a joint between any two parts of a run.
    """
    circuit, between = with_joints(inference.boat.drawn)
    if not between:
        return None
    wider = Inference(Boat(circuit)).see(*inference.said)
    beliefs = dict.fromkeys(between, 0.0)
    for name, belief in wider.by_name.items():
        id = name.partition(" ")[0].partition(":")[0]
        if id in beliefs:
            beliefs[id] += belief
    best = max(beliefs, key=lambda id: beliefs[id])
    if beliefs[best] < LEAST:
        return None
    return Undrawn(*between[best], min(beliefs[best], 1.0))


def with_joints(circuit: Circuit) -> tuple[Circuit, dict[str, tuple[str, str]]]:
    """Return the circuit with a joint between any two parts of a run, and what each stands between.

    Returns
    -------
    Circuit
    dict of str to (str, str)
        Id of the joint to the terminals on either side.
    """
    free = _free_ids(circuit)
    joints: dict[str, Part] = {}
    between: dict[str, tuple[str, str]] = {}
    runs: list[Run] = []
    for run in circuit.runs:
        passes: list[Pass] = []
        for one in run.passes:
            if passes:
                id, before = next(free), passes[-1]
                joints[id] = Joint.model_validate({"id": id, "resistance": SOUND})
                between[id] = before.second, one.first
                passes.append(Pass(id, "1", "2"))
            passes.append(one)
        runs.append(replace(run, passes=tuple(passes)))
    parts = MappingProxyType({**circuit.parts, **joints})
    return replace(circuit, runs=tuple(runs), parts=parts), between


def _free_ids(circuit: Circuit) -> Iterator[str]:
    return (f"X{n}" for n in range(9999, 1, -1) if f"X{n}" not in circuit.parts)
