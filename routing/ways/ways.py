"""Where a cable may lie: on the inner faces of spaces, through named holes and pipes.

Each open face of a space is a flat rectangle, drawn in by the clip height. Gear, solids and the
zones round hazards block rectangles on it. Points of interest on the faces (holes, pipe ends, feet
of terminals, corners of what is blocked, and points along the edges between faces) are joined
wherever the straight line between them on a face is free.
"""

from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numba import njit
from numpy.typing import NDArray

from layout.boat.parts import FACES, OUTSIDE, Boat, Hazard, Space
from layout.geometry.frames import Array

REACH_OFF_FACE_MM: Final = 30.0  # what stands nearer to a face than this is in a cable's way there
# how far a cable passes from the corner of what it goes round: 25 mm leaves a bend of 60 mm radius
# clear of a square corner; less only where there is no more room
CORNER_OFFS_MM: Final = (25.0, 12.0, 4.0)
EDGE_STEP_MM: Final = 70.0  # spacing of points along edges before the route is pulled tight
LONGEST_FREE_LEG_MM: Final = (
    450.0  # a cable hangs free no longer than its supports are apart (ISO 10133:2012 7.3)
)
FARTHEST_FACE_MM: Final = (
    900.0  # where no face is that near: the nearest within this, with a support of its own
)
# Distances to keep from hazards where the hull file gives none: common practice, but for petrol
# (33 CFR 183.410(b)(3): 2 ft), see trade notes; every one can be set per hazard.
KEEP_OFF_MM: Final = {
    "hot": 300.0,
    "moving": 50.0,
    "sharp edge": 20.0,
    "fuel": 50.0,
    "petrol vent": 0.0,
    "bilge water": 0.0,
    "compass": 300.0,
    "heading sensor": 300.0,
    "radio aerial": 300.0,
}
ON_FACE_MM: Final = 0.5
FaceKey = tuple[str, int, int]


@dataclass(slots=True, eq=False)
class Patch:
    """One open face: `plane` along `axis`, from low to high in the other two; blocked rectangles."""

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
        u, v = (k for k in range(3) if k != self.axis)
        return u, v

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
        """Whether straight lines from p (n, 2) to q (n, 2) miss every blocked rectangle's inside."""
        return np.asarray(
            _lines_are_free(np.ascontiguousarray(p), np.ascontiguousarray(q), self.blocked)
        )


@njit(cache=True, nogil=True)
def _line_is_free(p, q, blocked):  # type: ignore[no-untyped-def]
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


@njit(cache=True, nogil=True)
def _lines_are_free(p, q, blocked):  # type: ignore[no-untyped-def]
    """`_line_is_free` for lines p (n, 2) to q (n, 2)."""
    out = np.empty(len(p), dtype=np.bool_)
    for i in range(len(p)):
        out[i] = _line_is_free(p[i], q[i], blocked)
    return out


@dataclass(slots=True, eq=False)
class Joint:
    """A hole, pipe or tray: two end points in two spaces and what it costs in length to pass."""

    name: str
    kind: str  # "hole", "pipe" or "tray"
    ends: tuple[tuple[str, Array], tuple[str, Array]]
    length_mm: float
    passable: bool
    needs_edging: bool


@dataclass(slots=True, eq=False)
class Ways:
    """All patches and joints of a boat with its gear in place."""

    patches: dict[FaceKey, Patch]
    joints: list[Joint]
    by_space: dict[str, list[Patch]] = field(default_factory=dict)


def keep_off_mm(hazard: Hazard) -> float:
    """The distance cable keeps from a hazard: its own, or the usual one for its kind."""
    return KEEP_OFF_MM[hazard.kind] if hazard.keep_off_mm is None else hazard.keep_off_mm


def ways_of(boat: Boat, without: frozenset[str] = frozenset()) -> Ways:
    """The ways for cable in a boat.

    `without` leaves rules out, to tell what they cost: names of hazards, "SPACE.FACE" for closed
    surfaces, names of holes for bare edges that may not be edged.
    """
    patches: dict[FaceKey, Patch] = {}
    by_space: dict[str, list[Patch]] = {}
    for space in boat.spaces.values():
        mine = [
            _patch(boat, space, face, without)
            for face in FACES
            if face not in space.closed or f"{space.name}.{face}" in without
        ]
        by_space[space.name] = mine
        patches.update({p.key: p for p in mine})
    return Ways(patches, _joints(boat, without), by_space)


def _patch(boat: Boat, space: Space, face: str, without: frozenset[str]) -> Patch:
    axis, sign = FACES[face]
    u, v = (k for k in range(3) if k != axis)
    plane = space.high[axis] - space.clip_mm if sign > 0 else space.low[axis] + space.clip_mm
    low = np.array([space.low[u] + space.clip_mm, space.low[v] + space.clip_mm])
    high = np.array([space.high[u] - space.clip_mm, space.high[v] - space.clip_mm])
    rects, names = [], []

    def block(a: Array, b: Array, name: str, off: float) -> None:
        if a[axis] - off < plane + REACH_OFF_FACE_MM * (sign < 0) and b[
            axis
        ] + off > plane - REACH_OFF_FACE_MM * (sign > 0):
            r = (a[u] - off, b[u] + off, a[v] - off, b[v] + off)
            if r[1] > low[0] and r[0] < high[0] and r[3] > low[1] and r[2] < high[1]:
                rects.append(r)
                names.append(name)

    for s in boat.solids.values():
        if s.space == space.name:
            half = np.abs(s.rotation) @ s.half
            block(s.centre - half, s.centre + half, s.label, 0.0)
    for t in boat.things.values():
        if t.space == space.name:
            rest = t.at_rest()
            for c, h in zip(rest.centre_mm, rest.half_mm, strict=True):
                block(c - h, c + h, t.label, 0.0)
    for z in boat.hazards.values():
        near = z.space == space.name or z.kind in (
            "hot",
            "compass",
            "heading sensor",
            "radio aerial",
        )
        if near and z.name not in without:
            block(z.low, z.high, z.label, keep_off_mm(z))
    for o in boat.openings.values():
        if space.name in (o.inner, o.outer) and o.axis == axis:
            here = o.sign if o.inner == space.name else -o.sign
            if here == sign:
                half = np.zeros(3)
                half[u], half[v] = o.size / 2
                block(o.centre - half - 1, o.centre + half + 1, o.label, 15.0)
    return Patch(
        (space.name, axis, sign),
        axis,
        float(plane),
        low,
        high,
        np.array(rects).reshape(-1, 4),
        names,
    )


def _joints(boat: Boat, without: frozenset[str]) -> list[Joint]:
    out = []
    for h in boat.holes.values():
        a, b = h.spaces
        wall = 10.0 if b == OUTSIDE else _wall_between(boat, h.at, a, b)
        ok = h.edge != "bare" or h.may_edge or h.name in without
        out.append(Joint(h.name, "hole", ((a, h.at), (b, h.at)), wall, ok, h.edge == "bare"))
    for p in boat.pipes.values():
        out.append(
            Joint(
                p.name, "pipe", ((p.spaces[0], p.at), (p.spaces[1], p.to)), p.length_mm, True, False
            )
        )
    for t in boat.trays.values():
        out.append(
            Joint(
                t.name,
                "tray",
                ((t.spaces[0], t.at), (t.spaces[1], t.to)),
                float(np.linalg.norm(t.to - t.at)),
                True,
                False,
            )
        )
    return out


def _wall_between(boat: Boat, at: Array, a: str, b: str) -> float:
    """Distance from a hole on the first space to the second one's nearest point: the wall's depth."""
    s = boat.spaces[b]
    del a
    return float(np.linalg.norm(at - np.clip(at, s.low, s.high)))


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
