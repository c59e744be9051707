"""Square boxes inside sloping ones, as treads lie in a stair: a proof cut along square faces then
feels a side that leans in.

A box that is turned about one hull axis alone is cut across in bands; the square box that lies in
it all over a band is a tread. Treads lie wholly inside matter, so what they block is blocked.
"""

from dataclasses import replace
from typing import Final, NamedTuple

import numpy as np

from layout.geometry.frames import Array
from layout.geometry.shapes import BoxSet
from layout.passage.problem import Problem

SQUARE: Final = 1e-9
BAND_MM: Final = 40.0  # how high a tread is, where there are few enough of them
MOST_TREADS: Final = 24  # of all boxes together: more would cut space too fine
LEAST_MM: Final = 0.5  # thinner treads are left out
INSIDE_MM: Final = 1e-6  # a tread keeps this far from the sloping faces: above all rounding


class Tread(NamedTuple):
    """A square box inside a turned one: the row of that box among all matter, low and high
    corner.
    """

    row: int
    low: Array
    high: Array


def treads_of(problem: Problem) -> list[Tread]:
    """Treads of every sloping box near the way between start and goal."""
    matter = problem.matter
    ends = np.array([problem.start.at_mm, problem.goal.at_mm])
    low, high = ends.min(axis=0) - problem.radius_mm, ends.max(axis=0) + problem.radius_mm
    sloping = [
        (row, axis)
        for row in range(len(matter))
        if (axis := _level_axis(matter.rotation[row])) is not None
        and np.all(_extents(matter, row)[1] > low)
        and np.all(_extents(matter, row)[0] < high)
    ]
    if not sloping:
        return []
    most = max(2, MOST_TREADS // len(sloping))
    return [t for row, axis in sloping for t in _cut(matter, row, axis, low, high, most)]


def stepped(problem: Problem, treads: list[Tread]) -> Problem:
    """The same question with treads among the fixed boxes."""
    if not treads:
        return problem
    centre = np.array([(t.low + t.high) / 2 for t in treads])
    half = np.array([(t.high - t.low) / 2 for t in treads])
    names = tuple(problem.matter.names[t.row] for t in treads)

    def more(b: BoxSet) -> BoxSet:
        turn = np.concatenate([b.rotation, np.tile(np.eye(3), (len(treads), 1, 1))])
        return BoxSet.checked(
            np.concatenate([b.centre_mm, centre]),
            np.concatenate([b.half_mm, half]),
            turn,
            (*b.names, *names),
        )

    room = None if problem.room is None else more(problem.room)
    return replace(problem, fixed=more(problem.fixed), room=room)


def kept_treads(treads: list[Tread]) -> dict[str, object]:
    """Treads as a proof keeps them."""
    return {
        "tread_row": np.array([t.row for t in treads], dtype=np.int64),
        "tread_low_mm": np.array([t.low for t in treads]),
        "tread_high_mm": np.array([t.high for t in treads]),
    }


def _extents(boxes: BoxSet, row: int) -> tuple[Array, Array]:
    reach = np.abs(boxes.rotation[row]) @ boxes.half_mm[row]
    return boxes.centre_mm[row] - reach, boxes.centre_mm[row] + reach


def _level_axis(r: Array) -> int | None:
    """The one hull axis a turned box's own axis lies along; None for square and twisted boxes."""
    along = np.flatnonzero((np.abs(r) > 1 - SQUARE).any(axis=1))
    return int(along[0]) if len(along) == 1 else None


def _cut(boxes: BoxSet, row: int, axis: int, low: Array, high: Array, most: int) -> list[Tread]:
    """Treads of one box, stacked along the hull axis that its broad side runs along."""
    u, v = (k for k in range(3) if k != axis)
    r, h, c = boxes.rotation[row], boxes.half_mm[row], boxes.centre_mm[row]
    own = [m for m in range(3) if abs(r[axis, m]) < 1 - SQUARE]
    broad = max(own, key=lambda m: h[m])
    along, across = (u, v) if abs(r[u, broad]) > abs(r[v, broad]) else (v, u)
    box_low, box_high = _extents(boxes, row)
    begin, end = max(box_low[along], low[along]), min(box_high[along], high[along])
    count = int(np.clip(np.ceil((end - begin) / BAND_MM), 1, most))
    marks = np.linspace(begin, end, count + 1)
    edges = c[along] + np.array([a * r[along, own[0]] * h[own[0]] for a in (-1, 1)])[:, None]
    edges = (edges + np.array([b * r[along, own[1]] * h[own[1]] for b in (-1, 1)])).ravel()
    inner = edges[(edges > begin) & (edges < end)]
    marks = np.unique(np.round([*marks, *inner], 3))  # neighbours meet without a seam
    spans = [_span(r, h, c, own, along, across, float(z)) for z in marks]
    out = []
    for z0, z1, one, two in zip(marks, marks[1:], spans, spans[1:], strict=False):
        if one is None or two is None:
            continue
        near, far = max(one[0], two[0]) + INSIDE_MM, min(one[1], two[1]) - INSIDE_MM
        if far - near < LEAST_MM:
            continue
        t_low, t_high = box_low.copy(), box_high.copy()
        t_low[along], t_high[along] = z0, z1
        t_low[across], t_high[across] = near, far
        if np.all(t_high > t_low):
            out.append(Tread(row, t_low, t_high))
    return out


def _span(
    r: Array, h: Array, c: Array, own: list[int], along: int, across: int, z: float
) -> tuple[float, float] | None:
    """From where to where a turned rectangle reaches across at one height, or None off its ends."""
    near, far = -np.inf, np.inf
    for m in own:  # |r[along, m] (z - c) + r[across, m] (y - c)| <= h
        slope, off = r[across, m], r[along, m] * (z - c[along])
        if abs(slope) < SQUARE:
            if abs(off) > h[m]:
                return None
            continue
        ends = sorted(((-h[m] - off) / slope, (h[m] - off) / slope))
        near, far = max(near, ends[0]), min(far, ends[1])
    return (c[across] + near, c[across] + far) if far > near else None
