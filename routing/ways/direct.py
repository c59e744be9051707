"""A cable that hangs from one terminal to another near it, without touching a face: over the tops
of two batteries side by side, across the gap between two devices.
"""

from itertools import permutations
from typing import Final

import numpy as np

from layout.geometry.frames import Array
from layout.known import Known, always, mark
from routing.ways.leads import AXIS, Lead, Stop, as_boxes, is_own
from routing.ways.obstacles import Kind, Obstacles, meets
from routing.ways.ways import Ways

LEAST_MM: Final = 1e-6
MOST_KEPT: Final = 2_000  # kept: of a few boats, with each rule left out in turn
KEPT: Final[Known[Lead | None]] = Known(MOST_KEPT)
STEPS: Final = (0.0, 15.0, 40.0, 80.0)  # how much farther out than needed it may turn


def direct_lead(ways: Ways, a: Stop, b: Stop) -> Lead | None:
    """The shortest hanging way between two terminals of one space, or None.

    Straight out of both for lug and bend, then along the axes in any order. It hangs no longer
    than the lesser of what both ends allow.
    """
    if np.linalg.norm(np.array(b.at) - np.array(a.at)) > min(a.limit_mm, b.limit_mm):
        return None
    return KEPT.of(mark(ways.mark_of(a.space), a, b), lambda: _found(ways, a, b), always)


def _found(ways: Ways, a: Stop, b: Stop) -> Lead | None:
    limit = min(a.limit_mm, b.limit_mm)
    p, q = np.array(a.at), np.array(b.at)
    if b.out is None or a.out is None:
        return None
    r = max(a.od_mm, b.od_mm) / 2
    near = ways.obstacles(a.space).near(np.minimum(p, q) - limit, np.maximum(p, q) + limit)
    kept = near.only(~((near.holding(p, r) | near.holding(q, r)) & (near.kind >= Kind.ROOM)))
    best: Lead | None = None
    for path in _paths(a, b):
        mm = float(np.linalg.norm(np.diff(path, axis=0), axis=1).sum())
        if mm > limit or (best is not None and mm >= best.length_mm):
            continue
        if _roomy(path, a, b) and _clear(path, kept, a, b, r):
            best = Lead(path, (a.space, 0, 0), mm)
    return best


def _paths(a: Stop, b: Stop) -> list[Array]:
    out = []
    p, q = np.array(a.at), np.array(b.at)
    da, db = np.array(a.out), np.array(b.out)
    if np.linalg.norm(np.cross(da, q - p)) < 1.0 and da @ db < -AXIS and da @ (q - p) > 0:
        out.append(np.array([p, q]))  # they face each other
    for s in STEPS:
        for t in STEPS:
            x = p + (a.lug_mm + a.radius_mm + s) * da
            y = q + (b.lug_mm + b.radius_mm + t) * db
            for order in permutations(range(3)):
                path = [p, x]
                for k in order:
                    step = path[-1].copy()
                    step[k] = y[k]
                    if abs(step[k] - path[-1][k]) > 1e-6:
                        path.append(step)
                whole = np.array([*path, q])
                apart = np.linalg.norm(np.diff(whole, axis=0), axis=1) > LEAST_MM
                out.append(whole[np.concatenate([[True], apart])])
    return [path for path in out if len(path) > 1]


def _roomy(path: Array, a: Stop, b: Stop) -> bool:
    """True when every turn has room for the bend, and none goes back on itself."""
    radius = max(a.radius_mm, b.radius_mm)
    d = np.diff(path, axis=0)
    mm = np.linalg.norm(d, axis=1)
    for k in range(len(d) - 1):
        turn = float(d[k] @ d[k + 1] / (mm[k] * mm[k + 1]))
        if turn < -0.5:
            return False
    return bool(np.all(mm[1:-1] >= 2 * radius - 1e-6))


def _clear(path: Array, kept: Obstacles, a: Stop, b: Stop, r: float) -> bool:
    """True when it touches nothing but, at either end, the terminal's own part."""
    last = len(path) - 2
    for k in range(last + 1):
        own = np.zeros(len(kept.keys), dtype=bool)
        for stop, at_end in ((a, k == 0), (b, k == last)):
            if at_end:
                own |= np.array([is_own(key, stop.own) for key in kept.keys], dtype=bool)
        if meets(path[k], path[k + 1], r, *as_boxes(kept.only(~own))) >= 0:
            return False
    return True
