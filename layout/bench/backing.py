"""What is behind a board, place by place: how far off, what it is, how a screw holds in it.

From a place on the plate's back a line goes straight out, to the nearest of the space's own sides,
what is fixed in the space and what stands in it; so a frame behind half a board, a flared side and
a sloping face each count where they are.
"""

from collections import Counter
from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.bench.plate import Plate
from layout.boat.faces import FACE_OF
from layout.boat.parts import Boat, Piece, Solid, Space
from layout.geometry.frames import Array

LEFT_MM: Final = 3.0  # of material kept behind a screw's point: common practice
GAP_MOST_MM: Final = 120.0  # farther behind than this the board hangs on something of its own
HOLDS_MM: Final = 8.0  # a screw in less than this does not hold: common practice
SKIN: Final = "hull side"
PROBES: Final = 7  # places each way that tell what is behind a whole board
PAST_MM: Final = 10.0


@dataclass(frozen=True, slots=True)
class Backing:
    """What a place on a board's back looks at.

    `hold` is how a stand-off is held there: "screw", "bolt" (too thin to screw into: through it,
    with washers), "pad" (a hull's skin: bonded, never drilled) or "bracket" (nothing near).
    """

    on: str  # its key with its kind; empty where nothing is near
    length_mm: float
    hold: str
    screw_most_mm: float  # into it, where it is screwed
    slope_deg: float  # how far its face is out of square to the line


@dataclass(frozen=True, slots=True)
class Behind:
    """What the back of a whole board looks at: its nearest, what most of it looks at, and what is
    beyond.
    """

    on: str
    gap_mm: float
    beyond: tuple[str, ...]
    hull_skin: bool


def backing(boat: Boat, plate: Plate, x: float, y: float) -> Backing | None:
    """What is behind a place on the plate; None where an opening, a hole or gear is."""
    start = plate.whole((x, y, -plate.thickness_mm))
    way = -plate.turn[:, 2]
    found = _nearest(boat, plate, start, way)
    far, key, normal = found
    if far > GAP_MOST_MM:
        return Backing("", 0.0, "bracket", 0.0, 0.0)
    if key.startswith("piece:") or _pierced(boat, plate.space, start + far * way, key):
        return None
    slope = float(np.degrees(np.arccos(np.clip(abs(normal @ way), 0.0, 1.0))))
    thick, skin = _thickness(boat, plate.space, start, way, far, key)
    if skin:
        return Backing(key, far, "pad", 0.0, slope)
    most = max(thick - LEFT_MM, 0.0)
    hold = "screw" if most >= HOLDS_MM else "bolt"
    return Backing(key, far, hold, most if hold == "screw" else 0.0, slope)


def behind(boat: Boat, plate: Plate) -> Behind:
    """What is behind a board, looked at over its whole back."""
    way = -plate.turn[:, 2]
    shares = np.linspace(0.0, 1.0, PROBES)
    seen: list[tuple[float, str]] = []
    beyond: dict[str, None] = {}
    skin = False
    for u in shares:
        for v in shares:
            at = (float(u) * plate.length_mm, float(v) * plate.height_mm, -plate.thickness_mm)
            start = plate.whole(at)
            far, key, _ = _nearest(boat, plate, start, way)
            seen.append((far, key))
            if key.startswith("wall:") and far <= GAP_MOST_MM:
                past = start + (far + boat.spaces[plate.space].wall_mm + PAST_MM) * way
                there = _beyond(boat, plate.space, past)
                beyond |= dict.fromkeys(there)
                skin |= not there
            skin |= key.startswith("solid:") and boat.solids[key[6:]].kind == SKIN
    gap = min(far for far, _ in seen)
    if gap > GAP_MOST_MM:
        return Behind("", gap, (), False)
    near = Counter(key for far, key in seen if far <= GAP_MOST_MM)
    return Behind(near.most_common(1)[0][0], gap, tuple(beyond), skin)


def _nearest(boat: Boat, plate: Plate, start: Array, way: Array) -> tuple[float, str, Array]:
    """(how far, key, the normal of its face) of what a line meets first."""
    space = boat.spaces[plate.space]
    best = _to_side(space, start, way)
    for s in boat.solids.values():
        if s.space == plate.space:
            hit = _to_box(start, way, s.centre, s.half, s.rotation)
            if hit is not None and hit[0] < best[0]:
                best = (hit[0], f"solid:{s.key}", hit[1])
    for p in boat.pieces.values():
        if p.space == plate.space and p.key != plate.key:
            met = _to_piece(start, way, p)
            if met is not None and met[0] < best[0]:
                best = (met[0], f"piece:{p.key}", met[1])
    return best


def _to_side(space: Space, start: Array, way: Array) -> tuple[float, str, Array]:
    """The side of the space a line leaves by."""
    out = []
    for k in range(3):
        if abs(way[k]) > 1e-9:
            plane = space.high[k] if way[k] > 0 else space.low[k]
            normal = np.zeros(3)
            normal[k] = 1.0
            face = FACE_OF[k, 1 if way[k] > 0 else -1]
            off = max(float((plane - start[k]) / way[k]), 0.0)
            out.append((off, f"wall:{space.key}.{face}", normal))
    return min(out, key=lambda o: o[0])


def _to_box(
    start: Array, way: Array, centre: Array, half: Array, rotation: Array
) -> tuple[float, Array] | None:
    """How far off a line enters a box, and the normal of the face it enters by (slab method)."""
    x, d = rotation.T @ (start - centre), rotation.T @ way
    enter, leave, axis = -np.inf, np.inf, 0
    for k in range(3):
        if abs(d[k]) < 1e-12:
            if abs(x[k]) > half[k]:
                return None
            continue
        a, b = sorted(((-half[k] - x[k]) / d[k], (half[k] - x[k]) / d[k]))
        if a > enter:
            enter, axis = a, k
        leave = min(leave, b)
    if enter > leave or leave < 0:
        return None
    return max(float(enter), 0.0), rotation[:, axis]


def _to_piece(start: Array, way: Array, piece: Piece) -> tuple[float, Array] | None:
    rest = piece.at_rest()
    boxes = zip(rest.centre_mm, rest.half_mm, rest.rotation, strict=True)
    hits = [h for h in (_to_box(start, way, *b) for b in boxes) if h is not None]
    return min(hits, key=lambda h: h[0]) if hits else None


def _through_mm(solid: Solid, start: Array, way: Array) -> float:
    """How thick a solid is along a line that meets it."""
    there = _to_box(start, way, solid.centre, solid.half, solid.rotation)
    far = 2 * float(np.linalg.norm(solid.half)) + 10_000.0
    back = _to_box(start + far * way, -way, solid.centre, solid.half, solid.rotation)
    return 0.0 if there is None or back is None else far - back[0] - there[0]


def _thickness(
    boat: Boat, space: str, start: Array, way: Array, far: float, key: str
) -> tuple[float, bool]:
    """(how thick what a line meets is, whether it is a hull's skin)."""
    if key.startswith("solid:"):
        solid = boat.solids[key.removeprefix("solid:")]
        return _through_mm(solid, start, way), solid.kind == SKIN
    wall = boat.spaces[space].wall_mm
    return wall, not _beyond(boat, space, start + (far + wall + PAST_MM) * way)


def _beyond(boat: Boat, space: str, at: Array) -> list[str]:
    """The spaces a place beyond a wall is in, and what stands against the wall there."""
    out = []
    for other in boat.spaces.values():
        near = np.all((other.low - PAST_MM <= at) & (at <= other.high + PAST_MM))
        if other.key == space or not near:
            continue
        out.append(f"space:{other.key}")
        for key, low, high in boat.stands_in((other.key,)):
            if np.all((low - 60.0 <= at) & (at <= high + 60.0)):
                out.append(key)
    return out


def _pierced(boat: Boat, space: str, at: Array, key: str) -> bool:
    """True where an opening or a cable's hole is in a wall at a place."""
    if not key.startswith("wall:"):
        return False
    for o in boat.openings.values():
        off = np.abs(at - o.centre)
        inside = np.all(off[list(o.others)] < o.size / 2 + 2 * PAST_MM)
        if space in (o.inner, o.outer) and off[o.axis] < o.throat_mm + PAST_MM and inside:
            return True
    holes = (h for h in boat.holes.values() if space in h.spaces)
    return any(float(np.linalg.norm(at - h.at)) < h.bore_mm / 2 + 2 * PAST_MM for h in holes)
