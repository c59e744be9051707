"""Take a "cannot" apart, whatever its kind."""

from typing import Any

import numpy as np
from scipy.spatial.transform import Rotation

from layout.recheck.common import (
    SLOP_MM,
    Flood,
    RecheckFailed,
    ball_inside,
    distance_mm,
    ends_of,
    square_boxes,
)
from layout.recheck.tilt import recheck_tilt
from layout.recheck.turns import recheck_turns


def recheck_proof(problem: Any, proof: dict[str, Any]) -> str:
    """Re-check a "cannot"; a sentence on what was checked. Raises RecheckFailed."""
    kind = str(proof["kind"])
    if kind.endswith("not free"):
        return _blocked_pose(problem, proof)
    if kind == "thinner than the body":
        return _ball(problem, proof)
    if kind == "no turn fits":
        return recheck_turns(problem, proof)
    if kind == "turns never join":
        return recheck_tilt(problem, proof)
    raise RecheckFailed(f"a proof of a kind not known here: {kind}")


def _blocked_pose(problem: Any, proof: dict[str, Any]) -> str:
    r, p = Rotation.from_quat(proof["quat"]).as_matrix(), np.asarray(proof["at_mm"])
    b, f = problem.body, problem.fixed
    least = min(
        distance_mm(
            p + r @ b.centre_mm[i],
            b.half_mm[i],
            r @ b.rotation[i],
            f.centre_mm[j],
            f.half_mm[j],
            f.rotation[j],
        )
        for i in range(len(b.centre_mm))
        for j in range(len(f.centre_mm))
    )
    depth = -float(proof["gap_mm"])
    if depth > 0:  # with the body drawn in by a quarter of the stated depth it must still overlap
        least = min(
            distance_mm(
                p + r @ b.centre_mm[i],
                b.half_mm[i] - min(depth / 4, 0.9 * b.half_mm[i].min()),
                r @ b.rotation[i],
                f.centre_mm[j],
                f.half_mm[j],
                f.rotation[j],
            )
            for i in range(len(b.centre_mm))
            for j in range(len(f.centre_mm))
        )
    if least > max(0.0, problem.clearance_mm) - SLOP_MM and not (depth > 0 and least <= SLOP_MM):
        raise RecheckFailed(f"the pose is free by {least:.6f} mm")
    return f"the pose is {-depth:.3f} mm from the nearest box, {problem.clearance_mm:g} mm wanted"


def _ball(problem: Any, proof: dict[str, Any]) -> str:
    q, radius = np.asarray(proof["q_body_mm"]), float(proof["radius_mm"])
    ball_inside(problem, int(proof["main_box"]), q, radius - problem.clearance_mm)
    low, high = square_boxes(problem.fixed)
    boxes = [
        (lo - radius * e, hi + radius * e)
        for lo, hi in zip(low, high, strict=True)
        for e in np.eye(3)
    ]
    a, b = ends_of(problem, q)
    flood = Flood(boxes, [[], [], []])
    if flood.reached(flood.cell(a))[flood.cell(b)]:
        raise RecheckFailed("the ball's middle can get from start to goal")
    return f"a ball of {radius:.1f} mm cannot pass"
