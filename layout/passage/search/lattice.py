"""Places on a lattice at one turn of the body: which are free, and what one slide reaches.

At a square turn the places where a body box touches a fixed box that stands square are a box of
places; where the fixed box is turned, each place near it is looked at by itself.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from layout.geometry.boxes import gap_axis
from layout.geometry.frames import Array, matrix_from_quat, place, turned
from layout.geometry.kernels import inner_kernel, kernel
from layout.passage.problem import Scene
from layout.passage.search.easing import pose_gap
from layout.passage.search.trees import motion_allowed

UNREACHED = -1
SQUARE = 1e-9


class Places(NamedTuple):
    """Coordinates of the lattice along each axis, ascending."""

    x: Array
    y: Array
    z: Array


@inner_kernel
def _is_square(r: Array) -> bool:
    for i in range(3):
        for k in range(3):
            a = abs(r[i, k])
            if SQUARE < a < 1.0 - SQUARE:
                return False
    return True


@inner_kernel
def _first(x: Array, low: float) -> int:
    """Index of the first coordinate above `low`."""
    a, b = 0, x.shape[0]
    while a < b:
        m = (a + b) // 2
        if x[m] > low:
            b = m
        else:
            a = m + 1
    return a


@inner_kernel
def _reach(r: Array, h: Array, k: int) -> float:
    """How far a turned box reaches along a hull axis."""
    return abs(r[k, 0]) * h[0] + abs(r[k, 1]) * h[1] + abs(r[k, 2]) * h[2]


@kernel
def free_places(scene: Scene, quat: Array, places: Places, margin: float) -> NDArray[np.bool_]:
    """Which places (nx, ny, nz) keep `margin` from every fixed box at a square turn."""
    body, fixed = scene.body, scene.fixed
    nx, ny, nz = places.x.shape[0], places.y.shape[0], places.z.shape[0]
    free = np.empty((nx, ny, nz), dtype=np.bool_)
    for i in range(nx):
        for j in range(ny):
            for k in range(nz):
                free[i, j, k] = True
    r = matrix_from_quat(quat)
    off, m, c, n, none = np.empty(3), np.empty((3, 3)), np.empty(3), np.empty(3), np.zeros(3)
    for b in range(body.centre.shape[0]):
        place(none, r, body.centre[b], off)
        turned(r, body.rotation[b], m)
        h = body.half[b]
        hx, hy, hz = _reach(m, h, 0), _reach(m, h, 1), _reach(m, h, 2)
        for f in range(fixed.centre.shape[0]):
            fc, fh, fr = fixed.centre[f], fixed.half[f], fixed.rotation[f]
            wx = hx + _reach(fr, fh, 0) + margin
            wy = hy + _reach(fr, fh, 1) + margin
            wz = hz + _reach(fr, fh, 2) + margin
            x, y, z = fc[0] - off[0], fc[1] - off[1], fc[2] - off[2]
            i0, i1 = _first(places.x, x - wx), _first(places.x, x + wx)
            j0, j1 = _first(places.y, y - wy), _first(places.y, y + wy)
            k0, k1 = _first(places.z, z - wz), _first(places.z, z + wz)
            square = _is_square(fr) and _is_square(m)
            for i in range(i0, i1):
                for j in range(j0, j1):
                    for k in range(k0, k1):
                        if square:
                            if (
                                places.x[i] < x + wx
                                and places.y[j] < y + wy
                                and places.z[k] < z + wz
                            ):
                                free[i, j, k] = False
                        elif free[i, j, k]:
                            c[0] = places.x[i] + off[0]
                            c[1] = places.y[j] + off[1]
                            c[2] = places.z[k] + off[2]
                            gap, _ = gap_axis(c, h, m, fc, fh, fr, n)
                            if gap < margin:
                                free[i, j, k] = False
    return free


@kernel
def slide(free: NDArray[np.bool_], layer: NDArray[np.int16], level: int) -> int:
    """Reach everything one slide along a hull axis from the places of the level before.

    `layer` (nx, ny, nz) is filled with `level` where it was UNREACHED; how many were filled.
    """
    nx, ny, nz = free.shape
    count = 0
    for axis in range(3):
        along = nz if axis == 2 else (ny if axis == 1 else nx)
        first = ny if axis == 0 else nx
        second = nz if axis != 2 else ny
        for p in range(first):
            for q in range(second):
                begin = 0
                while begin < along:
                    i, j, k = _cell(axis, begin, p, q)
                    if not free[i, j, k]:
                        begin += 1
                        continue
                    end = begin
                    hit = False
                    while end < along:
                        i, j, k = _cell(axis, end, p, q)
                        if not free[i, j, k]:
                            break
                        if layer[i, j, k] == level - 1:
                            hit = True
                        end += 1
                    if hit:
                        for s in range(begin, end):
                            i, j, k = _cell(axis, s, p, q)
                            if layer[i, j, k] == UNREACHED:
                                layer[i, j, k] = level
                                count += 1
                    begin = end
    return count


@inner_kernel
def _cell(axis: int, along: int, p: int, q: int) -> tuple[int, int, int]:
    """The place at `along` on the line (p, q) of an axis."""
    if axis == 0:
        return along, p, q
    if axis == 1:
        return p, along, q
    return p, q, along


@kernel
def turns_free(
    scene: Scene, places: Array, q0: Array, q_mid: Array, q1: Array, wanted: float
) -> NDArray[np.bool_]:
    """At which places (n, 3) the turn from q0 to q1 about the body's own middle is proven clear."""
    out = np.zeros(places.shape[0], dtype=np.bool_)
    middle = matrix_from_quat(q_mid)
    for n in range(places.shape[0]):
        p = places[n]
        if pose_gap(scene, p, middle, wanted) >= wanted:
            out[n] = motion_allowed(scene, p, q0, p, q1, wanted)
    return out
