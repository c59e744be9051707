"""The fixed boxes a thing meets on its way: walls with their holes, solids, gear already fitted.

An opening's rounded corners are covered by steps. From outside (`Cover.OUTER`, used to prove that
something goes in) the steps take in a little of the true opening; from inside (`Cover.INNER`, used
to prove that it cannot) a little less than the true material.
"""

from dataclasses import dataclass
from enum import Enum
from typing import Final

import numpy as np

from layout.boat.parts import OUTSIDE, Boat, Opening, Space, Thing
from layout.geometry.frames import Array
from layout.passage.problem import BoxSet

CORNER_STEPS: Final = 6
TAPER_STEPS: Final = 3
OUTSIDE_REACH_MM: Final = 1500.0  # how far the deck round an outside opening is modelled


class Cover(Enum):
    """Which side of a rounded corner the steps stay on."""

    OUTER = "outer"
    INNER = "inner"


@dataclass(slots=True)
class _Rows:
    """Boxes being gathered, as low and high corners with names, and turned ones."""

    low: list[Array]
    high: list[Array]
    names: list[str]

    def add(self, low: Array, high: Array, name: str) -> None:
        if np.all(high - low > 1e-6):
            self.low.append(low.copy())
            self.high.append(high.copy())
            self.names.append(name)


def corner_cover_error_mm(radius_mm: float, steps: int = CORNER_STEPS) -> float:
    """Greatest distance between the true corner arc and its outer cover.

    The arc is cut at even angles; a step's inner corner stands off the arc by at most this.

    >>> round(corner_cover_error_mm(40.0), 1)
    5.4
    """
    a = np.linspace(0, np.pi / 2, steps + 1)
    x, y = radius_mm * (1 - np.sin(a)), radius_mm * (1 - np.cos(a))
    worst = 0.0
    for k in range(steps):
        corner = np.array([max(x[k], x[k + 1]), max(y[k], y[k + 1])])
        worst = max(
            worst, radius_mm - float(np.hypot(radius_mm - corner[0], radius_mm - corner[1]))
        )
    return worst


def corner_steps(radius_mm: float, cover: Cover) -> list[tuple[float, float]]:
    """Rectangles from the square corner, (along u, along v), whose union covers the material.

    Outer: the union holds the whole of the material; inner: it lies within the material.
    """
    a = np.linspace(0, np.pi / 2, CORNER_STEPS + 1)
    u = radius_mm * (1 - np.sin(a))  # from radius down to 0
    v = radius_mm * (1 - np.cos(a))  # from 0 up to radius
    if cover is Cover.OUTER:
        return [
            (float(u[k]), float(v[k + 1])) for k in range(CORNER_STEPS) if u[k] > 0 and v[k + 1] > 0
        ]
    return [(float(u[k]), float(v[k])) for k in range(1, CORNER_STEPS)]


def wall_boxes(
    space: Space,
    holes: dict[tuple[int, int], list[Opening]],
    cover: Cover,
    rows: _Rows,
    skip: set[tuple[int, int]],
) -> None:
    """Add the six sides of a space; `holes` maps (axis, sign) to the openings cut there."""
    for axis in (2, 1, 0):
        for sign in (-1, 1):
            if (axis, sign) in skip:
                continue
            here = holes.get((axis, sign), [])
            thick = max([space.wall_mm, *(o.throat_mm for o in here)])
            low, high = space.low.copy(), space.high.copy()
            spread = [k for k in range(3) if k < axis]
            reach = max(thick, space.wall_mm)
            for k in spread:  # z sides cover the edges of x and y sides, y sides those of x
                low[k] -= reach
                high[k] += reach
            if any(o.outer == OUTSIDE and o.inner == space.name for o in here):
                for k in range(3):
                    if k != axis:
                        low[k] -= OUTSIDE_REACH_MM if k in spread or axis == 2 else 0
                        high[k] += OUTSIDE_REACH_MM if k in spread or axis == 2 else 0
            if sign > 0:
                low[axis], high[axis] = space.high[axis], space.high[axis] + thick
            else:
                low[axis], high[axis] = space.low[axis] - thick, space.low[axis]
            name = f"{space.label}, {_side(axis, sign)}"
            _cut(low, high, axis, here, cover, name, rows)


def _side(axis: int, sign: int) -> str:
    return {
        (0, -1): "aft side",
        (0, 1): "forward side",
        (1, -1): "starboard side",
        (1, 1): "port side",
        (2, -1): "floor",
        (2, 1): "top",
    }[axis, sign]


def _cut(
    low: Array,
    high: Array,
    axis: int,
    openings: list[Opening],
    cover: Cover,
    name: str,
    rows: _Rows,
) -> None:
    """Add a slab with holes: cut into strips at every hole's ends, each strip less its holes."""
    if not openings:
        rows.add(low, high, name)
        return
    u, v = (k for k in range(3) if k != axis)
    spans = [
        (
            o,
            *(o.centre[u] + s * o.size[0] / 2 for s in (-1, 1)),
            *(o.centre[v] + s * o.size[1] / 2 for s in (-1, 1)),
        )
        for o in openings
    ]
    marks = np.unique(
        np.clip([low[u], high[u], *(x for span in spans for x in span[1:3])], low[u], high[u])
    )
    for a, b in zip(marks, marks[1:], strict=False):
        here = sorted(
            (span for span in spans if span[1] < (a + b) / 2 < span[2]),
            key=lambda span: float(span[3]),
        )
        strip_low, strip_high = low.copy(), high.copy()
        strip_low[u], strip_high[u] = a, b
        if not here:
            nearest = min(spans, key=lambda span: min(abs(span[1] - b), abs(span[2] - a)))
            rows.add(
                strip_low,
                strip_high,
                _edge_name(nearest[0], u, 1 if a >= nearest[2] - 1e-9 else -1),
            )
            continue
        at = low[v]
        for o, _, _, v0, v1 in here:
            piece_low, piece_high = strip_low.copy(), strip_high.copy()
            piece_low[v], piece_high[v] = at, v0
            rows.add(piece_low, piece_high, _edge_name(o, v, -1))
            at = max(at, v1)
        strip_low[v] = at
        rows.add(strip_low, strip_high, _edge_name(here[-1][0], v, 1))
    for o in openings:
        _throat(o, low, high, cover, rows)


def _edge_name(o: Opening, axis: int, sign: int) -> str:
    word = {
        (0, -1): "aft",
        (0, 1): "forward",
        (1, -1): "starboard",
        (1, 1): "port",
        (2, -1): "lower",
        (2, 1): "upper",
    }[axis, sign]
    return f"{word} edge of {o.label}"


def _throat(o: Opening, low: Array, high: Array, cover: Cover, rows: _Rows) -> None:
    """Add rounded corners and the taper inside an opening's throat, layer by layer."""
    u, v = o.others
    taper = bool(np.any(np.abs(o.inner_size - o.size) > 1e-9))
    layers = TAPER_STEPS if taper else 1
    for k in range(layers):
        a_low, a_high = low.copy(), high.copy()
        depth = (high[o.axis] - low[o.axis]) / layers
        if o.sign > 0:
            a_low[o.axis], a_high[o.axis] = low[o.axis] + k * depth, low[o.axis] + (k + 1) * depth
        else:
            a_low[o.axis], a_high[o.axis] = high[o.axis] - (k + 1) * depth, high[o.axis] - k * depth
        ends = np.array(
            [o.inner_size + (o.size - o.inner_size) * t for t in (k / layers, (k + 1) / layers)]
        )
        size = ends.min(axis=0) if cover is Cover.OUTER else ends.max(axis=0)
        for axis, other, full, part in ((u, v, o.size[0], size[0]), (v, u, o.size[1], size[1])):
            del other
            for s in (-1, 1):
                if part < full - 1e-9:
                    b_low, b_high = a_low.copy(), a_high.copy()
                    b_low[u], b_high[u] = o.centre[u] - o.size[0] / 2, o.centre[u] + o.size[0] / 2
                    b_low[v], b_high[v] = o.centre[v] - o.size[1] / 2, o.centre[v] + o.size[1] / 2
                    edge = o.centre[axis] + s * part / 2
                    (b_low if s > 0 else b_high)[axis] = edge
                    rows.add(b_low, b_high, _edge_name(o, axis, s))
        if o.radius_mm > 0:
            for su in (-1, 1):
                for sv in (-1, 1):
                    for du, dv in corner_steps(o.radius_mm, cover):
                        c_low, c_high = a_low.copy(), a_high.copy()
                        cu, cv = o.centre[u] + su * size[0] / 2, o.centre[v] + sv * size[1] / 2
                        c_low[u], c_high[u] = sorted((cu, cu - su * du))
                        c_low[v], c_high[v] = sorted((cv, cv - sv * dv))
                        rows.add(c_low, c_high, f"rounded corner of {o.label}")


def fixed_boxes(
    boat: Boat,
    chain: tuple[Opening, ...],
    spaces: list[str],
    fitted: list[Thing],
    cover: Cover = Cover.OUTER,
    without: frozenset[str] = frozenset(),
) -> BoxSet:
    """Everything that stands still on a way through `chain` into `spaces`.

    Openings off the chain count as closed. `without` names removable solids that were taken off.
    """
    rows = _Rows([], [], [])
    holes: dict[str, dict[tuple[int, int], list[Opening]]] = {s: {} for s in spaces}
    for o in chain:
        holes[o.inner].setdefault((o.axis, o.sign), []).append(o)
        if o.outer in holes:
            holes[o.outer].setdefault((o.axis, -o.sign), []).append(o)
    for s in spaces:
        wall_boxes(boat.spaces[s], holes[s], cover, rows, set())
    centre = [(a + b) / 2 for a, b in zip(rows.low, rows.high, strict=True)]
    half = [(b - a) / 2 for a, b in zip(rows.low, rows.high, strict=True)]
    turns = [np.eye(3) for _ in rows.names]
    names = list(rows.names)
    for solid in boat.solids.values():
        if (solid.space in spaces or solid.space == OUTSIDE) and solid.name not in without:
            centre.append(solid.centre)
            half.append(solid.half)
            turns.append(solid.rotation)
            names.append(solid.label)
    for t in fitted:
        if t.space in spaces:
            here = t.at_rest()
            centre += list(here.centre_mm)
            half += list(here.half_mm)
            turns += list(here.rotation)
            names += [f"{t.label}: {n}" if n != t.label else n for n in here.names]
    return BoxSet.checked(centre, half, np.array(turns), tuple(names))
