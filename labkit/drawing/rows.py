"""Which lane lies in which row, so that wires cross as seldom as can be."""

from __future__ import annotations

from bisect import bisect_right, insort
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import permutations

from labkit.drawing.topology import LEFT, RIGHT, Lane

BOTTOM = 10**6
"""Stands for the row of the negative bus, below all others."""

_EXHAUSTIVE = 6
"""So many lanes are tried in every order; more are improved step by step."""

_MANY = 12
"""Of more lanes than this, those that reach alike are moved as one: of sixty circuits on a panel
each would otherwise be tried in every row. Our choice."""


_BOATFUL = 40
"""Of more lanes than this only the first wish is granted. Our choice."""


@dataclass(frozen=True)
class Span:
    """From where to where a lane reaches, and where it stops, by places in the order."""

    start: int
    end: int
    stops: frozenset[int]
    entering: tuple[tuple[int, int], ...] = ()
    """Parts on the way to each stop."""


@dataclass(frozen=True)
class Wish:
    """What is asked of an order of rows, next to few crossings: how much each thing counts."""

    length: int = 1
    """Of upright wires."""
    jumbled: int = 1
    """Rows out of the file's order."""
    pushing: int = 0
    """Parts that push a junction to the right because they do not reach it in its top row."""


_WISHES = (Wish(jumbled=12), Wish(), Wish(jumbled=2, pushing=20))


def spans(lanes: Sequence[Lane], order: Sequence[str]) -> list[Span]:
    """Each lane's reach."""
    place = {junction: i for i, junction in enumerate(order)}
    found = []
    for lane in lanes:
        stops = frozenset(place[j] for j in lane.stops)
        entering = tuple((place[s.end], len(s.steps) - (s.start == LEFT)) for s in lane.stretches)
        found.append(Span(place[lane.start], place[lane.end], stops, entering))
    return found


def reach(
    found: Sequence[Span], row_of: Sequence[int], sunk: frozenset[int]
) -> dict[int, tuple[int, int]]:
    """Uppermost and lowest row of each junction's upright wire; in `sunk`, down to the bottom."""
    extent: dict[int, tuple[int, int]] = {}
    for span, row in zip(found, row_of, strict=True):
        for stop in span.stops:
            top, low = extent.get(stop, (row, row))
            extent[stop] = (min(top, row), BOTTOM if stop in sunk else max(low, row))
    return extent


def cost(
    found: Sequence[Span], row_of: Sequence[int], sunk: frozenset[int], wish: Wish
) -> tuple[int, int]:
    """Crossings; then what else is wished."""
    extent = reach(found, row_of, sunk)
    crossings = sum(
        top < row < low and span.start < stop < span.end and stop not in span.stops
        for span, row in zip(found, row_of, strict=True)
        for stop, (top, low) in extent.items()
    )
    length = sum(min(low, len(row_of)) - top for top, low in extent.values())
    jumbled = _inversions(row_of)
    pushing = sum(
        steps
        for span, row in zip(found, row_of, strict=True)
        for stop, steps in span.entering
        if row > extent[stop][0] and stop not in sunk
    )
    return crossings, wish.length * length + wish.jumbled * jumbled + wish.pushing * pushing


def order_rows(
    lanes: Sequence[Lane], order: Sequence[str], sunk_names: frozenset[str]
) -> list[list[int]]:
    """Ways to give every lane its row, counted from the top; lanes side by side may share one.

    Each way answers another wish.
    """
    made: list[list[int]] = []
    for wish in _WISHES if len(lanes) <= _BOATFUL else _WISHES[:1]:
        rows = _ordered(lanes, order, sunk_names, wish)
        if rows not in made:
            made.append(rows)
    return made


def _ordered(
    lanes: Sequence[Lane], order: Sequence[str], sunk_names: frozenset[str], wish: Wish
) -> list[int]:
    found = spans(lanes, order)
    sunk = frozenset(i for i, j in enumerate(order) if j in sunk_names or j in (LEFT, RIGHT))
    ranking = _best(list(range(len(lanes))), found, sunk, wish)
    return _packed(ranking, lanes, found, sunk)


def _cost_of(
    ranking: Sequence[int], found: list[Span], sunk: frozenset[int], wish: Wish
) -> tuple[int, int]:
    row_of = {lane: row for row, lane in enumerate(ranking)}
    used = sorted(ranking)
    return cost([found[i] for i in used], [row_of[i] for i in used], sunk, wish)


def _inversions(row_of: Sequence[int]) -> int:
    """Pairs of lanes of which the file's later one has the upper row."""
    above: list[int] = []
    count = 0
    for row in row_of:
        count += len(above) - bisect_right(above, row)
        insort(above, row)
    return count


def _best(lanes: list[int], found: list[Span], sunk: frozenset[int], wish: Wish) -> list[int]:
    """Order in which lanes, or blocks of lanes that reach alike, cost least."""
    blocks = _alike(lanes, found) if len(lanes) > _MANY else [[i] for i in lanes]

    def costs(order: Iterable[list[int]]) -> tuple[int, int]:
        return _cost_of([i for block in order for i in block], found, sunk, wish)

    best = blocks
    if len(blocks) <= _EXHAUSTIVE:
        best = list(min(permutations(blocks), key=costs))
    else:
        least = costs(best)
        while True:
            trial = min(_moved(best), key=costs)
            if costs(trial) >= least:
                break
            best, least = trial, costs(trial)
    return [i for block in best for i in block]


def _moved(order: list[list[int]]) -> Iterator[list[list[int]]]:
    """Every order that one move of one block makes."""
    for i, block in enumerate(order):
        rest = [*order[:i], *order[i + 1 :]]
        for k in range(len(order)):
            yield [*rest[:k], block, *rest[k:]]


def _alike(lanes: list[int], found: list[Span]) -> list[list[int]]:
    """Lanes with the same ends and stops side by side, as the file has them."""
    blocks: dict[tuple[int, int, frozenset[int]], list[int]] = {}
    for i in lanes:
        blocks.setdefault((found[i].start, found[i].end, found[i].stops), []).append(i)
    return list(blocks.values())


def _packed(
    ranking: list[int], lanes: Sequence[Lane], found: list[Span], sunk: frozenset[int]
) -> list[int]:
    """Let lanes that lie side by side share a row where that makes no crossing."""
    row_of = [0] * len(ranking)
    for row, lane in enumerate(ranking):
        row_of[lane] = row
    crossings = cost(found, row_of, sunk, Wish())[0]
    for lane in ranking:
        if lanes[lane].start == LEFT:
            continue
        for row in range(row_of[lane]):
            mates = [i for i in range(len(row_of)) if row_of[i] == row]
            apart = all(
                found[lane].start > found[m].end or found[lane].end < found[m].start for m in mates
            ) and not any(found[i].start == found[i].end for i in (lane, *mates))
            trial = [row if i == lane else r for i, r in enumerate(row_of)]
            if mates and apart and cost(found, trial, sunk, Wish())[0] <= crossings:
                row_of = trial
                break
    used = sorted(set(row_of))
    return [used.index(row) for row in row_of]
