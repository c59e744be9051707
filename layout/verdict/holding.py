"""What holds each piece: what its foot or a board's plate touches, found rather than believed.

The foot is the face of a type that is screwed on; a board is held by any face of its plate. A
piece that touches nothing may say what holds it (`held_by`): that is told as said, not as found.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.boat.faces import FACE_OF
from layout.boat.parts import OUTSIDE, PLATE_ROW, Boat, Piece
from layout.geometry.boxes import box_distance
from layout.geometry.frames import Array, is_square
from layout.verdict.rules import RuleFinding, Urgency, Values

TOUCHING_MM: Final = 3.0  # a pad, a bead of sealant or a washer between: common practice
SPACER_MM: Final = 30.0  # a board stands off what it is screwed on by so much: common practice
SAME_FACE_MM: Final = 1.0  # boxes whose feet are this near one height share a foot
SHEET_MM: Final = 0.01


@dataclass(frozen=True, slots=True, eq=False)
class _Face:
    """A flat face of a body: its middle, half sizes (nought along the normal) and normal, and how
    far off what holds it may be.
    """

    centre: Array
    half: Array
    normal: Array
    axis: int
    off_mm: float

    @property
    def plane(self) -> float:
        """Where it lies along its normal's axis."""
        return float(self.centre[self.axis])

    @property
    def sign(self) -> int:
        """Which way it looks along its axis."""
        return 1 if self.normal[self.axis] > 0 else -1


def _face(centre: Array, half: Array, axis: int, sign: int, off_mm: float = TOUCHING_MM) -> _Face:
    at, flat, normal = centre.copy(), half.copy(), np.zeros(3)
    at[axis] += sign * half[axis]
    flat[axis] = 0.0
    normal[axis] = sign
    return _Face(at, flat, normal, axis, off_mm)


def _feet(piece: Piece) -> list[_Face]:
    """The faces a piece may be held by. At rest all of a piece's boxes stand square."""
    rest = piece.at_rest()
    if piece.is_board:
        c, h = rest.centre_mm[PLATE_ROW], rest.half_mm[PLATE_ROW]
        back = -np.asarray(piece.up)
        return [
            _face(c, h, axis, sign, SPACER_MM if sign * back[axis] > 0.5 else TOUCHING_MM)
            for axis in range(3)
            for sign in (-1, 1)
        ]
    axis = int(np.argmax(np.abs(piece.up)))
    sign = -1 if piece.up[axis] > 0 else 1
    faces = [_face(c, h, axis, sign) for c, h in zip(rest.centre_mm, rest.half_mm, strict=True)]
    lowest = max(sign * f.plane for f in faces)
    return [f for f in faces if sign * f.plane > lowest - SAME_FACE_MM]


def _sheet(f: _Face, off_mm: float) -> tuple[Array, Array]:
    """A thin box from a face as far out as counts as held."""
    half = f.half.copy()
    half[f.axis] = off_mm / 2
    # drawn in a little across: an edge against an edge holds nothing
    across = [k for k in range(3) if k != f.axis]
    half[across] = np.maximum(half[across] - SHEET_MM, half[across] / 2)
    return f.centre + f.normal * off_mm / 2, half


def held_by(boat: Boat, piece: Piece) -> tuple[str, ...]:
    """Keys of what a piece's foot, or a board's plate, touches: walls, solids, other pieces."""
    if piece.space == OUTSIDE:
        return ()
    if not is_square(piece.turn):
        return _on_a_slope(boat, piece)
    space = boat.spaces[piece.space]
    out: list[str] = []
    for f in _feet(piece):
        side = space.high if f.sign > 0 else space.low
        if abs(f.plane - float(side[f.axis])) <= f.off_mm:
            out.append(f"wall:{space.key}.{FACE_OF[f.axis, f.sign]}")
        centre, half = _sheet(f, f.off_mm)
        n = np.empty(3)
        for solid in boat.solids.values():
            if solid.space == piece.space and (
                box_distance(centre, half, np.eye(3), solid.centre, solid.half, solid.rotation, n)
                <= 0
            ):
                out.append(f"solid:{solid.key}")
        centre, half = _sheet(f, TOUCHING_MM)  # no spacers on other gear
        for other in boat.pieces.values():
            if other.key == piece.key or other.space != piece.space:
                continue
            rest = other.at_rest()
            rows = zip(rest.names, rest.centre_mm, rest.half_mm, rest.rotation, strict=True)
            for key, c, h, r in rows:
                if box_distance(centre, half, np.eye(3), c, h, r, n) <= 0:
                    out.append(key)
    return tuple(dict.fromkeys(out))


def _on_a_slope(boat: Boat, piece: Piece) -> tuple[str, ...]:
    """Solids behind a board that leans: a sheet as deep as a spacer behind its plate meets them."""
    rest = piece.at_rest()
    r = rest.rotation[PLATE_ROW]
    half = rest.half_mm[PLATE_ROW].copy()
    back = -np.asarray(piece.up)
    thin = int(np.argmax(np.abs(r.T @ back)))
    centre = rest.centre_mm[PLATE_ROW] + back * (half[thin] + SPACER_MM / 2)
    half[thin] = SPACER_MM / 2
    n = np.empty(3)
    return tuple(
        f"solid:{s.key}"
        for s in boat.solids.values()
        if s.space == piece.space
        and box_distance(centre, half, r, s.centre, s.half, s.rotation, n) <= 0
    )


def _gap_mm(boat: Boat, piece: Piece) -> float:
    """How far the nearest thing is that its foot looks at, at most the side of its space."""
    space = boat.spaces[piece.space]
    least = np.inf
    for f in _feet(piece):
        side = space.high if f.sign > 0 else space.low
        least = min(least, abs(f.plane - float(side[f.axis])))
        for solid in boat.solids.values():
            reach = np.abs(solid.rotation) @ solid.half
            beside = np.abs(solid.centre - f.centre) < reach + f.half
            beside[f.axis] = True
            away = f.sign * (float(solid.centre[f.axis]) - f.plane) - float(reach[f.axis])
            if beside.all() and away >= 0:
                least = min(least, away)
    return float(least)


def holding_rules(boat: Boat) -> list[RuleFinding]:
    """A finding for each piece that nothing holds, and for each that stands tipped too far."""
    out = []
    for piece in boat.pieces.values():
        about = (f"piece:{piece.key}",)
        tilt = piece.tilt_at_rest_rad
        if tilt > piece.max_tilt_rad + 1e-9:
            values: Values = {
                "tilt_degrees": float(np.rad2deg(tilt)),
                "allowed_degrees": float(np.rad2deg(piece.max_tilt_rad)),
            }
            out.append(RuleFinding("stands tipped", Urgency.MUST, about, values))
        if piece.space != OUTSIDE and not piece.said_held_by and not held_by(boat, piece):
            gap = _gap_mm(boat, piece) if is_square(piece.turn) else 0.0
            values = {"gap_mm": gap, "board": "plate" if piece.is_board else ""}
            out.append(RuleFinding("held by nothing", Urgency.MUST, about, values))
    return out
