"""Gates: the holes every way in must cross, found from the fixed boxes alone.

The fixed boxes that stand square are grown by less than the body's own thickness (a ball that
always lies inside the body cannot come nearer than its radius), all space is cut into cells along
their faces, and flat cuts of the free cells are tried: a connected piece of a cut whose removal
parts start from goal is a gate. Blocked space is never overstated, so a gate found is truly one.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from layout.geometry.frames import Array
from layout.passage.problem import Door

MAX_CELLS: Final = 150_000
SQUARE: Final = 1e-9
SEAM_DIGITS: Final = 6  # faces closer than 1e-6 mm are one face: rounding must not open a seam


@dataclass(frozen=True, slots=True, eq=False)
class Cells:
    """Space cut into cells: `edges` per axis (outermost are infinite), `free` (nx, ny, nz)."""

    edges: tuple[Array, Array, Array]
    free: NDArray[np.bool_]

    def index_of(self, x: Array) -> tuple[int, int, int]:
        """The cell a point lies in."""
        i, j, k = (
            int(np.searchsorted(e, v, side="right")) - 1 for e, v in zip(self.edges, x, strict=True)
        )
        return i, j, k


@dataclass(frozen=True, slots=True, eq=False)
class Gate:
    """A piece of free space across `axis`, the same through one or more layers of cells.

    `low` and `high` (3,) bound it; a cut anywhere between them along the axis is a gate. `layer` is
    the last of its layers.
    """

    axis: int
    layer: int
    low: Array
    high: Array
    piece: NDArray[np.bool_]  # the gate's cells in the layer, (n, m) over the other two axes

    @property
    def area_mm2(self) -> float:
        """Area of the piece's bounding rectangle."""
        d = np.delete(self.high - self.low, self.axis)
        return float(d[0] * d[1])


def square_extents(fix_c: Array, fix_h: Array, fix_r: Array) -> tuple[Array, Array]:
    """Low and high corners of the fixed boxes whose edges follow the hull axes, (n, 3) each."""
    r = np.abs(fix_r)
    straight = np.all((r < SQUARE) | (np.abs(r - 1) < SQUARE), axis=(1, 2))
    half = np.einsum("nij,nj->ni", r, fix_h)
    return np.round((fix_c - half)[straight], SEAM_DIGITS), np.round(
        (fix_c + half)[straight], SEAM_DIGITS
    )


def grown(low: Array, high: Array, radius: float) -> tuple[Array, Array]:
    """Boxes that together lie inside the boxes grown by a ball: one grown along each axis."""
    lows, highs = [low], [high]
    if radius > 0:
        for k in range(3):
            d = np.zeros(3)
            d[k] = radius
            lows.append(low - d)
            highs.append(high + d)
    return np.concatenate(lows), np.concatenate(highs)


def swollen(low: Array, high: Array, radius: float) -> tuple[Array, Array]:
    """The boxes grown by the cube inside a ball: fewer cells than `grown`, and a little less
    blocked.
    """
    d = radius / np.sqrt(3.0)
    return low - d, high + d


def cut_cells(
    low: Array, high: Array, extra: tuple[Array, Array, Array] | None = None
) -> Cells | None:
    """Cells along all faces of the boxes and `extra` cuts; None when there would be too many."""
    edges = []
    for k in range(3):
        more = extra[k] if extra is not None else np.empty(0)
        edges.append(
            np.concatenate(
                [[-np.inf], np.unique(np.concatenate([low[:, k], high[:, k], more])), [np.inf]]
            )
        )
    shape = (len(edges[0]) - 1, len(edges[1]) - 1, len(edges[2]) - 1)
    if float(shape[0]) * shape[1] * shape[2] > MAX_CELLS:
        return None
    free = np.ones(shape, dtype=bool)
    first = [np.searchsorted(edges[k], low[:, k]) for k in range(3)]
    last = [np.searchsorted(edges[k], high[:, k]) for k in range(3)]
    for n in range(len(low)):
        free[first[0][n] : last[0][n], first[1][n] : last[1][n], first[2][n] : last[2][n]] = False
    return Cells((edges[0], edges[1], edges[2]), free)


def enclosed(parts: NDArray[np.int32], at: tuple[int, int, int]) -> bool:
    """True when the free piece a cell belongs to does not reach the unbounded outer cells."""
    name = parts[at]
    sides = [parts.take(end, axis=k) for k in range(3) for end in (0, -1)]
    return name > 0 and not any(bool((side == name).any()) for side in sides)


def at_door(cells: Cells, door: Door, radius: float) -> tuple[slice, slice, slice]:
    """The cells where the middle of a ball comes to a door."""
    low, high = door.inside(radius)
    i, j, k = (
        slice(
            max(0, int(np.searchsorted(e, lo, side="right")) - 1),
            int(np.searchsorted(e, hi, side="left")),
        )
        for e, lo, hi in zip(cells.edges, low, high, strict=True)
    )
    return i, j, k


def bypassed(
    cells: Cells,
    parts: NDArray[np.int32],
    goal: tuple[int, int, int],
    doors: Sequence[Door],
    radius: float,
) -> bool:
    """True when doors may join the goal's piece of free space to another: out by one door and in
    again by another, or by the same one. `radius` is that of the ball the cells are free for.
    """
    names: set[int] = set()
    for d in doors:
        if d.passes(radius):
            names |= set(np.unique(parts[at_door(cells, d, radius)]).tolist())
    names.discard(0)
    return int(parts[goal]) in names and len(names) > 1


def gates_between(
    cells: Cells,
    start: Array,
    goal: Array,
    from_outside: bool = False,
    doors: Sequence[Door] = (),
    radius: float = 0.0,
) -> list[Gate]:
    """Gates that part the cell of `start` from the cell of `goal`, the smallest first.

    With `from_outside` the start stands for any place outside: a gate must then enclose the goal,
    so that it parts it from every place that is joined to the open. No gate counts that could be
    gone round by other doors of the same spaces.
    """
    a, b = cells.index_of(start), cells.index_of(goal)
    if not (cells.free[a] and cells.free[b]):
        return []
    found: list[Gate] = []
    for axis in range(3):
        for layer in range(1, cells.free.shape[axis] - 1):
            for gate in _gates_in_layer(cells, axis, layer, a, b, from_outside, doors, radius):
                if found and _continues(found[-1], gate):
                    found[-1] = replace(found[-1], high=gate.high, layer=gate.layer)
                else:
                    found.append(gate)
    found.sort(key=lambda g: g.area_mm2)
    return found


def _continues(before: Gate, gate: Gate) -> bool:
    """True when a gate is the same hole, one layer on."""
    return (
        before.axis == gate.axis
        and before.layer + 1 == gate.layer
        and np.array_equal(before.piece, gate.piece)
    )


def _gates_in_layer(
    cells: Cells,
    axis: int,
    layer: int,
    a: tuple[int, int, int],
    b: tuple[int, int, int],
    from_outside: bool,
    doors: Sequence[Door],
    radius: float,
) -> list[Gate]:
    """Bounded pieces of one layer whose removal parts a from b."""
    if layer in (a[axis], b[axis]):
        return []
    cut = np.take(cells.free, layer, axis=axis)
    pieces, count = ndimage.label(cut)
    if count == 0:
        return []
    u, v = (k for k in range(3) if k != axis)
    found = []
    for piece, where in enumerate(ndimage.find_objects(pieces), start=1):
        rows, cols = where
        bounds = (
            cells.edges[u][rows.start],
            cells.edges[u][rows.stop],
            cells.edges[v][cols.start],
            cells.edges[v][cols.stop],
        )
        if not np.all(np.isfinite(bounds)):
            continue
        mask = pieces == piece
        index: list[slice | int] = [slice(None)] * 3
        index[axis] = layer
        left = cells.free.copy()
        left[tuple(index)] &= ~mask
        parts, _ = ndimage.label(left)
        if parts[a] == parts[b] or (from_outside and not enclosed(parts, b)):
            continue
        if bypassed(cells, parts, b, doors, radius):
            continue
        low, high = np.empty(3), np.empty(3)
        low[axis], high[axis] = cells.edges[axis][layer], cells.edges[axis][layer + 1]
        low[u], high[u], low[v], high[v] = bounds
        found.append(Gate(axis, layer, low, high, mask))
    return found
