"""What a cable that hangs free keeps clear of in a space: bodies and plates, rooms that gear needs,
openings, hazards, and surfaces that cable may not touch.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import IntEnum
from typing import Final

import numpy as np

from layout.boat.faces import FACES
from layout.boat.parts import OUTSIDE, PLATE_ROW, Boat, Opening, Piece, RoomNeeded
from layout.geometry.frames import Array, Ints
from layout.geometry.kernels import kernel
from routing.ways.distances import (
    CLEAR_MM,
    ENGINE,
    ENGINE_OFF_MM,
    OPENING_OFF_MM,
    REACH_OFF_FACE_MM,
    THROUGH_WALLS,
)

# how deep before an opening a cable hanging there is in the way of what goes through
BEFORE_OPENING_MM: Final = 60.0
# rooms a cable may lie in: air flows round it, and a bend's room is for cable
CABLE_MAY_LIE_IN: Final = frozenset({"air", "cable bend"})


class Kind(IntEnum):
    """What an obstacle is."""

    BODY = 0
    PLATE = 1
    ROOM = 2
    OPENING = 3
    HAZARD = 4
    CLOSED = 5


@dataclass(frozen=True, slots=True, eq=False)
class Obstacles:
    """Boxes (n), what each is, and how far a cable's skin keeps from it, mm."""

    centre: Array  # (n, 3)
    half: Array
    rotation: Array  # (n, 3, 3)
    off: Array  # (n,)
    kind: Ints
    keys: tuple[str, ...]

    def near(self, low: Array, high: Array) -> "Obstacles":
        """Those that reach into a box."""
        reach = (np.abs(self.rotation) @ self.half[:, :, None])[:, :, 0] + self.off[:, None]
        on = np.all((self.centre + reach >= low) & (self.centre - reach <= high), axis=1)
        return self.only(on)

    def only(self, on: Array | np.ndarray[tuple[int], np.dtype[np.bool_]]) -> "Obstacles":
        """Those a mask picks."""
        keys = tuple(k for k, yes in zip(self.keys, on, strict=True) if yes)
        return Obstacles(
            self.centre[on], self.half[on], self.rotation[on], self.off[on], self.kind[on], keys
        )

    def holding(self, x: Array, radius_mm: float) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
        """Which a cable of a radius at a point touches, (n,)."""
        local = np.einsum("nji,nj->ni", self.rotation, x - self.centre)
        return np.all(np.abs(local) < self.half + (radius_mm + self.off)[:, None] - 1e-9, axis=1)

    def extents(self, radius_mm: float) -> tuple[Array, Array]:
        """Lowest and highest a cable's middle may not be at, (n, 3) each."""
        reach = (np.abs(self.rotation) @ self.half[:, :, None])[:, :, 0]
        reach = reach + (self.off + radius_mm)[:, None]
        return self.centre - reach, self.centre + reach


class _Gathered:
    def __init__(self) -> None:
        self.rows: list[tuple[Array, Array, Array, float, int, str]] = []

    def add(self, low: Array, high: Array, off: float, kind: Kind, key: str) -> None:
        self.turned((low + high) / 2, (high - low) / 2, np.eye(3), off, kind, key)

    def turned(
        self, centre: Array, half: Array, rotation: Array, off: float, kind: Kind, key: str
    ) -> None:
        self.rows.append((centre, half, rotation, off, int(kind), key))

    def done(self) -> Obstacles:
        r = self.rows
        return Obstacles(
            np.array([x[0] for x in r]).reshape(-1, 3),
            np.array([x[1] for x in r]).reshape(-1, 3),
            np.array([x[2] for x in r]).reshape(-1, 3, 3),
            np.array([x[3] for x in r], dtype=np.float64),
            np.array([x[4] for x in r], dtype=np.int64),
            tuple(x[5] for x in r),
        )


def rooms_to_keep(piece: Piece) -> Iterable[RoomNeeded]:
    """The rooms of a piece that cable keeps out of."""
    return (room for room in piece.rooms if room.why not in CABLE_MAY_LIE_IN)


def before_opening(opening: Opening, space: str) -> tuple[Array, Array]:
    """The part of a space before an opening that cable keeps out of: (low, high)."""
    u, v = opening.others
    half = np.zeros(3)
    half[u], half[v] = opening.size / 2 + OPENING_OFF_MM
    low, high = opening.centre - half, opening.centre + half
    sign = opening.sign if opening.inner == space else -opening.sign
    if sign > 0:
        low[opening.axis] -= BEFORE_OPENING_MM
    else:
        high[opening.axis] += BEFORE_OPENING_MM
    return low, high


def obstacles_in(
    boat: Boat, space: str, without: frozenset[str], keep: Mapping[str, float]
) -> Obstacles:
    """What a free cable keeps clear of in a space or outside; `without` as for `ways_of`, `keep`
    how far from each hazard.
    """
    out = _Gathered()
    for solid in boat.solids.values():
        if solid.space == space:
            key = f"solid:{solid.key}"
            engine = solid.kind == ENGINE
            off, kind = (ENGINE_OFF_MM, Kind.HAZARD) if engine else (CLEAR_MM, Kind.BODY)
            out.turned(solid.centre, solid.half, solid.rotation, off, kind, key)
    for piece in boat.pieces.values():
        if piece.space == space:
            _piece(out, piece)
    for hazard in boat.hazards.values():
        near = hazard.space == space or hazard.kind in THROUGH_WALLS
        if near and hazard.key not in without:
            key = f"hazard:{hazard.key}"
            out.add(hazard.low, hazard.high, keep[hazard.key], Kind.HAZARD, key)
    if space == OUTSIDE:
        return out.done()
    for opening in boat.openings.values():
        if space in (opening.inner, opening.outer):
            low, high = before_opening(opening, space)
            out.add(low, high, 0.0, Kind.OPENING, f"opening:{opening.key}")
    s = boat.spaces[space]
    for face in s.closed:
        if f"{space}.{face}" not in without:
            axis, sign = FACES[face]
            low, high = s.low.copy(), s.high.copy()
            low[axis] = high[axis] = s.high[axis] if sign > 0 else s.low[axis]
            key = f"face:{space}.{face}"
            out.add(low, high, REACH_OFF_FACE_MM, Kind.CLOSED, key)
    return out.done()


def _piece(out: _Gathered, piece: Piece) -> None:
    rest = piece.at_rest()
    for k, (c, h, r) in enumerate(zip(rest.centre_mm, rest.half_mm, rest.rotation, strict=True)):
        plate = piece.is_board and k == PLATE_ROW
        out.turned(c, h, r, CLEAR_MM, Kind.PLATE if plate else Kind.BODY, rest.names[k])
    for room in rooms_to_keep(piece):
        key = f"room:{room.owner}:{room.why}"
        out.turned(room.centre, room.half, room.rotation, 0.0, Kind.ROOM, key)


@kernel
def meets(
    p: Array, q: Array, radius: float, centre: Array, half: Array, rotation: Array, off: Array
) -> int:
    """The first box that a straight cable from p to q of a radius touches, or -1.

    Boxes are grown square, so that a cable past a box's corner is taken as nearer than it is.
    """
    for b in range(len(centre)):
        enter, leave = 0.0, 1.0
        for k in range(3):
            a = 0.0
            d = 0.0
            for m in range(3):
                a += rotation[b, m, k] * (p[m] - centre[b, m])
                d += rotation[b, m, k] * (q[m] - p[m])
            h = half[b, k] + radius + off[b] - 1e-6
            if abs(d) < 1e-12:
                if abs(a) >= h:
                    leave = -1.0
                    break
            else:
                t0, t1 = (-h - a) / d, (h - a) / d
                enter = max(enter, min(t0, t1))
                leave = min(leave, max(t0, t1))
            if enter >= leave:
                break
        if enter < leave:
            return b
    return -1
