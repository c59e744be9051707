"""The leads of a terminal: how a cable leaves it, straight out for its lug and then with a bend of
its least radius, to the faces of the space.

What there is no room for is given up step by step, and said: first rooms that gear needs, then part
of the bend, part of the lug, a hole through the board's own plate.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.boat.faces import FACES
from layout.boat.parts import Space, Terminal
from layout.geometry.frames import Array, Ints
from layout.known import Known, always, mark
from routing.ways.distances import (
    CLEAR_MM,
    FARTHEST_FACE_MM,
    LONGEST_FREE_LEG_MM,
    NEARER_MM,
)
from routing.ways.lead_search import Around, Wanted, leads_to_faces
from routing.ways.obstacles import Kind, Obstacles, meets
from routing.ways.ways import FaceKey, Ways, feet

HANG_COST: Final = 1.3  # a hanging millimetre is worth so many on a face: fitters clip close
BEND_COST_MM: Final = 40.0
AXIS: Final = 1 - 1e-9
MOST_MARKS: Final = 28
MOST_TURNS_AT: Final = 8
AXIS_TURNS: Final = (1, 2)  # turns after the first: few first
AT_MOUTH_MM: Final = 20.0  # beside a mouth: cable turns on to the face it is in
MOUTH_RADII: Final = 2.5  # a bend at a mouth where its own face is taken: a mean cable's
MOST_KEPT: Final = 20_000  # kept: of a few boats, with each rule left out in turn
MOUNTED_MM: Final = 12.0  # a terminal this near the face it points into comes out of its foot


@dataclass(frozen=True, slots=True)
class Stop:
    """An end of a route: a point in a space (or outside), and how a cable leaves it.

    `out` is None where it may leave any way. `lug_mm` lies straight out of it, then a bend of
    `radius_mm`; `own` is the part it belongs to; no more than `limit_mm` hangs free.
    """

    space: str
    at: tuple[float, float, float]
    out: tuple[float, float, float] | None = None
    own: str = ""
    od_mm: float = 0.0
    lug_mm: float = 0.0
    radius_mm: float = 0.0
    limit_mm: float = LONGEST_FREE_LEG_MM

    @classmethod
    def of(cls, space: str, terminal: Terminal) -> "Stop":
        """The bare place of a terminal."""
        x, y, z = (float(v) for v in terminal.at)
        return cls(space, (x, y, z))


@dataclass(frozen=True, slots=True)
class GivenUp:
    """What a lead had no room for: the radius and lug it has, and what it passes through."""

    radius_mm: float
    lug_mm: float
    through: tuple[str, ...] = ()
    hangs_mm: float = 0.0  # over its limit: it needs a support of its own
    under_foot: bool = False  # it comes out of the face its gear is screwed on


@dataclass(frozen=True, slots=True, eq=False)
class Lead:
    """A way from a terminal to a face: its points from the terminal, (n, 3)."""

    points: Array
    face: FaceKey
    length_mm: float
    given_up: GivenUp | None = None


KEPT: Final[Known[tuple[Lead, ...]]] = Known(MOST_KEPT)


@dataclass(frozen=True, slots=True)
class _Rung:
    lug: float
    radius: float
    rooms: bool = True
    plate: bool = True
    straight: bool = True


RUNGS: Final = (
    _Rung(1.0, 1.0),
    _Rung(1.0, 1.0, rooms=False),
    _Rung(1.0, 0.6),
    _Rung(1.0, 0.3),
    _Rung(0.6, 0.3),
    _Rung(1.0, 1.0, rooms=False, plate=False),
    _Rung(0.6, 0.3, rooms=False),
    _Rung(0.2, 0.1, rooms=False),
    _Rung(0.1, 0.05, rooms=False, plate=False),
    _Rung(0.0, 0.0, rooms=False, plate=False, straight=False),
)


def leads_of(ways: Ways, stop: Stop) -> tuple[Lead, ...]:
    """The ways from a stop to the faces of its space, those with the least given up.

    Where the space is as it was, on another boat or with a rule left out elsewhere, so are they.
    """
    key = mark(ways.mark_of(stop.space), stop)
    return KEPT.of(key, lambda: tuple(_found(ways, stop)), always)


def _found(ways: Ways, stop: Stop) -> list[Lead]:
    space = ways.boat.spaces[stop.space]
    if _under_foot(space, stop):
        return _from_its_foot(ways, stop)
    at = np.array(stop.at)
    reach = max(stop.limit_mm, FARTHEST_FACE_MM)
    near = ways.obstacles(stop.space).near(at - reach, at + reach)
    kept, through = as_near_as(near, at, stop.od_mm / 2)
    for rung in RUNGS:
        for limit in dict.fromkeys((stop.limit_mm, max(stop.limit_mm, FARTHEST_FACE_MM))):
            found = _search(ways, space, stop, kept, rung, limit)
            if found:
                return [_told(x, stop, rung, kept, through, limit) for x in found]
    return []


def _told(
    lead: Lead, stop: Stop, rung: _Rung, kept: Obstacles, through: tuple[str, ...], limit: float
) -> Lead:
    """A lead with what was given up for it, if anything was."""
    met = list(through)
    if not rung.rooms or not rung.plate:
        met += _passed(lead.points, kept, stop)
    whole = rung.lug == 1.0 and rung.radius == 1.0
    if whole and not met and limit <= stop.limit_mm:
        return lead
    hangs = lead.length_mm if limit > stop.limit_mm else 0.0
    told = GivenUp(
        stop.radius_mm * rung.radius, stop.lug_mm * rung.lug, tuple(dict.fromkeys(met)), hangs
    )
    return Lead(lead.points, lead.face, lead.length_mm, told)


def as_near_as(
    near: Obstacles, at: Array, r: float, least: Kind = Kind.OPENING
) -> tuple[Obstacles, tuple[str, ...]]:
    """Obstacles for a cable from a place that may stand where cable should not go.

    What it stands in, of kinds from `least` on, is kept off as far as the place itself is from it,
    and told: (obstacles, their keys).
    """
    held = near.holding(at, r) & (near.kind >= least)
    local = np.einsum("nji,nj->ni", near.rotation, at - near.centre)
    gap = np.max(np.abs(local) - near.half, axis=1)  # along the axis that parts them the most
    off = np.where(held, gap - r - NEARER_MM, near.off)
    use = ~held | (gap - r > 0.0)
    changed = Obstacles(near.centre, near.half, near.rotation, off, near.kind, near.keys)
    told = (Kind.HAZARD, Kind.OPENING)
    stands_in = [
        k
        for k, yes, kind in zip(near.keys, held, near.kind, strict=True)
        if yes and kind in told and not k.startswith("solid:")
    ]
    return changed.only(use), tuple(stands_in)


def _passed(points: Array, kept: Obstacles, stop: Stop) -> list[str]:
    """The rooms and plates that a lead passes through."""
    out = []
    for k, key in enumerate(kept.keys):
        if kept.kind[k] not in (Kind.ROOM, Kind.PLATE) or _own_room(key, stop.own):
            continue
        one = slice(k, k + 1)
        box = (kept.centre[one], kept.half[one], kept.rotation[one], np.zeros(1))
        for p, q in zip(points, points[1:], strict=False):
            if meets(p, q, stop.od_mm / 2 - CLEAR_MM, *box) >= 0:
                out.append(key)
                break
    return out


def _own_room(key: str, own: str) -> bool:
    return bool(own) and key.startswith(f"room:{own}:")


def is_own(key: str, own: str) -> bool:
    """True for a box of the part a terminal belongs to."""
    return bool(own) and (key == own or key.startswith(f"{own}/"))


def _under_foot(space: Space, stop: Stop) -> bool:
    """True when a terminal points straight into a face of the space that is hard by it."""
    if stop.out is None:
        return False
    for axis in range(3):
        d = stop.out[axis]
        if abs(d) > AXIS:
            gap = space.high[axis] - stop.at[axis] if d > 0 else stop.at[axis] - space.low[axis]
            return bool(gap < MOUNTED_MM)
    return False


def _from_its_foot(ways: Ways, stop: Stop) -> list[Lead]:
    """A lead that comes out of its gear's foot: along the face it is screwed on."""
    at, out = np.array(stop.at), np.array(stop.out)
    axis = int(np.argmax(np.abs(out)))
    key = (stop.space, axis, 1 if out[axis] > 0 else -1)
    patch = ways.patches.get(key)
    if patch is None:
        return []
    foot = ways.nearest_free(patch, at)
    if foot is None:
        return []
    legs = np.array([at, foot])
    told = GivenUp(stop.radius_mm, stop.lug_mm, under_foot=True)
    return [Lead(legs, key, float(np.linalg.norm(foot - at)), told)]


def as_boxes(o: Obstacles) -> tuple[Array, Array, Array, Array]:
    """Middles, half sizes, rotations and distances as kernels take them."""
    return (
        np.ascontiguousarray(o.centre),
        np.ascontiguousarray(o.half),
        np.ascontiguousarray(o.rotation),
        np.ascontiguousarray(o.off),
    )


def _search(
    ways: Ways, space: Space, stop: Stop, kept: Obstacles, rung: _Rung, limit: float
) -> list[Lead]:
    """The best lead to each face at one rung."""
    own_room = np.array([_own_room(k, stop.own) for k in kept.keys], dtype=bool)
    use = ~own_room
    if not rung.rooms:
        use &= kept.kind != Kind.ROOM
    if not rung.plate:
        use &= kept.kind != Kind.PLATE
    bodies = kept.only(use)
    r = stop.od_mm / 2
    at = np.array(stop.at)
    bodies, plate = _on_plate(bodies, at, r)
    own = np.array([is_own(k, stop.own) for k in bodies.keys], dtype=bool)
    first = own if rung.straight and stop.out is not None else own | bodies.holding(at, r)
    ahead = bodies.only(~first)
    planes, open_, blocked, rows = _faces(ways, space)
    room = np.array([planes[0::2], planes[1::2]])
    around = Around(planes, open_, blocked, rows, as_boxes(bodies), as_boxes(ahead), plate, room)
    turn, lug = stop.radius_mm * rung.radius, stop.lug_mm * rung.lug
    marks, many = _marks(bodies, at, r, room)
    straight = stop.out is not None and rung.straight
    directions = [np.array(stop.out)] if straight else _any_way()
    rates = np.array([HANG_COST, BEND_COST_MM])
    best: dict[FaceKey, tuple[float, Lead]] = {}
    for most in AXIS_TURNS:
        for d in directions:
            axis = int(np.argmax(np.abs(d))) if np.abs(d).max() > AXIS else -1
            turns = _turns_at(marks, many, at, d, axis, lug + turn)
            wanted = Wanted(at, d, turns, axis, 2 * turn, limit, rates, marks, many, r, most)
            cost, points, counts = leads_to_faces(wanted, around)
            for f in range(6):
                if counts[f] > 0:
                    p = points[f, : counts[f]].copy()
                    key = (stop.space, f // 2, 1 if f % 2 else -1)
                    mm = float(np.linalg.norm(np.diff(p, axis=0), axis=1).sum())
                    if key not in best or cost[f] < best[key][0]:
                        best[key] = (float(cost[f]), Lead(p, key, mm))
        if best:
            break
    return [lead for _, lead in sorted(best.values(), key=lambda x: (x[0], x[1].face))]


def _any_way() -> list[Array]:
    return [s * np.eye(3)[k] for k in range(3) for s in (1.0, -1.0)]


def _on_plate(bodies: Obstacles, at: Array, r: float) -> tuple[Obstacles, Array]:
    """Bodies with the board's own plate as near as its terminal has it, and where cable lies on it.

    A terminal low over its plate has its cable lie on the plate from there.
    """
    plate = np.array([[1.0] * 3, [-1.0] * 3])
    off = bodies.off.copy()
    low, high = bodies.extents(0.0)
    for k in np.flatnonzero(bodies.kind == Kind.PLATE):
        thin = int(np.argmin(bodies.half[k]))
        local = bodies.rotation[k].T @ (at - bodies.centre[k])
        over = abs(local[thin]) - bodies.half[k][thin]
        beside = np.delete(np.abs(local) - bodies.half[k], thin)
        if np.all(beside < r + CLEAR_MM) and over < LONGEST_FREE_LEG_MM:
            off[k] = min(off[k], over - r - 0.1)
            lies = 2 * r + 2 * CLEAR_MM
            plate = np.array([low[k] - lies, high[k] + lies])
    changed = Obstacles(bodies.centre, bodies.half, bodies.rotation, off, bodies.kind, bodies.keys)
    return changed, plate


def _faces(ways: Ways, space: Space) -> tuple[Array, Ints, Array, Ints]:
    """(planes (6,), which are open (6,), blocked (n, 4), first row of each face (7,))."""
    planes, open_ = np.empty(6), np.zeros(6, dtype=np.int64)
    rects, rows = [], [0]
    for face in sorted(FACES, key=lambda f: (FACES[f][0], FACES[f][1])):
        axis, sign = FACES[face]
        k = 2 * axis + (sign > 0)
        off = ways.off_mm(space)
        planes[k] = space.high[axis] - off if sign > 0 else space.low[axis] + off
        patch = ways.patches.get((space.key, axis, sign))
        if patch is not None:
            open_[k] = 1
            rects.append(patch.blocked)
        rows.append(rows[-1] + (0 if patch is None else len(patch.blocked)))
    blocked = np.ascontiguousarray(np.concatenate([*rects, np.empty((0, 4))]))
    return planes, open_, blocked, np.array(rows)


def _marks(bodies: Obstacles, at: Array, r: float, room: Array) -> tuple[Array, Ints]:
    """Places for corners on each axis: just clear of what stands near; the nearest first kept."""
    low, high = bodies.extents(r + 0.5)
    out, many = np.zeros((3, MOST_MARKS)), np.zeros(3, dtype=np.int64)
    for k in range(3):
        places = np.unique(np.concatenate([low[:, k], high[:, k], room[:, k]]).round(1))
        places = places[(places >= room[0, k]) & (places <= room[1, k])]
        places = places[np.argsort(np.abs(places - at[k]), kind="stable")][:MOST_MARKS]
        out[k, : len(places)], many[k] = places, len(places)
    return out, many


def _turns_at(marks: Array, many: Ints, at: Array, d: Array, axis: int, least: float) -> Array:
    """How far straight out a cable may turn: as soon as it can, or just past what stands near."""
    if axis < 0:
        return np.array([least])
    t = (marks[axis, : many[axis]] - at[axis]) * d[axis]
    more = np.sort(t[t > least + 1.0])
    return np.concatenate([[least], more])[:MOST_TURNS_AT]


def mouth_leads(ways: Ways, space: str, at: Array) -> tuple[Lead, ...]:
    """The ways from the mouth of a hole, pipe or tray to the faces of a space.

    On to its own face, where that is free beside it; else straight in, and to the nearest face that
    can be reached.
    """
    key = mark(ways.mark_of(space), at)
    return KEPT.of(key, lambda: tuple(_from_mouth(ways, space, at)), always)


def _from_mouth(ways: Ways, space: str, at: Array) -> list[Lead]:
    near = min(feet(ways, space, at), key=lambda f: f[2], default=None)
    s = ways.boat.spaces[space]
    if near is not None and near[2] <= ways.off_mm(s) + AT_MOUTH_MM:
        patch, foot, leg = near
        return [Lead(np.array([at, foot]), patch.key, leg)]
    if ways.style.radius_mm == 0:  # bare ways: as the crow flies
        return [] if near is None else [Lead(np.array([at, near[1]]), near[0].key, near[2])]
    gaps = np.concatenate([at - s.low, s.high - at])
    side = int(np.argmin(np.abs(gaps)))
    inward = np.zeros(3)
    inward[side % 3] = 1.0 if side < 3 else -1.0
    out = (float(inward[0]), float(inward[1]), float(inward[2]))
    od = 2 * ways.style.radius_mm
    x, y, z = (float(v) for v in np.clip(at, s.low, s.high))
    found = leads_of(ways, Stop(space, (x, y, z), out, "", od, 0.0, MOUTH_RADII * od))
    room = any(lead.given_up is None or lead.given_up.radius_mm > 0 for lead in found)
    if room or near is None:
        return list(found)
    return [  # behind something fixed: as near as there is a face
        Lead(np.array([at, foot]), patch.key, leg, GivenUp(0.0, 0.0))
        for patch, foot, leg in feet(ways, space, at)
    ]
