"""What a voltmeter reads across one junction that is all that ties an island to the rest.

Behind a diode or LED that is off, a voltmeter's own current turns the junction on. The island is
then rigid and carries the meter's current alone: one equation for the junction's voltage, however
large the circuit, solved for all circuits and pairs of points together.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from labkit.parts import CutOut
from labkit.parts.laws import Junction
from labkit.solving.arrays import Array, Flags, Numbers
from labkit.solving.settling_many import Settled

_STEPS = 60  # of a Newton iteration that descends to its answer; about six are taken
_RESTS = 1e-12  # [V]


class Seen(NamedTuple):
    """Circuits as a meter meets them: what settled, what stands near what, and impedances."""

    settled: Settled
    v: Array  # of each node [V]
    near: Numbers  # the island of each node, what conducts almost nothing left out
    z: Array  # between nodes of one island [ohm]


class _Tie(NamedTuple):
    """A branch that weakly ties islands in some circuits, and where."""

    first: int
    second: int
    law: Any
    there: Flags


def across_junctions(
    seen: Seen, red: Numbers, black: Numbers, column: Numbers, resistance: float
) -> tuple[Array, Array]:
    """Read across single junctions.

    Parameters
    ----------
    seen : Seen
    red, black, column : arrays of int
        For each reading its two nodes, on islands of their own, and its circuit.
    resistance : float
        Of the meter. [ohm]

    Returns
    -------
    arrays
        Voltages, and what of them is due to the resistance within the islands; nan where it is
        not one junction alone that has a say. [V]
    """
    volts, inside = np.full((2, len(column)), np.nan)
    ties, watched = _ties(seen)
    at_red, at_black = seen.near[red, column], seen.near[black, column]
    ties_red = _touching(ties, seen, at_red, column)
    ties_black = _touching(ties, seen, at_black, column)
    # The island that moves, with whatever else there would notice.
    loose = np.where(ties_red == 1, at_red, at_black)
    simple = (ties_red == 1) | (ties_black == 1)
    simple &= _touching(watched, seen, loose, column) == 0
    for tie in ties:
        if not isinstance(tie.law, Junction):
            continue
        a, b = seen.near[tie.first, column], seen.near[tie.second, column]
        here = simple & tie.there[column]
        for p, q, sign, these in (
            (tie.first, tie.second, -1.0, here & (a == at_red) & (b == at_black)),
            (tie.second, tie.first, 1.0, here & (b == at_red) & (a == at_black)),
        ):
            n = np.flatnonzero(these)
            if n.size:
                volts[n], inside[n] = _read(
                    seen, tie.law, (red[n], black[n], column[n]), (p, q), sign, resistance
                )
    return volts, inside


def _ties(seen: Seen) -> tuple[list[_Tie], list[_Tie]]:
    """Branches between islands that conduct after all, and electronics that might start."""
    net, slopes = seen.settled.net, seen.settled.solution.slopes
    ties, watched = [], []
    roles = {(s.owner, s.device.role) for s in net.settlers if isinstance(s.device, CutOut)}
    for n, wire in enumerate(net.wires):
        apart = seen.near[wire.first] != seen.near[wire.second]
        if apart.any():
            ties.append(_Tie(wire.first, wire.second, wire.law, apart & (slopes[n] > 0)))
            if (wire.owner, wire.role) in roles:
                watched.append(_Tie(wire.first, wire.second, wire.law, apart))
    return ties, watched


def _touching(ties: list[_Tie], seen: Seen, island: Numbers, column: Numbers) -> Numbers:
    """Count the ties at an island of each reading's circuit."""
    count = np.zeros(len(column), int)
    for tie in ties:
        first, second = seen.near[tie.first, column], seen.near[tie.second, column]
        count += tie.there[column] & ((first == island) | (second == island))
    return count


def _read(
    seen: Seen,
    law: Junction,
    places: tuple[Numbers, Numbers, Numbers],
    ends: tuple[int, int],
    sign: float,
    resistance: float,
) -> tuple[Array, Array]:
    """Red lead, island, junction (forward where sign is 1), other island, black lead, meter."""
    (red, black, column), (p, q) = places, ends
    v, z = seen.v, seen.z
    emf = v[red, column] - v[p, column] + v[q, column] - v[black, column]
    within = sum(
        z[i, i, column] + z[j, j, column] - 2 * z[i, j, column] for i, j in ((red, p), (q, black))
    )
    size = v.shape[1]
    saturation, emission, series = (
        np.broadcast_to(value, size)[column] for value in (law.saturation, law.emission, law.series)
    )
    total = resistance + within + series
    # w + Is R (exp(w / nVt) - 1) = u, from a w that is too large: convex, so it only descends.
    u, most = sign * emf, saturation * total
    w = emission * np.log1p(np.maximum(u, 0.0) / most)
    for _ in range(_STEPS):
        rise = np.exp(w / emission)
        step = (w + most * (rise - 1.0) - u) / (1.0 + most / emission * rise)
        w = w - step
        if (np.abs(step) <= _RESTS).all():
            break
    amps = sign * saturation * np.expm1(w / emission)
    return amps * resistance, amps * within
