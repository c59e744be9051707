"""Where a cable may lie: on the inner faces of spaces, through named holes and pipes.

Each open face of a space is a flat rectangle, drawn in by the clip height. Gear, solids and the
zones round hazards block rectangles on it. Points of interest on the faces (holes, pipe ends, feet
of terminals, corners of what is blocked, and points along the edges between faces) are joined
wherever the straight line between them on a face is free.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from layout.boat.faces import FACES, across
from layout.boat.parts import OUTSIDE, Boat, Space, Tray
from layout.geometry.frames import Array
from layout.geometry.kernels import kernel
from layout.known import mark
from routing.ways.distances import (
    CLEAR_MM,
    ENGINE,
    ENGINE_OFF_MM,
    FARTHEST_FACE_MM,
    LONGEST_FREE_LEG_MM,
    OPENING_OFF_MM,
    REACH_OFF_FACE_MM,
    SENSORS,
    THROUGH_WALLS,
    keep_off_mm,
    kept_off,
)
from routing.ways.obstacles import Kind, Obstacles, meets, obstacles_in, rooms_to_keep

# how far a cable passes from the corner of what it goes round: 25 mm leaves a bend of 60 mm radius
# clear of a square corner; less only where there is no more room
CORNER_OFFS_MM: Final = (25.0, 12.0, 4.0)
EDGE_STEP_MM: Final = 70.0  # spacing of points along edges before the route is pulled tight
OUTSIDE_WALL_MM: Final = 10.0  # the wall of a hole that leads outside, where none is known
ON_FACE_MM: Final = 0.5
FaceKey = tuple[str, int, int]


@dataclass(slots=True, eq=False)
class Patch:
    """One open face: `plane` along `axis`, low to high in the other two; blocked rectangles."""

    key: FaceKey
    axis: int
    plane: float
    low: Array  # (2,)
    high: Array
    blocked: Array  # (n, 4): u0, u1, v0, v1
    blockers: list[str]

    @property
    def others(self) -> tuple[int, int]:
        """The axes in the face."""
        return across(self.axis)

    def flat(self, x: Array) -> Array:
        """A point's two coordinates on the face, (..., 2)."""
        return x[..., list(self.others)]

    def lift(self, uv: Array) -> Array:
        """The point in the hull frame at two coordinates on the face."""
        out = np.empty(3)
        u, v = self.others
        out[self.axis], out[u], out[v] = self.plane, uv[0], uv[1]
        return out

    def clamp(self, x: Array) -> Array:
        """The nearest point of the face's rectangle, blocked or not."""
        return self.lift(np.clip(self.flat(x), self.low, self.high))

    def is_free(self, uv: Array) -> bool:
        """True when a point of the face is not inside a blocked rectangle."""
        b = self.blocked
        return not bool(
            np.any((uv[0] > b[:, 0]) & (uv[0] < b[:, 1]) & (uv[1] > b[:, 2]) & (uv[1] < b[:, 3]))
        )

    def are_free(self, uv: Array) -> NDArray[np.bool_]:
        """`is_free` for many points (n, 2) at once."""
        b = self.blocked
        inside = (
            (uv[:, :1] > b[:, 0])
            & (uv[:, :1] < b[:, 1])
            & (uv[:, 1:] > b[:, 2])
            & (uv[:, 1:] < b[:, 3])
        )
        return np.asarray(~inside.any(axis=1))

    def sees_one(self, p: Array, q: Array) -> bool:
        """`sees` for one line."""
        return bool(_line_is_free(p, q, self.blocked))

    def sees(self, p: Array, q: Array) -> NDArray[np.bool_]:
        """Whether straight lines from p (n, 2) to q miss the inside of all that is blocked."""
        return np.asarray(
            _lines_are_free(np.ascontiguousarray(p), np.ascontiguousarray(q), self.blocked)
        )


@kernel
def _line_is_free(p: Array, q: Array, blocked: Array) -> bool:
    """False when the line p to q passes through the inside of a blocked rectangle."""
    for r in range(len(blocked)):
        enter, leave, miss = 0.0, 1.0, False
        for k in range(2):
            a, b = blocked[r, 2 * k], blocked[r, 2 * k + 1]
            d = q[k] - p[k]
            if abs(d) < 1e-12:
                if p[k] <= a + 1e-9 or p[k] >= b - 1e-9:
                    miss = True
                    break
            else:
                t0, t1 = (a - p[k]) / d, (b - p[k]) / d
                enter, leave = max(enter, min(t0, t1)), min(leave, max(t0, t1))
        if not miss and enter < leave - 1e-9:
            return False
    return True


@kernel
def _lines_are_free(p: Array, q: Array, blocked: Array) -> NDArray[np.bool_]:
    """`_line_is_free` for lines p (n, 2) to q (n, 2)."""
    out = np.empty(len(p), dtype=np.bool_)
    for i in range(len(p)):
        out[i] = _line_is_free(p[i], q[i], blocked)
    return out


@dataclass(slots=True, eq=False)
class Joint:
    """A hole, pipe or tray: two end points in two spaces and what it costs in length to pass."""

    key: str
    kind: str  # "hole", "pipe" or "tray"
    ends: tuple[tuple[str, Array], tuple[str, Array]]
    length_mm: float
    passable: bool
    needs_edging: bool


@dataclass(frozen=True, slots=True)
class Style:
    """How cable is laid: for what radius there is room everywhere, and what looks are worth.

    In square spaces a bend costs as much as `bend_mm` of cable, and a metre over an open panel as
    much as `open_panel` metres along a corner.
    """

    radius_mm: float = 0.0
    corner_mm: float = 0.0  # kept from boxes in square spaces, so that a bend clears a corner
    bend_mm: float = 0.0
    open_panel: float = 1.0
    corner_offs: tuple[float, ...] = CORNER_OFFS_MM  # how far past corners in straight spaces


@dataclass(slots=True, eq=False)
class Ways:
    """All patches and joints of a boat with its gear in place, and what stands free in it."""

    boat: Boat
    style: Style
    patches: dict[FaceKey, Patch]
    joints: list[Joint]
    by_space: dict[str, list[Patch]]
    free: dict[str, Obstacles]  # by space, and outside
    _marks: dict[str, bytes] = field(default_factory=dict)

    def mark_of(self, space: str) -> bytes:
        """A mark of all that leads and tracks in a space, or outside, are found by."""
        if space not in self._marks:
            near = self.boat.spaces.values() if space == OUTSIDE else [self.boat.spaces[space]]
            shape = [(s.key, s.low, s.high, s.wall_mm, s.clip_mm, s.square) for s in near]
            patches = self.by_space.get(space, [])
            self._marks[space] = mark(shape, patches, self.free[space], self.style)
        return self._marks[space]

    def obstacles(self, space: str) -> Obstacles:
        """What a free cable keeps clear of in a space or outside."""
        return self.free[space]

    def off_mm(self, space: Space) -> float:
        """How far the middle of a cable lies off the faces of a space."""
        return max(space.clip_mm, self.style.radius_mm)

    def is_square(self, space: str) -> bool:
        """True where cable is laid level and plumb."""
        return space in self.boat.spaces and self.boat.spaces[space].square

    def nearest_free(self, patch: Patch, at: Array) -> Array | None:
        """A free place on a face near a point, or None within a free leg."""
        foot = patch.clamp(at)
        if not patch.is_free(patch.flat(foot)):
            foot = _nearest_free(patch, at)
        near = float(np.linalg.norm(foot - at)) <= FARTHEST_FACE_MM
        return foot if near and patch.is_free(patch.flat(foot)) else None


def ways_of(boat: Boat, without: frozenset[str] = frozenset(), style: Style | None = None) -> Ways:
    """The ways for cable in a boat.

    `without` leaves rules out, to tell what they cost: names of hazards, "SPACE.FACE" for closed
    surfaces, names of holes for bare edges that may not be edged.
    """
    style = style or Style()
    keep = kept_off(boat, style.radius_mm)
    patches: dict[FaceKey, Patch] = {}
    by_space: dict[str, list[Patch]] = {}
    for space in boat.spaces.values():
        mine = [
            _patch(boat, space, face, without, style, keep)
            for face in FACES
            if face not in space.closed or f"{space.key}.{face}" in without
        ]
        by_space[space.key] = mine
        patches.update({p.key: p for p in mine})
    free = {key: obstacles_in(boat, key, without, keep) for key in [*boat.spaces, OUTSIDE]}
    return Ways(boat, style, patches, _joints(boat, without), by_space, free)


class _Blocks:
    """Rectangles blocked on one face, gathered."""

    def __init__(self, patch: Patch) -> None:
        self.patch = patch
        self.rects: list[tuple[float, float, float, float]] = []
        self.keys: list[str] = []

    def add(self, a: Array, b: Array, key: str, off: float) -> None:
        """Block what a box from a to b, grown by `off`, covers of the face."""
        p = self.patch
        sign = p.key[2]
        near = p.plane + REACH_OFF_FACE_MM * (sign < 0), p.plane - REACH_OFF_FACE_MM * (sign > 0)
        if a[p.axis] - off >= near[0] or b[p.axis] + off <= near[1]:
            return
        u, v = p.others
        r = (a[u] - off, b[u] + off, a[v] - off, b[v] + off)
        if r[1] > p.low[0] and r[0] < p.high[0] and r[3] > p.low[1] and r[2] < p.high[1]:
            self.rects.append(r)
            self.keys.append(key)

    def done(self) -> Patch:
        """The face with what is blocked on it."""
        self.patch.blocked = np.array(self.rects).reshape(-1, 4)
        self.patch.blockers = self.keys
        return self.patch


def _patch(
    boat: Boat,
    space: Space,
    face: str,
    without: frozenset[str],
    style: Style,
    keep: Mapping[str, float],
) -> Patch:
    axis, sign = FACES[face]
    u, v = across(axis)
    clip = max(space.clip_mm, style.radius_mm)
    plane = space.high[axis] - clip if sign > 0 else space.low[axis] + clip
    low = np.array([space.low[u] + clip, space.low[v] + clip])
    high = np.array([space.high[u] - clip, space.high[v] - clip])
    skin = style.radius_mm + CLEAR_MM if style.radius_mm else 0.0  # from the cable's middle
    skin = max(skin, style.corner_mm) if space.square else skin
    key = (space.key, axis, sign)
    blocks = _Blocks(Patch(key, axis, float(plane), low, high, np.empty((0, 4)), []))
    for solid in boat.solids.values():
        if solid.space == space.key:
            half = np.abs(solid.rotation) @ solid.half
            off = max(skin, ENGINE_OFF_MM + style.radius_mm) if solid.kind == ENGINE else skin
            blocks.add(solid.centre - half, solid.centre + half, f"solid:{solid.key}", off)
    for piece in boat.pieces.values():
        if piece.space == space.key:
            rest = piece.at_rest()
            for c, h, r in zip(rest.centre_mm, rest.half_mm, rest.rotation, strict=True):
                half = np.abs(r) @ h
                blocks.add(c - half, c + half, piece.key, skin)
            for room in rooms_to_keep(piece):
                half = np.abs(room.rotation) @ room.half
                key_of = f"room:{room.owner}:{room.why}"
                blocks.add(room.centre - half, room.centre + half, key_of, style.radius_mm)
    for hazard in boat.hazards.values():
        near = hazard.space == space.key or hazard.kind in THROUGH_WALLS
        if near and hazard.key not in without:
            blocks.add(
                hazard.low,
                hazard.high,
                f"hazard:{hazard.key}",
                keep[hazard.key] + style.radius_mm,
            )
    for opening in boat.openings.values():
        if space.key in (opening.inner, opening.outer) and opening.axis == axis:
            here = opening.sign if opening.inner == space.key else -opening.sign
            if here == sign:
                half = np.ones(3)
                half[u], half[v] = opening.size / 2 + 1
                blocks.add(
                    opening.centre - half,
                    opening.centre + half,
                    f"opening:{opening.key}",
                    OPENING_OFF_MM,
                )
    return blocks.done()


def _joints(boat: Boat, without: frozenset[str]) -> list[Joint]:
    out = []
    for hole in boat.holes.values():
        a, b = hole.spaces
        far, wall = hole.at, OUTSIDE_WALL_MM
        if b != OUTSIDE:  # its other mouth is on the other side of the wall, which counts once
            far = np.clip(hole.at, boat.spaces[b].low, boat.spaces[b].high)
            wall = float(np.linalg.norm(hole.at - far))
        fine = hole.edge != "bare" or hole.may_edge or hole.key in without
        out.append(
            Joint(hole.key, "hole", ((a, hole.at), (b, far)), wall, fine, hole.edge == "bare")
        )
    for pipe in boat.pipes.values():
        ends = ((pipe.spaces[0], pipe.at), (pipe.spaces[1], pipe.to))
        out.append(Joint(pipe.key, "pipe", ends, pipe.length_mm, True, False))
    for tray in boat.trays.values():
        ends = ((tray.spaces[0], tray.at), (tray.spaces[1], tray.to))
        fine = not tray_hazards(boat, tray, without)
        long = float(np.linalg.norm(tray.to - tray.at))
        out.append(Joint(tray.key, "tray", ends, long, fine, False))
    return out


def tray_hazards(boat: Boat, tray: Tray, without: frozenset[str] = frozenset()) -> list[str]:
    """What a tray runs too near to carry cable: hazards and engines, but no compass."""
    out = []
    keep = {key: keep_off_mm(hazard) for key, hazard in boat.hazards.items()}
    for space in dict.fromkeys(s for s in tray.spaces if s != OUTSIDE):
        near = obstacles_in(boat, space, without, keep)
        for k, key in enumerate(near.keys):
            one = slice(k, k + 1)
            boxes = (near.centre[one], near.half[one], near.rotation[one], near.off[one])
            hazard = boat.hazards.get(key.removeprefix("hazard:"))
            magnet = hazard is not None and hazard.kind in SENSORS
            if (
                near.kind[k] == Kind.HAZARD
                and not magnet
                and meets(tray.at, tray.to, 0.0, *boxes) >= 0
            ):
                out.append(key)
    return list(dict.fromkeys(out))


def feet(ways: Ways, space: str, at: Array) -> list[tuple[Patch, Array, float]]:
    """Where a cable from a point in a space may reach a face: (face, place, free length).

    A point on a face stays on it; else every face within a free leg; else the nearest there is.
    """
    found = []
    for patch in ways.by_space.get(space, []):
        foot = patch.clamp(at)
        if not patch.is_free(patch.flat(foot)):
            foot = _nearest_free(patch, at)
        leg = float(np.linalg.norm(foot - at))
        if leg <= FARTHEST_FACE_MM and patch.is_free(patch.flat(foot)):
            found.append((patch, foot, leg))
    least = min((leg for _, _, leg in found), default=0.0)
    most = ON_FACE_MM if least <= ON_FACE_MM else max(LONGEST_FREE_LEG_MM, least + ON_FACE_MM)
    return [f for f in found if f[2] <= most]


def _nearest_free(patch: Patch, at: Array) -> Array:
    """A free point of a face near a point whose own foot is blocked."""
    uv = np.clip(patch.flat(at), patch.low, patch.high)
    best, least = uv, np.inf
    for u0, u1, v0, v1 in patch.blocked:
        for c in ((u0 - 2, uv[1]), (u1 + 2, uv[1]), (uv[0], v0 - 2), (uv[0], v1 + 2)):
            p = np.array(c)
            if np.all(p >= patch.low) and np.all(p <= patch.high) and patch.is_free(p):
                d = float(np.linalg.norm(p - uv))
                if d < least:
                    best, least = p, d
    return patch.lift(best)
