"""What tells a hand that a move has gone far enough: what it would touch next, and what it can be
set down on there.

Both are looked for from the pose a move ends at, by the exact distance of boxes: a stop is told
only where it is near, a rest only where the middle of the piece lies over what carries it.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.spatial import ConvexHull

from layout.geometry.frames import Array, quat_about, quat_product
from layout.geometry.shapes import Pose
from layout.passage.free import between, clearance_at
from layout.passage.motion import TOUCHING_MM
from layout.passage.problem import Problem, Touch

NEAR_MM: Final = 15.0  # farther off than this is no stop a hand would feel for
NEAR_DEG: Final = 4.0
HALVINGS: Final = 14
LOOKS: Final = 6  # along the way to the far end, so that a thin edge is not stepped over
SQUARE: Final = 1e-6
EDGE_MM: Final = 1.0  # how near its lowest boxes are to what carries it


@dataclass(frozen=True, slots=True, eq=False)
class Stop:
    """What a move would touch next: how much farther in mm (of a turn, in degrees), which box of
    the body, which fixed box, and which side of the body is there: a hull axis and a sign.
    """

    more: float
    body: str
    fixed: str
    side: tuple[int, int]


@dataclass(frozen=True, slots=True, eq=False)
class Rest:
    """What a piece can be set down on, and how far below it is."""

    below_mm: float
    fixed: str


def stop_after(problem: Problem, b: Pose, shift: Array, turn_deg: Array) -> Stop | None:
    """What a move that ends at b would touch next, going on as it went; None where nothing is
    near, and for moves of several things at once.
    """
    slides, turns = np.flatnonzero(shift), np.flatnonzero(turn_deg)
    if len(slides) + len(turns) != 1:
        return None
    if len(slides):
        k = int(slides[0])
        way = np.zeros(3)
        way[k] = np.sign(shift[k])
        found = _first_touch(problem, lambda x: Pose(b.at_mm + x * way, b.quat), NEAR_MM)
        side = (k, int(way[k]))
    else:
        k = int(turns[0])
        axis = np.eye(3)[k] * np.sign(turn_deg[k])

        def turned(x: float) -> Pose:
            return Pose(b.at_mm, quat_product(quat_about(axis, np.deg2rad(x)), b.quat))

        found = _first_touch(problem, turned, NEAR_DEG)
        side = (k, 0)
    if found is None:
        return None
    more, touch = found
    if side[1] == 0:
        side = _side_of(problem, touch)
    return Stop(more, touch.body, touch.fixed, side)


def rest_at(problem: Problem, pose: Pose) -> Rest | None:
    """What the piece can be set down on from a pose, straight down; None where it would not stay.

    It stays where it stands square and the middle of its volume lies over what carries it.
    """
    found = _first_touch(problem, lambda x: Pose(pose.at_mm - [0.0, 0.0, x], pose.quat), NEAR_MM)
    if found is None:
        return None
    below, touch = found
    b, r = problem.body, pose.rotation
    turn = r @ b.rotation
    if not np.all((np.abs(turn) < SQUARE) | (np.abs(turn) > 1 - SQUARE)):
        return None
    centre = pose.at_mm + b.centre_mm @ r.T - [0.0, 0.0, below]
    half = np.einsum("nij,nj->ni", np.abs(turn), b.half_mm)
    carried = _carried(problem, centre, half)
    middle = np.average(centre, axis=0, weights=b.half_mm.prod(axis=1))
    if not carried:
        return None
    outline = ConvexHull(np.array(carried)).equations  # a x + b y + c <= 0 inside
    if np.any(outline[:, :2] @ middle[:2] + outline[:, 2] >= 0):
        return None
    return Rest(below, touch.fixed)


def _carried(problem: Problem, centre: Array, half: Array) -> list[tuple[float, float]]:
    """Corners of where body boxes stand on square fixed boxes, seen from above."""
    f = problem.fixed
    out: list[tuple[float, float]] = []
    for j in range(len(f)):
        m = np.abs(f.rotation[j])
        if not np.all((m < SQUARE) | (m > 1 - SQUARE)):
            continue
        reach = m @ f.half_mm[j]
        top = f.centre_mm[j, 2] + reach[2]
        for c, h in zip(centre, half, strict=True):
            if abs(c[2] - h[2] - top) > EDGE_MM:
                continue
            low = np.maximum(c - h, f.centre_mm[j] - reach)[:2]
            high = np.minimum(c + h, f.centre_mm[j] + reach)[:2]
            if np.all(high > low):
                out += [(x, y) for x in (low[0], high[0]) for y in (low[1], high[1])]
    return out


def _first_touch(
    problem: Problem, at: Callable[[float], Pose], far: float
) -> tuple[float, Touch] | None:
    """(how far until it touches, what) within `far`; None where it stays clear."""
    clear = 0.0
    for x in np.linspace(0.0, far, LOOKS + 1)[1:]:
        least, touch = clearance_at(problem, at(float(x)))
        if touch is not None and least < -TOUCHING_MM:
            break
        clear = float(x)
    else:
        return None
    over = float(x)
    for _ in range(HALVINGS):
        m = (clear + over) / 2
        least, t = clearance_at(problem, at(m))
        if t is not None and least < -TOUCHING_MM:
            over, touch = m, t
        else:
            clear = m
    return (clear, touch) if touch is not None else None


def _side_of(problem: Problem, touch: Touch) -> tuple[int, int]:
    """The side of the turned body that a touching fixed box is at: a hull axis and a sign."""
    corners = problem.body.corner_array().reshape(-1, 3) @ touch.pose.rotation.T
    corners = corners + touch.pose.at_mm
    low, high = corners.min(axis=0), corners.max(axis=0)
    off = (between(problem, touch) - (low + high) / 2) / np.maximum((high - low) / 2, 1.0)
    k = int(np.argmax(np.abs(off)))
    return k, 1 if off[k] > 0 else -1
