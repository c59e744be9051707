"""May two parts stand so, and a part on the plate: bodies, rooms, studs, heat, margins."""

from typing import NamedTuple

from layout.bench.arrange.kit import ALIGNED_MM, STUDS_APART_MM, Arrays
from layout.boat.parts import LUG_MM
from layout.geometry.frames import Array
from layout.geometry.kernels import inner_kernel

EASE = 1e-6


class Stand(NamedTuple):
    """A part at a place in one of its turns."""

    part: int
    turn: int
    x: float
    y: float


@inner_kernel
def _over(a: Array, p: Stand, b: Array, q: Stand, gap: float) -> bool:
    """True when two boxes come nearer than a gap in the plate's plane and meet in height."""
    return (
        p.x + a[0] < q.x + b[2] + gap - EASE
        and q.x + b[0] < p.x + a[2] + gap - EASE
        and p.y + a[1] < q.y + b[3] + gap - EASE
        and q.y + b[1] < p.y + a[3] + gap - EASE
        and a[4] < b[5] - EASE
        and b[4] < a[5] - EASE
    )


@inner_kernel
def _joined(k: Arrays, p: Stand, room: int, q: Stand) -> bool:
    """True where a lead's room is of a link that goes straight across to another part."""
    post = k.room_post[p.part, room]
    if post < 0 or k.room_partner[p.part, room, 0] != q.part:
        return False
    a = k.posts[p.part, p.turn, post]
    b = k.posts[q.part, q.turn, k.room_partner[p.part, room, 1]]
    dx, dy = q.x + b[0] - p.x - a[0], q.y + b[1] - p.y - a[1]
    along = dx * a[2] + dy * a[3]
    aside = abs(dx * a[3]) + abs(dy * a[2])
    facing = a[2] * b[2] + a[3] * b[3] < -0.5
    return facing and aside <= ALIGNED_MM and along >= 2 * LUG_MM - EASE


@inner_kernel
def _rooms_taken(k: Arrays, p: Stand, q: Stand) -> bool:
    """True where a body of one part stands in a room of another."""
    for r in range(k.n_rooms[p.part]):
        for b in range(k.n_boxes[q.part]):
            room, box = k.rooms[p.part, p.turn, r], k.boxes[q.part, q.turn, b]
            if _over(room, p, box, q, 0.0) and not _joined(k, p, r, q):
                return True
    return False


@inner_kernel
def _far(a: Array, p: Stand, b: Array, q: Stand) -> bool:
    """True when two rectangles do not meet."""
    aside = p.x + a[2] <= q.x + b[0] or q.x + b[2] <= p.x + a[0]
    return aside or p.y + a[3] <= q.y + b[1] or q.y + b[3] <= p.y + a[1]


@inner_kernel
def clash(k: Arrays, p: Stand, q: Stand) -> bool:
    """True where two parts may not stand so."""
    i, j = p.part, q.part
    if _far(k.reach[i, p.turn], p, k.outline[j, q.turn], q) and _far(
        k.reach[j, q.turn], q, k.outline[i, p.turn], p
    ):
        return False
    for a in range(k.n_boxes[i]):
        for b in range(k.n_boxes[j]):
            if _over(k.boxes[i, p.turn, a], p, k.boxes[j, q.turn, b], q, k.apart[i, j]):
                return True
    for a in range(k.n_posts[i]):
        for b in range(k.n_posts[j]):
            s, t = k.posts[i, p.turn, a], k.posts[j, q.turn, b]
            dx, dy = abs(p.x + s[0] - q.x - t[0]), abs(p.y + s[1] - q.y - t[1])
            if s[4] * t[4] < 0 and max(dx, dy) < STUDS_APART_MM - EASE:
                return True
    o, u = k.outline[i, p.turn], k.outline[j, q.turn]
    if p.x + o[0] < q.x + u[2] - EASE and q.x + u[0] < p.x + o[2] - EASE:
        if k.above[i, j] > 0 and 0 <= p.y + o[1] - q.y - u[3] + EASE < k.above[i, j]:
            return True
        if k.above[j, i] > 0 and 0 <= q.y + u[1] - p.y - o[3] + EASE < k.above[j, i]:
            return True
    return _rooms_taken(k, p, q) or _rooms_taken(k, q, p)


@inner_kernel
def on_plate(k: Arrays, p: Stand, wide: float, high: float) -> bool:
    """True where a part stands on the plate, off its margin, its corners and what is forbidden."""
    margin, corner = k.bounds[0], k.bounds[1]
    o = k.outline[p.part, p.turn]
    x0, y0, x1, y1 = p.x + o[0], p.y + o[1], p.x + o[2], p.y + o[3]
    if x0 < margin - EASE or y0 < margin - EASE:
        return False
    if x1 > wide - margin + EASE or y1 > high - margin + EASE:
        return False
    near_side = x0 < corner - EASE or x1 > wide - corner + EASE
    near_end = y0 < corner - EASE or y1 > high - corner + EASE
    if near_side and near_end:
        return False
    for f in range(len(k.forbidden)):
        b = k.forbidden[f]
        if x0 < b[2] - EASE and b[0] < x1 - EASE and y0 < b[3] - EASE and b[1] < y1 - EASE:
            return False
    return True
