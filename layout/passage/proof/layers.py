"""The room that layers of free space leave round a body point: cells, layers, and how far they
reach.

Space near a place is cut into cells along the faces of the fixed boxes; a layer's room is what is
joined to the point's own place without leaving the band between them.
"""

from collections.abc import Callable
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from layout.geometry.frames import Array
from layout.passage.problem import Problem
from layout.passage.proof.gates import Cells, Gate, cut_cells, grown, square_extents
from layout.passage.proof.turns import Layers

NOTHING_MM: Final = 1e9  # "room" of a layer with no free space at all
DIRECTIONS: Final = 4  # along, across and the two diagonals of the cut


def directions_across(axis: int) -> Array:
    """Unit directions in the plane across an axis: the two square ones and the two diagonals."""
    u, v = (k for k in range(3) if k != axis)
    out = np.zeros((DIRECTIONS, 3))
    out[0, u] = out[1, v] = 1.0
    out[2, u] = out[2, v] = out[3, u] = np.sqrt(0.5)
    out[3, v] = -np.sqrt(0.5)
    return out


def cells_within(
    low: Array,
    high: Array,
    grow: Callable[[Array, Array], tuple[Array, Array]],
    extra: tuple[Array, Array, Array] | None,
) -> Cells | None:
    """Cells of the boxes, the smallest left out until there are few enough: less blocked is still
    sound.
    """
    order = np.argsort(-np.sort(high - low, axis=1)[:, 1:].prod(axis=1))
    keep = len(order)
    while keep >= 4:
        chosen = order[:keep]
        cells = cut_cells(*grow(low[chosen], high[chosen]), extra)
        if cells is not None:
            return cells
        keep = int(keep * 0.75)
    return None


def matter_near(problem: Problem, from_mm: Array, to_mm: Array, reach: float) -> Cells | None:
    """Cells of the boxes within the body's reach of a place, grown by the clearance; None when
    there are too many.
    """
    matter = problem.matter
    low, high = square_extents(matter.centre_mm, matter.half_mm, matter.rotation)
    near = np.all((high > from_mm - reach) & (low < to_mm + reach), axis=1)
    return cells_within(low[near], high[near], lambda a, b: grown(a, b, problem.clearance_mm), None)


def seeds_in(
    matter: Cells, cells: Cells, piece: NDArray[np.bool_], u: int, v: int
) -> NDArray[np.bool_]:
    """The matter cells of a layer that some cells for q overlap."""
    seed = np.zeros((matter.free.shape[u], matter.free.shape[v]), dtype=bool)
    rows, cols = np.nonzero(piece)
    for i, j in zip(rows, cols, strict=True):
        r0 = max(0, np.searchsorted(matter.edges[u], cells.edges[u][i], side="right") - 1)
        r1 = np.searchsorted(matter.edges[u], cells.edges[u][i + 1], side="left")
        c0 = max(0, np.searchsorted(matter.edges[v], cells.edges[v][j], side="right") - 1)
        c1 = np.searchsorted(matter.edges[v], cells.edges[v][j + 1], side="left")
        seed[r0:r1, c0:c1] = True
    return seed


def layers_round(
    matter: Cells,
    axis: int,
    seed: NDArray[np.bool_],
    middle: int,
    low: float,
    high: float,
    reach: float,
    dirs: Array,
) -> Layers:
    """The layers round q anywhere in some cells of one layer, at heights from low to high."""
    u, v = (k for k in range(3) if k != axis)
    window = np.ones_like(seed)
    for k, along, shape in ((u, 1, (-1, 1)), (v, 0, (1, -1))):
        on = np.flatnonzero(seed.any(axis=along))
        e = matter.edges[k]
        near = (e[1:] > e[on[0]] - reach) & (e[:-1] < e[on[-1] + 1] + reach)
        window &= near.reshape(shape)
    own = (middle, middle, room_of(np.moveaxis(matter.free, axis, 0), middle, middle, seed))
    return layers_of(matter, axis, seed, middle, own, (low, high), reach, dirs, window)


def layers_of(
    matter: Cells,
    axis: int,
    seed: NDArray[np.bool_],
    middle: int,
    own: tuple[int, int, NDArray[np.bool_]],
    heights: tuple[float, float],
    reach: float,
    dirs: Array,
    window: NDArray[np.bool_],
) -> Layers:
    """Every layer within reach of the heights q may have.

    `own` is q's own layer: its first and last cells and its room. Layers with equal room are one.
    """
    u, v = (k for k in range(3) if k != axis)
    e, free = matter.edges, np.moveaxis(matter.free, axis, 0)
    bands = [own]
    for way in (1, -1):
        layer = own[1] + 1 if way > 0 else own[0] - 1
        while 0 < layer < free.shape[0] - 1:
            away = e[axis][layer] - heights[1] if way > 0 else heights[0] - e[axis][layer + 1]
            if away > reach:
                break
            room = room_of(free, middle, layer, seed)
            f, g, before = bands[-1]
            if (
                (g + 1 == layer or f - 1 == layer)
                and np.array_equal(before, room)
                and (f, g) != own[:2]
            ):
                bands[-1] = (min(f, layer), max(g, layer), room)
            else:
                bands.append((layer, layer, room))
            if not room.any():
                break
            layer += way
    supports = [supports_of(room, e[u], e[v], dirs[:, [u, v]]) for _, _, room in bands]
    alls = [not np.any(free[f : g + 1].any(axis=0) & window & ~room) for f, g, room in bands]
    return Layers(
        np.array([e[axis][f] for f, _, _ in bands]),
        np.array([e[axis][g + 1] for _, g, _ in bands]),
        np.array(alls, dtype=bool),
        np.array([p for p, _ in supports]),
        np.array([m for _, m in supports]),
    )


def room_of(
    free: NDArray[np.bool_], middle: int, layer: int, seed: NDArray[np.bool_]
) -> NDArray[np.bool_]:
    """The free cells of a layer joined to the gate without leaving the band between them."""
    first = min(middle, layer)
    parts, _ = ndimage.label(free[first : max(middle, layer) + 1])
    names = np.unique(parts[middle - first][seed])
    return np.isin(parts[layer - first], names[names > 0])


def window_of(edges: Array, gate: Gate, k: int, reach: float) -> NDArray[np.bool_]:
    """Cells along axis k within the body's reach of the gate."""
    out: NDArray[np.bool_] = (edges[1:] > gate.low[k] - reach) & (edges[:-1] < gate.high[k] + reach)
    return out


def supports_of(room: NDArray[np.bool_], eu: Array, ev: Array, dirs: Array) -> tuple[Array, Array]:
    """How far the free cells reach along each direction and against it."""
    plus, minus = np.full(len(dirs), -NOTHING_MM), np.full(len(dirs), NOTHING_MM)
    rows, cols = np.nonzero(room)
    if len(rows) == 0:
        return plus, minus
    u0, u1 = (
        np.clip(eu[rows], -NOTHING_MM, NOTHING_MM),
        np.clip(eu[rows + 1], -NOTHING_MM, NOTHING_MM),
    )
    v0, v1 = (
        np.clip(ev[cols], -NOTHING_MM, NOTHING_MM),
        np.clip(ev[cols + 1], -NOTHING_MM, NOTHING_MM),
    )
    for k, d in enumerate(dirs):
        plus[k] = (np.maximum(d[0] * u0, d[0] * u1) + np.maximum(d[1] * v0, d[1] * v1)).max()
        minus[k] = (np.minimum(d[0] * u0, d[0] * u1) + np.minimum(d[1] * v0, d[1] * v1)).min()
    return plus, minus
