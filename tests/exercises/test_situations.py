"""Where the switches are, in words."""

from labkit.exercises.situations import told


def test_switches_are_told_in_the_order_people_count() -> None:
    assert told({"S10": "on", "S2": "off"}) == "S2 off, S10 on"


def test_of_many_switches_those_that_are_off_are_counted() -> None:
    many = {f"S{n}": "off" for n in range(1, 20)}
    assert told({**many, "S7": "on", "S11": "on"}) == "S7 on, S11 on, the other 17 off"
    assert told(many) == "all off"
