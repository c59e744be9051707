"""Look for a way in: gates first, trees from both ends and from inside the gates.

Work is counted in steps (motions checked, poses eased); the same problem, seed and number of steps
give the same way.
"""

from collections import deque
from collections.abc import Callable
from typing import Final

import numpy as np

from layout.geometry.draws import generator
from layout.geometry.frames import (
    Array,
    Ints,
    quat_about,
    quat_product,
    square_turns,
    turn_between,
)
from layout.geometry.shapes import Pose
from layout.passage.motion import least_clearance
from layout.passage.problem import Problem, Touch
from layout.passage.proof.gates import cut_cells, gates_between, square_extents
from layout.passage.search.forest import LINKS, NODES, STEPS, TREES, Forest, root_of
from layout.passage.search.trees import Gates, grow, sow

MAX_NODES: Final = 40_000
MAX_TREES: Final = 400
MOST_SOWN: Final = 120
MOST_GATES: Final = 6
CAP_MM: Final = 1000.0  # clearances above this are reported as this
SQUARES: Final = square_turns()
CHUNK: Final = 50  # rounds between two looks at whether to stop
FIRST_ROUNDS: Final = 400  # of the first attempt; each later one gets more
LONGER: Final = 1.7
LONGEST_ROUNDS: Final = 6000
SOWN_AT_ONCE: Final = 40

never: Callable[[], bool] = lambda: False  # noqa: E731 - the plain "never stop"


GateBoxes = tuple[Array, Array, Ints]


def gate_boxes(problem: Problem) -> GateBoxes:
    """Centres and half sizes (n, 3) and axis (n,) of the narrowest gates a way should pass."""
    fixed = problem.fixed
    nothing = np.empty((0, 3)), np.empty((0, 3)), np.empty(0, dtype=np.int64)
    low, high = square_extents(fixed.centre_mm, fixed.half_mm, fixed.rotation)
    cells = cut_cells(low, high) if len(low) else None
    if cells is None:
        return nothing
    biggest = int(np.argmax(np.prod(problem.body.half_mm, axis=1)))
    x = problem.body.centre_mm[biggest]
    a = problem.start.at_mm + problem.start.rotation @ x
    b = problem.goal.at_mm + problem.goal.rotation @ x
    gates = gates_between(cells, a, b)[:MOST_GATES]
    centre = np.array([(g.low + g.high) / 2 for g in gates]).reshape(-1, 3)
    half = np.array([(g.high - g.low) / 2 for g in gates]).reshape(-1, 3)
    return centre, half, np.array([g.axis for g in gates], dtype=np.int64)


class Search:
    """A search for a way, a slice of work at a time.

    `turns` are the square turns poses are drawn round; with a single one the search is calm: it
    keeps to that turn, tilted about one or two axes. `done` counts the steps.
    """

    def __init__(
        self, problem: Problem, seed: int, turns: Array = SQUARES, gates: GateBoxes | None = None
    ) -> None:
        self.problem, self.seed = problem, seed
        self.scene = problem.scene
        centre, half, axis = gates if gates is not None else gate_boxes(problem)
        self.gates = Gates(centre, half, axis, np.ascontiguousarray(turns))
        points = np.vstack([problem.start.at_mm, problem.goal.at_mm, centre])
        self.low = points.min(axis=0) - problem.radius_mm
        self.high = points.max(axis=0) + problem.radius_mm
        self.step = max(8.0, 0.25 * self.scene.gyration)
        self.done = 0
        self._attempt = -1
        self._left = 0
        self._length = FIRST_ROUNDS

    def _begin(self) -> None:
        """Begin another attempt with fresh trees and its own seed."""
        self._attempt += 1
        self._left = self._length
        self._length = min(LONGEST_ROUNDS, int(self._length * LONGER))
        self.draw = generator(self.seed + self._attempt)
        start, goal = self.problem.start, self.problem.goal
        forest = Forest(
            np.empty((MAX_NODES, 3)),
            np.empty((MAX_NODES, 4)),
            np.full(MAX_NODES, -1),
            np.zeros(MAX_NODES, dtype=np.int64),
            np.arange(MAX_TREES),
            np.zeros((2 * MAX_TREES, 2), dtype=np.int64),
            np.array([2, 2, 0, 0]),
        )
        forest.places[0], forest.turns[0] = start.at_mm, start.quat
        forest.places[1], forest.turns[1] = goal.at_mm, goal.quat
        forest.tree[1] = 1
        self.forest = forest

    def go_on(self, steps: int, stop: Callable[[], bool] = never) -> list[Pose] | None:
        """A proven way from start to goal, or None when about so many more steps found none."""
        until = self.done + steps
        wanted = self.problem.clearance_mm
        while self.done < until and not stop():
            if self._left <= 0:
                self._begin()
            forest, count = self.forest, self.forest.tally
            before = int(count[STEPS])
            if len(self.gates.centre) and count[TREES] < MOST_SOWN:
                radius = self.problem.radius_mm
                sow(
                    self.scene,
                    self.gates,
                    forest,
                    self.draw,
                    SOWN_AT_ONCE,
                    wanted,
                    self.step,
                    radius,
                )
            grow(
                self.scene,
                self.gates,
                forest,
                self.draw,
                self.low,
                self.high,
                CHUNK,
                wanted,
                self.step,
            )
            self.done += int(count[STEPS]) - before
            self._left -= CHUNK
            if root_of(forest.joined, 0) == root_of(forest.joined, 1):
                self._left = 0
                return _trace(forest)
            if count[NODES] > MAX_NODES - 200 or count[LINKS] >= len(forest.links) - 1:
                self._left = 0
        return None


def search(
    problem: Problem,
    steps: int,
    seed: int,
    turns: Array = SQUARES,
    gates: GateBoxes | None = None,
) -> list[Pose] | None:
    """A proven way found in about so many steps, or None. `gates` are those known already."""
    return Search(problem, seed, turns, gates).go_on(steps)


def _trace(forest: Forest) -> list[Pose]:
    """The poses from node 0 to node 1 through tree edges and links."""
    near: dict[int, list[int]] = {}
    count, links = int(forest.tally[NODES]), forest.links[: forest.tally[LINKS]]
    edges = [(i, int(forest.parent[i])) for i in range(count) if forest.parent[i] >= 0]
    for a, b in [*edges, *((int(a), int(b)) for a, b in links)]:
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
        path.append(Pose(forest.places[i].copy(), forest.turns[i].copy()))
        i = came[i]
    return path[::-1]


def path_clearance(
    problem: Problem,
    path: list[Pose] | tuple[Pose, ...],
    within_mm: float = 0.05,
    cap_mm: float = CAP_MM,
) -> tuple[float, Touch | None]:
    """Proven lower bound of the least distance along the whole path, and where it is least."""
    s = problem.scene
    best, touch = cap_mm, None
    for a, b in zip(path, path[1:], strict=False):
        least, i, j, t = least_clearance(
            s.body, s.fixed, a.at_mm, a.quat, b.at_mm, b.quat, within_mm, best
        )
        if least < best:
            best = least
            touch = Touch(
                problem.body.names[i], problem.fixed.names[j], pose_between(a, b, t), (i, j)
            )
    return best, touch


def pose_between(pose: Pose, b: Pose, t: float) -> Pose:
    """The pose at time t of the motion from a to b."""
    axis = np.empty(3)
    angle = turn_between(pose.quat, b.quat, axis)
    return Pose(
        pose.at_mm + (b.at_mm - pose.at_mm) * t,
        quat_product(quat_about(axis, angle * t), pose.quat),
    )
