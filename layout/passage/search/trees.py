"""Many small trees of poses, grown toward each other until start and goal are joined.

Trees start outside, at the resting pose, and in the gates themselves (poses found half way
through the opening). Each step that touches is eased clear, so trees slide along rims instead of
stopping at them; every edge is a motion proven clear all along. Related: LaValle and Kuffner,
"RRT-Connect", ICRA 2000.
"""

from typing import Final, NamedTuple

import numpy as np

from layout.geometry.draws import Generator, any_turn, between, normal, uniform, whole
from layout.geometry.frames import (
    Array,
    Ints,
    least_upright,
    matrix_from_quat,
    quat_about,
    quat_product,
    turn_between,
)
from layout.geometry.kernels import inner_kernel, kernel
from layout.passage.motion import motion_clear
from layout.passage.problem import Scene
from layout.passage.search.easing import ease, keep_upright, pose_gap, settle, turn_by
from layout.passage.search.forest import (
    LINKS,
    NODES,
    STEPS,
    TREES,
    Forest,
    add_node,
    apart2,
    copy_into,
    copy_pose,
    is_fresh,
    nearest,
    root_of,
)

SLACKS_MM: Final = (3.0, 0.6, 0.1)  # gaps asked of eased poses, the generous one first
MAX_CHAIN: Final = 40
EASE_STEPS: Final = 4  # an easing is about as much work as so many motions


class Gates(NamedTuple):
    """The openings a way should pass: middle, half size and axis of each, and square turns."""

    centre: Array  # (n, 3)
    half: Array  # (n, 3)
    axis: Ints  # (n,)
    squares: Array  # (m, 4): turns poses are drawn round; one only for a calm search


@inner_kernel
def ease_out(scene: Scene, p: Array, q: Array, wanted: float) -> bool:
    """Ease a pose clear with as much slack as it takes; in a tight spot it ends up centred."""
    for slack in SLACKS_MM:
        if ease(scene, p, q, wanted + slack):
            return True
        settle(scene, p, q, wanted + slack)
        if scene.cos_tilt > -1.0 and not keep_upright(q, scene.up, scene.cos_tilt):
            return False
        if pose_gap(scene, p, matrix_from_quat(q), wanted + 0.05) >= wanted + 1e-3:
            return True
    return False


@kernel
def motion_allowed(scene: Scene, p0: Array, q0: Array, p1: Array, q1: Array, wanted: float) -> bool:
    """True when a motion is proven clear and stays within the allowed tilt all along."""
    if scene.cos_tilt > -1.0 and least_upright(q0, q1, scene.up) < scene.cos_tilt:
        return False
    return motion_clear(scene.body, scene.fixed, p0, q0, p1, q1, wanted)


@inner_kernel
def _part_way(p0: Array, q0: Array, p1: Array, q1: Array, share: float, p: Array, q: Array) -> None:
    """The pose a share of the way from one to another, into (p, q)."""
    axis = np.empty(3)
    angle = turn_between(q0, q1, axis)
    new = quat_product(quat_about(axis, angle * share), q0)
    for k in range(3):
        p[k] = p0[k] + (p1[k] - p0[k]) * share
    for k in range(4):
        q[k] = new[k]


@inner_kernel
def _step(
    scene: Scene, forest: Forest, near: int, tp: Array, tq: Array, wanted: float, step: float
) -> int:
    """One step from a node toward a target: 0 none, 1 a step nearer, 2 a step that is no nearer."""
    p0, q0, tree = forest.places[near], forest.turns[near], forest.tree[near]
    d = np.sqrt(apart2(p0, q0, tp, tq, scene.gyration))
    p, q = np.empty(3), np.empty(4)
    s = step
    for _ in range(3):
        _part_way(p0, q0, tp, tq, min(1.0, s / d), p, q)
        forest.tally[STEPS] += 1
        if s == step and motion_allowed(scene, p0, q0, p, q, wanted):
            add_node(forest, p, q, near, tree)
            return 1
        forest.tally[STEPS] += EASE_STEPS
        if ease_out(scene, p, q, wanted):
            gone = np.sqrt(apart2(p0, q0, p, q, scene.gyration))
            fair = 0.15 * s <= gone <= 4 * s + 8.0
            if fair and motion_allowed(scene, p0, q0, p, q, wanted):
                add_node(forest, p, q, near, tree)
                nearer = np.sqrt(apart2(p, q, tp, tq, scene.gyration)) < d - 0.1 * s
                return 1 if nearer else 2
        s *= 0.4
    return 0


@inner_kernel
def extend(
    scene: Scene, forest: Forest, near: int, tp: Array, tq: Array, wanted: float, step: float
) -> bool:
    """Walk from node `near` toward the target pose; True when it was reached exactly."""
    for link in range(MAX_CHAIN):
        if forest.tally[NODES] + 2 >= forest.places.shape[0]:
            return False
        p0, q0 = forest.places[near], forest.turns[near]
        d = np.sqrt(apart2(p0, q0, tp, tq, scene.gyration))
        if d < 1e-9:
            return True
        forest.tally[STEPS] += 1
        near_enough = d <= 3 * step or (link == 0 and d < 12 * step)
        if near_enough and motion_allowed(scene, p0, q0, tp, tq, wanted):
            add_node(forest, tp, tq, near, forest.tree[near])
            return True
        went = _step(scene, forest, near, tp, tq, wanted, step)
        if went != 1:
            return False
        near = forest.tally[NODES] - 1
    return False


@inner_kernel
def _tilted(q: Array, turn: Array, axis_number: int, angle: float) -> None:
    """A turn tilted by an angle about one of the hull's axes, into q."""
    axis = np.zeros(3)
    axis[axis_number] = 1.0
    new = quat_product(quat_about(axis, angle), turn)
    for k in range(4):
        q[k] = new[k]


@inner_kernel
def sample_in_gate(scene: Scene, gates: Gates, draw: Generator, p: Array, q: Array) -> int:
    """A pose with some point of the body in a gate, square or tilted about one or two axes."""
    g = whole(draw, gates.centre.shape[0])
    u = uniform(draw)
    if u < 0.15 and gates.squares.shape[0] > 1:  # one square turn only: a calm search
        any_turn(draw, q)
    else:
        square = gates.squares[whole(draw, gates.squares.shape[0])]
        for k in range(4):
            q[k] = square[k]
        if u > 0.45:
            _tilted(q, q, whole(draw, 3), between(draw, -1.6, 1.6))
        if u > 0.75:
            _tilted(q, q, whole(draw, 3), between(draw, -0.8, 0.8))
    i = whole(draw, scene.body.centre.shape[0])
    x = np.empty(3)
    copy_into(scene.body.centre[i], x)
    for k in range(3):
        s = between(draw, -1.0, 1.0) * scene.body.half[i, k]
        if uniform(draw) < 0.4:
            s = 0.0
        for m in range(3):
            x[m] += s * scene.body.rotation[i, m, k]
    r = matrix_from_quat(q)
    for k in range(3):
        y = r[k, 0] * x[0] + r[k, 1] * x[1] + r[k, 2] * x[2]
        p[k] = gates.centre[g, k] + between(draw, -1.0, 1.0) * gates.half[g, k] * 0.5 - y
    return g


@kernel
def sow(
    scene: Scene,
    gates: Gates,
    forest: Forest,
    draw: Generator,
    tries: int,
    wanted: float,
    step: float,
    radius: float,
) -> None:
    """Try to plant new trees inside the gates, each pulled both ways at once."""
    p, q, p0, far = np.empty(3), np.empty(4), np.empty(3), np.empty(3)
    for _ in range(tries):
        t = forest.tally[TREES]
        full = forest.tally[NODES] + 2 * MAX_CHAIN + 4 >= forest.places.shape[0]
        if t >= forest.joined.shape[0] or full:
            break
        g = sample_in_gate(scene, gates, draw, p, q)
        forest.tally[STEPS] += EASE_STEPS
        copy_into(p, p0)
        if not ease_out(scene, p, q, wanted):
            continue
        thrown = apart2(p0, q, p, q, scene.gyration)
        if thrown > scene.gyration * scene.gyration:  # thrown out of the gate
            continue
        if not is_fresh(forest, p, q, scene.gyration):
            continue
        forest.joined[t] = t
        forest.tally[TREES] = t + 1
        first = add_node(forest, p, q, -1, t)
        copy_into(p, far)
        k = gates.axis[g]
        for way in (-1.0, 1.0):
            far[k] = gates.centre[g, k] + way * (gates.half[g, k] + 1.3 * radius)
            extend(scene, forest, first, far, q, wanted, step)


@inner_kernel
def _squared_up(squares: Array, q: Array) -> None:
    """The nearest square turn, into q."""
    best, at = 0.0, 0
    for m in range(squares.shape[0]):
        s = squares[m]
        d = abs(s[0] * q[0] + s[1] * q[1] + s[2] * q[2] + s[3] * q[3])
        if d > best:
            best, at = d, m
    for k in range(4):
        q[k] = squares[at, k]


@inner_kernel
def _nudge(
    scene: Scene, gates: Gates, forest: Forest, draw: Generator, comp: int, p: Array, q: Array
) -> int:
    """A nudge or a pull from a node of a component, into (p, q); the node, -1 when none is met."""
    i = -1
    for _ in range(30):
        j = whole(draw, forest.tally[NODES])
        if root_of(forest.joined, forest.tree[j]) == comp:
            i = j
            break
    if i < 0:
        return -1
    copy_pose(forest, i, p, q)
    v = uniform(draw)
    if v < 0.25:  # a straight pull, squared up
        _squared_up(gates.squares, q)
        p[whole(draw, 3)] += between(draw, -3.0, 3.0) * scene.gyration
        return i
    if v < 0.5:
        p[whole(draw, 3)] += normal(draw) * scene.gyration
    else:
        for k in range(3):
            p[k] += normal(draw) * scene.gyration * 0.4
    if uniform(draw) < 0.6:
        w = np.zeros(3)
        if uniform(draw) < 0.5:
            w[whole(draw, 3)] = normal(draw) * 0.6
        else:
            for k in range(3):
                w[k] = normal(draw) * 0.3
        turn_by(q, w)
    return i


@inner_kernel
def _anywhere(
    gates: Gates, forest: Forest, draw: Generator, low: Array, high: Array, p: Array, q: Array
) -> None:
    """A pose anywhere in the box from low to high, into (p, q)."""
    for k in range(3):
        p[k] = between(draw, low[k], high[k])
    v = uniform(draw)
    calm = gates.squares.shape[0] == 1
    if v < 0.3 or (v >= 0.7 and calm):
        i = whole(draw, 2)
        for k in range(4):
            q[k] = forest.turns[i, k]
    elif v < 0.7:
        square = gates.squares[whole(draw, gates.squares.shape[0])]
        _tilted(q, square, whole(draw, 3), between(draw, -1.6, 1.6))
    else:
        any_turn(draw, q)


@inner_kernel
def _target(
    scene: Scene,
    gates: Gates,
    forest: Forest,
    draw: Generator,
    comp: int,
    low: Array,
    high: Array,
    p: Array,
    q: Array,
) -> int:
    """Draw a target pose into (p, q); the node to grow from, or -1 for the nearest one."""
    u = uniform(draw)
    if u < 0.3:  # another component's node, start and goal more often
        i = whole(draw, 2) if uniform(draw) < 0.5 else whole(draw, forest.tally[NODES])
        if root_of(forest.joined, forest.tree[i]) != comp:
            copy_pose(forest, i, p, q)
            return -1
        u = between(draw, 0.3, 1.0)
    if u < 0.5 and gates.centre.shape[0] > 0:
        sample_in_gate(scene, gates, draw, p, q)
        return -1
    if u < 0.8:
        i = _nudge(scene, gates, forest, draw, comp, p, q)
        if i >= 0:
            return i
    _anywhere(gates, forest, draw, low, high, p, q)
    return -1


@kernel
def grow(
    scene: Scene,
    gates: Gates,
    forest: Forest,
    draw: Generator,
    low: Array,
    high: Array,
    rounds: int,
    wanted: float,
    step: float,
) -> int:
    """Grow for some rounds or until start and goal are joined; how many rounds were done."""
    p, q = np.empty(3), np.empty(4)
    count = forest.tally
    for done in range(rounds):
        full = count[NODES] + 2 * MAX_CHAIN + 4 >= forest.places.shape[0]
        if full or count[LINKS] >= forest.links.shape[0]:
            return done
        u = uniform(draw)
        t = 0 if u < 0.2 else (1 if u < 0.45 else whole(draw, count[TREES]))
        comp = root_of(forest.joined, t)
        near = _target(scene, gates, forest, draw, comp, low, high, p, q)
        if near < 0:
            near = nearest(forest, comp, p, q, scene.gyration)
        before = count[NODES]
        extend(scene, forest, near, p, q, wanted, step)
        if count[NODES] == before:
            continue
        last = count[NODES] - 1
        copy_pose(forest, last, p, q)
        other = nearest(forest, ~comp, p, q, scene.gyration)
        if other < 0:
            continue
        if extend(scene, forest, other, p, q, wanted, step):
            end = count[NODES] - 1
            forest.links[count[LINKS], 0] = last
            forest.links[count[LINKS], 1] = end if end != last else other
            count[LINKS] += 1
            a = root_of(forest.joined, forest.tree[last])
            b = root_of(forest.joined, forest.tree[other])
            forest.joined[max(a, b)] = min(a, b)
            if root_of(forest.joined, 0) == root_of(forest.joined, 1):
                return done + 1
    return rounds
