"""Keeping data and aerial leads off power leads: what a way beside power costs, and what is left
of it; and pairs near a compass.
"""

from typing import Final

import numpy as np

from layout.boat.parts import Boat, Hazard
from layout.geometry.frames import Array
from layout.geometry.kernels import kernel
from routing.ways.graph import WayGraph
from routing.ways.routes import Route
from routing.ways.ways import FaceKey

APART_MM: Final = 300.0  # data from power in parallel: common practice
SQUARE_RAD: Final = np.deg2rad(60.0)  # a crossing steeper than this is taken as square enough
BESIDE_COST: Final = 50.0  # kept by force: a metre beside power is worth so many of detour
SAMPLES: Final = 7
LEAST_BESIDE_MM: Final = 100.0  # shorter stretches of power have no track kept off them
PAIR_NEAR_MM: Final = (
    1000.0  # a pair stays together this near a compass: common practice, about 1 m
)


Beside = dict[str, list[list[float]]]  # by space: coordinates of further tracks on each axis


def tracks_off(power: list[Route]) -> Beside:
    """Tracks in square spaces that keep a data lead as far off power as it is to be."""
    out: Beside = {}
    for route in power:
        for leg in route.legs:
            if leg.face is None or not leg.square or leg.length_mm < LEAST_BESIDE_MM:
                continue
            marks = out.setdefault(leg.where, [[], [], []])
            for k in range(3):
                if k != leg.face[1] and abs(leg.points[0][k] - leg.points[-1][k]) < 1e-6:
                    x = float(leg.points[0][k])
                    marks[k] += [x - APART_MM - 1.0, x + APART_MM + 1.0]
    return {space: [sorted(set(m)) for m in marks] for space, marks in out.items()}


def weights(graph: WayGraph, power: list[Route]) -> Array:
    """Cost in mm of every edge of the graph for a data lead, (m,): its length, dearer beside
    power.
    """
    out = graph.cost.copy()
    legs = _by_face(power)
    for k, key in enumerate(graph.face_names):
        near = legs.get(key)
        on = np.flatnonzero(graph.edge_face == k)
        if near is None or not len(on):
            continue
        patch = graph.ways.patches[key]
        p, q = (
            patch.flat(graph.points[graph.ends[on, 0]]),
            patch.flat(graph.points[graph.ends[on, 1]]),
        )
        lines = np.array([[*patch.flat(a), *patch.flat(b)] for a, b in near])
        out[on] += BESIDE_COST * _beside(
            np.ascontiguousarray(p), np.ascontiguousarray(q), lines, APART_MM, np.cos(SQUARE_RAD)
        )
    return out


def beside_power_mm(route: Route, power: list[Route], graph: WayGraph) -> dict[str, float]:
    """How much of a route runs within 300 mm of power on the same face and not square to it, by
    space.
    """
    legs = _by_face(power)
    out: dict[str, float] = {}
    for leg in route.legs:
        near = legs.get(leg.face) if leg.face is not None else None
        if leg.face is None or near is None:
            continue
        patch = graph.ways.patches[leg.face]
        lines = np.array([[*patch.flat(a), *patch.flat(b)] for a, b in near])
        found = float(
            _beside(
                patch.flat(leg.points[:1]),
                patch.flat(leg.points[1:]),
                lines,
                APART_MM,
                np.cos(SQUARE_RAD),
            )[0]
        )
        out[leg.where] = out.get(leg.where, 0.0) + found
    return out


def _by_face(power: list[Route]) -> dict[FaceKey, list[tuple[Array, Array]]]:
    out: dict[FaceKey, list[tuple[Array, Array]]] = {}
    seen: set[tuple[float, ...]] = set()
    for route in power:
        for leg in route.legs:
            ends = tuple(float(v) for v in leg.points.round(1).ravel())
            if leg.face is not None and ends not in seen:
                seen.add(ends)
                out.setdefault(leg.face, []).append((leg.points[0], leg.points[1]))
    return out


def near_sensor(boat: Boat, route: Route) -> Hazard | None:
    """The first compass or heading sensor a route comes within the pair distance of."""
    for hazard in boat.hazards.values():
        if hazard.kind not in ("compass", "heading sensor"):
            continue
        for leg in route.legs:
            points = np.linspace(leg.points[0], leg.points[-1], max(2, int(leg.length_mm / 100)))
            gap = np.maximum(np.maximum(hazard.low - points, points - hazard.high), 0.0)
            if bool(np.any(np.linalg.norm(gap, axis=1) < PAIR_NEAR_MM)):
                return hazard
    return None


@kernel
def _beside(p: Array, q: Array, lines: Array, apart: float, cosine: float) -> Array:
    """Length of each piece p to q (n, 2) within `apart` of any line (m, 4) it is not square to."""
    out = np.zeros(len(p))
    for i in range(len(p)):
        dx, dy = q[i, 0] - p[i, 0], q[i, 1] - p[i, 1]
        length = np.sqrt(dx * dx + dy * dy)
        if length < 1e-9:
            continue
        hits = 0
        for s in range(SAMPLES):
            t = (s + 0.5) / SAMPLES
            x, y = p[i, 0] + t * dx, p[i, 1] + t * dy
            for k in range(len(lines)):
                ex, ey = lines[k, 2] - lines[k, 0], lines[k, 3] - lines[k, 1]
                long = np.sqrt(ex * ex + ey * ey)
                if long < 1e-9 or abs(dx * ex + dy * ey) < cosine * length * long:
                    continue
                u = min(
                    1.0, max(0.0, ((x - lines[k, 0]) * ex + (y - lines[k, 1]) * ey) / (long * long))
                )
                ax, ay = x - lines[k, 0] - u * ex, y - lines[k, 1] - u * ey
                if ax * ax + ay * ay < apart * apart:
                    hits += 1
                    break
        out[i] = length * hits / SAMPLES
    return out
