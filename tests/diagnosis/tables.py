"""Small diagnosis problems as tables: explanations, tests, and the outcome of each under each.

Exact where the circuit's own problem is too large: the best plan there is, by dynamic programming
over sets of explanations, to hold the greedy one against.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Sequence
from functools import cache
from itertools import count
from typing import NamedTuple

import numpy as np

from labkit.diagnosis.information import entropy, gain


class Problem(NamedTuple):
    """Explanations and tests with a certain outcome each.

    Attributes
    ----------
    weights : tuple of float
        Belief in each explanation.
    outcomes : tuple of tuple of int
        For each test, its outcome under each explanation.
    costs : tuple of float
        Of each test.
    """

    weights: tuple[float, ...]
    outcomes: tuple[tuple[int, ...], ...]
    costs: tuple[float, ...]

    @property
    def everything(self) -> frozenset[int]:
        """All explanations."""
        return frozenset(range(len(self.weights)))

    def split(self, alive: frozenset[int], test: int) -> list[frozenset[int]]:
        """What each outcome of a test leaves."""
        parts: dict[int, set[int]] = {}
        for n in alive:
            parts.setdefault(self.outcomes[test][n], set()).add(n)
        return [frozenset(part) for part in parts.values()]

    def weight(self, alive: frozenset[int]) -> float:
        """Belief in a set of explanations."""
        return sum(self.weights[n] for n in alive)

    def bits(self, alive: frozenset[int], test: int) -> float:
        """Information in a test when these explanations are left. [bit]"""
        members = sorted(alive)
        weights = np.array([self.weights[n] for n in members])
        codes = [self.outcomes[test][n] for n in members]
        chances = np.array([[float(c == k) for k in sorted(set(codes))] for c in codes])
        return gain(weights, np.arange(len(members)), chances)


def best_cost(problem: Problem) -> float:
    """Expected cost of the best plan that tells apart all that can be told apart.

    Dynamic programming over sets of explanations; for a dozen of each, not for a boat.

    References
    ----------
    Pattipati and Alexandridis, IEEE Trans. Systems, Man and Cybernetics 20 (1990) 872, for the
    problem (from memory).
    """

    @cache
    def cost(alive: frozenset[int]) -> float:
        best = None
        for test, price in enumerate(problem.costs):
            parts = problem.split(alive, test)
            if len(parts) > 1:
                whole = price * problem.weight(alive) + sum(cost(part) for part in parts)
                best = whole if best is None else min(best, whole)
        return best or 0.0

    return cost(problem.everything) / problem.weight(problem.everything)


def greedy_cost(problem: Problem) -> float:
    """Expected cost where each test is the one with most information for its cost."""
    return ahead_cost(problem, 1)


def ahead_cost(problem: Problem, ahead: int) -> float:
    """Expected cost where each test is the best of a few, if all after it are greedy.

    Parameters
    ----------
    problem : Problem
    ahead : int
        So many of the tests with most information for their cost are followed to the end, as
        :func:`labkit.diagnosis.planning.plan` does.

    References
    ----------
    Bertsekas, Tsitsiklis and Wu, J. Heuristics 3 (1997) 245, 'rollout' (from memory).
    """

    @cache
    def best(alive: frozenset[int]) -> list[int]:
        useful = [t for t in range(len(problem.costs)) if len(problem.split(alive, t)) > 1]
        useful.sort(key=lambda t: -problem.bits(alive, t) / problem.costs[t])
        return useful[:ahead]

    def after(alive: frozenset[int], test: int, rest: Callable[[frozenset[int]], float]) -> float:
        price = problem.costs[test] * problem.weight(alive)
        return price + sum(rest(part) for part in problem.split(alive, test))

    @cache
    def greedy(alive: frozenset[int]) -> float:
        tests = best(alive)
        return after(alive, tests[0], greedy) if tests else 0.0

    @cache
    def cost(alive: frozenset[int]) -> float:
        tests = best(alive)
        if not tests:
            return 0.0
        return after(alive, min(tests, key=lambda t: after(alive, t, greedy)), cost)

    return cost(problem.everything) / problem.weight(problem.everything)


def huffman_length(weights: Sequence[float]) -> float:
    """Least expected number of yes-or-no tests, were any test to be had: Huffman's code."""
    total = sum(weights)
    order = count()
    heap = [(w / total, next(order)) for w in weights]
    heapq.heapify(heap)
    length = 0.0
    while len(heap) > 1:
        joined = heapq.heappop(heap)[0] + heapq.heappop(heap)[0]
        length += joined
        heapq.heappush(heap, (joined, next(order)))
    return length


def uncertainty(problem: Problem) -> float:
    """Entropy of the explanations. [bit]"""
    return entropy(np.array(problem.weights))
