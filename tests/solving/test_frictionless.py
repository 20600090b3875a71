"""A few of the circuits that ``python -m tests.solving.frictionless`` solves."""

from __future__ import annotations

from tests.solving.frictionless import troubles, without_friction


def test_motors_without_friction_have_an_operating_point_alone_and_in_bulk() -> None:
    seeds = range(60)
    assert sum(without_friction(seed) is not None for seed in seeds) > 15
    assert list(troubles(seeds)) == []
