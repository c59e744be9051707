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

from typing import Final

import numpy as np
from numba import njit

from layout.geometry.boxes import box_distance, gap_axis
from layout.geometry.frames import Array, matrix_from_quat, quat_about, quat_product, turn_between

FLOAT_ERROR_MM: Final = 1e-6  # far above rounding for coordinates below 100 m: about 1e-10 mm
TOUCHING_MM: Final = (
    2e-6  # a gap this much under the wanted one still counts: resting on a floor is no clash
)
MAX_HALVINGS: Final = 14


@njit(cache=True, nogil=True)
def pose_at(
    p0: Array, q0: Array, v: Array, axis: Array, angle: float, t: float
) -> tuple[Array, Array]:
    """Place and rotation matrix at time t in [0, 1] of the motion."""
    p = p0 + v * t
    r = matrix_from_quat(quat_product(quat_about(axis, angle * t), q0))
    return p, r


@njit(cache=True, nogil=True)
def _fixed_axis_bound(
    n: Array,
    bc: Array,
    bh: Array,
    br: Array,
    fc: Array,
    fh: Array,
    fr: Array,
    p_a: Array,
    r_a: Array,
    p_b: Array,
    r_b: Array,
    turn: float,
    axis: Array,
) -> float:
    """Least gap along a direction that stands still in the hull, over the whole interval."""
    reach_q = n[0] * fc[0] + n[1] * fc[1] + n[2] * fc[2]
    for i in range(3):
        reach_q += fh[i] * abs(n[0] * fr[0, i] + n[1] * fr[1, i] + n[2] * fr[2, i])
    least = 1e300
    for end in range(2):
        p = p_a if end == 0 else p_b
        r = r_a if end == 0 else r_b
        m0 = n[0] * r[0, 0] + n[1] * r[1, 0] + n[2] * r[2, 0]
        m1 = n[0] * r[0, 1] + n[1] * r[1, 1] + n[2] * r[2, 1]
        m2 = n[0] * r[0, 2] + n[1] * r[1, 2] + n[2] * r[2, 2]
        g = n[0] * p[0] + n[1] * p[1] + n[2] * p[2] + m0 * bc[0] + m1 * bc[1] + m2 * bc[2]
        for i in range(3):
            g -= bh[i] * abs(m0 * br[0, i] + m1 * br[1, i] + m2 * br[2, i])
        least = min(least, g - reach_q)
    if turn > 0.0:
        along = n[0] * axis[0] + n[1] * axis[1] + n[2] * axis[2]
        sine = np.sqrt(max(0.0, 1.0 - along * along))
        radius = np.sqrt(bc[0] ** 2 + bc[1] ** 2 + bc[2] ** 2) + np.sqrt(
            bh[0] ** 2 + bh[1] ** 2 + bh[2] ** 2
        )
        least -= sine * radius * turn * turn / 8
    return least


@njit(cache=True, nogil=True)
def _carried_axis_bound(
    n: Array,
    r_mid: Array,
    bc: Array,
    bh: Array,
    br: Array,
    cq: Array,
    p_a: Array,
    r_a: Array,
    p_b: Array,
    r_b: Array,
    turn: float,
    axis: Array,
) -> float:
    """Least gap along a direction carried round with the body, over the whole interval."""
    m = np.empty(3)
    for i in range(3):
        m[i] = n[0] * r_mid[0, i] + n[1] * r_mid[1, i] + n[2] * r_mid[2, i]
    inner = m[0] * bc[0] + m[1] * bc[1] + m[2] * bc[2]
    for i in range(3):
        inner -= bh[i] * abs(m[0] * br[0, i] + m[1] * br[1, i] + m[2] * br[2, i])
    along = n[0] * axis[0] + n[1] * axis[1] + n[2] * axis[2]
    sine = np.sqrt(max(0.0, 1.0 - along * along))
    speed = np.sqrt((p_b[0] - p_a[0]) ** 2 + (p_b[1] - p_a[1]) ** 2 + (p_b[2] - p_a[2]) ** 2)
    worst = -1e300
    for k in range(8):
        f = -1e300
        far = 0.0
        for end in range(2):
            p = p_a if end == 0 else p_b
            r = r_a if end == 0 else r_b
            zx, zy, zz = cq[k, 0] - p[0], cq[k, 1] - p[1], cq[k, 2] - p[2]
            w = 0.0
            for i in range(3):
                w += m[i] * (r[0, i] * zx + r[1, i] * zy + r[2, i] * zz)
            f = max(f, w)
            far = max(far, zx * zx + zy * zy + zz * zz)
        if turn > 0.0:
            f += sine * (turn * turn * np.sqrt(far) + 2 * turn * speed) / 8
        worst = max(worst, f)
    return inner - worst


@njit(cache=True, nogil=True)
def pair_bound(
    bc: Array,
    bh: Array,
    br: Array,
    fc: Array,
    fh: Array,
    fr: Array,
    cq: Array,
    p_a: Array,
    r_a: Array,
    p_b: Array,
    r_b: Array,
    p_m: Array,
    r_m: Array,
    turn: float,
    axis: Array,
    exact: bool,
    n: Array,
) -> tuple[float, float]:
    """(lower bound of the distance over the interval, value at its middle) for one pair.

    The middle value is the exact distance with `exact`, else the separating-axis gap.
    """
    cp = p_m + r_m @ bc
    rp = r_m @ br
    if exact:
        mid = box_distance(cp, bh, rp, fc, fh, fr, n)
    else:
        mid, _ = gap_axis(cp, bh, rp, fc, fh, fr, n)
    low = _fixed_axis_bound(n, bc, bh, br, fc, fh, fr, p_a, r_a, p_b, r_b, turn, axis)
    if turn > 0.0:
        low = max(low, _carried_axis_bound(n, r_m, bc, bh, br, cq, p_a, r_a, p_b, r_b, turn, axis))
    return low, mid


@njit(cache=True, nogil=True)
def _far_apart(
    bc: Array,
    bh: Array,
    fc: Array,
    fh: Array,
    fr: Array,
    p0: Array,
    r0: Array,
    v: Array,
    turn: float,
    wanted: float,
) -> bool:
    """True when a ball round the whole sweep of the body box stays clear of q (quick refusal)."""
    radius = np.sqrt(bh[0] ** 2 + bh[1] ** 2 + bh[2] ** 2)
    arm = np.sqrt(bc[0] ** 2 + bc[1] ** 2 + bc[2] ** 2)
    sweep = 0.5 * np.sqrt(v[0] ** 2 + v[1] ** 2 + v[2] ** 2) + min(arm * turn, 2 * arm)
    cx = p0[0] + 0.5 * v[0] + r0[0, 0] * bc[0] + r0[0, 1] * bc[1] + r0[0, 2] * bc[2] - fc[0]
    cy = p0[1] + 0.5 * v[1] + r0[1, 0] * bc[0] + r0[1, 1] * bc[1] + r0[1, 2] * bc[2] - fc[1]
    cz = p0[2] + 0.5 * v[2] + r0[2, 0] * bc[0] + r0[2, 1] * bc[1] + r0[2, 2] * bc[2] - fc[2]
    d2 = 0.0
    for i in range(3):
        t = abs(cx * fr[0, i] + cy * fr[1, i] + cz * fr[2, i]) - fh[i]
        if t > 0:
            d2 += t * t
    room = radius + sweep + wanted
    return bool(d2 > room * room)


@njit(cache=True, nogil=True)
def motion_clear(
    body_c: Array,
    body_h: Array,
    body_r: Array,
    fix_c: Array,
    fix_h: Array,
    fix_r: Array,
    fix_corners: Array,
    p0: Array,
    q0: Array,
    p1: Array,
    q1: Array,
    wanted_mm: float,
) -> bool:
    """True when the whole motion is proven to keep at least `wanted_mm` from every fixed box.

    False proves nothing: the motion touches, or the proof ran out of halvings.
    """
    axis, n = np.empty(3), np.empty(3)
    angle = turn_between(q0, q1, axis)
    v = p1 - p0
    r0 = matrix_from_quat(q0)
    wanted = wanted_mm + FLOAT_ERROR_MM - TOUCHING_MM
    ts = np.empty(MAX_HALVINGS + 3)
    ws = np.empty(MAX_HALVINGS + 3)
    p_e, r_e = pose_at(p0, q0, v, axis, angle, 1.0)
    p_h, r_h = pose_at(p0, q0, v, axis, angle, 0.5)
    for i in range(body_c.shape[0]):
        for j in range(fix_c.shape[0]):
            if _far_apart(
                body_c[i], body_h[i], fix_c[j], fix_h[j], fix_r[j], p0, r0, v, angle, wanted
            ):
                continue
            top = 1
            ts[0], ws[0] = 0.0, 1.0
            whole = True
            while top > 0:
                top -= 1
                t, w = ts[top], ws[top]
                if whole:
                    low, mid = pair_bound(
                        body_c[i],
                        body_h[i],
                        body_r[i],
                        fix_c[j],
                        fix_h[j],
                        fix_r[j],
                        fix_corners[j],
                        p0,
                        r0,
                        p_e,
                        r_e,
                        p_h,
                        r_h,
                        angle,
                        axis,
                        False,
                        n,
                    )
                    whole = False
                else:
                    p_a, r_a = pose_at(p0, q0, v, axis, angle, t)
                    p_b, r_b = pose_at(p0, q0, v, axis, angle, t + w)
                    p_m, r_m = pose_at(p0, q0, v, axis, angle, t + w / 2)
                    low, mid = pair_bound(
                        body_c[i],
                        body_h[i],
                        body_r[i],
                        fix_c[j],
                        fix_h[j],
                        fix_r[j],
                        fix_corners[j],
                        p_a,
                        r_a,
                        p_b,
                        r_b,
                        p_m,
                        r_m,
                        angle * w,
                        axis,
                        False,
                        n,
                    )
                    if low < wanted and 0.0 < mid < 2 * wanted:
                        low2, mid = pair_bound(
                            body_c[i],
                            body_h[i],
                            body_r[i],
                            fix_c[j],
                            fix_h[j],
                            fix_r[j],
                            fix_corners[j],
                            p_a,
                            r_a,
                            p_b,
                            r_b,
                            p_m,
                            r_m,
                            angle * w,
                            axis,
                            True,
                            n,
                        )
                        low = max(low, low2)
                if low >= wanted:
                    continue
                if mid < wanted and (mid <= 0.0 or w < 1.0):
                    return False
                if w < 1.0 / (1 << (MAX_HALVINGS - 1)) or top + 2 > MAX_HALVINGS:
                    return False
                ts[top], ws[top] = t, w / 2
                ts[top + 1], ws[top + 1] = t + w / 2, w / 2
                top += 2
    return True


@njit(cache=True, nogil=True)
def least_clearance(
    body_c: Array,
    body_h: Array,
    body_r: Array,
    fix_c: Array,
    fix_h: Array,
    fix_r: Array,
    fix_corners: Array,
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
    axis, n = np.empty(3), np.empty(3)
    angle = turn_between(q0, q1, axis)
    v = p1 - p0
    r0 = matrix_from_quat(q0)
    found, at_i, at_j, at_t = cap_mm, -1, -1, 0.0
    size = 64
    ts, ws = np.empty(size), np.empty(size)
    for i in range(body_c.shape[0]):
        for j in range(fix_c.shape[0]):
            if _far_apart(
                body_c[i], body_h[i], fix_c[j], fix_h[j], fix_r[j], p0, r0, v, angle, found
            ):
                continue
            top = 1
            ts[0], ws[0] = 0.0, 1.0
            upper = 1e300
            lower = 1e300
            where = 0.0
            while top > 0:
                top -= 1
                t, w = ts[top], ws[top]
                p_a, r_a = pose_at(p0, q0, v, axis, angle, t)
                p_b, r_b = pose_at(p0, q0, v, axis, angle, t + w)
                p_m, r_m = pose_at(p0, q0, v, axis, angle, t + w / 2)
                low, mid = pair_bound(
                    body_c[i],
                    body_h[i],
                    body_r[i],
                    fix_c[j],
                    fix_h[j],
                    fix_r[j],
                    fix_corners[j],
                    p_a,
                    r_a,
                    p_b,
                    r_b,
                    p_m,
                    r_m,
                    angle * w,
                    axis,
                    True,
                    n,
                )
                if mid < upper:
                    upper, where = mid, t + w / 2
                low -= FLOAT_ERROR_MM
                if low >= min(upper, found) - within_mm or low >= found:
                    lower = min(lower, low)
                    continue
                if w < 1e-7 or top + 2 > size:
                    return -1e300, i, j, t
                ts[top], ws[top] = t, w / 2
                ts[top + 1], ws[top + 1] = t + w / 2, w / 2
                top += 2
            if lower < found:
                found, at_i, at_j, at_t = lower, i, j, where
    return found, at_i, at_j, at_t
