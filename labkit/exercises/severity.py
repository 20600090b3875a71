"""How bad a dealt fault is: one amount, or a span from which each learner's is drawn.

Written as "X1 resistance 1.2..2.4 ohm". Two learners with one fault then read different volts, so
that a neighbour's figures are of no use.
"""

from __future__ import annotations

import math
import random
import re

_SPAN = re.compile(
    r"^(?P<what>\S+ .*?)(?P<least>\d+(?:\.\d+)?)\.\.(?P<most>\d+(?:\.\d+)?) *(?P<unit>\D*)$"
)


def ends(fault: str) -> tuple[str, ...]:
    """Return the mildest and the worst of a fault written with a span, or just the fault."""
    found = _SPAN.match(fault)
    if found is None:
        return (fault,)
    return tuple(
        f"{found['what']}{found[end]} {found['unit']}".rstrip() for end in ("least", "most")
    )


def middle(fault: str) -> str:
    """Return the fault at the geometric middle of its span."""
    return _at(fault, 0.5)


def drawn(fault: str, dice: random.Random) -> str:
    """Return the fault with an amount drawn from its span, each doubling as likely as the next."""
    return _at(fault, dice.random())


def _at(fault: str, share: float) -> str:
    found = _SPAN.match(fault)
    if found is None:
        return fault
    least, most = float(found["least"]), float(found["most"])
    if not 0 < least < most:
        return fault  # refused as an amount, with the whole text in the sentence
    amount = math.exp(math.log(least) + share * math.log(most / least))
    return f"{found['what']}{amount:.3g} {found['unit']}".rstrip()
