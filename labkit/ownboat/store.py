"""Arrays worked out once for each set of faults, and only for those that are asked for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from labkit.solving.arrays import Numbers


@dataclass
class Store:
    """Arrays by number of a set of faults, made when first asked for."""

    place: Numbers = field(default_factory=lambda: np.zeros(0, np.intp))
    kept: list[Any] = field(default_factory=list)

    def get(
        self, numbers: Numbers, make: Callable[[Numbers], Any], rest: Numbers | None = None
    ) -> Any:
        """Return the arrays of these sets, one below the other.

        `rest` are made with those that are missing the second time, so that it is the last: many
        cost little more than a few.
        """
        most = max(int(x.max()) for x in (numbers, rest) if x is not None) + 1
        if most > len(self.place):
            self.place = np.concatenate([self.place, np.full(most - len(self.place), -1)])
        missing = np.unique(numbers[self.place[numbers] < 0])
        if missing.size and self.kept and rest is not None:
            missing = np.unique(np.concatenate([missing, rest[self.place[rest] < 0]]))
        if missing.size:
            made = np.asarray(make(missing))
            self.kept = [np.concatenate([*self.kept, made])]
            self.place[missing] = np.arange(len(self.kept[0]) - len(made), len(self.kept[0]))
        return self.kept[0][self.place[numbers]]
