"""Kinds of hazard: what each is called in a review, and what there is to practise because of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True)
class HazardKind:
    """A kind of hazard.

    Attributes
    ----------
    words : str
        How a review names it.
    hands : bool
        Whether it comes of hands or tools in a circuit that was not made safe for them.
    meter : bool
        Whether it comes of the meter's function.
    spoils : bool
        Whether a reading taken so says nothing about the boat as it was found.
    """

    words: str
    hands: bool = False
    meter: bool = False
    spoils: bool = False


HAZARDS: Mapping[str, HazardKind] = MappingProxyType({
    "ohms live": HazardKind("ohms on a live circuit", meter=True, spoils=True),
    "meter short": HazardKind("the meter in amps across a supply", meter=True, spoils=True),
    "parted under load": HazardKind("a connection opened under load", hands=True),
    "worked live": HazardKind("work on a live circuit", hands=True),
    "positive first": HazardKind("the positive taken off before the negative", hands=True),
    "source dropped": HazardKind("a battery taken off while it was charged", hands=True),
    "fuse bypassed": HazardKind("a jumper across a fuse", hands=True),
    "interlock bridged": HazardKind("a jumper across a guard switch", hands=True),
    "lamp on electronics": HazardKind("the test lamp on electronics", hands=True),
    "jumper short": HazardKind("a jumper that blew its fuse", hands=True, spoils=True),
    "fuse too big": HazardKind("a fuse too big for what it guards", hands=True),
    "fuse opened": HazardKind("a fuse that opened", spoils=True),
    "hot wire": HazardKind("a wire that carried too much", hands=True),
    "too hot": HazardKind("a part left or touched too hot", hands=True),
})  # fmt: skip  # rows that a reader compares
"""By the kind that stands in a log."""
