"""Where a body point can be beyond a gate: places, and slabs of heights with one set of layers."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from layout.passage.problem import Problem
from layout.passage.proof.gates import at_door
from layout.passage.proof.layers import NOTHING_MM, layers_round, matter_near, seeds_in
from layout.passage.proof.moment import BALL_SHARE, Moment
from layout.passage.proof.turns import Layers

THICKEST_MM: Final = 60.0
Place = tuple[float, float, NDArray[np.bool_]]


@dataclass(frozen=True, slots=True, eq=False)
class Slab:
    """Heights [low, high] q may have, and the layers of room round them, in the hull frame."""

    low: float
    high: float
    layers: Layers


def beyond(moment: Moment, problem: Problem) -> list[Place] | None:
    """Where q can be after its last time on the gate; None when that has no bounds.

    Each place is (low, high, cells over the other two axes).
    """
    cells, gate, axis = moment.cells, moment.gate, moment.gate.axis
    free = np.moveaxis(cells.free, axis, 0).copy()
    e = cells.edges[axis]
    i0, i1 = int(np.searchsorted(e, gate.low[axis])), int(np.searchsorted(e, gate.high[axis]))
    free[i0:i1] &= ~gate.piece
    parts, _ = ndimage.label(free)
    goal = cells.index_of(problem.goal.at_mm + problem.goal.rotation @ moment.q_body)
    start = cells.index_of(problem.start.at_mm + problem.start.rotation @ moment.q_body)
    order = (axis, *(k for k in range(3) if k != axis))
    at, of = tuple(goal[k] for k in order), tuple(start[k] for k in order)
    if parts[at] == 0 or parts[at] == parts[of]:
        return None
    region = parts == parts[at]
    ball = BALL_SHARE * moment.inner_mm + problem.clearance_mm
    hull_order = np.moveaxis(region, 0, axis)
    if any(hull_order[at_door(cells, d, ball)].any() for d in problem.doors if d.passes(ball)):
        return None  # it could go out by another opening and turn there
    if any(region.take(end, axis=k).any() for k in range(3) for end in (0, -1)):
        return None
    under, over = bool((region[i0 - 1] & gate.piece).any()), bool((region[i1] & gate.piece).any())
    if under == over:
        return None
    band = (float(e[i0]), moment.cut_mm) if under else (moment.cut_mm, float(e[i1]))
    out = [(float(e[k]), float(e[k + 1]), region[k]) for k in range(len(region)) if region[k].any()]
    return [*out, (*band, gate.piece)] if band[1] > band[0] + 1e-9 else out


def slabs_of(moment: Moment, problem: Problem, places: list[Place]) -> list[Slab] | None:
    """The places cut into slabs with one set of layers each; None when there are too many cells."""
    axis, reach, dirs = moment.gate.axis, moment.reach_mm, moment.held.dirs
    u, v = (k for k in range(3) if k != axis)
    box_low, box_high = np.empty(3), np.empty(3)
    box_low[axis], box_high[axis] = min(p[0] for p in places), max(p[1] for p in places)
    some = np.any([p[2] for p in places], axis=0)
    for k, along in ((u, 1), (v, 0)):
        on = np.flatnonzero(some.any(axis=along))
        box_low[k], box_high[k] = moment.cells.edges[k][on[0]], moment.cells.edges[k][on[-1] + 1]
    matter = matter_near(problem, box_low, box_high, reach)
    if matter is None:
        return None
    e = matter.edges[axis]
    out: list[Slab] = []
    for z1, z2, mask in places:
        seed = seeds_in(matter, moment.cells, mask, u, v)
        marks = [z1, *(float(x) for x in e if z1 < x < z2), z2]
        for p, q in zip(marks, marks[1:], strict=False):
            count = max(1, int(np.ceil((q - p) / THICKEST_MM)))
            middle = int(np.searchsorted(e, (p + q) / 2, side="right")) - 1
            here = seed & np.moveaxis(matter.free, axis, 0)[middle]
            layers = (
                layers_round(matter, axis, here, middle, p, q, reach, dirs)
                if here.any()
                else _no_room(p, q, len(dirs))
            )
            steps = np.linspace(p, q, count + 1)
            out += [
                Slab(float(x), float(y), layers) for x, y in zip(steps, steps[1:], strict=False)
            ]
    return out


def _no_room(low: float, high: float, dirs: int) -> Layers:
    """The layers where q cannot be at all: one, with less than no room."""
    return Layers(
        np.array([low]),
        np.array([high]),
        np.array([False]),
        np.full((1, dirs), -NOTHING_MM),
        np.full((1, dirs), NOTHING_MM),
    )
