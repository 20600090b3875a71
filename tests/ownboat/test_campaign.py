"""The campaign's own arithmetic, and one hunt of it; all of it is run by command."""

import pytest

from tests.ownboat.campaign import one, truths
from tests.ownboat.tally import Came, Kept, bins, calibration_error, table


def test_calibration_is_the_mean_distance_of_said_from_was():
    steps = [(0.95, True)] * 9 + [(0.95, False)] + [(0.25, False)] * 10
    assert list(bins(steps)) == [
        (pytest.approx(0.25), 0.0, 10),
        (pytest.approx(0.95), 0.9, 10),
    ]
    assert calibration_error(steps) == pytest.approx((0.25 + 0.05) / 2)


def test_hunts_are_kept_and_counted_once(tmp_path):
    file = tmp_path / "hunts.jsonl"
    came = Came(
        "plain", "plain water 1", "water", "X1 open", ["X1 open"], 0.99, fits=True, readings=4,
        right=True, part=True, sure_wrong=False, steps=[(0.5, True), (0.99, True)],
    )  # fmt: skip  # rows that a reader compares
    Kept(file).add(came)
    kept = Kept(file)
    assert "plain water 1" in kept
    assert "plain        1      1      1" in table(kept)


def test_a_secret_fault_that_shows_is_dealt_and_found():
    item = next(item for item in truths("plain", 1, 3) if item.boat == "windlass")
    came = one("plain", item)
    assert came.right
    assert came.fits
    assert not came.sure_wrong
