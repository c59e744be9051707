"""The same question seen from another frame: a boat that is drawn turned is proven as well.

Gates and layers are cut along the faces of boxes that stand square; where many boxes share another
frame, the whole question is turned into that frame, and they are square there. No length changes.
"""

from dataclasses import replace
from typing import Final

import numpy as np
from scipy.spatial.transform import Rotation

from layout.geometry.frames import Array
from layout.geometry.shapes import BoxSet, Pose
from layout.passage.problem import Problem

FEWEST: Final = 4  # boxes that can stand round an opening
MOST_FRAMES: Final = 2
SQUARE: Final = 1e-9
ANY_OUTSIDE: Final = (0, 1, 0.0)  # a gate must enclose the goal: where outside lies does not matter


def _shares(a: Array, b: Array) -> bool:
    """True when two rotations differ by square turns alone."""
    r = np.abs(a.T @ b)
    return bool(np.all((r < SQUARE) | (np.abs(r - 1) < SQUARE)))


def turned_frames(problem: Problem) -> list[tuple[Array, int]]:
    """Frames other than the hull's that some boxes share, with how many, the most first."""
    if problem.doors:
        return []
    found: list[tuple[Array, int]] = []
    for r in problem.matter.rotation:
        if _shares(np.eye(3), r):
            continue
        for k, (frame, count) in enumerate(found):
            if _shares(frame, r):
                found[k] = (frame, count + 1)
                break
        else:
            found.append((np.array(r), 1))
    found = [f for f in found if f[1] >= FEWEST]
    return sorted(found, key=lambda f: -f[1])[:MOST_FRAMES]


def square_count(problem: Problem) -> int:
    """How many boxes stand square in the hull."""
    return sum(_shares(np.eye(3), r) for r in problem.matter.rotation)


def seen_from(problem: Problem, frame: Array) -> Problem:
    """The same question with the frame's axes in the place of the hull's."""

    def boxes(b: BoxSet) -> BoxSet:
        return BoxSet(
            np.ascontiguousarray(b.centre_mm @ frame),
            b.half_mm,
            np.ascontiguousarray(frame.T @ b.rotation),
            b.names,
        )

    def pose(p: Pose) -> Pose:
        turn = Rotation.from_matrix(frame.T @ p.rotation)
        return Pose.checked(p.at_mm @ frame, turn.as_quat())

    return replace(
        problem,
        fixed=boxes(problem.fixed),
        room=None if problem.room is None else boxes(problem.room),
        start=pose(problem.start),
        goal=pose(problem.goal),
        max_tilt_rad=np.pi,  # no proof counts on the tilt
        outside=None if problem.outside is None else ANY_OUTSIDE,
    )
