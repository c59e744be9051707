"""Shortest ways over a graph held as rows of neighbours.

One-to-all ways are those of the graph library (Dijkstra 1959), which was measured faster than a
kernel of ours; a way to one goal is guided by the straight distance (A*) or stopped at the goal.
"""

import heapq
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import dijkstra

from layout.geometry.frames import Array, Ints
from layout.geometry.kernels import kernel

NO_NODE: Final = -1
LEAST_WEIGHT: Final = 1e-12  # the library takes an explicit zero for "no edge"


def neighbours(nodes: int, ends: Ints) -> tuple[Ints, Ints, Ints]:
    """(first, to, edge): for each node where its edges lead and which they are, as rows."""
    count = len(ends)
    tail = np.concatenate([ends[:, 0], ends[:, 1]])
    head = np.concatenate([ends[:, 1], ends[:, 0]])
    both = (np.tile(np.arange(count), 2), (tail, np.arange(2 * count)))
    m = coo_array(both, shape=(nodes, 2 * count)).tocsr()
    return m.indptr.astype(np.int64), head[m.indices], m.data.astype(np.int64)


def spread_all(
    first: Ints, to: Ints, edge: Ints, weight: Array, start: int, ends: NDArray[np.bool_]
) -> tuple[Array, Ints]:
    """(distance of every node from one, where each was reached from or NO_NODE).

    `weight` (m,) of the edges, not below zero; an edge of infinite weight is no way. No way leads
    on from a node of `ends` (n,), but for the start.
    """
    w = np.maximum(weight[edge], LEAST_WEIGHT)
    shut = np.flatnonzero(ends)
    for node in shut[shut != start]:
        w[first[node] : first[node + 1]] = np.inf
    open_ = np.isfinite(w)
    if not open_.all():
        rows = np.repeat(np.arange(len(first) - 1), np.diff(first))[open_]
        graph = coo_array((w[open_], (rows, to[open_])), shape=(len(first) - 1,) * 2).tocsr()
    else:
        graph = csr_array((w, to, first), shape=(len(first) - 1,) * 2)
    far, came = dijkstra(graph, indices=start, return_predecessors=True)
    return far, np.where(came < 0, NO_NODE, came).astype(np.int64)


@kernel
def spread_near(
    first: Ints, to: Ints, edge: Ints, weight: Array, start: int, ends: NDArray[np.bool_]
) -> tuple[Array, Ints]:
    """`spread_all` where few nodes can be reached: nothing is worked out for the others."""
    n = len(first) - 1
    far = np.full(n, np.inf)
    came = np.full(n, -1)
    far[start] = 0.0
    heap = [(0.0, start)]
    while len(heap) > 0:
        d, v = heapq.heappop(heap)
        if d > far[v] or (ends[v] and v != start):
            continue
        for p in range(first[v], first[v + 1]):
            c = d + weight[edge[p]]
            if c < far[to[p]]:
                far[to[p]] = c
                came[to[p]] = v
                heapq.heappush(heap, (c, to[p]))
    return far, came


@kernel
def spread(
    first: Ints, to: Ints, edge: Ints, weight: Array, start: int, goal: int
) -> tuple[Array, Ints, Ints]:
    """(distance of nodes from one, where each was reached from, by which edge), up to `goal`.

    All nodes for NO_NODE. An edge of infinite weight is no way.
    """
    n = len(first) - 1
    far = np.full(n, np.inf)
    came, by = np.full(n, -1), np.full(n, -1)
    far[start] = 0.0
    heap = [(0.0, start)]
    while len(heap) > 0:
        d, v = heapq.heappop(heap)
        if d > far[v]:
            continue
        if v == goal:
            break
        for p in range(first[v], first[v + 1]):
            c = d + weight[edge[p]]
            if c < far[to[p]]:
                far[to[p]] = c
                came[to[p]] = v
                by[to[p]] = edge[p]
                heapq.heappush(heap, (c, to[p]))
    return far, came, by


@kernel
def guided(  # noqa: PLR0913, PLR0917 - a graph as its arrays
    first: Ints,
    to: Ints,
    edge: Ints,
    weight: Array,
    points: Array,
    ends: NDArray[np.bool_],
    start: int,
    goal: int,
    guide: float,
    by_axes: bool,
) -> Ints:
    """Where each node was reached from (-1: not): A* search towards the goal.

    No way leads on from a node of `ends`, but for the start. Guided by the straight distance, or
    by the distance along the axes where no edge is cheaper than that.
    """
    n = len(first) - 1
    far = np.full(n, np.inf)
    came = np.full(n, -1)
    done = np.zeros(n, dtype=np.bool_)
    far[start] = 0.0
    heap = [(0.0, start)]
    while len(heap) > 0:
        _, v = heapq.heappop(heap)
        if done[v]:
            continue
        done[v] = True
        if v == goal:
            break
        if ends[v] and v != start:
            continue
        for p in range(first[v], first[v + 1]):
            u = to[p]
            if done[u]:
                continue
            c = far[v] + weight[edge[p]]
            if c < far[u]:
                far[u] = c
                came[u] = v
                d0 = abs(points[u, 0] - points[goal, 0])
                d1 = abs(points[u, 1] - points[goal, 1])
                d2 = abs(points[u, 2] - points[goal, 2])
                far_off = d0 + d1 + d2 if by_axes else np.sqrt(d0 * d0 + d1 * d1 + d2 * d2)
                heapq.heappush(heap, (c + guide * far_off, u))
    return came


def way_back(came: Ints, start: int, goal: int) -> list[int] | None:
    """Nodes from start to goal by where each was reached from; None when the goal was not."""
    if start != goal and came[goal] < 0:
        return None
    out = [goal]
    while out[-1] != start:
        out.append(int(came[out[-1]]))
    return out[::-1]


@kernel
def edges_of(first: Ints, to: Ints, edge: Ints, cost: Array, nodes: Ints) -> Ints:
    """The edges of a way by its nodes, the cheapest between any two; -1 where there is none."""
    out = np.full(len(nodes) - 1, -1)
    for k in range(len(nodes) - 1):
        least = np.inf
        for p in range(first[nodes[k]], first[nodes[k] + 1]):
            if to[p] == nodes[k + 1] and cost[edge[p]] < least:
                out[k] = edge[p]
                least = cost[edge[p]]
    return out
