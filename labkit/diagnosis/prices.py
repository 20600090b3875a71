"""Minutes of all measurements of a menu at once, from where somebody stands."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from labkit.aboard.leads import lead_minutes
from labkit.circuits.circuit import Circuit
from labkit.diagnosis.cost import Visit, act_minutes
from labkit.diagnosis.menu import Block
from labkit.solving.arrays import Array, Numbers


class Prices:
    """What the measurements of some blocks cost.

    Parameters
    ----------
    blocks : sequence of Block
    circuit : Circuit
    """

    def __init__(self, blocks: Sequence[Block], circuit: Circuit) -> None:
        self.blocks = blocks
        self.labels = [junction.label for junction in circuit.junctions]
        self._leads: dict[int, tuple[Numbers, Numbers]] = {}
        self._long = [_long_leads(block, circuit) for block in blocks]

    def minutes(self, visit: Visit) -> Array:
        """Minutes of each measurement with the meter, as Visit.minutes has them."""
        ways = np.array([visit.way([label]) for label in self.labels] + [0.0])
        each = zip(self.blocks, self._long, strict=True)
        return np.concatenate([self._minutes(block, visit, ways) + long for block, long in each])

    def _minutes(self, block: Block, visit: Visit, ways: Array) -> Array:
        there = {visit.label(p) for p in visit.state_places(block.positions, block.parted)}
        before = visit.change(block.positions, block.parted) + act_minutes(block.measurement(0))
        first, second = self._places(block, visit)
        if there:
            ways = ways.copy()
            reached = [self.labels.index(label) for label in there]
            before += ways[reached].sum()
            ways[reached] = 0.0
        return np.asarray(before + ways[first] + np.where(first == second, 0.0, ways[second]))

    def _places(self, block: Block, visit: Visit) -> tuple[Numbers, Numbers]:
        """Numbers of the places of each measurement's leads; one past the last for none."""
        known = self._leads.get(id(block))
        if known is None:
            place = {label: n for n, label in enumerate(self.labels)}
            numbers = np.array(
                [
                    [place[visit.label(lead)] if lead else len(place) for lead in pair]
                    for pair in block.leads
                ]
            )
            known = self._leads[id(block)] = numbers[:, 0], numbers[:, 1]
        return known


def _long_leads(block: Block, circuit: Circuit) -> Array:
    """Minutes for long leads at each measurement of a block."""
    if block.function == "clamp":
        return np.zeros(len(block.leads))
    return np.array([lead_minutes(circuit, red, black) for red, black in block.leads])
