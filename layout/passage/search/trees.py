"""Many small trees of poses, grown toward each other until start and goal are joined.

Trees start outside, at the resting pose, and in the gates themselves (poses found half way
through the opening). Each step that touches is eased clear, so trees slide along rims instead of
stopping at them; every edge is a motion proven clear all along. Related: LaValle and Kuffner,
"RRT-Connect", ICRA 2000.
"""

from typing import Final

import numpy as np
from numba import njit

from layout.geometry.frames import (
    Array,
    matrix_from_quat,
    quat_about,
    quat_product,
    random_quat,
    turn_between,
)
from layout.passage.motion import motion_clear
from layout.passage.search.easing import ease, keep_upright, pose_gap, settle, turn_by

SLACKS_MM: Final = (3.0, 0.6, 0.1)  # gaps asked of eased poses, the generous one first
MAX_CHAIN: Final = 40


@njit(cache=True, nogil=True)
def seed_random(seed: int) -> None:
    """Set the seed of the generator the kernels draw from."""
    np.random.seed(seed)


@njit(cache=True, nogil=True)
def ease_out(
    body_c: Array,
    body_h: Array,
    body_r: Array,
    fix_c: Array,
    fix_h: Array,
    fix_r: Array,
    p: Array,
    q: Array,
    wanted: float,
    gyration: float,
    sweeps: int,
    up: Array,
    cos_limit: float,
) -> bool:
    """Ease a pose clear with as much slack as it takes; in a tight spot it ends up centred."""
    for slack in SLACKS_MM:
        done = ease(
            body_c,
            body_h,
            body_r,
            fix_c,
            fix_h,
            fix_r,
            p,
            q,
            wanted + slack,
            gyration,
            sweeps,
            up,
            cos_limit,
        )
        if done:
            return True
        settle(body_c, body_h, body_r, fix_c, fix_h, fix_r, p, q, wanted + slack, gyration, 4)
        if cos_limit > -1.0 and not keep_upright(q, up, cos_limit):
            return False
        g = pose_gap(
            body_c, body_h, body_r, fix_c, fix_h, fix_r, p, matrix_from_quat(q), wanted + 0.05
        )
        if g >= wanted + 1e-3:
            return True
    return False


@njit(cache=True, nogil=True)
def apart2(p: Array, q: Array, p1: Array, q1: Array, gyration: float) -> float:
    """Squared length from one pose to another: mm of shift and mm of turn at the gyration radius."""
    dot = abs(q[0] * q1[0] + q[1] * q1[1] + q[2] * q1[2] + q[3] * q1[3])
    d2 = (p[0] - p1[0]) ** 2 + (p[1] - p1[1]) ** 2 + (p[2] - p1[2]) ** 2
    return float(d2 + gyration * gyration * 8 * max(0.0, 1.0 - dot))


@njit(cache=True, nogil=True)
def root_of(parent_tree: Array, t: int) -> int:
    """The component a tree belongs to now."""
    while parent_tree[t] != t:
        parent_tree[t] = parent_tree[parent_tree[t]]
        t = parent_tree[t]
    return int(t)


@njit(cache=True, nogil=True)
def _add(
    nodes_p: Array,
    nodes_q: Array,
    parent: Array,
    tree: Array,
    count: int,
    p: Array,
    q: Array,
    up_node: int,
    t: int,
) -> int:
    for k in range(3):
        nodes_p[count, k] = p[k]
    for k in range(4):
        nodes_q[count, k] = q[k]
    parent[count] = up_node
    tree[count] = t
    return count + 1


@njit(cache=True, nogil=True)
def _upright_motion(q0: Array, q1: Array, up: Array, cos_limit: float) -> bool:
    """True when the whole turn from q0 to q1 stays within the allowed tilt (sine bound as in motion)."""
    if cos_limit <= -1.0:
        return True
    axis = np.empty(3)
    angle = turn_between(q0, q1, axis)
    steps = 16
    slack = (angle / steps) ** 2 / 8
    for s in range(steps + 1):
        r = matrix_from_quat(quat_product(quat_about(axis, angle * s / steps), q0))
        if (r @ up)[2] < cos_limit - slack - 1e-3:
            return False
    return True


@njit(cache=True, nogil=True)
def extend(
    body_c: Array,
    body_h: Array,
    body_r: Array,
    fix_c: Array,
    fix_h: Array,
    fix_r: Array,
    fix_k: Array,
    nodes_p: Array,
    nodes_q: Array,
    parent: Array,
    tree: Array,
    count: int,
    near: int,
    tp: Array,
    tq: Array,
    wanted: float,
    gyration: float,
    step: float,
    chain: int,
    up: Array,
    cos_limit: float,
) -> tuple[int, bool]:
    """Walk from node `near` toward the target pose; returns (new count, reached exactly)."""
    axis = np.empty(3)
    t = tree[near]
    for link in range(chain):
        if count + 2 >= nodes_p.shape[0]:
            return count, False
        d = np.sqrt(apart2(nodes_p[near], nodes_q[near], tp, tq, gyration))
        if d < 1e-9:
            return count, True
        near_enough = d <= 3 * step or (link == 0 and d < 12 * step)
        if (
            near_enough
            and _upright_motion(nodes_q[near], tq, up, cos_limit)
            and motion_clear(
                body_c,
                body_h,
                body_r,
                fix_c,
                fix_h,
                fix_r,
                fix_k,
                nodes_p[near],
                nodes_q[near],
                tp,
                tq,
                wanted,
            )
        ):
            count = _add(nodes_p, nodes_q, parent, tree, count, tp, tq, near, t)
            return count, True
        s = step
        moved = False
        for _ in range(3):
            f = min(1.0, s / d)
            angle = turn_between(nodes_q[near], tq, axis)
            p = nodes_p[near] + (tp - nodes_p[near]) * f
            q = quat_product(quat_about(axis, angle * f), nodes_q[near])
            if (
                s == step
                and _upright_motion(nodes_q[near], q, up, cos_limit)
                and motion_clear(
                    body_c,
                    body_h,
                    body_r,
                    fix_c,
                    fix_h,
                    fix_r,
                    fix_k,
                    nodes_p[near],
                    nodes_q[near],
                    p,
                    q,
                    wanted,
                )
            ):
                count = _add(nodes_p, nodes_q, parent, tree, count, p, q, near, t)
                near = count - 1
                moved = True
                break
            if not ease_out(
                body_c,
                body_h,
                body_r,
                fix_c,
                fix_h,
                fix_r,
                p,
                q,
                wanted,
                gyration,
                12,
                up,
                cos_limit,
            ):
                s *= 0.4
                continue
            gone = np.sqrt(apart2(nodes_p[near], nodes_q[near], p, q, gyration))
            if gone < 0.15 * s or gone > 4 * s + 8.0:
                s *= 0.4
                continue
            if _upright_motion(nodes_q[near], q, up, cos_limit) and motion_clear(
                body_c,
                body_h,
                body_r,
                fix_c,
                fix_h,
                fix_r,
                fix_k,
                nodes_p[near],
                nodes_q[near],
                p,
                q,
                wanted,
            ):
                closer = np.sqrt(apart2(p, q, tp, tq, gyration)) < d - 0.1 * s
                count = _add(nodes_p, nodes_q, parent, tree, count, p, q, near, t)
                near = count - 1
                moved = True
                if not closer:
                    return count, False
                break
            s *= 0.4
        if not moved:
            return count, False
    return count, False


@njit(cache=True, nogil=True)
def nearest(
    nodes_p: Array,
    nodes_q: Array,
    tree: Array,
    count: int,
    parent_tree: Array,
    comp: int,
    p: Array,
    q: Array,
    gyration: float,
    other: bool,
) -> int:
    """Nearest node inside component `comp`, or with `other` outside it; -1 when there is none."""
    best, at = 1e300, -1
    for i in range(count):
        inside = root_of(parent_tree, tree[i]) == comp
        if inside == other:
            continue
        d2 = apart2(nodes_p[i], nodes_q[i], p, q, gyration)
        if d2 < best:
            best, at = d2, i
    return at


@njit(cache=True, nogil=True)
def sample_in_gate(
    body_c: Array,
    body_h: Array,
    body_r: Array,
    gate_c: Array,
    gate_h: Array,
    squares: Array,
    p: Array,
    q: Array,
) -> int:
    """A pose with some point of the body in a gate, square or tilted about one or two axes."""
    g = np.random.randint(gate_c.shape[0])
    u = np.random.random()
    if u < 0.15 and squares.shape[0] > 1:  # one square turn only: a calm search, nothing wild
        q[:] = random_quat()
    else:
        q[:] = squares[np.random.randint(squares.shape[0])]
        axis = np.zeros(3)
        if u > 0.45:
            axis[np.random.randint(3)] = 1.0
            q[:] = quat_product(quat_about(axis, np.random.uniform(-1.6, 1.6)), q)
        if u > 0.75:
            axis[:] = 0.0
            axis[np.random.randint(3)] = 1.0
            q[:] = quat_product(quat_about(axis, np.random.uniform(-0.8, 0.8)), q)
    i = np.random.randint(body_c.shape[0])
    x = body_c[i].copy()
    for k in range(3):
        s = np.random.uniform(-1, 1) * body_h[i, k] * (0.0 if np.random.random() < 0.4 else 1.0)
        x += s * body_r[i, :, k]
    r = matrix_from_quat(q)
    y = r @ x
    for k in range(3):
        p[k] = gate_c[g, k] + np.random.uniform(-1, 1) * gate_h[g, k] * 0.5 - y[k]
    return g


@njit(cache=True, nogil=True)
def sow(
    body_c: Array,
    body_h: Array,
    body_r: Array,
    fix_c: Array,
    fix_h: Array,
    fix_r: Array,
    fix_k: Array,
    gate_c: Array,
    gate_h: Array,
    gate_axis: Array,
    squares: Array,
    nodes_p: Array,
    nodes_q: Array,
    parent: Array,
    tree: Array,
    count: int,
    parent_tree: Array,
    trees: int,
    tries: int,
    wanted: float,
    gyration: float,
    step: float,
    radius: float,
    up: Array,
    cos_limit: float,
) -> tuple[int, int]:
    """Try to plant new trees inside the gates, each pulled both ways at once; (nodes, trees)."""
    p, q = np.empty(3), np.empty(4)
    for _ in range(tries):
        if trees >= parent_tree.shape[0] or count + 2 * MAX_CHAIN + 4 >= nodes_p.shape[0]:
            break
        g = sample_in_gate(body_c, body_h, body_r, gate_c, gate_h, squares, p, q)
        p0 = p.copy()
        if not ease_out(
            body_c, body_h, body_r, fix_c, fix_h, fix_r, p, q, wanted, gyration, 25, up, cos_limit
        ):
            continue
        if np.sqrt(((p - p0) ** 2).sum()) > gyration:  # thrown out of the gate
            continue
        fresh = True
        for i in range(2, count):
            if (
                parent[i] < 0
                and apart2(nodes_p[i], nodes_q[i], p, q, gyration) < (0.04 * gyration) ** 2
            ):
                fresh = False
                break
        if not fresh:
            continue
        parent_tree[trees] = trees
        first = count
        count = _add(nodes_p, nodes_q, parent, tree, count, p, q, -1, trees)
        trees += 1
        for way in (-1.0, 1.0):
            far = p.copy()
            far[gate_axis[g]] = gate_c[g, gate_axis[g]] + way * (
                gate_h[g, gate_axis[g]] + 1.3 * radius
            )
            count, _ = extend(
                body_c,
                body_h,
                body_r,
                fix_c,
                fix_h,
                fix_r,
                fix_k,
                nodes_p,
                nodes_q,
                parent,
                tree,
                count,
                first,
                far,
                q,
                wanted,
                gyration,
                step,
                MAX_CHAIN,
                up,
                cos_limit,
            )
    return count, trees


@njit(cache=True, nogil=True)
def _target(
    body_c: Array,
    body_h: Array,
    body_r: Array,
    gate_c: Array,
    gate_h: Array,
    squares: Array,
    nodes_p: Array,
    nodes_q: Array,
    tree: Array,
    count: int,
    parent_tree: Array,
    comp: int,
    low: Array,
    high: Array,
    gyration: float,
    p: Array,
    q: Array,
) -> int:
    """Draw a target pose; returns the node to grow from, or -1 for the nearest one."""
    u = np.random.random()
    if u < 0.3:  # another component's node, start and goal more often
        i = np.random.randint(2) if np.random.random() < 0.5 else np.random.randint(count)
        if root_of(parent_tree, tree[i]) != comp:
            p[:] = nodes_p[i]
            q[:] = nodes_q[i]
            return -1
        u = np.random.uniform(0.3, 1.0)
    if u < 0.5 and gate_c.shape[0] > 0:
        sample_in_gate(body_c, body_h, body_r, gate_c, gate_h, squares, p, q)
        return -1
    if u < 0.8:  # a nudge or a pull from a node of this component
        i = -1
        for _ in range(30):
            j = np.random.randint(count)
            if root_of(parent_tree, tree[j]) == comp:
                i = j
                break
        if i >= 0:
            p[:] = nodes_p[i]
            q[:] = nodes_q[i]
            w = np.zeros(3)
            w4 = squares[0]
            v = np.random.random()
            if v < 0.25:  # a straight pull, squared up
                best = 0.0
                for k in range(squares.shape[0]):
                    d = abs((squares[k] * q).sum())
                    if d > best:
                        best = d
                        w4 = squares[k]
                q[:] = w4
                p[np.random.randint(3)] += np.random.uniform(-3, 3) * gyration
                return i
            if v < 0.5:
                p[np.random.randint(3)] += np.random.normal() * gyration
            else:
                for k in range(3):
                    p[k] += np.random.normal() * gyration * 0.4
            if np.random.random() < 0.6:
                if np.random.random() < 0.5:
                    w[np.random.randint(3)] = np.random.normal() * 0.6
                else:
                    for k in range(3):
                        w[k] = np.random.normal() * 0.3
                turn_by(q, w)
            return i
    for k in range(3):
        p[k] = np.random.uniform(low[k], high[k])
    v = np.random.random()
    if v < 0.3:
        q[:] = nodes_q[np.random.randint(2)]
    elif v < 0.7:
        q[:] = squares[np.random.randint(squares.shape[0])]
        axis = np.zeros(3)
        axis[np.random.randint(3)] = 1.0
        q[:] = quat_product(quat_about(axis, np.random.uniform(-1.6, 1.6)), q)
    elif squares.shape[0] > 1:
        q[:] = random_quat()
    else:
        q[:] = nodes_q[np.random.randint(2)]
    return -1


@njit(cache=True, nogil=True)
def grow(
    body_c: Array,
    body_h: Array,
    body_r: Array,
    fix_c: Array,
    fix_h: Array,
    fix_r: Array,
    fix_k: Array,
    gate_c: Array,
    gate_h: Array,
    squares: Array,
    low: Array,
    high: Array,
    nodes_p: Array,
    nodes_q: Array,
    parent: Array,
    tree: Array,
    count: int,
    parent_tree: Array,
    trees: int,
    links: Array,
    link_count: int,
    rounds: int,
    wanted: float,
    gyration: float,
    step: float,
    up: Array,
    cos_limit: float,
) -> tuple[int, int]:
    """Grow for a number of rounds or until start and goal are joined; (nodes, links)."""
    p, q = np.empty(3), np.empty(4)
    for _ in range(rounds):
        if count + 2 * MAX_CHAIN + 4 >= nodes_p.shape[0] or link_count >= links.shape[0]:
            break
        u = np.random.random()
        t = 0 if u < 0.2 else (1 if u < 0.45 else np.random.randint(trees))
        comp = root_of(parent_tree, t)
        near = _target(
            body_c,
            body_h,
            body_r,
            gate_c,
            gate_h,
            squares,
            nodes_p,
            nodes_q,
            tree,
            count,
            parent_tree,
            comp,
            low,
            high,
            gyration,
            p,
            q,
        )
        if near < 0:
            near = nearest(nodes_p, nodes_q, tree, count, parent_tree, comp, p, q, gyration, False)
        before = count
        count, _ = extend(
            body_c,
            body_h,
            body_r,
            fix_c,
            fix_h,
            fix_r,
            fix_k,
            nodes_p,
            nodes_q,
            parent,
            tree,
            count,
            near,
            p,
            q,
            wanted,
            gyration,
            step,
            MAX_CHAIN,
            up,
            cos_limit,
        )
        if count == before:
            continue
        last = count - 1
        other = nearest(
            nodes_p,
            nodes_q,
            tree,
            count,
            parent_tree,
            comp,
            nodes_p[last],
            nodes_q[last],
            gyration,
            True,
        )
        if other < 0:
            continue
        p[:] = nodes_p[last]
        q[:] = nodes_q[last]
        count, reached = extend(
            body_c,
            body_h,
            body_r,
            fix_c,
            fix_h,
            fix_r,
            fix_k,
            nodes_p,
            nodes_q,
            parent,
            tree,
            count,
            other,
            p,
            q,
            wanted,
            gyration,
            step,
            MAX_CHAIN,
            up,
            cos_limit,
        )
        if reached:
            links[link_count, 0] = last
            links[link_count, 1] = count - 1 if count - 1 != last else other
            link_count += 1
            a, b = root_of(parent_tree, tree[last]), root_of(parent_tree, tree[other])
            parent_tree[max(a, b)] = min(a, b)
            if root_of(parent_tree, 0) == root_of(parent_tree, 1):
                break
    return count, link_count
