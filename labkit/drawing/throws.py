"""A changeover switch drawn as one symbol where both its ways lie in neighbouring rows.

The way in the upper row holds the symbol. The level in the lower row gives up its own and meets
the third contact by an upright wire. Where the rows do not allow it the two ways stay two
contacts with one designation.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from labkit.drawing.content import Content
from labkit.drawing.lanes import Plan, Throw
from labkit.drawing.topology import LEFT, RIGHT, Step
from labkit.parts import Trait

POLE = "1"


def join_throws(plan: Plan, write: Callable[[Step], Content]) -> Plan:
    """Join the ways of every changeover switch that can be one symbol."""
    ways: dict[tuple[str, str, bool], list[int]] = {}
    for i, level in enumerate(plan.levels):
        if not level.cells or level.folded:
            continue
        first, last = level.cells[0].step, level.cells[-1].step
        if Trait.THROWS in first.traits and first.enter == POLE and level.start != LEFT:
            ways.setdefault((first.id, level.start, True), []).append(i)
        elif Trait.THROWS in last.traits and last.leave == POLE and level.end != RIGHT:
            ways.setdefault((last.id, level.end, False), []).append(i)
    for (id, pole, after), found in ways.items():
        if len(found) == 2:
            upper, lower = sorted(found, key=lambda i: plan.rows[plan.levels[i].lane])
            if _is_open(plan, upper, lower, pole, after):
                name = f"{id} throw"
                plan.throws[name] = _join(plan, write, upper, lower, after, name)
    return plan


def _is_open(plan: Plan, upper: int, lower: int, pole: str, after: bool) -> bool:
    """Tell whether the upright wire between two levels has a way of its own past other rows."""
    above, below = (plan.rows[plan.levels[i].lane] for i in (upper, lower))
    if above == below or plan.rows.count(below) > 1:
        return False
    place = {junction: n for n, junction in enumerate(plan.topology.order)}
    for other in plan.levels:
        if above < plan.rows[other.lane] < below:
            start, end = place.get(other.start, -1), place.get(other.end, -1)
            if not (end <= place[pole] if after else start >= place[pole]):
                return False
    return True


def _join(
    plan: Plan, write: Callable[[Step], Content], upper: int, lower: int, after: bool, name: str
) -> Throw:  # fmt: skip  # rows that a reader compares
    holder, other = plan.levels[upper], plan.levels[lower]
    cell = 0 if after else len(holder.cells) - 1
    kept, given = holder.cells[cell].step, other.cells[0 if after else -1].step
    throw = given.leave if after else given.enter
    joined = replace(kept, throw=throw, again=kept.again and given.again)
    holder.cells[cell] = write(joined)
    if after:
        other.cells, other.nodes, other.start = other.cells[1:], other.nodes[1:], name
        return Throw(upper, cell, after, other.nodes[0])
    other.cells, other.nodes, other.end = other.cells[:-1], other.nodes[:-1], name
    return Throw(upper, cell, after, other.nodes[-1])
