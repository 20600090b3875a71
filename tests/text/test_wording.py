"""Ids are sorted as people count."""

from labkit.text.wording import counted


def test_the_second_switch_comes_before_the_tenth() -> None:
    assert sorted(["S10", "S2", "F1", "S1", "DC-"], key=counted) == ["DC-", "F1", "S1", "S2", "S10"]
