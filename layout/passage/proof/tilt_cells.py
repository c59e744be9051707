"""Cells of turns and heights, ruled out one by one: the kernels of the tilt proof."""

from typing import Final

import numpy as np

from layout.geometry.frames import Array, matrix_from_quat
from layout.geometry.kernels import inner_kernel, kernel
from layout.passage.proof.turn_cells import CELL, FIELDS, cell_quat, cell_spread, split_cell
from layout.passage.proof.turns import FITS_MM, MARGIN_MM, Held, Layers, ruled_out

TILT_FIELDS: Final = FIELDS + 2  # and the heights of q the leaf holds for
TILT_CELL: Final = CELL + 2
SHELL, ABOVE, BELOW = 0, 1, -1  # what is to be ruled out: f = limit, f >= limit, f <= limit
RATIO: Final = 1.0  # heights are halved rather than turns when they are this much wider
SMALLEST_SWAY_MM: Final = 0.3  # a cell that sways the body less than this is not cut again


@kernel
def upright(quat: Array, axis: Array, e: Array, spread: float) -> tuple[float, float]:
    """Least and greatest |n . R e| over a cell of turns."""
    r = matrix_from_quat(quat)
    d = 0.0
    for i in range(3):
        for k in range(3):
            d += axis[i] * r[i, k] * e[k]
    angle = np.arccos(min(1.0, abs(d)))
    return np.cos(min(np.pi / 2, angle + spread)), np.cos(max(0.0, angle - spread))


@inner_kernel
def _keep(leaf: Array, cell: Array) -> None:
    """A cell that has nothing to do with the limit, kept as a leaf with direction -1."""
    for k in range(TILT_FIELDS):
        leaf[k] = cell[k] if k < 5 else 0.0
    leaf[5] = -1


@inner_kernel
def _split_height(stack: Array, top: int, cell: Array) -> int:
    """Put the two halves of a cell's heights on the stack; the new top."""
    m = (cell[6] + cell[7]) / 2
    for part in range(2):
        for k in range(6):
            stack[top, k] = cell[k]
        stack[top, 6] = cell[6] if part == 0 else m
        stack[top, 7] = m if part == 0 else cell[7]
        top += 1
    return top


@kernel
def cover_limit(  # noqa: PLR0913, PLR0917
    held: Held,
    layers: Layers,
    e: Array,
    limit: float,
    mode: int,
    reach: float,
    stack: Array,
    top: int,
    leaves: Array,
    count: int,
    budget: int,
) -> tuple[int, int, int, int]:
    """Work through cells of turns and heights; (stack size, leaves, outcome, cells looked at)."""
    scratch, shift, cell = np.empty(FIELDS), np.zeros(2), np.empty(TILT_CELL)
    for done in range(budget):
        if top == 0:
            return 0, count, 1, done
        if top + 8 > stack.shape[0] or count + 1 >= leaves.shape[0]:
            return top, count, 0, done
        top -= 1
        for k in range(TILT_CELL):
            cell[k] = stack[top, k]
        shift[0], shift[1] = cell[6], cell[7]
        spread = cell_spread(int(cell[0]), cell[1], cell[2], cell[3], cell[4])
        mid = cell_quat(int(cell[0]), cell[1], cell[2], cell[3])
        least, most = upright(mid, held.axis, e, spread + 1e-9)
        leaf = leaves[count]
        ruled = (mode != BELOW and most < limit) or (mode != ABOVE and least > limit)
        if ruled:
            _keep(leaf, cell)
        else:
            ruled = ruled_out(held, layers, shift, cell, spread, leaf, MARGIN_MM)
        if ruled:
            leaf[FIELDS], leaf[FIELDS + 1] = cell[6], cell[7]
            count += 1
            continue
        if spread * reach < SMALLEST_SWAY_MM:
            return top + 1, count, 2, done + 1
        if mode != SHELL:
            low, high = upright(mid, held.axis, e, 0.0)
            inside = low >= limit if mode == ABOVE else high <= limit
            if inside and not ruled_out(held, layers, shift, cell, 0.0, scratch, FITS_MM):
                return top + 1, count, 2, done + 1
        tall = cell[7] - cell[6]
        if tall > RATIO * spread * reach and tall > 0.05:
            top = _split_height(stack, top, cell)
        else:
            top = split_cell(stack, top, cell, TILT_CELL)
    return top, count, 1 if top == 0 else 0, budget


@inner_kernel
def _turned_to(frame: Array, k: int, tilt: float, turn: float, swing: float, r: Array) -> None:
    """The turn with body axis e at `tilt` from n (hull axis k), swung about n, turned about e.

    `frame` holds the body axes e, f, g as columns; the rotation matrix goes into r.
    """
    u, v = (k + 1) % 3, (k + 2) % 3
    world = np.zeros((3, 3))
    sine = np.sin(tilt)
    world[k, 0], world[u, 0], world[v, 0] = np.cos(tilt), sine * np.cos(swing), sine * np.sin(swing)
    side, other = np.zeros(3), np.zeros(3)
    side[u], side[v] = -np.sin(swing), np.cos(swing)
    other[0] = world[1, 0] * side[2] - world[2, 0] * side[1]
    other[1] = world[2, 0] * side[0] - world[0, 0] * side[2]
    other[2] = world[0, 0] * side[1] - world[1, 0] * side[0]
    for m in range(3):
        world[m, 1] = np.cos(turn) * side[m] + np.sin(turn) * other[m]
        world[m, 2] = -np.sin(turn) * side[m] + np.cos(turn) * other[m]
    for i in range(3):
        for j in range(3):
            r[i, j] = world[i, 0] * frame[j, 0] + world[i, 1] * frame[j, 1]
            r[i, j] += world[i, 2] * frame[j, 2]


@inner_kernel
def _cell_at(r: Array, cell: Array) -> None:
    """The cell of no size at a turn: its face and place."""
    w = np.sqrt(max(0.0, 1 + r[0, 0] + r[1, 1] + r[2, 2])) / 2
    x = np.sqrt(max(0.0, 1 + r[0, 0] - r[1, 1] - r[2, 2])) / 2
    y = np.sqrt(max(0.0, 1 - r[0, 0] + r[1, 1] - r[2, 2])) / 2
    z = np.sqrt(max(0.0, 1 - r[0, 0] - r[1, 1] + r[2, 2])) / 2
    face, a, b, c, big = 3, r[1, 0] - r[0, 1], r[0, 2] + r[2, 0], r[1, 2] + r[2, 1], z
    if w >= max(x, y, z):
        face, a, b, c, big = 0, r[2, 1] - r[1, 2], r[0, 2] - r[2, 0], r[1, 0] - r[0, 1], w
    elif x >= max(y, z):
        face, a, b, c, big = 1, r[0, 1] + r[1, 0], r[0, 2] + r[2, 0], r[2, 1] - r[1, 2], x
    elif y >= z:
        face, a, b, c, big = 2, r[1, 2] + r[2, 1], r[0, 2] - r[2, 0], r[0, 1] + r[1, 0], y
    f = 4 * big * big
    cell[0], cell[1], cell[2], cell[3], cell[4], cell[5] = face, a / f, b / f, c / f, 0.0, 0.0


@kernel
def any_fits(
    held: Held,
    layers: Layers,
    frame: Array,
    limit: float,
    height: float,
    samples: int,
    margin: float,
) -> bool:
    """True when some sampled turn with f = limit is not ruled out at a height of q.

    `frame`: the body axes e, f, g as columns.
    """
    leaf, cell, shift, r = np.empty(FIELDS), np.empty(CELL), np.empty(2), np.empty((3, 3))
    shift[0] = shift[1] = height
    k = int(np.argmax(held.axis))
    tilt = np.arccos(limit)
    for i in range(samples):
        for j in range(2 * samples):
            _turned_to(frame, k, tilt, np.pi * i / samples, np.pi * j / samples, r)
            _cell_at(r, cell)
            if not ruled_out(held, layers, shift, cell, 0.0, leaf, margin):
                return True
    return False
