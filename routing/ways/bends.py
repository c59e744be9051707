"""Bends: the least radius of a cable, the room a route leaves for it, and the route as a smooth
line.

Where a cable turns between two straight pieces, an arc of radius R takes R tan(turn / 2) of each.
Where it leaves a hole and turns along the wall, it bows out: a quarter circle off the wall and an S
of two arcs of 60 degrees back on to it, 3.665 R of cable over 2.732 R of wall, so 0.933 R longer.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.geometry.frames import Array
from routing.ways.routes import Route

# Least inside radius over the outside diameter. Power: ship class rule, PVC or rubber cable without
# metal cover, 4. Data and aerial leads: NASA-STD-8739.4 7.3.21, multiconductor, 6.
POWER_RADII: Final = 4.0
SIGNAL_RADII: Final = 6.0
BOW: Final = np.pi / 2 + 2 * np.pi / 3 - 1 - np.sqrt(3)  # 0.933: extra length of a bow, in radii
MOUTHS: Final = frozenset({"hole", "pipe"})
SAME_MM: Final = 1e-6
BOW_MM: Final = 40.0  # from a mouth on to the face beside it: the bow, no corner of its own
NEXT_MM: Final = 12.0  # corners nearer than this are one bend
MOST_STEP_MM: Final = 60.0  # steps to one side that are laid as an S
STRAIGHT_RAD: Final = 0.05
ARC_STEP_RAD: Final = 0.15


@dataclass(frozen=True, slots=True)
class TightBend:
    """A place where the route leaves less than the least radius."""

    at: tuple[float, float, float]
    has_mm: float
    needs_mm: float


def least_radius_mm(od_mm: float, signal: bool) -> float:
    """The least inside radius of a cable by its outside diameter."""
    return od_mm * (SIGNAL_RADII if signal else POWER_RADII)


def bow_allowance_mm(route: Route, radius_mm: float) -> float:
    """Extra cable for turning out of and into each hole and pipe."""
    return float(2 * BOW * radius_mm * sum(leg.kind in ("hole", "pipe") for leg in route.legs))


@dataclass(slots=True, eq=False)
class _Corners:
    """A route's corners in order, without points on straight pieces; whether each may be rounded.

    Corners at the mouths of holes and pipes are not: the bow is its own allowance.
    """

    at: list[Array]
    loose: list[bool]

    def turn(self, i: int) -> float:
        """The turn at a corner, rad; 0 at both ends."""
        if not 0 < i < len(self.at) - 1:
            return 0.0
        return _turn(self.at[i - 1], self.at[i], self.at[i + 1])


def _points(route: Route) -> _Corners:
    """Every point of a route once; loose where no leg through it holds it."""
    legs = route.legs
    held = []
    for k, leg in enumerate(legs):
        beside = {legs[j].kind for j in (k - 1, k + 1) if 0 <= j < len(legs)}
        bow = leg.kind == "free" and bool(beside & MOUTHS) and leg.length_mm < BOW_MM
        held += [leg.kind in MOUTHS or bow] * len(leg.points)
    x = np.concatenate([leg.points for leg in legs])
    first = np.concatenate([[True], np.abs(np.diff(x, axis=0)).max(axis=1) > SAME_MM])
    loose = ~np.logical_or.reduceat(np.array(held), np.flatnonzero(first))
    return _Corners(list(x[first]), loose.tolist())


def _corners(route: Route, radius_mm: float) -> _Corners:
    """The corners of a route, small steps to one side taken as the S of two arcs they are."""
    c = _points(route)
    _drop_straight(c)
    _merge(c)
    for i in range(1, len(c.at) - 2):
        if c.loose[i] and c.loose[i + 1]:
            _ease(c, i, radius_mm)
    return c


def _drop_straight(c: _Corners) -> None:
    """Leave out points on straight pieces."""
    if len(c.at) < 3:
        return
    x = np.array(c.at)
    d = np.diff(x, axis=0)
    d /= np.linalg.norm(d, axis=1)[:, None]
    straight = np.einsum("ij,ij->i", d[:-1], d[1:]) > np.cos(STRAIGHT_RAD)
    keep = [True, *(~(straight & np.array(c.loose[1:-1]))), True]
    c.at = [p for p, k in zip(c.at, keep, strict=True) if k]
    c.loose = [p for p, k in zip(c.loose, keep, strict=True) if k]


def _merge(c: _Corners) -> None:
    """Take two corners next to each other as one: cable lies no truer than that."""
    i = 1
    while i < len(c.at) - 2:
        if c.loose[i] and c.loose[i + 1] and np.linalg.norm(c.at[i + 1] - c.at[i]) < NEXT_MM:
            c.at[i] = (c.at[i] + c.at[i + 1]) / 2
            del c.at[i + 1], c.loose[i + 1]
        else:
            i += 1


def _ease(c: _Corners, i: int, radius_mm: float) -> None:
    """Lay a step to one side, between two pieces that go on the same way, as an S of two arcs.

    Two arcs of radius R and angle a step over by 2 R (1 - cos a).
    """
    before, step, after = (c.at[i + k] - c.at[i + k - 1] for k in range(3))
    b, h, f = (float(np.linalg.norm(v)) for v in (before, step, after))
    if h >= min(2 * radius_mm, MOST_STEP_MM) or before @ after < 0.999 * b * f:
        return
    if abs(float(before @ step)) > 0.05 * b * h:
        return
    cosine = 1 - h / (2 * radius_mm)
    ease = h / 2 * cosine / np.sqrt(1 - cosine**2)  # along, to each side of the step
    if ease < min(b, f):
        c.at[i] = c.at[i] - ease / b * before
        c.at[i + 1] = c.at[i + 1] + ease / f * after


def tight_bends(route: Route, radius_mm: float) -> list[TightBend]:
    """The corners that leave less than the least radius, each piece shared by the bends at its
    ends: two arcs of radius R take R (tan(a / 2) + tan(b / 2)) of it.
    """
    c = _corners(route, radius_mm)
    out = []
    for i in range(1, len(c.at) - 1):
        if not c.loose[i] or c.turn(i) < STRAIGHT_RAD:
            continue
        has = _room(c, i)
        if has < radius_mm - 0.5:
            x, y, z = (float(v) for v in c.at[i])
            out.append(TightBend((x, y, z), has, radius_mm))
    return out


def _room(c: _Corners, i: int) -> float:
    """The radius there is room for at a corner."""
    has = np.inf
    for j in (i - 1, i + 1):
        tangents = np.tan(c.turn(i) / 2)
        if c.loose[j]:
            tangents += np.tan(c.turn(j) / 2)
        has = min(has, float(np.linalg.norm(c.at[i] - c.at[j]) / tangents))
    return float(has)


def _turn(a: Array, b: Array, c: Array) -> float:
    u, v = (b - a) / np.linalg.norm(b - a), (c - b) / np.linalg.norm(c - b)
    return float(np.arccos(np.clip(u @ v, -1, 1)))


def smooth(route: Route, radius_mm: float) -> Array:
    """The route as a line whose corners are arcs of the least radius, or of what there is room
    for, (n, 3).
    """
    c = _corners(route, radius_mm)
    if len(c.at) < 3:
        return np.array(c.at)
    out = [c.at[0]]
    for i in range(1, len(c.at) - 1):
        turn = c.turn(i)
        if turn < STRAIGHT_RAD or turn > np.pi - 0.05:
            out.append(c.at[i])
            continue
        u, v = c.at[i] - c.at[i - 1], c.at[i + 1] - c.at[i]
        u, v = u / np.linalg.norm(u), v / np.linalg.norm(v)
        r = min(radius_mm, _room(c, i))
        if not c.loose[i]:  # in a mouth: drawn close, the bow is told apart
            r = min(r, BOW_MM / 2 / float(np.tan(turn / 2)))
        side = v - (v @ u) * u
        side /= np.linalg.norm(side)
        start = c.at[i] - r * np.tan(turn / 2) * u
        out += [
            start + r * (np.sin(t) * u + (1 - np.cos(t)) * side)
            for t in np.linspace(0, turn, max(3, int(turn / ARC_STEP_RAD)))
        ]
    return np.array([*out, c.at[-1]])
