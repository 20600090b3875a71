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
from itertools import combinations
from typing import NamedTuple

from labkit.parts.laws import Value

REFERENCE = 0
"""Index of DC-, which is never eliminated."""


NOTHING = 0.0
"""Fill c and s with this one object to begin with: what is still it need not be worked with."""


class Step(NamedTuple):
    """Elimination of one node: its edges to the nodes still there, and the pairs among them."""

    node: int
    edges: tuple[tuple[int, int], ...]  # (edge, neighbour)
    pairs: tuple[tuple[int, int, int], ...]  # places in `edges` of i and j, edge between the two


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
    """Take out members of degree up to `most`, least first, and give each with its neighbours.

    The reference is not counted: edges to it are the most there can be of, one a node.
    """
    heap = [(len(around[k]), k) for k in members]
    heapq.heapify(heap)
    gone: set[int] = set()
    while heap:
        degree, k = heapq.heappop(heap)
        if k in gone or degree != len(around[k]) or degree - (REFERENCE in around[k]) > most:
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

    steps = []
    for k, near in order:
        near = tuple(sorted(near, key=rank.__getitem__))
        spokes = tuple([(edge_of.setdefault((k, j), len(edge_of)), j) for j in near])
        pairs = tuple(
            [
                (m, n, edge_of.setdefault((near[m], near[n]), len(edge_of)))
                for m, n in combinations(range(len(near)), 2)
            ]
        )
        steps.append(Step(k, spokes, pairs))
    return Plan(nodes, edge_of, tuple(rank), tuple(steps[:linear]), tuple(steps[linear:]))


def eliminate(
    steps: Sequence[Step], c: list[Value], s: list[Value], reciprocal: Callable[[Value], Value]
) -> list[Value]:
    """Eliminate nodes in turn, changing c [S] and s [A] in place.

    Returns
    -------
    list
        Reciprocal of each step's d, zero where d is zero. [ohm]
    """
    inverses = []
    for _, edges, pairs in steps:
        spokes = [c[e] for e, _ in edges]
        sources = [s[e] for e, _ in edges]
        d = spokes[0] if spokes else 0.0
        if len(spokes) > 1:
            d = d + spokes[1]  # a row of its own, which the others may be added to in place
            for spoke in spokes[2:]:
                d += spoke
        inverse = reciprocal(d)
        inverses.append(inverse)
        if pairs:
            shares = [spoke * inverse for spoke in spokes]
        for i, j, ij in pairs:
            mesh = shares[i] * spokes[j]
            if c[ij] is not NOTHING:
                mesh += c[ij]
            c[ij] = mesh
            if sources[j] is NOTHING:
                if sources[i] is NOTHING:
                    continue
                driven = -(shares[j] * sources[i])
            elif sources[i] is NOTHING:
                driven = shares[i] * sources[j]
            else:
                driven = shares[i] * sources[j]
                driven -= shares[j] * sources[i]
            if s[ij] is not NOTHING:
                driven += s[ij]
            s[ij] = driven
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
            if j != REFERENCE:
                total += c[kj] * v[j]
            if s[kj] is not NOTHING:
                total -= s[kj]
        v[k] = total * inverse


def join(steps: Sequence[Step], joined: list[Value]) -> None:
    """Do to whether edges conduct (bool, or rows of bool) what elimination does to how well."""
    for _, edges, pairs in steps:
        spokes = [joined[e] for e, _ in edges]
        for i, j, ij in pairs:
            joined[ij] = joined[ij] | (spokes[i] & spokes[j])


def find_islands(
    steps: Sequence[Step], c: Sequence[Value], island: list[Value], where: Callable[..., Value]
) -> None:
    """Fill in which island each node is on: the number of the node at which it is pinned.

    That is REFERENCE exactly where a conducting path leads to it.
    """
    for k, edges, _ in reversed(steps):
        found: Value = k
        for kj, j in edges:
            conducts = c[kj] != 0
            if conducts is False:
                continue
            if conducts is True or conducts.all():
                found = island[j]
                break
            found = where(conducts, island[j], found)
        island[k] = found
