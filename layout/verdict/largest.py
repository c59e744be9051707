"""How large a board may grow, each way in turn, and still stand free and go in.

The plate grows at one end, then at the other, with the gear on it where it is; square to the plate
the gear grows away from its back. Growing only takes room away, so the largest is found by halving,
and every size told has a proven way and a place at rest that is free of everything.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import Final

import numpy as np

from layout.boat.parts import PLATE_ROW, Boat, Piece
from layout.boat.walls import fixed_boxes
from layout.geometry.shapes import BoxSet
from layout.passage.free import clearance_at
from layout.passage.problem import Problem
from layout.verdict.place import beyond_its_space
from layout.verdict.question import SEATED_MM, WayIn, question

NEAR_MM: Final = 1.0  # the largest is sought to this
TIMES: Final = 2.5  # as large as it is: no person asks for more unless they say so
Goes = Callable[[Problem], bool]


def grown(piece: Piece, axis: int, end: int, by_mm: float) -> Piece:
    """A board with its plate longer at one end, or with its gear standing farther off the plate."""
    b = piece.body
    centre, half = b.centre_mm.copy(), b.half_mm.copy()
    if axis == plate_axis(piece):
        back = centre[PLATE_ROW, axis] - _front(piece, axis) * half[PLATE_ROW, axis]
        share = 1.0 + by_mm / float(piece.size_mm[axis])
        centre[:, axis] = back + (centre[:, axis] - back) * share
        half[:, axis] *= share
    else:
        half[PLATE_ROW, axis] += by_mm / 2
        centre[PLATE_ROW, axis] += end * by_mm / 2
    size = piece.size_mm.copy()
    size[axis] += by_mm
    body = BoxSet(np.ascontiguousarray(centre), np.ascontiguousarray(half), b.rotation, b.names)
    return replace(piece, body=body, size_mm=size)


def plate_axis(piece: Piece) -> int:
    """The hull axis square to a board's plate."""
    return int(np.argmin(piece.body.half_mm[PLATE_ROW]))


def _front(piece: Piece, axis: int) -> float:
    """Which way along the axis the board's front looks."""
    return 1.0 if piece.up[axis] > 0 else -1.0


class Growing:
    """Tries larger boards for one piece through one way in."""

    def __init__(
        self, boat: Boat, piece: Piece, way: WayIn, fitted: list[Piece], goes: Goes
    ) -> None:
        self.boat, self.piece, self.way, self.fitted, self.goes = boat, piece, way, fitted, goes
        others = [p for p in boat.pieces.values() if p.key != piece.key]
        self.all_there = fixed_boxes(boat, way.openings, way.spaces, others)

    def stands(self, piece: Piece) -> bool:
        """True when it is free of everything where it stands, and in its space."""
        rest = Problem(piece.body, self.all_there, piece.rest, piece.rest)
        free = clearance_at(rest, piece.rest)[0] >= -SEATED_MM
        return free and beyond_its_space(self.boat, piece, piece.at_rest()) is None

    def goes_in(self, piece: Piece) -> bool:
        """True when it stands free and a proven way in is found."""
        if not self.stands(piece):
            return False
        q = question(self.boat, piece, self.way, self.fitted, self.boat.clearance_mm)
        return self.goes(q.outer)

    def along(self, axis: int, most_mm: float) -> float:
        """How large it may be along a hull axis, mm, up to a limit."""
        found = self.piece
        ends = (0,) if axis == plate_axis(self.piece) else (1, -1)
        for end in ends:
            room = most_mm - float(found.size_mm[axis])
            if room < NEAR_MM:
                break
            here = found

            def by(more: float, end: int = end, here: Piece = here) -> Piece:
                return grown(here, axis, end, more)

            stands = _most(lambda x, by=by: self.stands(by(x)), room)  # type: ignore[misc]
            more = _most(lambda x, by=by: self.goes_in(by(x)), stands)  # type: ignore[misc]
            if more > 0:
                found = by(more)
        return float(found.size_mm[axis])


def _most(fits: Callable[[float], bool], most: float) -> float:
    """The most up to a limit that fits, in whole millimetres; nought is taken to fit."""
    low, high = 0.0, float(np.floor(most))
    if high < NEAR_MM or fits(high):
        return max(high, 0.0)
    while high - low > NEAR_MM:
        mid = float(np.floor((low + high) / 2))
        if mid <= low:
            break
        if fits(mid):
            low = mid
        else:
            high = mid
    return low
