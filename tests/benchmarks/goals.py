"""Whether what was measured holds its goal."""

from __future__ import annotations

import re

Line = tuple[str, str, str, str]
"""What, its goal if it has one, what was measured, and what stands beside: a ratio or the load."""

_NUMBER = re.compile(r"(at least |at most )?([\d.,]+(?:e[+-]?\d+)?) ?(\w*)")


def held(goal: str, measured: str) -> str:
    """'held' or 'NOT HELD'; '' where there is no goal, or nothing could be measured.

    A goal is the most there may be, in the unit of what was measured, unless it says 'at least'.
    """
    asked, found = _NUMBER.fullmatch(goal), _NUMBER.fullmatch(measured)
    if asked is None or found is None:
        return ""
    assert asked[3] == found[3], (goal, measured)
    most, value = (float(match[2].replace(",", "")) for match in (asked, found))
    return "held" if (value >= most if asked[1] == "at least " else value <= most) else "NOT HELD"
