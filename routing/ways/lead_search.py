"""How a cable can leave its terminal: straight out, round one or more square turns, to a face.

Every way of up to `most` turns after the first, at corners level with the edges of what stands
near, is looked at; the cheapest to each face is kept.
"""

from typing import Final, NamedTuple

import numpy as np

from layout.geometry.frames import Array, Ints
from layout.geometry.kernels import inner_kernel, kernel
from routing.ways.obstacles import meets

CORNERS: Final = 6  # most points of one lead
NO_LEAD: Final = -1


class Around(NamedTuple):
    """What stands round a terminal.

    `planes` (6,) are where cable lies on each face, numbered 2 * axis + high; `open_` which faces
    it may lie on; `blocked` (n, 4) what is blocked on them, from row `first[face]`. `bodies` are
    boxes to keep clear of: middles, half sizes, rotations, distances; `ahead` those for the first
    piece, without the terminal's own part. `plate` (2, 3) is where cable lies on the board, and
    `room` (2, 3) bounds the middle of the cable.
    """

    planes: Array
    open_: Ints
    blocked: Array
    first: Ints
    bodies: tuple[Array, Array, Array, Array]
    ahead: tuple[Array, Array, Array, Array]
    plate: Array
    room: Array


class Wanted(NamedTuple):
    """What is asked of a lead.

    `turns_at` are the distances straight out at which it may turn first, `axis` the axis it leaves
    along (-1 where it leaves askew), `turn` the least between two corners (half of it at an end),
    `limit` the most that hangs free, `rates` what a millimetre and a bend cost, `marks` (3, m)
    places of corners on each axis and `many` how many; `most` turns after the first.
    """

    at: Array
    out: Array
    turns_at: Array
    axis: int
    turn: float
    limit: float
    rates: Array
    marks: Array
    many: Ints
    radius: float
    most: int


class Found(NamedTuple):
    """The best lead to each face: cost (6,), points (6, CORNERS, 3), how many (6,)."""

    cost: Array
    points: Array
    counts: Ints


@inner_kernel
def _free_foot(face: int, foot: Array, around: Around) -> bool:
    """True when a place on a face is not inside what is blocked on it."""
    a = face // 2
    u, v = (1 if a == 0 else 0), (1 if a == 2 else 2)
    b = around.blocked
    for r in range(around.first[face], around.first[face + 1]):
        if b[r, 0] < foot[u] < b[r, 1] and b[r, 2] < foot[v] < b[r, 3]:
            return False
    return True


@inner_kernel
def _lying(p: Array, q: Array, box: Array) -> float:
    """How much of a straight piece lies in a box, mm."""
    enter, leave, length = 0.0, 1.0, 0.0
    for k in range(3):
        d = q[k] - p[k]
        length += d * d
        if abs(d) < 1e-9:
            if p[k] < box[0, k] or p[k] > box[1, k]:
                return 0.0
        else:
            t0, t1 = (box[0, k] - p[k]) / d, (box[1, k] - p[k]) / d
            enter, leave = max(enter, min(t0, t1)), min(leave, max(t0, t1))
    return float(max(0.0, leave - enter) * np.sqrt(length))


@inner_kernel
def _rounds(p: Array, x: Array, q: Array, w: Wanted, b: tuple[Array, Array, Array, Array]) -> bool:
    """True when the bend at a square corner x, between p and q, cuts no body's corner."""
    r = w.turn / 2
    if r < 1.0:
        return True
    start, middle, end = np.empty(3), np.empty(3), np.empty(3)
    one, two = 0.0, 0.0
    for k in range(3):
        one += (x[k] - p[k]) ** 2
        two += (q[k] - x[k]) ** 2
    one, two = np.sqrt(one), np.sqrt(two)
    for k in range(3):
        a, c = (x[k] - p[k]) / one, (q[k] - x[k]) / two
        start[k], end[k] = x[k] - r * a, x[k] + r * c
        middle[k] = x[k] + r * (1 - np.sqrt(0.5)) * (c - a)
    if meets(start, middle, w.radius, b[0], b[1], b[2], b[3]) >= 0:
        return False
    return meets(middle, end, w.radius, b[0], b[1], b[2], b[3]) < 0


@inner_kernel
def _to_faces(
    path: Array, count: int, came: int, cost: float, hung: float, w: Wanted, a: Around, best: Found
) -> None:
    """Try the last piece from a corner to each face across the way it came; keep what is best."""
    x = path[count - 1]
    foot = np.empty(3)
    for face in range(6):
        axis, high = face // 2, face % 2
        if a.open_[face] == 0 or axis == came:
            continue
        step = a.planes[face] - x[axis] if high == 1 else x[axis] - a.planes[face]
        if step < w.turn / 2 or hung + step > w.limit:
            continue
        c = cost + w.rates[0] * step + w.rates[1]
        if c >= best.cost[face] - 1e-9:
            continue
        for k in range(3):
            foot[k] = x[k]
        foot[axis] = a.planes[face]
        inside = True
        for k in range(3):
            if k != axis and not a.room[0, k] - 1e-6 <= foot[k] <= a.room[1, k] + 1e-6:
                inside = False
        if not inside or not _free_foot(face, foot, a):
            continue
        b = a.bodies
        if meets(x, foot, w.radius, b[0], b[1], b[2], b[3]) >= 0:
            continue
        if not _rounds(path[count - 2], x, foot, w, a.ahead if count == 2 else b):
            continue
        best.cost[face] = c
        best.counts[face] = count + 1
        for m in range(count):
            for k in range(3):
                best.points[face, m, k] = path[m, k]
        for k in range(3):
            best.points[face, count, k] = foot[k]


@inner_kernel
def _onward(
    path: Array, came: int, cost: float, hung: float, w: Wanted, a: Around, f: Found
) -> None:
    """From the first corner to the faces, and over further corners, depth first."""
    tried = np.zeros((CORNERS, 2), dtype=np.int64)  # axis and mark tried at each corner
    ways = np.full(CORNERS, -1)  # the axis each corner was reached along
    costs, hangs = np.zeros(CORNERS), np.zeros(CORNERS)
    ways[1], costs[1], hangs[1] = came, cost, hung
    _to_faces(path, 2, came, cost, hung, w, a, f)
    b = a.bodies
    n = 2
    while n >= 2:
        k, m = tried[n - 1, 0], tried[n - 1, 1]
        if n - 2 >= w.most or k >= 3:
            n -= 1
            continue
        if m >= w.many[k] or k == ways[n - 1]:
            tried[n - 1, 0], tried[n - 1, 1] = k + 1, 0
            continue
        tried[n - 1, 1] = m + 1
        x, mark = path[n - 1], w.marks[k, m]
        step = abs(mark - x[k])
        if step < w.turn or mark < a.room[0, k] or mark > a.room[1, k]:
            continue
        for j in range(3):
            path[n, j] = x[j]
        path[n, k] = mark
        hangs[n] = hangs[n - 1] + step - _lying(x, path[n], a.plate)
        costs[n] = costs[n - 1] + w.rates[0] * step + w.rates[1]
        worst = 0.0
        for j in range(6):
            worst = max(worst, f.cost[j])
        if hangs[n] > w.limit or costs[n] >= worst:
            continue
        if meets(x, path[n], w.radius, b[0], b[1], b[2], b[3]) >= 0:
            continue
        if not _rounds(path[n - 2], x, path[n], w, a.ahead if n == 2 else b):
            continue
        ways[n] = k
        tried[n, 0], tried[n, 1] = 0, 0
        _to_faces(path, n + 1, k, costs[n], hangs[n], w, a, f)
        n += 1


@kernel
def leads_to_faces(w: Wanted, a: Around) -> tuple[Array, Array, Ints]:
    """The best lead to each face: cost (6,), points (6, CORNERS, 3), how many (6,)."""
    f = Found(np.full(6, np.inf), np.zeros((6, CORNERS, 3)), np.full(6, NO_LEAD))
    path = np.empty((CORNERS, 3))
    for k in range(3):
        path[0, k] = w.at[k]
    b = a.ahead
    if w.axis >= 0:  # straight on to the face it points at
        face = 2 * w.axis + (1 if w.out[w.axis] > 0 else 0)
        step = (a.planes[face] - w.at[w.axis]) * w.out[w.axis]
        foot = np.empty(3)
        for k in range(3):
            foot[k] = w.at[k] + step * w.out[k]
        if a.open_[face] == 1 and w.turns_at[0] - w.turn / 2 <= step <= w.limit:
            free = meets(w.at, foot, w.radius, b[0], b[1], b[2], b[3]) < 0
            if free and _free_foot(face, foot, a):
                f.cost[face] = w.rates[0] * step
                f.counts[face] = 2
                for k in range(3):
                    f.points[face, 0, k], f.points[face, 1, k] = w.at[k], foot[k]
    x = np.empty(3)
    for t in w.turns_at:
        inside = True
        for k in range(3):
            x[k] = w.at[k] + t * w.out[k]
            inside = inside and a.room[0, k] - 1e-6 <= x[k] <= a.room[1, k] + 1e-6
        lies = _lying(w.at, x, a.plate)
        if t - lies > w.limit or not inside:
            break
        if meets(w.at, x, w.radius, b[0], b[1], b[2], b[3]) >= 0:
            break
        for k in range(3):
            path[1, k] = x[k]
        _onward(path, w.axis, w.rates[0] * t, t - lies, w, a, f)
    return f.cost, f.points, f.counts
