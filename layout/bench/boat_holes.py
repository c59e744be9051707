"""Holes made in the boat: where each is, what is behind, and whether a drill or saw gets there.

Looked at from both sides of what is cut: a drill with its bit needs room in line with the hole, a
saw's blade reaches behind the face, and a hand needs room to clamp and to fit. What is nearer than
that is told by its key, so that nobody saws into what he has not looked at.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.bench.plate import Plate
from layout.boat.faces import FACE_OF
from layout.boat.parts import OUTSIDE, Boat, Hole
from layout.geometry.frames import Array, is_square

DRILL_MM: Final = 250.0  # a drill with its bit, in line: memory
BLADE_MM: Final = 70.0  # a jigsaw's blade behind the face: memory
SAW_MM: Final = 30.0  # its foot beside the line: memory
BORED_FROM_MM: Final = 3.0
NEAR_FACE_MM: Final = 60.0


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a hole: the space, how far what is next in line is, and its key; "" for a wall
    or nothing.
    """

    space: str
    free_mm: float
    next: str


@dataclass(frozen=True, slots=True)
class BoatHole:
    """A hole made in the boat: of a cable, or a panel's cut-out. `from_edges` are its middle from
    two sides of its space, with their names.
    """

    key: str
    what: str  # "cable" or "cut-out"
    size_mm: tuple[float, float]
    radius_mm: float
    space: str
    face: str
    from_edges: tuple[tuple[str, float], tuple[str, float]]
    sides: tuple[Side, Side]
    can_drill: bool
    blade_meets: tuple[str, ...]


def boat_holes(boat: Boat, panels: list[Plate]) -> list[BoatHole]:
    """Every hole of the boat's cable ways and every cut-out of its panels."""
    out = [_cable_hole(boat, h) for h in boat.holes.values()]
    for plate in panels:
        if is_square(plate.turn):
            out += _cut_outs(boat, plate)
    return out


def _cable_hole(boat: Boat, hole: Hole) -> BoatHole:
    inner = hole.spaces[0] if hole.spaces[0] != OUTSIDE else hole.spaces[1]
    space = boat.spaces[inner]
    ends = [(abs(float(hole.at[k]) - v), k, s) for k in range(3)
            for s, v in ((-1, float(space.low[k])), (1, float(space.high[k])))]  # fmt: skip
    _, axis, sign = min(ends)
    half = np.full(3, hole.bore_mm / 2)
    sides = _sides(boat, hole.at, half, axis, sign, inner, hole.spaces)
    size = (hole.bore_mm, hole.bore_mm)
    meets = _meets(boat, hole.at, half + BORED_FROM_MM, axis, BLADE_MM, hole.spaces, "")
    return BoatHole(
        hole.key, "cable", size, hole.bore_mm / 2, inner, FACE_OF[axis, sign],
        _edges(boat, inner, hole.at, axis), sides,
        max(s.free_mm for s in sides) >= DRILL_MM, meets,
    )  # fmt: skip


def _cut_outs(boat: Boat, plate: Plate) -> list[BoatHole]:
    out = []
    axis = int(np.argmax(np.abs(plate.turn[:, 2])))
    sign = -1 if plate.turn[axis, 2] > 0 else 1
    spaces = (plate.space, OUTSIDE)
    for part in plate.parts:
        c = part.cut_out
        if c is None:
            continue
        at = plate.whole((c.x, c.y, -plate.thickness_mm / 2))
        size = np.abs(plate.turn) @ np.array([c.length_mm / 2, c.height_mm / 2, 0.0])
        half = size + SAW_MM * (size > 0)
        half[axis] = plate.thickness_mm / 2
        own = f"piece:{plate.key}"
        out.append(
            BoatHole(
                f"{plate.key}.{part.key}", "cut-out", (c.length_mm, c.height_mm), c.radius_mm,
                plate.space, FACE_OF[axis, -sign], _edges(boat, plate.space, at, axis),
                _sides(boat, at, half, axis, -sign, plate.space, spaces, own), True,
                _meets(boat, at, half, axis, BLADE_MM, spaces, own),
            )
        )  # fmt: skip
    return out


def _edges(
    boat: Boat, space: str, at: Array, axis: int
) -> tuple[tuple[str, float], tuple[str, float]]:
    """The middle from the nearer side of its space, each way along the face."""
    s, out = boat.spaces[space], []
    for k in (k for k in range(3) if k != axis):
        low, high = float(at[k] - s.low[k]), float(s.high[k] - at[k])
        out.append((FACE_OF[k, -1], low) if low <= high else (FACE_OF[k, 1], high))
    return out[0], out[1]


def _sides(
    boat: Boat, at: Array, half: Array, axis: int, sign: int, inner: str,
    spaces: tuple[str, ...], own: str = "",
) -> tuple[Side, Side]:  # fmt: skip
    """What is next in line on both sides, that of its own space first."""
    other = next((s for s in spaces if s != inner), OUTSIDE)
    return (
        _side(boat, at, half, axis, -sign, inner, own),
        _side(boat, at, half, axis, sign, other, own),
    )


def _side(boat: Boat, at: Array, half: Array, axis: int, sign: int, space: str, own: str) -> Side:
    if space == OUTSIDE:
        return Side(space, float("inf"), "")
    s = boat.spaces[space]
    side = float(s.high[axis] if sign > 0 else s.low[axis])
    free, key = abs(side - float(at[axis])), ""
    for name, low, high in boat.stands_in((space,)):
        if name == own:
            continue
        beside = (low < at + half) & (high > at - half)
        beside[axis] = True
        off = float(low[axis] - at[axis]) if sign > 0 else float(at[axis] - high[axis])
        if beside.all() and -half[axis] <= off < free:
            free, key = max(off, 0.0), name
    return Side(space, free, key)


def _meets(
    boat: Boat, at: Array, half: Array, axis: int, deep: float, spaces: tuple[str, ...], own: str
) -> tuple[str, ...]:
    """What a blade would meet on either side."""
    low, high = at - half, at + half
    low[axis], high[axis] = float(at[axis]) - deep, float(at[axis]) + deep
    return tuple(
        key
        for key, a, b in boat.stands_in(spaces)
        if key != own and np.all(a < high) and np.all(b > low)
    )
