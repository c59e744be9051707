"""Take a "cannot" apart, whatever its kind."""

from itertools import product
from typing import Any

import numpy as np
from scipy.spatial.transform import Rotation

from layout.recheck.common import (
    SLOP_MM,
    Floats,
    Flood,
    RecheckFailed,
    ball_inside,
    distance_mm,
    ends_of,
    gone_round,
    joined_to_start,
    matter_of,
    square_boxes,
)
from layout.recheck.tilt import recheck_tilt
from layout.recheck.turns import recheck_turns
from layout.recheck.walk import same_pose


def recheck_proof(
    problem: Any, proof: dict[str, Any], within: tuple[Floats, Floats] | None = None
) -> str:
    """Re-check a "cannot"; a sentence on what was checked. Raises RecheckFailed.

    `within` are the corners of the space it stands in, for a proof that it stands out of it: the
    proof's own word for them counts for nothing.
    """
    if "frame" in proof:
        return recheck_proof(_turned(problem, proof), {k: proof[k] for k in proof if k != "frame"})
    if "tread_row" in proof:
        kept = {k: proof[k] for k in proof if not k.startswith("tread_")}
        return recheck_proof(with_treads(problem, proof), kept)
    kind = str(proof["kind"])
    if kind == "tipped at its place":
        return _tipped(problem, proof)
    if kind == "out of its space":
        return _out_of_space(problem, proof, within)
    if kind.endswith("not free"):
        return _blocked_pose(problem, proof)
    if kind == "thinner than the body":
        return _ball(problem, proof)
    if kind == "no turn fits":
        return recheck_turns(problem, proof)
    if kind == "turns never join":
        return recheck_tilt(problem, proof)
    raise RecheckFailed(f"a proof of a kind not known here: {kind}")


class _Plain:
    """A problem seen from another frame, as plain data."""

    def __init__(self, **parts: Any) -> None:
        self.__dict__.update(parts)


def _turned(problem: Any, proof: dict[str, Any]) -> Any:
    """The problem with everything that stands still, and both poses, turned into a frame."""
    r = np.asarray(proof["frame"], dtype=np.float64)
    if np.abs(r @ r.T - np.eye(3)).max() > SLOP_MM or np.linalg.det(r) < 0:
        raise RecheckFailed("the frame is no proper turn")
    if len(getattr(problem, "doors", ())):
        raise RecheckFailed("openings beside the way are not looked at in another frame")
    if str(proof["kind"]) not in ("thinner than the body", "no turn fits", "turns never join"):
        raise RecheckFailed("this kind of proof needs no frame")

    def still(b: Any) -> Any:
        return _Plain(
            centre_mm=np.array([r.T @ c for c in b.centre_mm]),
            half_mm=b.half_mm,
            rotation=np.array([r.T @ m for m in b.rotation]),
        )

    def pose(p: Any) -> Any:
        turn = Rotation.from_matrix(r.T) * Rotation.from_quat(p.quat)
        return _Plain(at_mm=r.T @ p.at_mm, quat=turn.as_quat())

    return _Plain(
        body=problem.body,
        fixed=still(matter_of(problem)),
        room=None,
        doors=(),
        start=pose(problem.start),
        goal=pose(problem.goal),
        clearance_mm=problem.clearance_mm,
        outside=None if problem.outside is None else (0, 1, 0.0),
    )


def with_treads(problem: Any, proof: dict[str, Any]) -> Any:
    """The problem with the square boxes a proof counts on, each wholly inside one that is there."""
    matter = matter_of(problem)
    low, high = np.asarray(proof["tread_low_mm"]), np.asarray(proof["tread_high_mm"])
    for row, lo, hi in zip(np.asarray(proof["tread_row"]), low, high, strict=True):
        if np.any(hi <= lo) or not 0 <= row < len(matter.centre_mm):
            raise RecheckFailed("a tread is no box, or in none")
        for corner in product(*zip(lo, hi, strict=True)):
            local = matter.rotation[row].T @ (np.array(corner) - matter.centre_mm[row])
            if np.any(np.abs(local) > matter.half_mm[row] + SLOP_MM):
                raise RecheckFailed("a tread sticks out of the box it is to lie in")

    def more(b: Any) -> Any:
        return _Plain(
            centre_mm=np.concatenate([b.centre_mm, (low + high) / 2]),
            half_mm=np.concatenate([b.half_mm, (high - low) / 2]),
            rotation=np.concatenate([b.rotation, np.tile(np.eye(3), (len(low), 1, 1))]),
        )

    parts = {
        k: getattr(problem, k)
        for k in ("body", "start", "goal", "clearance_mm", "outside", "up", "max_tilt_rad")
        if hasattr(problem, k)
    }
    room = getattr(problem, "room", None)
    doors = getattr(problem, "doors", ())
    more_room = None if room is None else more(room)
    return _Plain(**parts, fixed=more(problem.fixed), room=more_room, doors=doors)


def _the_pose(problem: Any, proof: dict[str, Any]) -> None:
    """The pose is the problem's own: its goal, or its start where that is the only one there is."""
    at_goal = str(proof["kind"]) == "place not free"
    if not at_goal and problem.outside is not None:
        raise RecheckFailed("a start that was chosen among many proves nothing")
    pose = problem.goal if at_goal else problem.start
    if not same_pose((proof["at_mm"], proof["quat"]), (pose.at_mm, pose.quat)):
        raise RecheckFailed("the pose is not that of the problem")


def _blocked_pose(problem: Any, proof: dict[str, Any]) -> str:
    _the_pose(problem, proof)
    r, p = Rotation.from_quat(proof["quat"]).as_matrix(), np.asarray(proof["at_mm"])
    b, f = problem.body, matter_of(problem)
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


def _at_goal(problem: Any, proof: dict[str, Any]) -> Floats:
    pose = (problem.goal.at_mm, problem.goal.quat)
    if not same_pose((proof["at_mm"], proof["quat"]), pose):
        raise RecheckFailed("the pose is not that of the problem")
    return Rotation.from_quat(proof["quat"]).as_matrix()


def _tipped(problem: Any, proof: dict[str, Any]) -> str:
    up = _at_goal(problem, proof) @ np.asarray(problem.up)
    tilt = float(np.arctan2(np.hypot(up[0], up[1]), up[2]))
    if tilt <= problem.max_tilt_rad or abs(tilt - float(proof["tilt_rad"])) > SLOP_MM:
        raise RecheckFailed("it does not stand tipped as stated")
    return f"it stands {np.rad2deg(tilt):.1f} degrees from upright"


def _out_of_space(problem: Any, proof: dict[str, Any], within: tuple[Floats, Floats] | None) -> str:
    if within is None:
        raise RecheckFailed("the space it is to stand in is not given")
    r, b = _at_goal(problem, proof), problem.body
    over = -np.inf
    for c, h, m in zip(b.centre_mm, b.half_mm, b.rotation, strict=True):
        at, reach = np.asarray(proof["at_mm"]) + r @ c, np.abs(r @ m) @ h
        over = max(
            over,
            float((within[0] - at + reach).max()),
            float((at + reach - within[1]).max()),
        )
    if over < float(proof["over_mm"]) - SLOP_MM or over <= 0:
        raise RecheckFailed("it does not reach out of the space as stated")
    return f"it reaches {over:.1f} mm out of its space"


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
    seen = flood.reached(flood.cell(b))
    if gone_round(problem, flood, seen, np.zeros_like(seen), radius):
        raise RecheckFailed("another opening leads round")
    if joined_to_start(problem, seen, flood.cell(a)):
        raise RecheckFailed("the ball's middle can get from start to goal")
    return f"a ball of {radius:.1f} mm cannot pass"
