"""Is a place one a piece can have at all: inside its space, upright enough, and free.

That comes before any way in: a place that cannot be is another answer than no way to it. Where it
is not free, the shortest straight move that frees it is looked for; every such move is checked to
be free where it ends.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.boat.openings import span
from layout.boat.parts import OUTSIDE, Boat, Opening, Piece
from layout.geometry.frames import Array
from layout.geometry.shapes import BoxSet, Pose
from layout.passage.free import clearance_at
from layout.passage.problem import Evidence, Passage, Problem, Touch, Verdict

OUT_BY_MM: Final = 0.01  # a box this far beyond a side of its space is not in it
FINEST_MM: Final = 0.25  # steps of the looking for a free place
WHOLE_MM: Final = 1.0  # moves are told in whole millimetres
FARTHEST_MM: Final = 1000.0  # a move longer than this is another place
MOST_STEPS: Final = 4000
TILT_SLACK_RAD: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Beyond:
    """A box of a body that reaches beyond a side of its space: the box's key and by how much."""

    box: str
    over_mm: float
    axis: int
    sign: int


def beyond_its_space(boat: Boat, piece: Piece, boxes: BoxSet) -> Beyond | None:
    """The box that reaches farthest beyond its space, other than into an opening; None if none."""
    if piece.space == OUTSIDE:
        return None
    space = boat.spaces[piece.space]
    worst: Beyond | None = None
    for key, c, h, r in zip(
        boxes.names, boxes.centre_mm, boxes.half_mm, boxes.rotation, strict=True
    ):
        reach = np.abs(r) @ h
        low, high = c - reach, c + reach
        for axis in range(3):
            for sign, over in (
                (-1, space.low[axis] - low[axis]),
                (1, high[axis] - space.high[axis]),
            ):
                if over > OUT_BY_MM and not _in_an_opening(
                    boat, piece, axis, sign, low, high, over
                ):
                    found = Beyond(key, float(over), axis, sign)
                    if worst is None or found.over_mm > worst.over_mm:
                        worst = found
    return worst


def _in_an_opening(
    boat: Boat, piece: Piece, axis: int, sign: int, low: Array, high: Array, over: float
) -> bool:
    """True when a box stands in an opening's hole, no farther out than the opening is deep."""

    def holds(opening: Opening) -> bool:
        here = opening.sign if opening.inner == piece.space else -opening.sign
        if (
            piece.space not in (opening.inner, opening.outer)
            or opening.axis != axis
            or here != sign
        ):
            return False
        inside = all(
            low[k] >= span(opening, k)[0] - OUT_BY_MM and high[k] <= span(opening, k)[1] + OUT_BY_MM
            for k in opening.others
        )
        return inside and over <= opening.throat_mm + OUT_BY_MM

    return any(holds(o) for o in boat.openings.values())


def tipped(piece: Piece) -> Passage | None:
    """Why a piece cannot stand as it is said to: tilted beyond its limit; None if it is not."""
    tilt = piece.tilt_at_rest_rad
    if tilt <= piece.max_tilt_rad + TILT_SLACK_RAD:
        return None
    proof = {
        "kind": Evidence.TIPPED.value,
        "at_mm": piece.rest.at_mm,
        "quat": piece.rest.quat,
        "tilt_rad": tilt,
    }
    return Passage(Verdict.CANNOT, Evidence.TIPPED, proof=proof)


def out_of_space(boat: Boat, piece: Piece) -> Passage | None:
    """Why a piece cannot stand where it is said to: beyond its space; None if it is inside."""
    out = beyond_its_space(boat, piece, piece.at_rest())
    if out is None:
        return None
    space = boat.spaces[piece.space]
    proof = {
        "kind": Evidence.OUT_OF_SPACE.value,
        "at_mm": piece.rest.at_mm,
        "quat": piece.rest.quat,
        "low_mm": space.low,
        "high_mm": space.high,
        "over_mm": out.over_mm,
    }
    touch = Touch(out.box, f"space:{space.key}", piece.rest)
    return Passage(Verdict.CANNOT, Evidence.OUT_OF_SPACE, (), -out.over_mm, touch, proof)


def freeing_move(boat: Boat, piece: Piece, fixed: BoxSet) -> Array | None:
    """The shortest move along one hull axis, in whole millimetres, after which a piece stands
    free in its space; None when none within a metre does.
    """
    best: Array | None = None
    for axis in range(3):
        for sign in (-1.0, 1.0):
            way = np.zeros(3)
            way[axis] = sign
            most = FARTHEST_MM if best is None else float(np.abs(best).max())
            found = _free_along(boat, piece, fixed, way, most)
            if found is not None and (best is None or found < np.abs(best).max()):
                best = found * way
    return best


def _free_along(boat: Boat, piece: Piece, fixed: BoxSet, way: Array, most: float) -> float | None:
    """How far along a direction the nearest free place lies, in whole millimetres, or None.

    A body as deep in another as it is cannot be free nearer than that depth, so each step is one.
    """
    held = Problem(piece.body, fixed, piece.rest, piece.rest)
    rest = piece.at_rest()
    far, most = 0.0, most + _over(boat, piece)
    for _ in range(MOST_STEPS):
        if far > most:
            return None
        at = far * way
        out = beyond_its_space(
            boat, piece, BoxSet(rest.centre_mm + at, rest.half_mm, rest.rotation, rest.names)
        )
        if out is not None:
            if way[out.axis] * out.sign >= 0:  # this way leads no nearer to its space
                return None
            far = _whole(far + max(out.over_mm, FINEST_MM))
            continue
        gap = clearance_at(held, Pose(piece.rest.at_mm + at, piece.rest.quat))[0]
        if gap >= 0.0:
            return far
        far = _whole(far + max(-gap, FINEST_MM))
    return None


def _whole(far: float) -> float:
    return float(np.ceil(far / WHOLE_MM - 1e-9)) * WHOLE_MM


def _over(boat: Boat, piece: Piece) -> float:
    """How far a piece is out of its space: so much more of a move may be needed."""
    out = beyond_its_space(boat, piece, piece.at_rest())
    return 0.0 if out is None else out.over_mm
