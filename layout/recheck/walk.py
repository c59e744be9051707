"""Walk a way again in small steps, measuring every pair of boxes by bounded least squares."""

from typing import Any, Final

import numpy as np
from scipy.spatial.transform import Rotation, Slerp

from layout.recheck.common import Floats, RecheckFailed, distance_mm

SAME_MM: Final = 1e-6
SAME_TURN: Final = 1e-9
TILT_RAD: Final = 1e-6


def recheck_way(
    problem: Any,
    path: list[tuple[Floats, Floats]],
    clearance_mm: float,
    step_mm: float = 5.0,
) -> float:
    """Least distance met walking a way in small steps. Raises RecheckFailed below the clearance,
    beyond the allowed tilt, and where the way does not lead from the start to the goal.

    problem: anything with body, fixed, start, goal, outside, up, max_tilt_rad; path: (place,
    quaternion) pairs.
    """
    _checked_ends(problem, path)
    body, fixed = problem.body, problem.fixed
    least = np.inf
    reach = float(
        np.max(np.linalg.norm(body.centre_mm, axis=1) + np.linalg.norm(body.half_mm, axis=1))
    )
    for (p0, q0), (p1, q1) in zip(path, path[1:], strict=False):
        turn = Slerp([0, 1], Rotation.from_quat([q0, q1]))
        angle = (Rotation.from_quat(q1) * Rotation.from_quat(q0).inv()).magnitude()
        steps = max(2, int(np.ceil((np.linalg.norm(p1 - p0) + reach * angle) / step_mm)) + 1)
        for t in np.linspace(0, 1, steps):
            r, p = turn(t).as_matrix(), p0 + (p1 - p0) * t
            _checked_tilt(problem, r, p)
            for i in range(len(body.centre_mm)):
                c, m = p + r @ body.centre_mm[i], r @ body.rotation[i]
                for j in range(len(fixed.centre_mm)):
                    away = np.maximum(
                        np.abs(fixed.rotation[j].T @ (c - fixed.centre_mm[j])) - fixed.half_mm[j], 0
                    )
                    if np.linalg.norm(away) - np.linalg.norm(body.half_mm[i]) > min(
                        least, clearance_mm + 50
                    ):
                        continue
                    least = min(
                        least,
                        distance_mm(
                            c,
                            body.half_mm[i],
                            m,
                            fixed.centre_mm[j],
                            fixed.half_mm[j],
                            fixed.rotation[j],
                        ),
                    )
                    if least < clearance_mm - 1e-4:
                        raise RecheckFailed(
                            f"only {least:.4f} mm at {p.round(2)}, {clearance_mm:g} mm claimed"
                        )
    return float(least)


def _checked_tilt(problem: Any, r: Floats, p: Floats) -> None:
    upright = float((r @ np.asarray(problem.up))[2])
    tilt = float(np.arccos(np.clip(upright, -1.0, 1.0)))
    if tilt > problem.max_tilt_rad + TILT_RAD:
        raise RecheckFailed(f"tilted {np.rad2deg(tilt):.3f} degrees at {p.round(2)}")


def _checked_ends(problem: Any, path: list[tuple[Floats, Floats]]) -> None:
    """The way ends at the goal, and begins at the start or anywhere outside it may."""
    if not path:
        raise RecheckFailed("no way is given")
    if not same_pose(path[-1], (problem.goal.at_mm, problem.goal.quat)):
        raise RecheckFailed("the way does not end at the goal")
    if same_pose(path[0], (problem.start.at_mm, problem.start.quat)):
        return
    if problem.outside is None:
        raise RecheckFailed("the way does not begin at the start")
    axis, sign, plane = problem.outside
    (at, quat), body = path[0], problem.body
    r = Rotation.from_quat(quat).as_matrix()
    for c, h, m in zip(body.centre_mm, body.half_mm, body.rotation, strict=True):
        reach = float(np.abs((r @ m)[axis]) @ h)
        if sign * (float((at + r @ c)[axis]) - plane) - reach < 0:
            raise RecheckFailed("the way does not begin outside")


def same_pose(a: tuple[Floats, Floats], b: tuple[Floats, Floats]) -> bool:
    """True when two poses are one: q and -q are one turn."""
    away = float(np.abs(np.asarray(a[0]) - np.asarray(b[0])).max())
    return away <= SAME_MM and 1 - abs(float(np.asarray(a[1]) @ np.asarray(b[1]))) <= SAME_TURN
