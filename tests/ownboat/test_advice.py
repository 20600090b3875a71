"""What is left out of a ranking is never among the best."""

import numpy as np
import pytest

from labkit.diagnosis.cost import Visit
from labkit.ownboat.advice import Adviser
from labkit.ownboat.boat import Boat
from labkit.ownboat.inference import Inference
from labkit.ownboat.remarks import parse_said
from tests.ownboat.boats import described

ALONG = (
    "M1 comes and goes",
    "G1:+ G1:- volts 12.5 V",
    "battery stud DC- volts 12.2 V S1=on",
)


@pytest.fixture(scope="module")
def windlass():
    boat = Boat(described("windlass"), without=("clamp",))
    return boat, Adviser(boat)


@pytest.mark.parametrize("seen", [1, 3])
def test_the_best_are_the_same_however_many_are_asked_for(windlass, seen):
    boat, adviser = windlass
    inference, visit = Inference(boat), Visit(boat.circuit)
    for text in ALONG[:seen]:
        inference.see(*parse_said(text, boat.drawn))
    every = adviser.rank(inference, visit, 10_000)
    assert any(a.measurement.function == "wiggle" for a in every)
    for top in (1, 3, 10):
        few = adviser.rank(inference, visit, top)
        assert [(str(a.measurement), a.bits) for a in few] == [
            (str(a.measurement), a.bits) for a in every[:top]
        ]


def test_what_is_seen_is_the_same_for_some_rows_as_for_all(windlass):
    boat, _ = windlass
    fresh = Boat(described("windlass"), without=("clamp",))
    sets, rows = Inference(boat).sets, np.arange(0, len(boat.known.rows), 7)
    for m in fresh.sights[::5]:
        some = fresh.seen(m, sets, rows)
        assert some == pytest.approx(boat.seen(m, sets)[rows], abs=1e-9)
