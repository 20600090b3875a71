"""What a plain search measures of a part that it suspects."""

import pytest

from labkit.diagnosis.search import closer
from tests.boats import shipped


@pytest.mark.parametrize("name", ["charging", "field", "isolator", "mixed-boat"])
def test_a_suspected_part_is_measured_where_something_is_connected(name):
    circuit = shipped(name)
    for id in circuit.parts:
        for what in closer(circuit, id, id, {}):
            assert {what.red, what.black} - {"", id} <= circuit.node_of.keys()
