"""A way as moves a fitter can follow, as data: how it is held, shifts and turns, how near it
comes.
"""

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

import numpy as np

from layout.geometry.frames import Array
from layout.geometry.shapes import Pose
from layout.passage.free import between
from layout.passage.problem import Passage, Problem, Touch
from layout.passage.search.plainer import turn_deg
from layout.passage.search.plan import path_clearance
from layout.passage.stops import Rest, Stop, rest_at, stop_after

SHIFT_WORTH_TELLING_MM: Final = 6.0
TURN_WORTH_TELLING_DEG: Final = 3.0
CLEARANCE_CAP_MM: Final = 500.0
LEVEL_DEG: Final = 8.0  # a long side nearer to level or upright than this is told as that
THIN_SHARE: Final = 0.7  # a body this much thinner than broad lies flat or stands on edge


class Step(StrEnum):
    """What a move is for."""

    HOLD = "hold"  # outside, before it goes in
    MOVE = "move"
    SEAT = "seat"  # down on to its place


@dataclass(frozen=True, slots=True)
class Held:
    """How a body is held: the hull axis its long side runs along, which end is down and how far.

    `flat` is True lying flat, False on edge, None for a body that is about as thick as broad.
    """

    long_axis: int
    end_down: str  # "forward", "aft", "one" or "" where it is level or upright
    down_deg: float
    flat: bool | None


@dataclass(frozen=True, slots=True, eq=False)
class Move:
    """One move: shift and turn in the hull frame, how close it comes, and to what.

    `turn_deg` is a rotation vector; `held` is how the body is held when the move is done.
    """

    step: Step
    shift_mm: Array
    turn_deg: Array
    least_clearance_mm: float
    near_body: str
    near_fixed: str
    nearest_mm: Array | None  # where it comes nearest
    start: Pose
    end: Pose
    held: Held
    stop: Stop | None = None  # what it would touch next
    rest: Rest | None = None  # what it can be set down on when the move is done


def held_at(problem: Problem, pose: Pose) -> Held:
    """How the body is held at a pose: which way its longest and shortest sides run."""
    c = problem.body.corner_array().reshape(-1, 3)
    size = c.max(axis=0) - c.min(axis=0)
    r = pose.rotation
    order = np.argsort(-size)
    long, thin = r[:, order[0]], r[:, order[2]]
    tilt = float(np.rad2deg(np.arcsin(min(1.0, abs(float(long[2]))))))
    end, down = "", 0.0
    if LEVEL_DEG < tilt < 90 - LEVEL_DEG:
        fore = abs(long[0]) > abs(long[1])
        end = ("forward" if long[2] * long[0] < 0 else "aft") if fore else "one"
        down = tilt
    flat = None
    if size[order[2]] < THIN_SHARE * size[order[1]]:
        flat = int(np.argmax(np.abs(thin))) == 2
    return Held(int(np.argmax(np.abs(long))), end, down, flat)


def worth_telling(pose: Pose, b: Pose) -> bool:
    """False for a nudge of a few millimetres and degrees."""
    shift, turn = np.abs(b.at_mm - pose.at_mm).max(), np.abs(turn_deg(pose, b)).max()
    return bool(shift >= SHIFT_WORTH_TELLING_MM or turn >= TURN_WORTH_TELLING_DEG)


def tell(problem: Problem, passage: Passage, seat: Pose | None = None) -> list[Move]:
    """The moves of a way that goes in, the last one on to its seat when `seat` is given.

    Moves too small to tell are told with the next one; their clearance still counts.
    """
    path = [*passage.path] if seat is None else [*passage.path, seat]
    out: list[Move] = []
    begin = 0
    for n in range(1, len(path)):
        last = n == len(path) - 1
        a, b = path[begin], path[n]
        if begin > 0 and not last and not worth_telling(a, b):
            continue
        if last and out and not worth_telling(a, b):
            out[-1] = replace(out[-1], end=b)
            break
        seating = last and seat is not None
        measured = path[begin : n + 1] if not (seating and n - begin > 1) else path[begin:n]
        least, touch = path_clearance(problem, measured, 0.05, CLEARANCE_CAP_MM)
        step = Step.HOLD if begin == 0 else (Step.SEAT if seating else Step.MOVE)
        out.append(_move(problem, step, max(0.0, least) if seating else least, touch, a, b))
        begin = n
    return out


def tell_out(problem: Problem, path: tuple[Pose, ...] | list[Pose], seat: Pose) -> list[Move]:
    """The moves that take it out by a way in, from its seat to outside."""
    poses = [seat, *reversed(path)]
    out: list[Move] = []
    first = 0
    for k in range(1, len(poses)):
        begin, end = poses[first], poses[k]
        if worth_telling(begin, end) or (k == len(poses) - 1 and not out):
            over = poses[first : k + 1]
            least, touch = path_clearance(problem, over, 0.05, CLEARANCE_CAP_MM)
            out.append(_move(problem, Step.MOVE, max(0.0, least), touch, begin, end))
            first = k
    return out


def _move(
    problem: Problem, step: Step, least: float, touch: Touch | None, pose: Pose, b: Pose
) -> Move:
    body, fixed = (touch.body, touch.fixed) if touch is not None else ("", "")
    shift, turn = b.at_mm - pose.at_mm, turn_deg(pose, b)
    inside = step is Step.MOVE and problem.beyond_mm(b) <= 0
    told = np.where(np.abs(shift) >= SHIFT_WORTH_TELLING_MM, shift, 0.0)
    told_turn = np.where(np.abs(turn) >= TURN_WORTH_TELLING_DEG, turn, 0.0)
    return Move(
        step,
        shift,
        turn,
        least,
        body,
        fixed,
        None if touch is None else between(problem, touch),
        pose,
        b,
        held_at(problem, b),
        stop_after(problem, b, told, told_turn) if inside else None,
        rest_at(problem, b) if inside else None,
    )
