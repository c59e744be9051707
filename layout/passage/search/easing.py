"""Ease a pose that touches out to one that is clear, the way a hand lets a board find its own way.

Each pair of boxes that is too close gives a push along its separating direction at its place of
contact; pushes shift and turn the body as they would a free body of even mass. Repeated a few
times this slides the body along whatever it touches. Related: Pan, Zhang and Manocha,
"Retraction-based RRT planner for articulated models", ICRA 2010.
"""

from typing import Final

import numpy as np

from layout.geometry.boxes import apart_from, box_distance, gap_axis
from layout.geometry.frames import Array, matrix_from_quat, place, quat_product, turned
from layout.geometry.kernels import inner_kernel, kernel
from layout.passage.problem import Scene

FLAT_CONTACT_SINE: Final = 0.03  # flatter than this, the contact is taken at the middle of the face
SWEEPS: Final = 20  # over all pairs of boxes, before a pose is given up
SETTLE_SWEEPS: Final = 4
BEYOND: Final = 1.05  # push a little past the wanted gap, so that rounding does not decide


@inner_kernel
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


@inner_kernel
def _ball(half: Array) -> float:
    """Radius of the ball round a box."""
    return float(np.sqrt(half[0] * half[0] + half[1] * half[1] + half[2] * half[2]))


@kernel
def pose_gap(scene: Scene, p: Array, r: Array, enough_mm: float) -> float:
    """Least separating-axis gap at a pose, or `enough_mm` when all gaps are above it."""
    body, fixed = scene.body, scene.fixed
    c, m, n = np.empty(3), np.empty((3, 3)), np.empty(3)
    least = enough_mm
    for i in range(body.centre.shape[0]):
        place(p, r, body.centre[i], c)
        turned(r, body.rotation[i], m)
        h = body.half[i]
        radius = max(0.0, _ball(h) + least)
        for j in range(fixed.centre.shape[0]):
            if apart_from(c, fixed, j, radius):
                continue
            g, _ = gap_axis(c, h, m, fixed.centre[j], fixed.half[j], fixed.rotation[j], n)
            if 0.0 < g < enough_mm:
                g = box_distance(c, h, m, fixed.centre[j], fixed.half[j], fixed.rotation[j], n)
            least = min(least, g)
    return float(least)


@inner_kernel
def turn_by(q: Array, w: Array) -> None:
    """Turn q in place by the rotation vector w (small or not)."""
    angle = np.sqrt(w[0] * w[0] + w[1] * w[1] + w[2] * w[2])
    if angle < 1e-15:
        return
    d = np.empty(4)
    s = np.sin(angle / 2) / angle
    d[0], d[1], d[2], d[3] = w[0] * s, w[1] * s, w[2] * s, np.cos(angle / 2)
    new = quat_product(d, q)
    size = 0.0
    for k in range(4):
        size += new[k] * new[k]
    size = np.sqrt(size)
    for k in range(4):
        q[k] = new[k] / size


@inner_kernel
def _turned_up(q: Array, up: Array, u: Array) -> None:
    """The body direction `up` at a turn, into u."""
    r = matrix_from_quat(q)
    for k in range(3):
        u[k] = r[k, 0] * up[0] + r[k, 1] * up[1] + r[k, 2] * up[2]


@inner_kernel
def keep_upright(q: Array, up: Array, cos_limit: float) -> bool:
    """Turn q back, if needed, until the body direction `up` is within its allowed tilt."""
    u = np.empty(3)
    _turned_up(q, up, u)
    if u[2] >= cos_limit:
        return True
    side = np.sqrt(u[0] * u[0] + u[1] * u[1])
    if side < 1e-9:
        return False
    back = np.arccos(min(1.0, max(-1.0, u[2]))) - np.arccos(cos_limit) + 1e-6
    w = np.empty(3)  # z x u is the tilt: undo it
    w[0], w[1], w[2] = u[1] / side * back, -u[0] / side * back, 0.0
    turn_by(q, w)
    _turned_up(q, up, u)
    return bool(u[2] >= cos_limit)


@inner_kernel
def _push(x: Array, p: Array, n: Array, w: Array, inverse_inertia: float) -> float:
    """The moment of a push along n at x into w; what it is divided by to shift and turn a body."""
    ax, ay, az = x[0] - p[0], x[1] - p[1], x[2] - p[2]
    w[0] = ay * n[2] - az * n[1]
    w[1] = az * n[0] - ax * n[2]
    w[2] = ax * n[1] - ay * n[0]
    return 1.0 + (w[0] * w[0] + w[1] * w[1] + w[2] * w[2]) * inverse_inertia


@kernel
def ease(scene: Scene, p: Array, q: Array, wanted_mm: float) -> bool:
    """Move the pose (p, q), in place, until every gap is at least `wanted_mm`; True when it is."""
    body, fixed = scene.body, scene.fixed
    c, m, n, x, w = np.empty(3), np.empty((3, 3)), np.empty(3), np.empty(3), np.empty(3)
    inverse_inertia = 1.0 / (scene.gyration * scene.gyration)
    for _ in range(SWEEPS):
        touched = False
        if scene.cos_tilt > -1.0 and not keep_upright(q, scene.up, scene.cos_tilt):
            return False
        r = matrix_from_quat(q)
        for i in range(body.centre.shape[0]):
            place(p, r, body.centre[i], c)
            turned(r, body.rotation[i], m)
            h = body.half[i]
            radius = _ball(h) + wanted_mm
            for j in range(fixed.centre.shape[0]):
                if apart_from(c, fixed, j, radius):
                    continue
                fc, fh, fr = fixed.centre[j], fixed.half[j], fixed.rotation[j]
                g, kind = gap_axis(c, h, m, fc, fh, fr, n)
                if g >= wanted_mm:
                    continue
                touched = True
                contact_point(c, h, m, fc, fh, fr, n, kind, x)
                push = (wanted_mm - g) * BEYOND + 1e-4
                push /= _push(x, p, n, w, inverse_inertia)
                for k in range(3):
                    p[k] += push * n[k]
                    w[k] *= push * inverse_inertia
                turn_by(q, w)
                r = matrix_from_quat(q)
                place(p, r, body.centre[i], c)
                turned(r, body.rotation[i], m)
        if not touched:
            return True
    return False


@inner_kernel
def settle(scene: Scene, p: Array, q: Array, wanted_mm: float) -> None:
    """Let all pushes of a too tight pose act at once, evened out: it comes to rest midway."""
    body, fixed = scene.body, scene.fixed
    c, m, n, x, w = np.empty(3), np.empty((3, 3)), np.empty(3), np.empty(3), np.empty(3)
    inverse_inertia = 1.0 / (scene.gyration * scene.gyration)
    for _ in range(SETTLE_SWEEPS):
        shift, turn = np.zeros(3), np.zeros(3)
        active = 0
        r = matrix_from_quat(q)
        for i in range(body.centre.shape[0]):
            place(p, r, body.centre[i], c)
            turned(r, body.rotation[i], m)
            h = body.half[i]
            radius = _ball(h) + wanted_mm
            for j in range(fixed.centre.shape[0]):
                if apart_from(c, fixed, j, radius):
                    continue
                fc, fh, fr = fixed.centre[j], fixed.half[j], fixed.rotation[j]
                g, kind = gap_axis(c, h, m, fc, fh, fr, n)
                if g >= wanted_mm:
                    continue
                contact_point(c, h, m, fc, fh, fr, n, kind, x)
                push = (wanted_mm - g) / _push(x, p, n, w, inverse_inertia)
                for k in range(3):
                    shift[k] += push * n[k]
                    turn[k] += push * inverse_inertia * w[k]
                active += 1
        if active == 0:
            return
        for k in range(3):
            p[k] += shift[k] / active
            turn[k] /= active
        turn_by(q, turn)
