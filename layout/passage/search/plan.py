"""Look for a way in: gates first, trees from both ends and from inside the gates, then smoothing."""

import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.geometry.frames import Array, Ints, quat_about, quat_product, square_turns, turn_between
from layout.passage.motion import least_clearance
from layout.passage.problem import Pose, Problem, Touch
from layout.passage.proof.gates import cut_cells, gates_between, square_extents
from layout.passage.search.trees import grow, seed_random, sow

MAX_NODES: Final = 40_000
MAX_TREES: Final = 400
CAP_MM: Final = 1000.0  # clearances above this are reported as this
SQUARES: Final = square_turns()


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """The arrays the kernels take, in their order."""

    body: tuple[Array, Array, Array]
    fixed: tuple[Array, Array, Array]
    fixed_corners: Array
    gyration_mm: float

    @classmethod
    def of(cls, problem: Problem) -> "Scene":
        """The arrays of a problem."""
        b, f = problem.body, problem.fixed
        c = b.corner_array().reshape(-1, 3)
        spread = float(np.sqrt(((c - c.mean(axis=0)) ** 2).sum(-1).mean()))
        return cls(
            (b.centre_mm, b.half_mm, b.rotation),
            (f.centre_mm, f.half_mm, f.rotation),
            f.corner_array(),
            0.6 * spread,
        )


def gate_boxes(problem: Problem) -> tuple[Array, Array, Array]:
    """Centres and half sizes (n, 3) and axis (n,) of the narrowest gates a way should pass through."""
    low, high = square_extents(
        problem.fixed.centre_mm, problem.fixed.half_mm, problem.fixed.rotation
    )
    if not len(low):
        return np.empty((0, 3)), np.empty((0, 3)), np.empty(0, dtype=np.int64)
    cells = cut_cells(low, high)
    if cells is None:
        return np.empty((0, 3)), np.empty((0, 3)), np.empty(0, dtype=np.int64)
    biggest = int(np.argmax(np.prod(problem.body.half_mm, axis=1)))
    x = problem.body.centre_mm[biggest]
    a = problem.start.at_mm + problem.start.rotation @ x
    b = problem.goal.at_mm + problem.goal.rotation @ x
    gates = gates_between(cells, a, b)[:6]
    c = np.array([(g.low + g.high) / 2 for g in gates]).reshape(-1, 3)
    h = np.array([(g.high - g.low) / 2 for g in gates]).reshape(-1, 3)
    return c, h, np.array([g.axis for g in gates], dtype=np.int64)


def search(
    problem: Problem,
    until: float,
    seed: int,
    stop: Callable[[], bool] | None = None,
    turns: Array = SQUARES,
) -> list[Pose] | None:
    """A proven way from start to goal, or None when the time (perf_counter `until`) ran out.

    `turns` are the square turns poses are drawn round; with a single one the search is calm: it
    keeps to that turn, tilted about one or two axes.
    """
    s = Scene.of(problem)
    gate_c, gate_h, gate_axis = gate_boxes(problem)
    points = np.vstack([problem.start.at_mm, problem.goal.at_mm, gate_c.reshape(-1, 3)])
    reach = problem.radius_mm
    low, high = points.min(axis=0) - reach, points.max(axis=0) + reach
    attempt = 0
    rounds = 400
    while time.perf_counter() < until:
        path = _attempt(
            problem,
            s,
            (gate_c, gate_h, gate_axis),
            low,
            high,
            seed + attempt,
            rounds,
            until,
            stop,
            turns,
        )
        if path is None and stop is not None and stop():
            return None
        if path is not None:
            return path
        attempt += 1
        rounds = min(6000, int(rounds * 1.7))
    return None


def _attempt(
    problem: Problem,
    s: Scene,
    gates: tuple[Array, Array, Array],
    low: Array,
    high: Array,
    seed: int,
    rounds: int,
    until: float,
    stop: Callable[[], bool] | None,
    turns: Array,
) -> list[Pose] | None:
    gate_c, gate_h, gate_axis = gates
    nodes_p, nodes_q = np.empty((MAX_NODES, 3)), np.empty((MAX_NODES, 4))
    parent, tree = np.full(MAX_NODES, -1), np.zeros(MAX_NODES, dtype=np.int64)
    links = np.zeros((2 * MAX_TREES, 2), dtype=np.int64)
    parent_tree = np.arange(MAX_TREES)
    nodes_p[0], nodes_q[0] = problem.start.at_mm, problem.start.quat
    nodes_p[1], nodes_q[1] = problem.goal.at_mm, problem.goal.quat
    tree[1] = 1
    count, trees, link_count = 2, 2, 0
    seed_random(seed)
    cos_tilt, wanted = problem.cos_tilt, problem.clearance_mm
    up = np.ascontiguousarray(problem.up)
    step = max(8.0, 0.25 * s.gyration_mm)
    done = 0
    while done < rounds and time.perf_counter() < until:
        if stop is not None and stop():
            return None
        if len(gate_c) and trees < 120:
            count, trees = sow(
                *s.body,
                *s.fixed,
                s.fixed_corners,
                gate_c,
                gate_h,
                gate_axis,
                turns,
                nodes_p,
                nodes_q,
                parent,
                tree,
                count,
                parent_tree,
                trees,
                40,
                wanted,
                s.gyration_mm,
                step,
                problem.radius_mm,
                up,
                cos_tilt,
            )
        chunk = 50
        count, link_count = grow(
            *s.body,
            *s.fixed,
            s.fixed_corners,
            gate_c,
            gate_h,
            turns,
            low,
            high,
            nodes_p,
            nodes_q,
            parent,
            tree,
            count,
            parent_tree,
            trees,
            links,
            link_count,
            chunk,
            wanted,
            s.gyration_mm,
            step,
            up,
            cos_tilt,
        )
        done += chunk
        if parent_tree[parent_tree[1]] == 0 or _joined(parent_tree):
            return _trace(nodes_p, nodes_q, parent, count, links[:link_count])
        if count > MAX_NODES - 200 or link_count >= len(links) - 1:
            return None
    return None


def _joined(parent_tree: Ints) -> bool:
    t = 1
    while parent_tree[t] != t:
        t = int(parent_tree[t])
    return t == 0


def _trace(nodes_p: Array, nodes_q: Array, parent: Ints, count: int, links: Ints) -> list[Pose]:
    """The poses from node 0 to node 1 through tree edges and links."""
    near: dict[int, list[int]] = {}
    edges = [(i, int(parent[i])) for i in range(count) if parent[i] >= 0] + [
        (int(a), int(b)) for a, b in links
    ]
    for a, b in edges:
        near.setdefault(a, []).append(b)
        near.setdefault(b, []).append(a)
    came: dict[int, int] = {0: -1}
    queue = deque([0])
    while queue and 1 not in came:
        i = queue.popleft()
        for j in near.get(i, []):
            if j not in came:
                came[j] = i
                queue.append(j)
    path, i = [], 1
    while i >= 0:
        path.append(Pose(nodes_p[i].copy(), nodes_q[i].copy()))
        i = came[i]
    return path[::-1]


def path_clearance(
    problem: Problem,
    path: list[Pose] | tuple[Pose, ...],
    within_mm: float = 0.05,
    cap_mm: float = CAP_MM,
) -> tuple[float, Touch | None]:
    """Proven lower bound of the least distance along the whole path, and where it is least."""
    s = Scene.of(problem)
    best, touch = cap_mm, None
    for a, b in zip(path, path[1:], strict=False):
        c, i, j, t = least_clearance(
            *s.body, *s.fixed, s.fixed_corners, a.at_mm, a.quat, b.at_mm, b.quat, within_mm, best
        )
        if c < best:
            best = c
            touch = Touch(problem.body.names[i], problem.fixed.names[j], between(a, b, t))
    return best, touch


def between(a: Pose, b: Pose, t: float) -> Pose:
    """The pose at time t of the motion from a to b."""
    axis = np.empty(3)
    angle = turn_between(a.quat, b.quat, axis)
    return Pose(
        a.at_mm + (b.at_mm - a.at_mm) * t, quat_product(quat_about(axis, angle * t), a.quat)
    )
