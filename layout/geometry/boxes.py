"""How far apart two solid boxes are, each at any orientation: kernels on plain arrays.

Lengths are mm. A rotation is (3, 3); its columns are the box's own axes in the frame of its
centre. `p` is the moving box and `q` the fixed one; a direction `n` points from q to p.
Sources: separating axes: Gottschalk, Lin, Manocha, "OBBTree", SIGGRAPH 1996,
doi:10.1145/237170.237244. Closest points of two segments: Ericson, "Real-Time Collision
Detection", 2005, section 5.1.9.
"""

from typing import NamedTuple

import numpy as np

from layout.geometry.frames import Array, place, turned
from layout.geometry.kernels import inner_kernel, kernel

PARALLEL_SINE = 1e-6  # two edges this close to parallel share a direction: their axis is noise
FACE_PREFERENCE_MM = 1e-7  # an edge axis must win by this much: face axes give steadier contacts


class Boxes(NamedTuple):
    """Boxes as the kernels take them, each array C-contiguous and writable: one compiled form."""

    centre: Array  # (n, 3)
    half: Array  # (n, 3)
    rotation: Array  # (n, 3, 3)
    corners: Array  # (n, 8, 3)


@kernel
def gap_axis(  # noqa: C901
    pc: Array, ph: Array, pr: Array, qc: Array, qh: Array, qr: Array, n: Array
) -> tuple[float, int]:
    """Widest gap of boxes p and q over the 15 separating axes; the axis is written into `n`.

    A lower bound of their distance when positive (0.58 of it at worst, corner to corner); minus
    the least shift that parts them when negative. The second value tells the axis: 0-2 a face of
    p, 3-5 a face of q, 6-14 a pair of edges.
    """
    c00 = pr[0, 0] * qr[0, 0] + pr[1, 0] * qr[1, 0] + pr[2, 0] * qr[2, 0]
    c01 = pr[0, 0] * qr[0, 1] + pr[1, 0] * qr[1, 1] + pr[2, 0] * qr[2, 1]
    c02 = pr[0, 0] * qr[0, 2] + pr[1, 0] * qr[1, 2] + pr[2, 0] * qr[2, 2]
    c10 = pr[0, 1] * qr[0, 0] + pr[1, 1] * qr[1, 0] + pr[2, 1] * qr[2, 0]
    c11 = pr[0, 1] * qr[0, 1] + pr[1, 1] * qr[1, 1] + pr[2, 1] * qr[2, 1]
    c12 = pr[0, 1] * qr[0, 2] + pr[1, 1] * qr[1, 2] + pr[2, 1] * qr[2, 2]
    c20 = pr[0, 2] * qr[0, 0] + pr[1, 2] * qr[1, 0] + pr[2, 2] * qr[2, 0]
    c21 = pr[0, 2] * qr[0, 1] + pr[1, 2] * qr[1, 1] + pr[2, 2] * qr[2, 1]
    c22 = pr[0, 2] * qr[0, 2] + pr[1, 2] * qr[1, 2] + pr[2, 2] * qr[2, 2]
    c = ((c00, c01, c02), (c10, c11, c12), (c20, c21, c22))
    dx, dy, dz = pc[0] - qc[0], pc[1] - qc[1], pc[2] - qc[2]
    best = -1e300
    kind = -1
    sign = 1.0
    tp = (
        pr[0, 0] * dx + pr[1, 0] * dy + pr[2, 0] * dz,
        pr[0, 1] * dx + pr[1, 1] * dy + pr[2, 1] * dz,
        pr[0, 2] * dx + pr[1, 2] * dy + pr[2, 2] * dz,
    )
    for i in range(3):
        reach = ph[i] + qh[0] * abs(c[i][0]) + qh[1] * abs(c[i][1]) + qh[2] * abs(c[i][2])
        g = abs(tp[i]) - reach
        if g > best:
            best, kind, sign = g, i, (1.0 if tp[i] >= 0 else -1.0)
    for j in range(3):
        t = qr[0, j] * dx + qr[1, j] * dy + qr[2, j] * dz
        reach = qh[j] + ph[0] * abs(c[0][j]) + ph[1] * abs(c[1][j]) + ph[2] * abs(c[2][j])
        g = abs(t) - reach
        if g > best:
            best, kind, sign = g, 3 + j, (1.0 if t >= 0 else -1.0)
    for i in range(3):
        i1, i2 = (i + 1) % 3, (i + 2) % 3
        for j in range(3):
            j1, j2 = (j + 1) % 3, (j + 2) % 3
            cij = c[i][j]
            s2 = 1.0 - cij * cij
            if s2 < PARALLEL_SINE:
                continue
            t = c[i1][j] * tp[i2] - c[i2][j] * tp[i1]
            reach = (
                ph[i1] * abs(c[i2][j])
                + ph[i2] * abs(c[i1][j])
                + qh[j1] * abs(c[i][j2])
                + qh[j2] * abs(c[i][j1])
            )
            g = (abs(t) - reach) / np.sqrt(s2)
            if g > best + FACE_PREFERENCE_MM:
                best, kind, sign = g, 6 + 3 * i + j, (1.0 if t >= 0 else -1.0)
    if kind < 3:
        for k in range(3):
            n[k] = sign * pr[k, kind]
    elif kind < 6:
        for k in range(3):
            n[k] = sign * qr[k, kind - 3]
    else:
        i, j = (kind - 6) // 3, (kind - 6) % 3
        n[0] = pr[1, i] * qr[2, j] - pr[2, i] * qr[1, j]
        n[1] = pr[2, i] * qr[0, j] - pr[0, i] * qr[2, j]
        n[2] = pr[0, i] * qr[1, j] - pr[1, i] * qr[0, j]
        size = np.sqrt(n[0] ** 2 + n[1] ** 2 + n[2] ** 2)
        if n[0] * dx + n[1] * dy + n[2] * dz < 0:
            size = -size
        for k in range(3):
            n[k] /= size
    return best, kind


@kernel
def point_to_box(x: Array, c: Array, h: Array, r: Array, near: Array) -> float:
    """Squared distance from point x to a solid box; the nearest point is written into `near`."""
    d2 = 0.0
    for k in range(3):
        near[k] = c[k]
    for i in range(3):
        t = r[0, i] * (x[0] - c[0]) + r[1, i] * (x[1] - c[1]) + r[2, i] * (x[2] - c[2])
        over = abs(t) - h[i]
        if over > 0:
            d2 += over * over
            t = h[i] if t > 0 else -h[i]
        for k in range(3):
            near[k] += t * r[k, i]
    return d2


@inner_kernel
def apart_from(x: Array, boxes: Boxes, j: int, radius: float) -> bool:
    """True when a ball round x does not reach box j."""
    c, h, r = boxes.centre[j], boxes.half[j], boxes.rotation[j]
    x0, x1, x2 = x[0] - c[0], x[1] - c[1], x[2] - c[2]
    d2 = 0.0
    for k in range(3):
        t = abs(r[0, k] * x0 + r[1, k] * x1 + r[2, k] * x2) - h[k]
        if t > 0:
            d2 += t * t
    return bool(d2 > radius * radius)


@inner_kernel
def _segments(a0: Array, a1: Array, b0: Array, b1: Array, out: Array) -> float:
    """Squared distance of two segments; `out` gets the vector from b's nearest point to a's."""
    ux, uy, uz = a1[0] - a0[0], a1[1] - a0[1], a1[2] - a0[2]
    vx, vy, vz = b1[0] - b0[0], b1[1] - b0[1], b1[2] - b0[2]
    rx, ry, rz = a0[0] - b0[0], a0[1] - b0[1], a0[2] - b0[2]
    a = ux * ux + uy * uy + uz * uz
    e = vx * vx + vy * vy + vz * vz
    f = vx * rx + vy * ry + vz * rz
    c = ux * rx + uy * ry + uz * rz
    b = ux * vx + uy * vy + uz * vz
    den = a * e - b * b
    s = 0.0
    if den > 1e-12 * a * e:
        s = min(1.0, max(0.0, (b * f - c * e) / den))
    t = (b * s + f) / e
    if t < 0.0:
        t, s = 0.0, min(1.0, max(0.0, -c / a))
    elif t > 1.0:
        t, s = 1.0, min(1.0, max(0.0, (b - c) / a))
    out[0] = rx + s * ux - t * vx
    out[1] = ry + s * uy - t * vy
    out[2] = rz + s * uz - t * vz
    return float(out[0] ** 2 + out[1] ** 2 + out[2] ** 2)


@kernel
def corners(c: Array, h: Array, r: Array) -> Array:
    """The eight corners of a box, (8, 3); bit k of the index is the side along axis k."""
    out = np.empty((8, 3))
    for m in range(8):
        for k in range(3):
            x = c[k]
            for i in range(3):
                x += r[k, i] * (h[i] if (m >> i) & 1 else -h[i])
            out[m, k] = x
    return out


@kernel
def box_distance(  # noqa: C901, PLR0912
    pc: Array, ph: Array, pr: Array, qc: Array, qh: Array, qr: Array, n: Array
) -> float:
    """Exact distance of two boxes (minus the depth when they overlap); direction into `n`.

    Two convex bodies apart are nearest at a corner and a face or at two edges: all are tried.
    """
    best, _ = gap_axis(pc, ph, pr, qc, qh, qr, n)
    if best <= 0.0:
        return float(best)
    cp, cq = corners(pc, ph, pr), corners(qc, qh, qr)
    least = 1e300
    near = np.empty(3)
    for m in range(8):
        d2 = point_to_box(cp[m], qc, qh, qr, near)
        if d2 < least:
            least = d2
            for k in range(3):
                n[k] = cp[m, k] - near[k]
        d2 = point_to_box(cq[m], pc, ph, pr, near)
        if d2 < least:
            least = d2
            for k in range(3):
                n[k] = near[k] - cq[m, k]
    for i in range(3):
        for m in range(8):
            if (m >> i) & 1:
                continue
            for j in range(3):
                for w in range(8):
                    if (w >> j) & 1:
                        continue
                    d2 = _segments(cp[m], cp[m | (1 << i)], cq[w], cq[w | (1 << j)], near)
                    if d2 < least:
                        least = d2
                        for k in range(3):
                            n[k] = near[k]
    d = np.sqrt(least)
    if d > 0.0:
        for k in range(3):
            n[k] /= d
    return float(d)


@kernel
def all_corners(centre: Array, half: Array, rotation: Array) -> Array:
    """The corners of many boxes, (n, 8, 3)."""
    out = np.empty((centre.shape[0], 8, 3))
    for n in range(centre.shape[0]):
        of_box = corners(centre[n], half[n], rotation[n])
        for m in range(8):
            for k in range(3):
                out[n, m, k] = of_box[m, k]
    return out


@kernel
def nearest_pair(
    body: Boxes, p: Array, r: Array, fixed: Boxes, least: float
) -> tuple[float, int, int]:
    """(exact least distance at a pose below `least`, minus the depth in a clash, its two boxes).

    Pairs whose balls are farther apart than what was found are passed over; (least, -1, -1) when
    none is nearer.
    """
    at_i, at_j = -1, -1
    c, m, n = np.empty(3), np.empty((3, 3)), np.empty(3)
    for i in range(body.centre.shape[0]):
        place(p, r, body.centre[i], c)
        turned(r, body.rotation[i], m)
        h = body.half[i]
        ball = np.sqrt(h[0] * h[0] + h[1] * h[1] + h[2] * h[2])
        for j in range(fixed.centre.shape[0]):
            if apart_from(c, fixed, j, max(0.0, least + ball)):
                continue
            d = box_distance(c, h, m, fixed.centre[j], fixed.half[j], fixed.rotation[j], n)
            if d < least:
                least, at_i, at_j = d, i, j
    return least, at_i, at_j
