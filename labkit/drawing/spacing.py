"""Places in a line, each kept at least so far from others: the leftmost solution."""

from __future__ import annotations

from collections.abc import Hashable


class Spacing:
    """Variables with least distances between them, solved by longest paths."""

    def __init__(self) -> None:
        self._least: dict[tuple[Hashable, Hashable], float] = {}
        self._names: dict[Hashable, None] = {}
        self._held_by: dict[Hashable, Hashable] = {}

    def keep(self, left: Hashable, right: Hashable, distance: float) -> None:
        """Keep `right` at least `distance` px to the right of `left`."""
        self._names.setdefault(left)
        self._names.setdefault(right)
        key = (left, right)
        self._least[key] = max(distance, self._least.get(key, 0.0))

    def solve(self, start: float) -> dict[Hashable, float]:
        """Place every variable as far left as its distances allow, none left of `start`.

        Raises
        ------
        RuntimeError
            If the distances contradict one another: a fault in the layout, not in the circuit.
        """
        at = dict.fromkeys(self._names, start)
        self._held_by = {}
        for _ in range(len(at) + 1):
            moved = False
            for (left, right), distance in self._least.items():
                if at[left] + distance > at[right] + 1e-9:
                    at[right] = at[left] + distance
                    self._held_by[right] = left
                    moved = True
            if not moved:
                return at
        raise RuntimeError("the places in this drawing contradict one another")

    def held(self, last: Hashable) -> list[Hashable]:
        """What pushes a variable to where it is, from itself back to the left edge."""
        chain = [last]
        while chain[-1] in self._held_by:
            chain.append(self._held_by[chain[-1]])
        return chain
