"""Shortest ways over a graph held as rows of neighbours: the one kernel of the room (Dijkstra 1959, by a heap)."""

import heapq
from typing import Final

import numpy as np
from numba import njit
from scipy.sparse import coo_array

from layout.geometry.frames import Ints

NO_NODE: Final = -1


def neighbours(nodes: int, ends: Ints) -> tuple[Ints, Ints, Ints]:
    """(first, to, edge): for each node where its edges lead and which they are, as rows of one list."""
    count = len(ends)
    tail = np.concatenate([ends[:, 0], ends[:, 1]])
    head = np.concatenate([ends[:, 1], ends[:, 0]])
    m = coo_array(
        (np.tile(np.arange(count), 2), (tail, np.arange(2 * count))), shape=(nodes, 2 * count)
    ).tocsr()
    return m.indptr.astype(np.int64), head[m.indices], m.data.astype(np.int64)


@njit(cache=True, nogil=True)
def spread(first, to, edge, weight, start, goal):  # type: ignore[no-untyped-def]
    """(distance of every node from one, where it was reached from, by which edge): up to `goal`, or all for NO_NODE.

    `weight` (m,) of the edges, not below zero; an edge of infinite weight is no way.
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
