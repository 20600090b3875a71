"""Sensitivities from one operating point, beside solving anew with each figure changed."""

from dataclasses import replace
from types import MappingProxyType

import numpy as np
import pytest

from labkit.diagnosis.faults import in_use
from labkit.ownboat.adjoint import moves
from labkit.ownboat.figures import figures, middle
from labkit.solving.solver import solve
from tests.boats import CIRCUITS
from tests.boats import shipped as shipped_boat
from tests.ownboat.boats import NAMES, described


def solved(circuit, part):
    made = replace(circuit, parts=MappingProxyType({**circuit.parts, part.id: part}))
    return solve(made).volts


def agree(circuit, faults=()):
    boat = middle(circuit).with_position(**in_use(circuit)[0]).with_fault(*faults)
    known = figures(middle(circuit))
    made = moves([boat], known)
    off, size = [], []
    for k, figure in enumerate(known):
        up, down = solved(boat, figure.up), solved(boat, figure.down)
        for place, node in made.net.node_of.items():
            if up[place] is not None and down[place] is not None:
                right = (up[place] - down[place]) / 2
                off.append(abs(made.moves[0, k, node] - right))
                size.append(abs(right))
    return np.array(off), np.array(size)


@pytest.mark.parametrize("name", NAMES)
def test_voltages_move_as_the_whole_circuit_solved_anew_says(name):
    off, size = agree(described(name))
    big = size > 5e-3
    assert np.median(off[big] / size[big]) < 0.03
    assert np.quantile(off[big] / size[big], 0.95) < 0.15


@pytest.mark.parametrize("fault", ["X1 resistance 0.3 ohm", "W3 open", "X2 open"])
def test_they_do_so_with_something_wrong(fault):
    off, size = agree(described("water"), [fault])
    big = size > 5e-3
    assert np.median(off[big] / size[big]) < 0.05


@pytest.mark.parametrize("name", [p.stem for p in CIRCUITS if "two" not in p.stem][:6])
def test_on_shipped_circuits_nearly_all_moves_are_right_to_a_few_millivolts(name):
    off, size = agree(shipped_boat(name))
    assert np.mean(off < np.maximum(0.15 * size, 5e-3)) > 0.97
