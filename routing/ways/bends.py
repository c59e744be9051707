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
JOG_MM: Final = 14.0  # shorter steps are a cable lifting off its clips, not a bend of its own
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


def _corners(route: Route) -> tuple[Array, list[bool]]:
    """(the route's corners without jogs, whether each may be rounded: not at holes, ends and
    terminals).
    """
    points: list[Array] = []
    loose: list[bool] = []
    for k, leg in enumerate(route.legs):
        for point in leg.points:
            if points and np.linalg.norm(point - points[-1]) < JOG_MM:
                loose[-1] = loose[-1] and leg.kind == "face"
                continue
            points.append(point)
            loose.append(leg.kind == "face" and 0 < k < len(route.legs) - 1)
        if leg.kind != "face" and loose:
            loose[-1] = False
    return np.array(points), loose


def tight_bends(route: Route, radius_mm: float) -> list[TightBend]:
    """The corners on faces that leave less than the least radius, each leg shared by the two bends
    at its ends.
    """
    x, loose = _corners(route)
    out = []
    for i in range(1, len(x) - 1):
        if not loose[i]:
            continue
        turn = _turn(x[i - 1], x[i], x[i + 1])
        if turn < STRAIGHT_RAD:
            continue
        room = min(_share(x, loose, i, i - 1), _share(x, loose, i, i + 1))
        has = room / np.tan(turn / 2)
        if has < radius_mm - 0.5:
            out.append(
                TightBend((float(x[i][0]), float(x[i][1]), float(x[i][2])), float(has), radius_mm)
            )
    return out


def _turn(a: Array, b: Array, c: Array) -> float:
    u, v = (b - a) / np.linalg.norm(b - a), (c - b) / np.linalg.norm(c - b)
    return float(np.arccos(np.clip(u @ v, -1, 1)))


def _share(x: Array, loose: list[bool], i: int, j: int) -> float:
    """How much of the piece from corner i to j the bend at i may take: half, or all when j does
    not bend.
    """
    length = float(np.linalg.norm(x[i] - x[j]))
    bends = loose[j] and 0 < j < len(x) - 1 and _turn(x[j - 1], x[j], x[j + 1]) > STRAIGHT_RAD
    return length / 2 if bends else length


def smooth(route: Route, radius_mm: float) -> Array:
    """The route as a line whose corners are arcs of the least radius, or of what there is room
    for, (n, 3).
    """
    x, _ = _corners(route)
    if len(x) < 3:
        return x
    out = [x[0]]
    for i in range(1, len(x) - 1):
        turn = _turn(x[i - 1], x[i], x[i + 1])
        u, v = x[i] - x[i - 1], x[i + 1] - x[i]
        lu, lv = float(np.linalg.norm(u)), float(np.linalg.norm(v))
        if turn < STRAIGHT_RAD or turn > np.pi - 0.05:
            out.append(x[i])
            continue
        cut = min(radius_mm * np.tan(turn / 2), lu / 2, lv / 2)
        r = cut / np.tan(turn / 2)
        u, v = u / lu, v / lv
        start = x[i] - cut * u
        side = v - (v @ u) * u
        side /= np.linalg.norm(side)
        out += [
            start + r * (np.sin(t) * u + (1 - np.cos(t)) * side)
            for t in np.linspace(0, turn, max(3, int(turn / ARC_STEP_RAD)))
        ]
    return np.array([*out, x[-1]])
