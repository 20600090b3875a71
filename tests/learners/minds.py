"""Minds with two more wrong rules than the program itself looks for behind a wrong name."""

from __future__ import annotations

import numpy as np

from labkit.diagnosis.evidence import Measurement
from labkit.diagnosis.minds import Mind, Work
from labkit.diagnosis.session import Diagnosis
from labkit.solving.arrays import Array

USED_UP, FUSE_ITSELF = "current is used up", "fuse without the cause"

_HALF_BACK = 0.5
"""What is thought to be left of the current behind the load. Our choice."""

_OVERLOOKED = 0.02
"""What opens a fuse is held this many times as likely by who takes the fuse for the fault."""


class UsedUp(Mind):
    """Thinks that half of the current comes home."""

    def predicted(self, measurement: Measurement) -> tuple[Array, Array]:
        low, high = super().predicted(measurement)
        own = measurement.red.partition(":")[0]
        if measurement.function != "clamp" or own not in self.work.return_parts:
            return low, high
        on = self.scale("clamp")

        def half(u: Array) -> Array:
            inside = np.abs(u) <= on.end
            left = [on.u(np.array(_HALF_BACK * on.reading(float(x)))) if ok else x
                    for x, ok in zip(u, inside, strict=True)]  # fmt: skip  # in rows
            return np.array(left, float)

        return half(low), half(high)


def mind_of(start: Diagnosis, rule: str, work: Work) -> Diagnosis:
    """The mind that reads by a rule, or by none."""
    if not rule:
        return start.copy()
    mind = (UsedUp if rule == USED_UP else Mind)(start, rule, work)
    if rule == FUSE_ITSELF:
        opened = np.array([bool(row.opened) for row in mind.known.rows])
        belief = mind.belief * np.where(opened, _OVERLOOKED, 1.0)
        mind.belief = belief / belief.sum()
    return mind
