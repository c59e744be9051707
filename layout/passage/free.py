"""Is a pose free: the exact least distance there, between which boxes, and where."""

from typing import Final

import numpy as np

from layout.geometry.boxes import nearest_pair
from layout.geometry.frames import Array
from layout.geometry.shapes import Pose
from layout.passage.motion import TOUCHING_MM
from layout.passage.problem import Problem, Touch

FAR_MM: Final = 1e12
NEAREST_ROUNDS: Final = 60


def clearance_at(problem: Problem, pose: Pose) -> tuple[float, Touch | None]:
    """Exact least distance at a pose (minus the depth in a clash) and where it is."""
    s = problem.scene
    least, i, j = nearest_pair(s.body, pose.at_mm, pose.rotation, s.fixed, FAR_MM)
    if i < 0:
        return float("inf"), None
    return float(least), Touch(problem.body.names[i], problem.fixed.names[j], pose, (i, j))


def blocked_at(problem: Problem, pose: Pose) -> tuple[float, Touch] | None:
    """(least distance, where) when a pose is nearer than the wanted clearance; None when free."""
    least, touch = clearance_at(problem, pose)
    if touch is None or least >= problem.clearance_mm - TOUCHING_MM:
        return None
    return least, touch


def between(problem: Problem, touch: Touch) -> Array:
    """The point between a body box and a fixed box where they are nearest.

    Each in turn is asked for its point nearest to the other's: that comes to rest at the nearest
    points of two convex bodies (Cheney and Goldstein, "Proximity maps for convex sets", 1959).
    """
    b, f = problem.body, problem.fixed
    i, j = touch.rows
    r, at = touch.pose.rotation, touch.pose.at_mm
    centre, half, turn = at + r @ b.centre_mm[i], b.half_mm[i], r @ b.rotation[i]
    x = f.centre_mm[j]
    for _ in range(NEAREST_ROUNDS):
        y = centre + turn @ np.clip(turn.T @ (x - centre), -half, half)
        local = f.rotation[j].T @ (y - f.centre_mm[j])
        x = f.centre_mm[j] + f.rotation[j] @ np.clip(local, -f.half_mm[j], f.half_mm[j])
    middle: Array = (x + y) / 2
    return middle
