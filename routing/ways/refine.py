"""A way over straight faces made shorter where pulling tight is held up by a corner.

The graph's points along edges stand 70 mm apart. Where a crossing cannot slide on because the line
would cut what is blocked, the shortest way touches that corner: it is found among points close by
on the same edges and the corners of what is blocked on the same faces.
"""

from typing import Final

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import dijkstra

from layout.geometry.frames import Array, Ints
from routing.ways.ways import EDGE_STEP_MM, FaceKey, Patch, Ways

FINE_MM: Final = 4.0
SAME_MM: Final = 1e-6


def refined(
    ways: Ways, x: Array, faces: list[FaceKey], corners: dict[FaceKey, Array]
) -> tuple[Array, list[FaceKey]]:
    """(points, faces between them) of the shortest way near a way over faces, its ends kept.

    `x` (n + 1, 3) with `faces` (n) between; `corners` (m, 3) are places past what is blocked.
    """
    gates = [k for k in range(1, len(x) - 1) if faces[k - 1] != faces[k]]
    if not gates:
        return x, faces
    order = [faces[0], *(faces[k] for k in gates)]
    layers = [x[:1], *(_along(ways, x[k], faces[k - 1], faces[k]) for k in gates), x[-1:]]
    points = np.concatenate(layers)
    first = np.cumsum([0, *(len(a) for a in layers)])
    more, start = [points], len(points)
    rows, cols, cost, face = [], [], [], []
    for k, key in enumerate(order):
        mine = corners.get(key, np.empty((0, 3)))
        ids = np.concatenate(
            [np.arange(first[k], first[k + 2]), np.arange(start, start + len(mine))]
        )
        here = np.concatenate([points[first[k] : first[k + 2]], mine])
        a, b, mm = _seen(ways.patches[key], here)
        rows.append(ids[a])
        cols.append(ids[b])
        cost.append(mm)
        face.append(np.full(len(a), k))
        more.append(mine)
        start += len(mine)
    return _best(np.concatenate(more), first[-1] - 1, rows, cols, cost, face, order)


def _along(ways: Ways, at: Array, one: FaceKey, other: FaceKey) -> Array:
    """Places close together along the edge between two faces, about a crossing."""
    p, q = ways.patches[one], ways.patches[other]
    if p.axis == q.axis:
        return at[None]
    axis = 3 - p.axis - q.axis
    k = p.others.index(axis)
    low, high = at[axis] - EDGE_STEP_MM, at[axis] + EDGE_STEP_MM
    t = np.concatenate([[at[axis]], np.arange(low, high, FINE_MM)])
    t = t[(t >= p.low[k]) & (t <= p.high[k])]
    x = np.repeat(at[None], len(t), axis=0)
    x[:, axis] = t
    return np.asarray(x[p.are_free(p.flat(x)) & q.are_free(q.flat(x))])


def _seen(patch: Patch, x: Array) -> tuple[Ints, Ints, Array]:
    """Pairs of places on a face that see each other, and how far apart they are."""
    uv = patch.flat(x)
    i, j = np.triu_indices(len(x), 1)
    free = patch.sees(uv[i], uv[j])
    i, j = i[free], j[free]
    return i, j, np.linalg.norm(uv[i] - uv[j], axis=1)


def _best(
    x: Array,
    goal: int,
    rows: list[Ints],
    cols: list[Ints],
    cost: list[Array],
    face: list[Ints],
    order: list[FaceKey],
) -> tuple[Array, list[FaceKey]]:
    a, b = np.concatenate(rows), np.concatenate(cols)
    mm, on = np.maximum(np.concatenate(cost), SAME_MM), np.concatenate(face)
    both = (np.concatenate([a, b]), np.concatenate([b, a]))
    graph = coo_array((np.tile(mm, 2), both), shape=(len(x),) * 2).tocsr()
    _, came = dijkstra(graph, indices=0, return_predecessors=True)
    path = [goal]
    while path[-1] != 0:
        path.append(int(came[path[-1]]))
    path.reverse()
    where = {(int(i), int(j)): int(k) for i, j, k in zip(a, b, on, strict=True)}
    keys = [
        order[where.get((i, j), where.get((j, i), 0))] for i, j in zip(path, path[1:], strict=False)
    ]
    return x[path], keys
