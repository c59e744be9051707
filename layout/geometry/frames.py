"""Axes, turns and poses: x forward, y to port, z up; mm and radians; a gap above zero is apart.

A turn is a unit quaternion in the order x, y, z, w (the order of scipy) or a (3, 3) matrix whose
columns are the turned axes. The hull frame has its origin amidships on the centreline at the
datum waterline of the hull file.
"""

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from layout.geometry.kernels import inner_kernel, kernel

Array: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.int64]


@kernel
def matrix_from_quat(q: Array) -> Array:
    """Rotation matrix of a unit quaternion (x, y, z, w)."""
    x, y, z, w = q[0], q[1], q[2], q[3]
    r = np.empty((3, 3))
    r[0, 0], r[0, 1], r[0, 2] = 1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)
    r[1, 0], r[1, 1], r[1, 2] = 2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)
    r[2, 0], r[2, 1], r[2, 2] = 2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)
    return r


@kernel
def quat_product(a: Array, b: Array) -> Array:
    """The turn b followed by the turn a."""
    out = np.empty(4)
    out[0] = a[3] * b[0] + a[0] * b[3] + a[1] * b[2] - a[2] * b[1]
    out[1] = a[3] * b[1] - a[0] * b[2] + a[1] * b[3] + a[2] * b[0]
    out[2] = a[3] * b[2] + a[0] * b[1] - a[1] * b[0] + a[2] * b[3]
    out[3] = a[3] * b[3] - a[0] * b[0] - a[1] * b[1] - a[2] * b[2]
    return out


@kernel
def quat_about(axis: Array, angle_rad: float) -> Array:
    """The turn by an angle about a unit axis."""
    out = np.empty(4)
    s = np.sin(angle_rad / 2)
    out[0], out[1], out[2], out[3] = axis[0] * s, axis[1] * s, axis[2] * s, np.cos(angle_rad / 2)
    return out


@kernel
def turn_between(q0: Array, q1: Array, axis: Array) -> float:
    """Angle in [0, pi] of the turn from q0 to q1; its unit axis (fixed frame) into `axis`."""
    inverse = np.empty(4)
    inverse[0], inverse[1], inverse[2], inverse[3] = -q0[0], -q0[1], -q0[2], q0[3]
    d = quat_product(q1, inverse)
    if d[3] < 0:
        for k in range(4):
            d[k] = -d[k]
    s = np.sqrt(d[0] * d[0] + d[1] * d[1] + d[2] * d[2])
    if s < 1e-12:
        axis[0], axis[1], axis[2] = 0.0, 0.0, 1.0
        return 0.0
    for k in range(3):
        axis[k] = d[k] / s
    return float(2 * np.arctan2(s, d[3]))


@inner_kernel
def place(p: Array, r: Array, x: Array, out: Array) -> None:
    """The body point x of a pose with place p and rotation r, into `out` (3,)."""
    for k in range(3):
        out[k] = p[k] + r[k, 0] * x[0] + r[k, 1] * x[1] + r[k, 2] * x[2]


@inner_kernel
def turned(r: Array, m: Array, out: Array) -> None:
    """The product of two rotation matrices, r m, into `out` (3, 3)."""
    for i in range(3):
        for k in range(3):
            out[i, k] = r[i, 0] * m[0, k] + r[i, 1] * m[1, k] + r[i, 2] * m[2, k]


@kernel
def least_upright(q0: Array, q1: Array, up: Array) -> float:
    """Least cosine of the tilt of the body direction `up` over the whole turn from q0 to q1.

    The turned direction's height is K + P cos t + Q sin t, so its least value is known exactly.
    """
    axis = np.empty(3)
    angle = turn_between(q0, q1, axis)
    r = matrix_from_quat(q0)
    u = np.empty(3)
    for k in range(3):
        u[k] = r[k, 0] * up[0] + r[k, 1] * up[1] + r[k, 2] * up[2]
    still = axis[2] * (axis[0] * u[0] + axis[1] * u[1] + axis[2] * u[2])
    p, q = u[2] - still, axis[0] * u[1] - axis[1] * u[0]
    least = min(u[2], still + p * np.cos(angle) + q * np.sin(angle))
    lowest = np.arctan2(q, p) + np.pi  # in (0, 2 pi]
    if lowest < angle:
        least = min(least, still - np.sqrt(p * p + q * q))
    return float(least)


def square_turns() -> Array:
    """The 24 turns that take a box's axes to the hull's axes, (24, 4) quaternions."""
    found: list[Array] = []
    half = np.sqrt(0.5)
    pool = [
        np.array(v, dtype=np.float64)
        for v in ([0, 0, 0, 1.0], [half, 0, 0, half], [0, half, 0, half])
    ]
    frontier = [pool[0]]
    while frontier:
        q = frontier.pop()
        if any(abs(abs(float(q @ f)) - 1) < 1e-9 for f in found):
            continue
        found.append(q)
        frontier += [_product(g, q) for g in pool[1:]]
    return np.array(found)


def _product(a: Array, b: Array) -> Array:
    """`quat_product` without the compiler: the tables of turns are made before it is needed."""
    v = a[3] * b[:3] + b[3] * a[:3] + np.cross(a[:3], b[:3])
    return np.array([*v, a[3] * b[3] - a[:3] @ b[:3]])


def is_square(rotation: Array) -> bool:
    """True for a rotation (3, 3) that only swaps and turns round the axes."""
    return bool(np.all((np.abs(rotation) < 1e-9) | (np.abs(rotation) > 1 - 1e-9)))
