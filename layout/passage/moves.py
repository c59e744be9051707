"""Tell a way as moves a fitter can follow, each with its clearance and what is nearly touching."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from layout.geometry.frames import Array, turn_between
from layout.passage.problem import Passage, Pose, Problem
from layout.passage.search.plan import path_clearance

SHIFT_WORTH_TELLING_MM: Final = 6.0
TURN_WORTH_TELLING_DEG: Final = 3.0
SHIFTS: Final = (
    ("slide it forward", "slide it aft"),
    ("slide it to port", "slide it to starboard"),
    ("lift it", "lower it"),
)
TURNS: Final = (  # about x, y, z; positive first
    ("lean it starboard side down", "lean it port side down"),
    ("tip its forward end down", "tip its aft end down"),
    ("swing its forward end to port", "swing its forward end to starboard"),
)
WAYS: Final = ("fore and aft", "athwartships", "upright")


@dataclass(frozen=True, slots=True, eq=False)
class Move:
    """One move: what to do, how close it comes, and to what."""

    text: str
    least_clearance_mm: float
    near_body: str
    near_fixed: str
    start: Pose
    end: Pose


def turn_parts_deg(a: Pose, b: Pose) -> Array:
    """The turn from a to b as a rotation vector in degrees in the hull frame, (3,)."""
    axis = np.empty(3)
    angle = turn_between(a.quat, b.quat, axis)
    return np.rad2deg(angle) * axis


def move_words(a: Pose, b: Pose) -> str:
    """One move in words: turns first, then shifts, the largest first."""
    turn, shift = turn_parts_deg(a, b), b.at_mm - a.at_mm
    words = []
    for k in np.argsort(-np.abs(turn)):
        if abs(turn[k]) >= TURN_WORTH_TELLING_DEG:
            words.append(f"{TURNS[k][0 if turn[k] > 0 else 1]} {abs(turn[k]):.0f}°")
    shifts = []
    for k in np.argsort(-np.abs(shift)):
        if abs(shift[k]) >= SHIFT_WORTH_TELLING_MM:
            shifts.append(f"{SHIFTS[k][0 if shift[k] > 0 else 1]} {abs(shift[k]):.0f} mm")
    if words and shifts:
        return _sentence(", ".join(words) + " while you " + " and ".join(shifts))
    return _sentence(" and ".join(words + shifts) or "ease it into line by a few millimetres")


def _sentence(text: str) -> str:
    return text[0].upper() + text[1:]


def hold_words(problem: Problem, pose: Pose) -> str:
    """How the body is held at a pose: which way its longest and shortest sides run."""
    c = problem.body.corner_array().reshape(-1, 3)
    size = c.max(axis=0) - c.min(axis=0)
    r = pose.rotation
    order = np.argsort(-size)
    long, thin = r[:, order[0]], r[:, order[2]]
    text = f"long side {WAYS[int(np.argmax(np.abs(long)))]}"
    tilt = np.rad2deg(np.arcsin(min(1.0, abs(float(long[2])))))
    if 8 < tilt < 82:
        text += (
            f", {'forward' if long[2] * long[int(np.argmax(np.abs(long[:2])))] < 0 else 'aft'} end down {tilt:.0f}°"
            if abs(long[0]) > abs(long[1])
            else f", one end down {tilt:.0f}°"
        )
    if size[order[2]] < 0.7 * size[order[1]]:
        flat = int(np.argmax(np.abs(thin)))
        text += ", lying flat" if flat == 2 else ", on edge"
    return text


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
        least, touch = path_clearance(problem, measured, within_mm=0.05, cap_mm=500.0)
        text = move_words(a, b)
        if begin == 0:
            text = _first_words(problem, a, b)
        elif seating:
            text, least = "Set it on its place: " + text_lower(text), max(0.0, least)
        out.append(_move(text, least, touch, a, b))
        begin = n
    return out


def worth_telling(a: Pose, b: Pose) -> bool:
    """False for a nudge of a few millimetres and degrees."""
    shift, turn = np.abs(b.at_mm - a.at_mm).max(), np.abs(turn_parts_deg(a, b)).max()
    return bool(shift >= SHIFT_WORTH_TELLING_MM or turn >= TURN_WORTH_TELLING_DEG)


def _first_words(problem: Problem, a: Pose, b: Pose) -> str:
    text = f"Outside, hold it {hold_words(problem, b)}, square to the opening"
    if np.abs(turn_parts_deg(a, b)).max() < TURN_WORTH_TELLING_DEG and worth_telling(a, b):
        text += "; " + text_lower(move_words(a, b))
    return text


def text_lower(text: str) -> str:
    """A sentence as part of another."""
    return text[0].lower() + text[1:]


def _move(text: str, least: float, touch: object, a: Pose, b: Pose) -> Move:
    body, fixed = (getattr(touch, "body", ""), getattr(touch, "fixed", ""))
    return Move(text, least, body, fixed, a, b)
