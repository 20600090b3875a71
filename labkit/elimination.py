"""Node elimination without subtraction: the linear algebra of a circuit that may be in pieces.

Every pair of connected nodes is an *edge* with a conductance c >= 0 and a source current s (as an
ideal source beside the conductance would drive it). A node is eliminated by turning the star of
edges at it into the mesh that is equivalent between its neighbours::

    d = sum_j c_kj      c_ij += c_ki c_kj / d      s_ij += (c_ki s_kj - c_kj s_ki) / d

Diagonals are never formed by cancellation and an open branch is absent rather than very small, so
each conductance keeps its relative accuracy however far the resistances lie apart, and d is exactly
zero if and only if nothing ties the rest of that island to the reference. Source currents stay on
their edges, so what flows out of an island is exactly what flows in: an island with a battery in
it, held by a meter alone, reads exactly zero.

Values are floats for one operating point, or numpy rows for many; the code is the same.

References
----------
Star-mesh transformation: Rosen, J. IEE 62 (1924) 916. Subtraction-free elimination of diagonally
dominant M-matrices: O'Cinneide, Numer. Math. 65 (1993) 109. Both from memory.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterable, Sequence
from functools import lru_cache
from typing import NamedTuple

from labkit.laws import Value

REFERENCE = 0
"""Index of DC-, which is never eliminated."""


class Step(NamedTuple):
    """Elimination of one node: its edges to the nodes still there, and the pairs among them."""

    node: int
    edges: tuple[tuple[int, int], ...]  # (edge, neighbour)
    pairs: tuple[tuple[int, int, int], ...]  # edges to i, to j, and between i and j


class Plan(NamedTuple):
    """Order of elimination of a network, worked out once from what is connected to what.

    `linear` steps touch no curved branch and are taken once; `core` steps once an iteration.
    """

    nodes: int
    edge_of: dict[tuple[int, int], int]
    rank: tuple[int, ...]
    linear: tuple[Step, ...]
    core: tuple[Step, ...]

    def edge(self, a: int, b: int) -> tuple[int, float]:
        """Edge between two nodes, and 1.0 if a is its first node, -1.0 if its second."""
        if self.rank[a] < self.rank[b]:
            return self.edge_of[a, b], 1.0
        return self.edge_of[b, a], -1.0


@lru_cache(maxsize=512)
def plan(nodes: int, edges: frozenset[tuple[int, int]], curved: frozenset[int]) -> Plan:
    """Choose an order of elimination that keeps the mesh sparse.

    Parameters
    ----------
    nodes : int
        Number of nodes, the reference included.
    edges : frozenset of (int, int)
        Pairs of connected nodes, in either order.
    curved : frozenset of int
        Nodes that a curved branch touches; they are eliminated last.
    """
    around: list[set[int]] = [set() for _ in range(nodes)]
    for a, b in edges:
        if a != b:
            around[a].add(b)
            around[b].add(a)
    order: list[tuple[int, tuple[int, ...]]] = []
    linear_count = 0
    for chosen in (
        [k for k in range(1, nodes) if k not in curved],
        None,  # whatever is left
    ):
        members = (
            set(chosen) if chosen is not None else set(range(1, nodes)) - {k for k, _ in order}
        )
        order += _minimum_degree(members, around, 2 if chosen is not None else nodes)
        linear_count = linear_count or (len(order) if chosen is not None else 0)
    return _symbolic(nodes, order, linear_count)


def _minimum_degree(
    members: set[int], around: list[set[int]], most: int
) -> Iterable[tuple[int, tuple[int, ...]]]:
    """Take out members of degree up to `most`, least first, and give each with its neighbours."""
    heap = [(len(around[k]), k) for k in members]
    heapq.heapify(heap)
    gone: set[int] = set()
    while heap:
        degree, k = heapq.heappop(heap)
        if k in gone or degree != len(around[k]) or degree > most:
            continue
        gone.add(k)
        near = tuple(around[k])
        for i in near:
            around[i].discard(k)
            around[i].update(j for j in near if j != i)
            if i in members and i not in gone:
                heapq.heappush(heap, (len(around[i]), i))
        yield k, near


def _symbolic(nodes: int, order: Sequence[tuple[int, tuple[int, ...]]], linear: int) -> Plan:
    rank = [0] * nodes
    for place, (k, _) in enumerate(order):
        rank[k] = place
    rank[REFERENCE] = nodes
    edge_of: dict[tuple[int, int], int] = {}

    def edge(a: int, b: int) -> int:
        return edge_of.setdefault((a, b), len(edge_of))

    steps = []
    for k, near in order:
        near = tuple(sorted(near, key=rank.__getitem__))
        spokes = tuple((edge(k, j), j) for j in near)
        pairs = tuple(
            (edge(k, i), edge(k, j), edge(i, j)) for n, i in enumerate(near) for j in near[n + 1 :]
        )
        steps.append(Step(k, spokes, pairs))
    return Plan(nodes, edge_of, tuple(rank), tuple(steps[:linear]), tuple(steps[linear:]))


def eliminate(
    steps: Sequence[Step],
    c: list[Value],
    s: list[Value] | None,
    reciprocal: Callable[[Value], Value],
) -> list[Value]:
    """Eliminate nodes in turn, changing c [S] and, where there are sources, s [A] in place.

    Returns
    -------
    list
        Reciprocal of each step's d, zero where d is zero. [ohm]
    """
    inverses = []
    for _, edges, pairs in steps:
        d = 0.0
        for kj, _ in edges:
            d = d + c[kj]
        inverse = reciprocal(d)
        inverses.append(inverse)
        for ki, kj, ij in pairs:
            fi = c[ki] * inverse
            c[ij] = c[ij] + fi * c[kj]
            if s is not None:
                s[ij] = s[ij] + (fi * s[kj] - c[kj] * inverse * s[ki])
    return inverses


def substitute(
    steps: Sequence[Step],
    inverses: Sequence[Value],
    c: Sequence[Value],
    s: Sequence[Value],
    v: list[Value],
) -> None:
    """Fill in node voltages v [V] of these steps, last first; a pinned island's last node is 0."""
    for (k, edges, _), inverse in zip(reversed(steps), reversed(inverses), strict=True):
        total = 0.0
        for kj, j in edges:
            total = total + (c[kj] * v[j] - s[kj])
        v[k] = total * inverse


def find_islands(
    steps: Sequence[Step], c: Sequence[Value], island: list[Value], where: Callable[..., Value]
) -> None:
    """Fill in which island each node is on: the number of the node at which it is pinned.

    That is REFERENCE exactly where a conducting path leads to it.
    """
    for k, edges, _ in reversed(steps):
        found: Value = k
        for kj, j in edges:
            joined = c[kj] != 0
            if joined is True:
                found = island[j]
                break
            if joined is not False:
                found = where(joined, island[j], found)
        island[k] = found
