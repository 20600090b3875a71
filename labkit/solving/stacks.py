"""Curved branches of one kind stacked, so that one call of their law answers for all of them."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from labkit.parts.laws import Law, Value
from labkit.solving.arrays import Array, Numbers


@dataclass
class Stack:
    """Branches with a law that holds a line for each of them, a column for each point.

    `there` is 1, or 0 where a branch is absent or a device holds it open; `tie` and `pull` are of
    what holds each branch back, if anything does: a conductance and the current beside it. [S, A]
    """

    wires: list[int]
    law: Law
    there: Array
    inner: Array
    close: Any = False
    tie: Array | None = None
    pull: Array | None = None
    g: Array | None = None
    source: Array | None = None

    def take(self, keep: Numbers) -> Stack:
        """Return the same at some of the points only."""
        return Stack(
            self.wires,
            self.law.take(keep),
            self.there[:, keep] if self.there.shape[1] > 1 else self.there,
            self.inner[:, keep],
            self.close if self.close is False else self.close[:, keep],
            self.tie if self.tie is None else self.tie[keep],
            self.pull if self.pull is None else self.pull[:, keep],
        )


def stacked(laws: Sequence[Law]) -> Law:
    """One law for several of a kind, its values a line for each."""
    kind = type(laws[0])
    return kind(
        **{f.name: lines([getattr(law, f.name) for law in laws]) for f in dataclasses.fields(kind)}
    )


def lines(values: Sequence[Value]) -> Array:
    """Values of several branches as lines: a single column where none differs between points."""
    return np.array(np.broadcast_arrays(*(np.atleast_1d(value) for value in values)), dtype=float)


def taken(value: Value, keep: Numbers) -> Value:
    """Some entries of a row; a plain number is for all of them."""
    return value[keep] if isinstance(value, np.ndarray) else value
