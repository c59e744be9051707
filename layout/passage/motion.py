"""Is a straight motion clear all along, proven between its samples?

A motion goes from one pose to another: the body's reference point moves in a straight line while
the body turns evenly about one fixed axis. For a body box p and a fixed box q any direction `n`
gives a lower bound of their distance at each moment; held still in the hull, or carried round
with the body, that bound is a sum of straight lines and sines of the time, so over an interval it
is at least the lesser of its two end values minus a curvature term (interval length squared / 8
times the largest second derivative). Where that is not enough the interval is halved. This is
conservative advancement with a bound of second order, which keeps 1 mm of play affordable.
Source of the method it refines: Mirtich, "Impulse-based Dynamic Simulation of Rigid Body
Systems", 1996, chapter 2 (conservative advancement).
"""

from typing import Final, NamedTuple

import numpy as np

from layout.geometry.boxes import Boxes, box_distance, gap_axis
from layout.geometry.frames import (
    Array,
    matrix_from_quat,
    place,
    quat_about,
    quat_product,
    turn_between,
    turned,
)
from layout.geometry.kernels import inner_kernel, kernel

FLOAT_ERROR_MM: Final = 1e-6  # far above rounding for coordinates below 100 m: about 1e-10 mm
# a gap this much under the wanted one still counts: resting on a floor is no clash
TOUCHING_MM: Final = 2e-6
MAX_HALVINGS: Final = 14
EVERY_MM: Final = 1e12  # above any distance: the exact one is wanted


class Piece(NamedTuple):
    """A piece of a motion: pose at its beginning, middle and end, and how far it turns."""

    p_a: Array
    r_a: Array
    p_m: Array
    r_m: Array
    p_b: Array
    r_b: Array
    turn: float
    axis: Array


@inner_kernel
def pose_at(
    p0: Array, q0: Array, v: Array, axis: Array, angle: float, t: float
) -> tuple[Array, Array]:
    """Place and rotation matrix at time t in [0, 1] of the motion."""
    p = np.empty(3)
    for k in range(3):
        p[k] = p0[k] + v[k] * t
    return p, matrix_from_quat(quat_product(quat_about(axis, angle * t), q0))


@inner_kernel
def piece_of(
    p0: Array, q0: Array, v: Array, axis: Array, angle: float, t: float, w: float
) -> Piece:
    """The piece of a motion from time t to t + w."""
    p_a, r_a = pose_at(p0, q0, v, axis, angle, t)
    p_b, r_b = pose_at(p0, q0, v, axis, angle, t + w)
    p_m, r_m = pose_at(p0, q0, v, axis, angle, t + w / 2)
    return Piece(p_a, r_a, p_m, r_m, p_b, r_b, angle * w, axis)


@inner_kernel
def _reach_down(n: Array, p: Array, r: Array, body: Boxes, i: int) -> float:
    """Least n . x over body box i at a pose."""
    m0 = n[0] * r[0, 0] + n[1] * r[1, 0] + n[2] * r[2, 0]
    m1 = n[0] * r[0, 1] + n[1] * r[1, 1] + n[2] * r[2, 1]
    m2 = n[0] * r[0, 2] + n[1] * r[1, 2] + n[2] * r[2, 2]
    c, h, b = body.centre[i], body.half[i], body.rotation[i]
    g = n[0] * p[0] + n[1] * p[1] + n[2] * p[2] + m0 * c[0] + m1 * c[1] + m2 * c[2]
    for k in range(3):
        g -= h[k] * abs(m0 * b[0, k] + m1 * b[1, k] + m2 * b[2, k])
    return g


@inner_kernel
def _sine_from(n: Array, axis: Array) -> float:
    """Sine of the angle between two unit directions."""
    along = n[0] * axis[0] + n[1] * axis[1] + n[2] * axis[2]
    return float(np.sqrt(max(0.0, 1.0 - along * along)))


@inner_kernel
def _length(x: Array) -> float:
    return float(np.sqrt(x[0] * x[0] + x[1] * x[1] + x[2] * x[2]))


@inner_kernel
def fixed_axis_bound(n: Array, body: Boxes, i: int, fixed: Boxes, j: int, s: Piece) -> float:
    """Least gap along a direction that stands still in the hull, over the whole piece."""
    c, h, b = fixed.centre[j], fixed.half[j], fixed.rotation[j]
    reach_q = n[0] * c[0] + n[1] * c[1] + n[2] * c[2]
    for k in range(3):
        reach_q += h[k] * abs(n[0] * b[0, k] + n[1] * b[1, k] + n[2] * b[2, k])
    least = min(_reach_down(n, s.p_a, s.r_a, body, i), _reach_down(n, s.p_b, s.r_b, body, i))
    least -= reach_q
    if s.turn > 0.0:
        radius = _length(body.centre[i]) + _length(body.half[i])
        least -= _sine_from(n, s.axis) * radius * s.turn * s.turn / 8
    return least


@inner_kernel
def carried_axis_bound(n: Array, body: Boxes, i: int, fixed: Boxes, j: int, s: Piece) -> float:
    """Least gap along a direction carried round with the body, over the whole piece."""
    r_mid, c, h, b = s.r_m, body.centre[i], body.half[i], body.rotation[i]
    m0 = n[0] * r_mid[0, 0] + n[1] * r_mid[1, 0] + n[2] * r_mid[2, 0]
    m1 = n[0] * r_mid[0, 1] + n[1] * r_mid[1, 1] + n[2] * r_mid[2, 1]
    m2 = n[0] * r_mid[0, 2] + n[1] * r_mid[1, 2] + n[2] * r_mid[2, 2]
    inner = m0 * c[0] + m1 * c[1] + m2 * c[2]
    for k in range(3):
        inner -= h[k] * abs(m0 * b[0, k] + m1 * b[1, k] + m2 * b[2, k])
    sine = _sine_from(n, s.axis)
    dx, dy, dz = s.p_b[0] - s.p_a[0], s.p_b[1] - s.p_a[1], s.p_b[2] - s.p_a[2]
    speed = np.sqrt(dx * dx + dy * dy + dz * dz)
    worst = -1e300
    for k in range(8):
        f = -1e300
        far = 0.0
        for end in range(2):
            p = s.p_a if end == 0 else s.p_b
            r = s.r_a if end == 0 else s.r_b
            zx = fixed.corners[j, k, 0] - p[0]
            zy = fixed.corners[j, k, 1] - p[1]
            zz = fixed.corners[j, k, 2] - p[2]
            w = m0 * (r[0, 0] * zx + r[1, 0] * zy + r[2, 0] * zz)
            w += m1 * (r[0, 1] * zx + r[1, 1] * zy + r[2, 1] * zz)
            w += m2 * (r[0, 2] * zx + r[1, 2] * zy + r[2, 2] * zz)
            f = max(f, w)
            far = max(far, zx * zx + zy * zy + zz * zz)
        if s.turn > 0.0:
            f += sine * (s.turn * s.turn * np.sqrt(far) + 2 * s.turn * speed) / 8
        worst = max(worst, f)
    return inner - worst


@inner_kernel
def pair_bound(
    body: Boxes, i: int, fixed: Boxes, j: int, s: Piece, n: Array, below: float
) -> tuple[float, float]:
    """(lower bound of the distance over the piece, value at its middle) for one pair of boxes.

    The middle value is the separating-axis gap; the exact distance where that gap lies above
    nothing and under `below`.
    """
    c, m = np.empty(3), np.empty((3, 3))
    place(s.p_m, s.r_m, body.centre[i], c)
    turned(s.r_m, body.rotation[i], m)
    h, fc, fh, fr = body.half[i], fixed.centre[j], fixed.half[j], fixed.rotation[j]
    mid, _ = gap_axis(c, h, m, fc, fh, fr, n)
    if 0.0 < mid < below:
        mid = box_distance(c, h, m, fc, fh, fr, n)
    low = fixed_axis_bound(n, body, i, fixed, j, s)
    if s.turn > 0.0:
        low = max(low, carried_axis_bound(n, body, i, fixed, j, s))
    return low, mid


@inner_kernel
def far_apart(
    body: Boxes,
    i: int,
    fixed: Boxes,
    j: int,
    p0: Array,
    r0: Array,
    v: Array,
    turn: float,
    wanted: float,
) -> bool:
    """True when a ball round the whole sweep of a body box stays clear of q (quick refusal)."""
    bc, fc, fh, fr = body.centre[i], fixed.centre[j], fixed.half[j], fixed.rotation[j]
    arm = _length(bc)
    sweep = 0.5 * _length(v) + min(arm * turn, 2 * arm)
    x = np.empty(3)
    place(p0, r0, bc, x)
    cx, cy, cz = x[0] + 0.5 * v[0] - fc[0], x[1] + 0.5 * v[1] - fc[1], x[2] + 0.5 * v[2] - fc[2]
    d2 = 0.0
    for k in range(3):
        t = abs(cx * fr[0, k] + cy * fr[1, k] + cz * fr[2, k]) - fh[k]
        if t > 0:
            d2 += t * t
    room = _length(body.half[i]) + sweep + wanted
    return bool(d2 > room * room)


@inner_kernel
def _pair_clear(  # noqa: PLR0913, PLR0917
    body: Boxes,
    i: int,
    fixed: Boxes,
    j: int,
    p0: Array,
    q0: Array,
    v: Array,
    axis: Array,
    angle: float,
    first: Piece,
    wanted: float,
    stack: Array,
    n: Array,
) -> bool:
    """`motion_clear` for one pair of boxes; `first` is the whole motion as one piece."""
    low, mid = pair_bound(body, i, fixed, j, first, n, 0.0)
    if low >= wanted:
        return True
    if mid <= 0.0:
        return False
    top = 2
    stack[0, 0], stack[0, 1] = 0.0, 0.5
    stack[1, 0], stack[1, 1] = 0.5, 0.5
    while top > 0:
        top -= 1
        t, w = stack[top, 0], stack[top, 1]
        s = piece_of(p0, q0, v, axis, angle, t, w)
        low, mid = pair_bound(body, i, fixed, j, s, n, 0.0)
        if low < wanted and 0.0 < mid < 2 * wanted:
            again, mid = pair_bound(body, i, fixed, j, s, n, 2 * wanted)
            low = max(low, again)
        if low >= wanted:
            continue
        if mid < wanted:
            return False
        if w < 1.0 / (1 << (MAX_HALVINGS - 1)) or top + 2 > MAX_HALVINGS:
            return False
        stack[top, 0], stack[top, 1] = t, w / 2
        stack[top + 1, 0], stack[top + 1, 1] = t + w / 2, w / 2
        top += 2
    return True


@kernel
def motion_clear(
    body: Boxes, fixed: Boxes, p0: Array, q0: Array, p1: Array, q1: Array, wanted_mm: float
) -> bool:
    """True when the whole motion is proven to keep at least `wanted_mm` from every fixed box.

    False proves nothing: the motion touches, or the proof ran out of halvings.
    """
    axis, n, v = np.empty(3), np.empty(3), np.empty(3)
    angle = turn_between(q0, q1, axis)
    for k in range(3):
        v[k] = p1[k] - p0[k]
    r0 = matrix_from_quat(q0)
    wanted = wanted_mm + FLOAT_ERROR_MM - TOUCHING_MM
    stack = np.empty((MAX_HALVINGS + 3, 2))
    first = piece_of(p0, q0, v, axis, angle, 0.0, 1.0)
    for i in range(body.centre.shape[0]):
        for j in range(fixed.centre.shape[0]):
            if far_apart(body, i, fixed, j, p0, r0, v, angle, wanted):
                continue
            if not _pair_clear(body, i, fixed, j, p0, q0, v, axis, angle, first, wanted, stack, n):
                return False
    return True


@kernel
def least_clearance(
    body: Boxes,
    fixed: Boxes,
    p0: Array,
    q0: Array,
    p1: Array,
    q1: Array,
    within_mm: float,
    cap_mm: float,
) -> tuple[float, int, int, float]:
    """(certified lower bound of the least distance along the motion, body box, fixed box, time).

    The bound is within `within_mm` of the least distance, unless that is above `cap_mm`, which is
    then returned; or minus 1e300 when the halvings ran out.
    """
    axis, n, v = np.empty(3), np.empty(3), np.empty(3)
    angle = turn_between(q0, q1, axis)
    for k in range(3):
        v[k] = p1[k] - p0[k]
    r0 = matrix_from_quat(q0)
    found, at_i, at_j, at_t = cap_mm, -1, -1, 0.0
    size = 64
    stack = np.empty((size, 2))
    for i in range(body.centre.shape[0]):
        for j in range(fixed.centre.shape[0]):
            if far_apart(body, i, fixed, j, p0, r0, v, angle, found):
                continue
            top = 1
            stack[0, 0], stack[0, 1] = 0.0, 1.0
            upper = 1e300
            lower = 1e300
            where = 0.0
            while top > 0:
                top -= 1
                t, w = stack[top, 0], stack[top, 1]
                s = piece_of(p0, q0, v, axis, angle, t, w)
                low, mid = pair_bound(body, i, fixed, j, s, n, EVERY_MM)
                if mid < upper:
                    upper, where = mid, t + w / 2
                low -= FLOAT_ERROR_MM
                if low >= min(upper, found) - within_mm or low >= found:
                    lower = min(lower, low)
                    continue
                if w < 1e-7 or top + 2 > size:
                    return -1e300, i, j, t
                stack[top, 0], stack[top, 1] = t, w / 2
                stack[top + 1, 0], stack[top + 1, 1] = t + w / 2, w / 2
                top += 2
            if lower < found:
                found, at_i, at_j, at_t = lower, i, j, where
    return found, at_i, at_j, at_t
