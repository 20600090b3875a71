"""All readings weighed together, the boat integrated out in closed form.

Under row r reading i is y_i + a_i . theta + e_i: theta are the doubted figures in standard
deviations, normal and independent, and e_i scatters by s_i. With A of lines a_i, d = seen - y and
S = A A' + diag(s^2),

    log L = -1/2 d' S^-1 d - 1/2 log |S| - n/2 log 2 pi

A slip of one reading leaves the others: with x = S^-1 d and v_i = 1 / (S^-1)_ii the error of
reading i foretold from the rest is x_i v_i, with variance v_i (leave-one-out; Rasmussen and
Williams, Gaussian Processes for Machine Learning, MIT Press 2006, eqs 5.10 to 5.12).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from labkit.diagnosis.normal import below
from labkit.solving.arrays import Array, Flags

SLIP = 0.01
"""Chance that a reading is not what it is said to be. Common practice, no source."""

NOWHERE = 0.04
"""How near 0 V a lead that touches nothing reads. [V]"""


@dataclass(frozen=True)
class Evidence:
    """Readings against rows; every array is rows by readings, `moves` by figures as well.

    Attributes
    ----------
    error : array
        Seen less foretold at the middle boat.
    moves : array
    variance : array
        Of the reading itself.
    numbers : array of bool
        Whether the row foretells a number at all.
    slipped : array
        Density of each reading were it a slip (readings only).
    """

    error: Array
    moves: Array
    variance: Array
    numbers: Flags
    slipped: Array


@dataclass(frozen=True)
class Weighed:
    """What the readings say.

    Attributes
    ----------
    likelihood : array
        Log likelihood of all readings under each row, at most one of them a slip.
    slips : array
        Chance that each reading slipped, if the row is true.
    off : array
        Error of each reading foretold from the others, in standard deviations.
    misfit : array
        Chi-square of the row, as many degrees of freedom as readings.
    inverse, solved : array
        S^-1, S and x of each row.
    plain : array
        Log likelihood without slips.
    """

    likelihood: Array
    slips: Array
    off: Array
    misfit: Array
    inverse: Array
    solved: Array
    plain: Array


def weigh(seen: Evidence) -> Weighed:
    """Weigh all readings of every row together."""
    a = np.where(seen.numbers[..., None], seen.moves, 0.0)
    d = np.where(seen.numbers, seen.error, 0.0)
    n = d.shape[1]
    here = np.arange(n)
    s = a @ a.transpose(0, 2, 1)
    s[:, here, here] += np.where(seen.numbers, seen.variance, 1 / (2 * math.pi))
    inverse = np.linalg.inv(s)
    x = (inverse @ d[..., None])[..., 0]
    misfit = (d * x).sum(1)
    plain = -0.5 * misfit - 0.5 * np.linalg.slogdet(s)[1] - 0.5 * n * math.log(2 * math.pi)
    # A row that foretells no number where one was seen pays a slip for it.
    plain = plain + np.where(seen.numbers, 0.0, np.log(SLIP * seen.slipped)).sum(1)
    v = 1 / inverse[:, here, here]
    error = x * v
    without = plain[:, None] + 0.5 * np.log(2 * math.pi * v) + error**2 / (2 * v)
    without = np.where(seen.numbers, without + np.log(SLIP * seen.slipped), -np.inf)
    every = np.concatenate([plain[:, None] + n * math.log(1 - SLIP), without], 1)
    total = log_sum(every, 1)
    return Weighed(
        total, np.exp(without - total[:, None]), error / np.sqrt(v), misfit, inverse, x, plain
    )


def one_more(weighed: Weighed, extra: Array) -> Array:
    """Log likelihood with one more resistance somewhere, of either size, as a factor on the row's.

    Parameters
    ----------
    extra : array
        Rows by readings by places: what one standard deviation of a resistance there adds.

    Notes
    -----
    A half-normal amount along a: with q = a' S^-1 a and b = a' x the factor is
    2 Phi(b / sqrt(1 + q)) exp(b^2 / 2(1 + q)) / sqrt(1 + q).
    """
    q = (extra * (weighed.inverse @ extra)).sum(1)
    b = (extra * weighed.solved[..., None]).sum(1)
    inside = np.maximum(2 * below(b / np.sqrt(1 + q)), 1e-300)
    found = b**2 / (2 * (1 + q)) - 0.5 * np.log1p(q) + np.log(inside)
    return np.asarray(weighed.plain[:, None] + found)


def log_sum(values: Array, axis: int) -> Array:
    """Logarithm of a sum of exponentials."""
    top = values.max(axis, keepdims=True)
    top = np.where(np.isfinite(top), top, 0.0)
    with np.errstate(divide="ignore"):
        return np.asarray(np.log(np.exp(values - top).sum(axis)) + top.squeeze(axis))


def slip_density(volts: bool, seen: float, width: float) -> float:
    """Density of a reading that slipped: anything at all, or what leads that touch nothing read."""
    if not volts:
        return 1 / width
    spike = math.exp(-0.5 * (seen / NOWHERE) ** 2) / (NOWHERE * math.sqrt(2 * math.pi))
    return 0.5 / width + 0.5 * spike
