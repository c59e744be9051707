"""What a cable touches as it lies: the line with its bends, as thick as it is, beside every box.

A way over faces and straight pieces keeps clear by its making; a bend cuts a corner, and a lead
that had no room may touch. Both are looked at here, along the whole line, and told.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.boat.parts import OUTSIDE
from layout.geometry.frames import Array
from routing.circuits.circuits import End
from routing.ways.bends import MOUTHS, smooth
from routing.ways.leads import is_own
from routing.ways.obstacles import Kind, Obstacles
from routing.ways.polylines import cornered, from_polyline
from routing.ways.routes import Leg, Route
from routing.ways.ways import Ways

TOLD_FROM_MM: Final = 1.0  # less is within what any clip gives
STEP_MM: Final = 12.0
GIVEN_LUG_MM: Final = 10.0  # less than any lug: it is told to have no room
NEAR_END_MM: Final = 20.0  # a cable may touch the part it ends on so far from its terminal
BY_MOUTH_MM: Final = 60.0  # and the face a hole is in so far from the hole


@dataclass(frozen=True, slots=True)
class Touch:
    """Where a cable comes nearer to something than it should, at its worst."""

    key: str
    mm: float  # how much too near
    at: tuple[float, float, float]


def touches(
    ways: Ways, route: Route, od_mm: float, radius_mm: float, ends: tuple[End, End]
) -> list[Touch]:
    """What a cable of a diameter and bend radius touches on its way, the worst first."""
    line, along = _sampled(smooth(route, radius_mm))
    spaces = _spaces(route, line)
    worst: dict[str, Touch] = {}
    for space in sorted({s for s in spaces if s}):
        boxes = ways.obstacles(space)
        on = np.array([s == space for s in spaces])
        if len(boxes.keys) and on.any():
            for touch in _in_space(boxes, line[on], along[on], along[-1], route, od_mm, ends):
                if touch.key not in worst or worst[touch.key].mm < touch.mm:
                    worst[touch.key] = touch
    return sorted(worst.values(), key=lambda t: (-t.mm, t.key))


def _sampled(line: Array) -> tuple[Array, Array]:
    """(points every few millimetres, how far along each is)."""
    steps = np.linalg.norm(np.diff(line, axis=0), axis=1)
    length = np.concatenate([[0.0], np.cumsum(steps)])
    t = np.unique(np.concatenate([length, np.arange(0.0, length[-1], STEP_MM)]))
    return np.column_stack([np.interp(t, length, line[:, k]) for k in range(3)]), t


def _spaces(route: Route, line: Array) -> list[str]:
    """The space each point of the line is in: that of the nearest leg; none within a wall."""
    parts: list[tuple[str, list[Array]]] = []
    for leg in route.legs:
        name = route.spaces[0] if leg.kind == "board" else _name(leg)
        if not parts or parts[-1][0] != name:
            parts.append((name, [leg.points[0]]))
        parts[-1][1].extend(leg.points[1:])
    if len(parts) == 1:
        return [parts[0][0]] * len(line)
    away = np.array([from_polyline(line, cornered(np.array(points))) for _, points in parts])
    return [parts[k][0] for k in away.argmin(axis=0)]


def _in_space(
    boxes: Obstacles,
    line: Array,
    along: Array,
    length: float,
    route: Route,
    od_mm: float,
    ends: tuple[End, End],
) -> list[Touch]:
    boxes = boxes.near(line.min(axis=0) - od_mm, line.max(axis=0) + od_mm)
    local = np.einsum("bji,nbj->nbi", boxes.rotation, line[:, None, :] - boxes.centre[None])
    gap = np.linalg.norm(np.maximum(np.abs(local) - boxes.half[None], 0.0), axis=2)
    hard = (boxes.kind == Kind.BODY) | (boxes.kind == Kind.PLATE)
    off = np.where(hard, 0.0, boxes.off)  # a body may be passed closely, but not be touched
    off = np.where(boxes.kind == Kind.CLOSED, 0.0, off)
    deep = od_mm / 2 + off - gap
    mouths = [
        p for leg in route.legs if leg.kind in MOUTHS for p in (leg.points[0], leg.points[-1])
    ]
    by_mouth = np.zeros(len(line), dtype=bool)
    for mouth in mouths:
        by_mouth |= np.linalg.norm(line - mouth, axis=1) < BY_MOUTH_MM
    out = []
    for b, key in enumerate(boxes.keys):
        if boxes.kind[b] in (Kind.ROOM, Kind.OPENING):
            continue
        mine = deep[:, b].copy()
        if boxes.kind[b] == Kind.CLOSED:  # a hole in it leads through it
            mine[by_mouth] = -np.inf
        both = ((ends[0], along, route.legs[0]), (ends[1], length - along, route.legs[-1]))
        for end, far, leg in both:
            mine[far < _may_touch_mm(key, end, leg)] = -np.inf
        k = int(np.argmax(mine))
        if mine[k] > TOLD_FROM_MM:
            x, y, z = (float(v) for v in line[k])
            out.append(Touch(key, float(mine[k]), (x, y, z)))
    return out


def _may_touch_mm(key: str, end: End, leg: Leg) -> float:
    """How far from an end a cable may touch a thing: its own part at its terminal; along the whole
    lead its board's plate, and what was told to be given up.
    """
    told = leg.given_up
    given = told is not None and (told.under_foot or told.lug_mm < GIVEN_LUG_MM)
    if told is not None and (key in told.through or (given and is_own(key, end.place))):
        return leg.length_mm + NEAR_END_MM
    if _own_plate(key, end):
        return leg.length_mm + NEAR_END_MM
    return NEAR_END_MM if is_own(key, end.place) else 0.0


def _own_plate(key: str, end: End) -> bool:
    return end.piece.is_board and key == f"{end.piece.key}.plate"


def _name(leg: Leg) -> str:
    if leg.kind in ("hole", "pipe", "tray"):
        return ""
    return OUTSIDE if leg.kind == "outside" else leg.where
