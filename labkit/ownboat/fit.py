"""Whether a boat fits its drawing, by the chi-square of what was read."""

from __future__ import annotations

import math


def chance_of(misfit: float, readings: int) -> float:
    """Chance that a boat which is as drawn reads at least so far off.

    Parameters
    ----------
    misfit : float
        Sum of squared errors, in standard deviations and as they go together.
    readings : int

    Notes
    -----
    The upper tail of chi-square, by the recurrence over its degrees of freedom (Abramowitz and
    Stegun 26.4.8).
    """
    if readings <= 0:
        return 1.0
    half = max(misfit, 0.0) / 2
    if readings % 2:
        tail, term, start = math.erfc(math.sqrt(half)), math.sqrt(half) * math.exp(-half), 1.5
        term /= math.gamma(1.5)
    else:
        tail, term, start = math.exp(-half), half * math.exp(-half), 2.0
    for k in range((readings - 1) // 2 if readings % 2 else readings // 2 - 1):
        tail += term
        term *= half / (start + k)
    return min(tail, 1.0)
