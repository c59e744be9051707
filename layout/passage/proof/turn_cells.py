"""Cells of turns: what each holds, how wide it is, and how it is cut."""

from typing import Final

import numpy as np

from layout.geometry.frames import Array
from layout.geometry.kernels import inner_kernel, kernel

# a leaf: face, a, b, c, half, direction, line plus (6), its layer, line minus (6), its layer
FIELDS: Final = 20
CELL: Final = 6  # a cell on the stack: face, a, b, c, half, the direction that served last


@kernel
def cell_quat(face: int, a: float, b: float, c: float) -> Array:
    """The unit quaternion at (a, b, c) on a cube face (0: w = 1, 1: x = 1, 2: y = 1, 3: z = 1)."""
    q = np.empty(4)
    size = np.sqrt(1.0 + a * a + b * b + c * c)
    one = 1.0 / size
    a, b, c = a / size, b / size, c / size
    if face == 0:
        q[3], q[0], q[1], q[2] = one, a, b, c
    elif face == 1:
        q[0], q[1], q[2], q[3] = one, a, b, c
    elif face == 2:
        q[1], q[2], q[3], q[0] = one, a, b, c
    else:
        q[2], q[3], q[0], q[1] = one, a, b, c
    return q


@kernel
def cell_spread(face: int, a: float, b: float, c: float, half: float) -> float:
    """Largest turn from the middle of a cell to any turn in it (reached at a corner)."""
    size = np.sqrt(1.0 + a * a + b * b + c * c)
    least = 1.0
    for m in range(8):
        x = a + (half if m & 1 else -half)
        y = b + (half if m & 2 else -half)
        z = c + (half if m & 4 else -half)
        dot = 1.0 + a * x + b * y + c * z
        least = min(least, abs(dot) / (size * np.sqrt(1.0 + x * x + y * y + z * z)))
    return float(2 * np.arccos(min(1.0, least)))


@inner_kernel
def copy_line(line: Array, out: Array) -> None:
    """Copy a line's two points."""
    for k in range(6):
        out[k] = line[k]


@inner_kernel
def split_cell(stack: Array, top: int, cell: Array, width: int) -> int:
    """Put the eight parts of a cell on the stack; the new top. Fields from 5 on are copied."""
    h = cell[4] / 2
    for m in range(8):
        stack[top, 0] = cell[0]
        stack[top, 1] = cell[1] + (h if m & 1 else -h)
        stack[top, 2] = cell[2] + (h if m & 2 else -h)
        stack[top, 3] = cell[3] + (h if m & 4 else -h)
        stack[top, 4] = h
        for k in range(5, width):
            stack[top, k] = cell[k]
        top += 1
    return top
