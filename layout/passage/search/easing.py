"""Ease a pose that touches out to one that is clear, the way a hand lets a board find its own way.

Each pair of boxes that is too close gives a push along its separating direction at its place of
contact; pushes shift and turn the body as they would a free body of even mass. Repeated a few
times this slides the body along whatever it touches. Related: Pan, Zhang and Manocha,
"Retraction-based RRT planner for articulated models", ICRA 2010.
"""

from typing import Final

import numpy as np
from numba import njit

from layout.geometry.boxes import box_distance, gap_axis
from layout.geometry.frames import Array, matrix_from_quat, quat_product

FLAT_CONTACT_SINE: Final = 0.03  # flatter than this, the contact is taken at the middle of the face
BEYOND: Final = 1.05  # push a little past the wanted gap, so that rounding does not decide


@njit(cache=True, nogil=True)
def contact_point(
    cp: Array,
    hp: Array,
    rp: Array,
    cq: Array,
    hq: Array,
    rq: Array,
    n: Array,
    kind: int,
    out: Array,
) -> None:
    """Where p and q touch (about): a support point of one, clipped into the other."""
    if kind < 3:  # a face of p: the nearest corner or edge of q, clipped into p
        for k in range(3):
            out[k] = cq[k]
        for i in range(3):
            d = n[0] * rq[0, i] + n[1] * rq[1, i] + n[2] * rq[2, i]
            s = min(1.0, max(-1.0, d / FLAT_CONTACT_SINE)) * hq[i]
            for k in range(3):
                out[k] += s * rq[k, i]
        c, h, r = cp, hp, rp
    else:
        for k in range(3):
            out[k] = cp[k]
        for i in range(3):
            d = n[0] * rp[0, i] + n[1] * rp[1, i] + n[2] * rp[2, i]
            s = -min(1.0, max(-1.0, d / FLAT_CONTACT_SINE)) * hp[i]
            for k in range(3):
                out[k] += s * rp[k, i]
        c, h, r = cq, hq, rq
    x0, x1, x2 = out[0] - c[0], out[1] - c[1], out[2] - c[2]
    for i in range(3):
        t = r[0, i] * x0 + r[1, i] * x1 + r[2, i] * x2
        over = t - min(h[i], max(-h[i], t))
        for k in range(3):
            out[k] -= over * r[k, i]


@njit(cache=True, nogil=True)
def pose_gap(
    body_c: Array,
    body_h: Array,
    body_r: Array,
    fix_c: Array,
    fix_h: Array,
    fix_r: Array,
    p: Array,
    r: Array,
    enough_mm: float,
) -> float:
    """Least separating-axis gap at a pose, or `enough_mm` when all gaps are above it."""
    n = np.empty(3)
    least = enough_mm
    for i in range(body_c.shape[0]):
        c = p + r @ body_c[i]
        m = r @ body_r[i]
        radius = np.sqrt((body_h[i] ** 2).sum()) + least
        for j in range(fix_c.shape[0]):
            d2 = 0.0
            for k in range(3):
                t = (
                    abs(
                        fix_r[j, 0, k] * (c[0] - fix_c[j, 0])
                        + fix_r[j, 1, k] * (c[1] - fix_c[j, 1])
                        + fix_r[j, 2, k] * (c[2] - fix_c[j, 2])
                    )
                    - fix_h[j, k]
                )
                if t > 0:
                    d2 += t * t
            if d2 > radius * radius:
                continue
            g, _ = gap_axis(c, body_h[i], m, fix_c[j], fix_h[j], fix_r[j], n)
            if 0.0 < g < enough_mm:
                g = box_distance(c, body_h[i], m, fix_c[j], fix_h[j], fix_r[j], n)
            least = min(least, g)
    return float(least)


@njit(cache=True, nogil=True)
def turn_by(q: Array, w: Array) -> None:
    """Turn q in place by the rotation vector w (small or not)."""
    angle = np.sqrt(w[0] ** 2 + w[1] ** 2 + w[2] ** 2)
    if angle < 1e-15:
        return
    d = np.empty(4)
    s = np.sin(angle / 2) / angle
    d[0], d[1], d[2], d[3] = w[0] * s, w[1] * s, w[2] * s, np.cos(angle / 2)
    new = quat_product(d, q)
    size = np.sqrt((new * new).sum())
    for k in range(4):
        q[k] = new[k] / size


@njit(cache=True, nogil=True)
def keep_upright(q: Array, up: Array, cos_limit: float) -> bool:
    """Turn q back, if needed, until the body direction `up` is within its allowed tilt."""
    r = matrix_from_quat(q)
    u = r @ up
    if u[2] >= cos_limit:
        return True
    side = np.sqrt(u[0] ** 2 + u[1] ** 2)
    if side < 1e-9:
        return False
    back = np.arccos(min(1.0, max(-1.0, u[2]))) - np.arccos(cos_limit) + 1e-6
    w = np.array([u[1] / side * back, -u[0] / side * back, 0.0])  # z x u is the tilt: undo it
    turn_by(q, w)
    return bool((matrix_from_quat(q) @ up)[2] >= cos_limit)


@njit(cache=True, nogil=True)
def ease(
    body_c: Array,
    body_h: Array,
    body_r: Array,
    fix_c: Array,
    fix_h: Array,
    fix_r: Array,
    p: Array,
    q: Array,
    wanted_mm: float,
    gyration_mm: float,
    sweeps: int,
    up: Array,
    cos_limit: float,
) -> bool:
    """Move the pose (p, q), in place, until every gap is at least `wanted_mm`; True when it is."""
    n, x, w = np.empty(3), np.empty(3), np.empty(3)
    inverse_inertia = 1.0 / (gyration_mm * gyration_mm)
    for _ in range(sweeps):
        touched = False
        if cos_limit > -1.0 and not keep_upright(q, up, cos_limit):
            return False
        r = matrix_from_quat(q)
        for i in range(body_c.shape[0]):
            c = p + r @ body_c[i]
            m = r @ body_r[i]
            radius = np.sqrt((body_h[i] ** 2).sum()) + wanted_mm
            for j in range(fix_c.shape[0]):
                d2 = 0.0
                for k in range(3):
                    t = (
                        abs(
                            fix_r[j, 0, k] * (c[0] - fix_c[j, 0])
                            + fix_r[j, 1, k] * (c[1] - fix_c[j, 1])
                            + fix_r[j, 2, k] * (c[2] - fix_c[j, 2])
                        )
                        - fix_h[j, k]
                    )
                    if t > 0:
                        d2 += t * t
                if d2 > radius * radius:
                    continue
                g, kind = gap_axis(c, body_h[i], m, fix_c[j], fix_h[j], fix_r[j], n)
                if g >= wanted_mm:
                    continue
                touched = True
                contact_point(c, body_h[i], m, fix_c[j], fix_h[j], fix_r[j], n, kind, x)
                ax, ay, az = x[0] - p[0], x[1] - p[1], x[2] - p[2]
                w[0] = ay * n[2] - az * n[1]
                w[1] = az * n[0] - ax * n[2]
                w[2] = ax * n[1] - ay * n[0]
                arm2 = w[0] ** 2 + w[1] ** 2 + w[2] ** 2
                push = (wanted_mm - g) * BEYOND + 1e-4
                push /= 1.0 + arm2 * inverse_inertia
                for k in range(3):
                    p[k] += push * n[k]
                    w[k] *= push * inverse_inertia
                turn_by(q, w)
                r = matrix_from_quat(q)
                c = p + r @ body_c[i]
                m = r @ body_r[i]
        if not touched:
            return True
    return False


@njit(cache=True, nogil=True)
def settle(
    body_c: Array,
    body_h: Array,
    body_r: Array,
    fix_c: Array,
    fix_h: Array,
    fix_r: Array,
    p: Array,
    q: Array,
    wanted_mm: float,
    gyration_mm: float,
    sweeps: int,
) -> None:
    """Let all pushes of a too tight pose act at once, evened out: it comes to rest in the middle."""
    n, x = np.empty(3), np.empty(3)
    inverse_inertia = 1.0 / (gyration_mm * gyration_mm)
    for _ in range(sweeps):
        shift, turn = np.zeros(3), np.zeros(3)
        active = 0
        r = matrix_from_quat(q)
        for i in range(body_c.shape[0]):
            c = p + r @ body_c[i]
            m = r @ body_r[i]
            radius = np.sqrt((body_h[i] ** 2).sum()) + wanted_mm
            for j in range(fix_c.shape[0]):
                d2 = 0.0
                for k in range(3):
                    t = (
                        abs(
                            fix_r[j, 0, k] * (c[0] - fix_c[j, 0])
                            + fix_r[j, 1, k] * (c[1] - fix_c[j, 1])
                            + fix_r[j, 2, k] * (c[2] - fix_c[j, 2])
                        )
                        - fix_h[j, k]
                    )
                    if t > 0:
                        d2 += t * t
                if d2 > radius * radius:
                    continue
                g, kind = gap_axis(c, body_h[i], m, fix_c[j], fix_h[j], fix_r[j], n)
                if g >= wanted_mm:
                    continue
                contact_point(c, body_h[i], m, fix_c[j], fix_h[j], fix_r[j], n, kind, x)
                a = x - p
                w = np.array(
                    [
                        a[1] * n[2] - a[2] * n[1],
                        a[2] * n[0] - a[0] * n[2],
                        a[0] * n[1] - a[1] * n[0],
                    ]
                )
                push = (wanted_mm - g) / (1.0 + (w * w).sum() * inverse_inertia)
                shift += push * n
                turn += push * inverse_inertia * w
                active += 1
        if active == 0:
            return
        p += shift / active
        turn_by(q, turn / active)
