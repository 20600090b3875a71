"""Information in bits: of beliefs, and of what a measurement would add to them.

What is to be learnt is the *name* of the fault, its part and mode; rows of one name differ in
severity only. With F the name and Y the outcome,

    I(F; Y) = H(F) + sum_f integral p(f, y) log2 p(f, y) dy - integral p(y) log2 p(y) dy

which is what a probe is worth in de Kleer and Williams, Artificial Intelligence 32 (1987) 97.
"""

from __future__ import annotations

import numpy as np

from labkit.diagnosis.normal import below
from labkit.diagnosis.odds import LEAST_WIDTH
from labkit.solving.arrays import Array, Codes, Flags, Numbers, Singles

REACH = 5
"""Standard deviations to either side beyond which a reading's density is left out."""

HARD_BIN = 4.0
"""Width of the bins of the quick first look. [sigma]"""

_FRACTIONS = 256


def xlogx(p: Array) -> Array:
    """Return p log2 p, and 0 where p is not above 0."""
    return np.asarray(p * np.log2(p, out=np.zeros_like(p), where=p > 0))


def entropy(weights: Array) -> float:
    """Entropy of beliefs that need not add up to 1. [bit]"""
    total = float(weights.sum())
    return float(np.log2(total) - xlogx(weights).sum() / total) if total > 0 else 0.0


def by_name(weights: Array, names: Numbers, count: int) -> Array:
    """Add up rows of the same name."""
    return np.bincount(names, weights, count).astype(float)


def likeliest(weights: Array) -> Numbers:
    """Numbers of the weights from the greatest down; what differs by rounding keeps its order."""
    return np.asarray(np.argsort(-np.round(weights, 9), kind="stable"))


def gain(weights: Array, names: Numbers, chances: Array) -> float:
    """Information in a measurement with a few outcomes. [bit]

    Parameters
    ----------
    weights : array
        Belief in each row.
    names : array of int
        What each row would be called.
    chances : array
        Rows by outcomes: chance of each outcome if the row is true; rows add up to 1.
    """
    return float(gains(weights, names, chances, np.array([0]))[0])


def gains(weights: Array, names: Numbers, chances: Array, starts: Numbers) -> Array:
    """Information in several measurements with a few outcomes each. [bit]

    Parameters
    ----------
    chances : array
        Rows by outcomes of all measurements, side by side.
    starts : array of int
        First column of each measurement.
    """
    order = np.argsort(names, kind="stable")
    share = (weights / weights.sum())[order]
    firsts = np.flatnonzero(np.diff(names[order], prepend=-1))
    joint = np.add.reduceat(share[:, None] * chances[order], firsts, axis=0)
    known = xlogx(np.add.reduceat(share, firsts)).sum()
    bits = np.add.reduceat(xlogx(joint).sum(0) - xlogx(joint.sum(0)), starts) - known
    return np.asarray(np.maximum(bits, 0.0))


def hard_gain(weights: Array, names: Numbers, codes: Codes) -> Array:
    """Information of many measurements whose outcome is taken to be certain for each row. [bit]

    Parameters
    ----------
    names : array of int
        In rising order.
    codes : array of int
        Measurements by rows: the number of the bin each row's reading falls in. Quick, and biased
        where bins cut through a cloud of readings: for a first look only.
    """
    share = (weights / weights.sum()).astype(np.float32)
    known = xlogx(by_name(share.astype(float), names, int(names.max()) + 1)).sum()
    found = np.empty(len(codes))
    for start in range(0, len(codes), _AT_ONCE):
        part = slice(start, start + _AT_ONCE)
        order = np.argsort(codes[part], axis=1, kind="stable")  # radix sort of 16 bits
        bins = np.take_along_axis(codes[part], order, 1)
        mass = share[order]
        edge = np.ones(bins.shape, bool)
        np.not_equal(bins[:, 1:], bins[:, :-1], out=edge[:, 1:])
        by_bin = _sums(edge, mass)
        label = names[order]
        edge[:, 1:] |= label[:, 1:] != label[:, :-1]
        found[part] = _sums(edge, mass) - by_bin
    return np.asarray(found - known)


_AT_ONCE = 256  # measurements sorted together, so that they stay in the cache


def _sums(edge: Flags, mass: Singles) -> Array:
    """Sum of p log2 p over stretches that begin at each edge, for each line."""
    starts = np.flatnonzero(edge)
    sums = np.add.reduceat(mass.ravel(), starts)
    lines = np.searchsorted(starts, np.arange(len(mass)) * mass.shape[1])
    return np.asarray(np.add.reduceat(xlogx(sums), lines), float)


def density(u: float | Array, low: Array, high: Array) -> Array:
    """Density of a reading at u where the true value is anywhere from low to high alike."""
    low, high = _widened(low, high)
    return np.asarray((below(u - low) - below(u - high)) / (high - low))


def _widened(low: Array, high: Array) -> tuple[Array, Array]:
    short = np.maximum(LEAST_WIDTH - (high - low), 0.0) / 2
    return low - short, high + short


def _steps() -> Array:
    """Rise of the normal distribution between neighbours of a grid, by where it stands on it."""
    offsets = np.arange(-REACH, REACH + 1)
    fractions = (np.arange(_FRACTIONS) + 0.5) / _FRACTIONS
    under = below(offsets[None, :] - fractions[:, None])
    return np.diff(under, axis=1, prepend=0.0, append=1.0)


_STEPS = _steps()


def soft_gain(weights: Array, names: Numbers, low: Array | Singles, high: Array | Singles) -> Array:
    """Information of measurements whose readings scatter by 1 about somewhere in an interval. [bit]

    Parameters
    ----------
    low, high : array
        Measurements by rows: between what the reading lies if the row is true. [sigma]

    Notes
    -----
    Densities are summed on a grid one standard deviation apart, where the trapezoidal sum of
    normal densities is as good as the integral; a density is built from the rises and falls of
    its distribution at both its ends, so that wide and narrow rows cost the same.
    """
    share = weights / weights.sum()
    present, names = np.unique(names, return_inverse=True)
    count = len(present)
    known = xlogx(by_name(share, names, count)).sum()
    low, high = _widened(np.asarray(low, float), np.asarray(high, float))
    found = np.empty(len(low))
    start = 0
    while start < len(low):
        stop = min(start + _LINES, len(low))
        found[start:stop] = _soft(share, names, count, low[start:stop], high[start:stop])
        start = stop
    return np.asarray(np.maximum(found - known, 0.0))


_LINES = 32  # measurements worked out together, so that their grids stay in the cache


def _soft(share: Array, names: Numbers, count: int, low: Array, high: Array) -> Array:
    tests = len(low)
    place, start, width = _compact(low, high)
    slope = share / (high - low)
    base = (np.arange(tests)[:, None] * count + names) * width
    steps_at = np.arange(_STEPS.shape[1])
    flat = np.zeros(tests * count * width)
    for end, sign in ((low, 1.0), (high, -1.0)):
        whole = np.floor(end)
        part = ((end - whole) * _FRACTIONS).astype(np.intp)
        steps = _STEPS[np.minimum(part, _FRACTIONS - 1)]
        first = base + np.take_along_axis(place, (whole - REACH - start).astype(np.intp), 1)
        index = first[..., None] + steps_at
        flat += np.bincount(index.ravel(), (sign * slope[..., None] * steps).ravel(), len(flat))
    joint = np.cumsum(flat.reshape(tests, count, width), axis=2)
    return np.asarray(_line_sums(joint) - _line_sums(joint.sum(1)))


def _compact(low: Array, high: Array) -> tuple[Numbers, int, int]:
    """Number the cells of each line's grid that any row reaches, leaving out the others.

    Returns
    -------
    array
        Lines by cells: the number of the cell.
    int
        Where the first cell stands on the scale.
    int
        Most cells of any line.
    """
    start = int(np.floor(low.min())) - REACH
    size = int(np.floor(high.max())) + REACH + 3 - start
    edge = np.zeros((len(low), size), np.int32)
    line = np.arange(len(low))[:, None]
    np.add.at(edge, (line, np.floor(low).astype(np.intp) - REACH - start), 1)
    np.add.at(edge, (line, np.floor(high).astype(np.intp) + REACH + 2 - start), -1)
    reached = np.cumsum(edge, axis=1) > 0
    place = np.cumsum(reached, axis=1) - 1
    return place, start, int(place[:, -1].max()) + 1


def _line_sums(p: Array) -> Array:
    """Sum of p log2 p over all but the first axis."""
    p = p.reshape(len(p), -1)
    there = np.flatnonzero(p > _LEAST)
    values = p.ravel()[there]
    lines = there // p.shape[1]
    return np.bincount(lines, values * np.log2(values), len(p)).astype(float)


_LEAST = 1e-14  # what rounding leaves of a density that has come back to nothing
