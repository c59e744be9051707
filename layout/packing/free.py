"""Free places of a thing on a face: everything that is in its way as rectangles it keeps out of.

The foot lies on the face, so that a place is two numbers; each box that meets the thing in depth
shuts out a rectangle of them. Places looked at are the corners of those rectangles: any free place
slides into one of them without leaving what is free. Sloping boxes count by the square box round
them.
"""

from dataclasses import dataclass
from itertools import product
from typing import Final

import numpy as np

from layout.boat.faces import across
from layout.boat.openings import span
from layout.boat.parts import Boat, Piece, Space
from layout.geometry.frames import Array
from layout.packing.things import Posture

CLEAR_MM: Final = 3.0  # kept from neighbours: the hand-guided gap comes with the way in
TOUCH_MM: Final = 1e-6
BEFORE_OPENING_MM: Final = 1.0
LIP_MM: Final = 0.5


@dataclass(frozen=True, slots=True, eq=False)
class Taken:
    """A box that is there: its key, low and high; whether it only keeps bodies out (a room), and
    how far its maker or the trade keeps others from it.
    """

    key: str
    low: Array
    high: Array
    room: bool = False
    off_mm: float = 0.0


def taken_in(
    boat: Boat, space: Space, apart: dict[str, float], skip: frozenset[str]
) -> list[Taken]:
    """Everything that is in a space, with the distance each asks of this thing."""
    out: list[Taken] = []
    for s in boat.solids.values():
        if s.space == space.key:
            out.append(
                Taken(f"solid:{s.key}", *s.extent(), False, apart.get(f"solid:{s.key}", 0.0))
            )
    for p in boat.pieces.values():
        if p.key in skip:
            continue
        off = apart.get(f"piece:{p.key}", 0.0)
        rest = p.at_rest()
        reach = np.einsum("nij,nj->ni", np.abs(rest.rotation), rest.half_mm)
        for c, h in zip(rest.centre_mm, reach, strict=True):
            if p.space == space.key or _meets(space, c - h, c + h):
                out.append(Taken(f"piece:{p.key}", c - h, c + h, False, off))
        if p.space == space.key:
            for q in p.rooms:
                h = np.abs(q.rotation) @ q.half
                out.append(Taken(f"piece:{p.key}", q.centre - h, q.centre + h, True))
    for h in boat.hazards.values():
        off = apart.get(f"hazard:{h.key}", 0.0)
        if h.space == space.key or off > 0:
            out.append(Taken(f"hazard:{h.key}", h.low, h.high, False, off))
    return out + _before_openings(boat, space)


def _meets(space: Space, low: Array, high: Array) -> bool:
    return bool(np.all(low < space.high) and np.all(high > space.low))


def _before_openings(boat: Boat, space: Space) -> list[Taken]:
    """Nothing is put over an opening: a sheet before each."""
    out = []
    for o in boat.openings.values():
        if space.key not in (o.inner, o.outer):
            continue
        sign = o.sign if o.inner == space.key else -o.sign
        plane = float(space.high[o.axis] if sign > 0 else space.low[o.axis])
        low, high = o.centre.copy(), o.centre.copy()
        for k in o.others:
            low[k], high[k] = span(o, k)
        low[o.axis], high[o.axis] = sorted((plane, plane - sign * BEFORE_OPENING_MM))
        out.append(Taken(f"opening:{o.key}", low, high))
    return out


@dataclass(frozen=True, slots=True, eq=False)
class Places:
    """Free places on a face: the foot of each, (n, 3)."""

    posture: Posture
    feet: Array


def free_places(space: Space, posture: Posture, taken: list[Taken], wanted: list[Array]) -> Places:
    """The corners of what is free for a thing on a face, and the nearest to places wanted."""
    axis, (u, v) = posture.axis, across(posture.axis)
    low, high = posture.boxes[:, :3].min(axis=0), posture.boxes[:, 3:].max(axis=0)
    plane = float(space.high[axis] if posture.sign > 0 else space.low[axis])
    if high[axis] - low[axis] > space.high[axis] - space.low[axis] + TOUCH_MM:
        return Places(posture, np.zeros((0, 3)))
    bounds = np.array([[space.low[k] - low[k], space.high[k] - high[k]] for k in (u, v)])
    if np.any(bounds[:, 1] < bounds[:, 0] - TOUCH_MM):
        return Places(posture, np.zeros((0, 3)))
    shut = _shut(posture, taken, axis, u, v, plane)
    feet = _corners(bounds, shut, [(float(w[u]), float(w[v])) for w in wanted])
    out = np.empty((len(feet), 3))
    out[:, u], out[:, v] = feet[:, 0], feet[:, 1]
    out[:, axis] = plane
    return Places(posture, out)


def _shut(posture: Posture, taken: list[Taken], axis: int, u: int, v: int, plane: float) -> Array:
    """The rectangles the foot keeps out of, (n, 4): low u, low v, high u, high v."""
    rows = []
    foot = np.zeros(3)
    foot[axis] = plane
    for t in taken:
        off = max(t.off_mm, 0.0 if t.room or t.key.startswith("opening:") else CLEAR_MM)
        for mine, mine_room in ((posture.boxes, False), (posture.rooms, True)):
            if mine_room and t.room:
                continue  # rooms may lie over one another
            if mine_room and t.key.startswith("opening:"):
                continue
            gap = 0.0 if mine_room else off
            for b in mine:
                a, c = b[:3] + foot, b[3:] + foot
                if c[axis] + gap <= t.low[axis] + TOUCH_MM:
                    continue
                if a[axis] - gap >= t.high[axis] - TOUCH_MM:
                    continue
                rows.append(
                    (
                        t.low[u] - b[3 + u] - gap, t.low[v] - b[3 + v] - gap,
                        t.high[u] - b[u] + gap, t.high[v] - b[v] + gap,
                    )
                )  # fmt: skip
    return np.array(rows).reshape(-1, 4)


def _corners(bounds: Array, shut: Array, wanted: list[tuple[float, float]]) -> Array:
    """Free corner points, and what is free nearest to some points along each axis."""
    marks = []
    for k in range(2):
        m = [bounds[k, 0], bounds[k, 1], bounds[k].mean(), *shut[:, k], *shut[:, k + 2]]
        m += [w[k] for w in wanted]
        a = np.unique(np.round(np.array(m), 3))
        marks.append(a[(a >= bounds[k, 0] - TOUCH_MM) & (a <= bounds[k, 1] + TOUCH_MM)])
    points = np.array(list(product(*marks))).reshape(-1, 2)
    free = np.ones(len(points), dtype=bool)
    for r in shut:
        inside = np.all((points > r[:2] + TOUCH_MM) & (points < r[2:] - TOUCH_MM), axis=1)
        free &= ~inside
    return points[free]


def blockers(posture: Posture, taken: list[Taken], foot: Array) -> list[str]:
    """The keys of what is in a thing's way where its foot is."""
    axis, (u, v) = posture.axis, across(posture.axis)
    out = []
    for t in taken:
        r = _shut(posture, [t], axis, u, v, float(foot[axis]))
        at = np.array([foot[u], foot[v]])
        if len(r) and np.any(np.all((at > r[:, :2] + LIP_MM) & (at < r[:, 2:] - LIP_MM), axis=1)):
            out.append(t.key)
    return list(dict.fromkeys(out))


def gap_mm(piece: Piece, taken: list[Taken]) -> float:
    """The least distance from a thing's body to what is there."""
    low, high = piece.extent()
    least = np.inf
    for t in taken:
        if not t.room and not t.key.startswith(("opening:", "hazard:")):
            d = np.maximum(np.maximum(t.low - high, low - t.high), 0.0)
            least = min(least, float(np.linalg.norm(d)))
    return float(least)
