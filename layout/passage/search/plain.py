"""Ways made of plain moves: slides along one hull axis and quarter turns about the body's middle.

Places stand on a lattice, the goal, the start and the middles of gates among them. From the goal,
everything one more move reaches is found at once, so the first way met has the fewest moves. The
goal's own turn alone is tried first, then all square turns. Nothing is drawn at random. Every move
of a way that is told is proven clear all along by `motion`.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from layout.geometry.frames import Array, least_upright, matrix_from_quat, quat_about, quat_product
from layout.geometry.shapes import Pose
from layout.passage.problem import Problem
from layout.passage.search.lattice import UNREACHED, Places, free_places, slide, turns_free
from layout.passage.search.plan import SQUARES, gate_boxes
from layout.passage.search.trees import motion_allowed

STEP_MM: Final = 20.0
MOST_PLACES: Final = 50_000
MOST_LEVELS: Final = 12
MARGINS_MM: Final = (25.0, 12.0, 5.0, 2.0, 0.4)  # above the wanted clearance, the widest first
FIRST_MARGIN: Final = 2  # the one tried first: wider ones only for as few moves
TURNS_A_LEVEL: Final = 60  # places a quarter turn is tried at, of one turn and one level
MOST_TURN_TESTS: Final = 12_000  # of one search at one margin
TURNS_DEG: Final = (15, 30, 45, 90)  # one turn of a leaning way
FINE_TURNS_DEG: Final = (5, 10, 15, 20, 25, 30)  # where the tilt is limited
LEANING_MARGINS_MM: Final = (5.0, 2.0, 0.4)
SAME_TURN: Final = 1 - 1e-9

Index = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class _State:
    """A square turn and a place of the lattice."""

    turn: int
    at: Index


class TurnTable(NamedTuple):
    """Turns of the body (n, 4), and for each where one turn about a hull axis leads, with its
    middle.
    """

    turns: Array
    after: list[list[tuple[int, Array]]]


class PlainSearch:
    """A search for a way of plain moves at one margin."""

    def __init__(self, problem: Problem, table: TurnTable | None = None) -> None:
        self.problem = problem
        self.places = _lattice(problem)
        self.coordinates = tuple(np.asarray(c) for c in self.places)
        self.turns, self.after = table if table is not None else _SQUARE_TABLE
        dots = np.abs(self.turns @ problem.goal.quat)
        self.goal_turn = int(np.argmax(dots))
        self.square_goal = bool(dots.max() > SAME_TURN)
        self.allowed = [t for t in range(len(self.turns)) if self._upright(t)]
        self.tests = 0

    def _upright(self, turn: int) -> bool:
        p = self.problem
        q = self.turns[turn]
        return p.cos_tilt <= -1.0 or least_upright(q, q, p.scene.up) >= p.cos_tilt

    def _index(self, at: Array) -> Index:
        i, j, k = (int(np.argmin(np.abs(c - x))) for c, x in zip(self.coordinates, at, strict=True))
        return i, j, k

    def _pose(self, s: _State) -> Pose:
        at = np.array([c[i] for c, i in zip(self.coordinates, s.at, strict=True)])
        return Pose(at, self.turns[s.turn].copy())

    def run(self, margin_mm: float, most: int, turning: bool) -> list[Pose] | None:
        """A way of at most so many moves that keeps the margin at its corners, or None."""
        wanted = self.problem.clearance_mm + margin_mm
        scene = self.problem.scene
        turns = self.allowed if turning else [self.goal_turn]
        if not self.square_goal or self.goal_turn not in turns:
            return None
        self.tests = 0
        free: dict[int, NDArray[np.bool_]] = {}
        layer: dict[int, NDArray[np.int16]] = {}

        def open_turn(t: int) -> None:
            if t not in free:
                free[t] = free_places(scene, self.turns[t], self.places, wanted)
                layer[t] = np.full(free[t].shape, UNREACHED, dtype=np.int16)

        open_turn(self.goal_turn)
        goal = self._index(self.problem.goal.at_mm)
        free[self.goal_turn][goal] = True  # the hover keeps what room it has: its move is proven
        layer[self.goal_turn][goal] = 0
        last = {self.goal_turn}  # the turns with places of the level before
        for level in range(1, most + 1):
            grown = {t for t in sorted(last) if slide(free[t], layer[t], level)}
            if turning:
                grown |= self._turn_on(level, turns, last, free, layer, open_turn, wanted)
            end = self._outside(level, grown, layer)
            if end is not None:
                return self._trace(end, level, free, layer, wanted)
            if not grown:
                return None
            last = grown
        return None

    def _turn_on(
        self,
        level: int,
        turns: list[int],
        last: set[int],
        free: dict[int, NDArray[np.bool_]],
        layer: dict[int, NDArray[np.int16]],
        open_turn: Callable[[int], None],
        wanted: float,
    ) -> set[int]:
        """Reach places at other turns by a quarter turn from those of the level before: the turns
        reached.
        """
        grown: set[int] = set()
        for t in sorted(last):
            spots = np.argwhere(layer[t] == level - 1)
            spots = spots[:: max(1, len(spots) // TURNS_A_LEVEL)]
            for u, middle in self.after[t]:
                if u not in turns or self.tests > MOST_TURN_TESTS:
                    continue
                open_turn(u)
                where = tuple(spots.T)
                new = spots[free[u][where] & (layer[u][where] == UNREACHED)]
                self.tests += len(new)
                if not len(new):
                    continue
                at = np.column_stack([c[new[:, k]] for k, c in enumerate(self.coordinates)])
                fine = turns_free(
                    self.problem.scene, at, self.turns[t], middle, self.turns[u], wanted
                )
                layer[u][tuple(new[fine].T)] = level
                if fine.any():
                    grown.add(u)
        return grown

    def _outside(
        self, level: int, grown: set[int], layer: dict[int, NDArray[np.int16]]
    ) -> _State | None:
        """A place of this level the piece can be held at outside; the start itself if it is one."""
        p = self.problem
        if p.outside is None:
            start = self._index(p.start.at_mm)
            for t in sorted(grown):
                same = abs(float(self.turns[t] @ p.start.quat)) > SAME_TURN
                if same and layer[t][start] == level:
                    return _State(t, start)
            return None
        axis, sign, plane = p.outside
        found: list[tuple[float, int, Index]] = []
        for t in sorted(grown):
            beyond = sign * (self.coordinates[axis] - plane) - self._reach(t, axis)
            shape = [1, 1, 1]
            shape[axis] = -1
            spots = np.argwhere((layer[t] == level) & (beyond.reshape(shape) > 0))
            if len(spots):
                at = np.column_stack([c[spots[:, k]] for k, c in enumerate(self.coordinates)])
                far = np.abs(at - p.start.at_mm).sum(axis=1)
                k = int(np.argmin(far))
                i, j, m = (int(v) for v in spots[k])
                found.append((float(far[k]) + (0.0 if t == self.goal_turn else 1.0), t, (i, j, m)))
        if not found:
            return None
        _, t, at_index = min(found)
        return _State(t, at_index)

    def _reach(self, turn: int, axis: int) -> float:
        """How far the turned body reaches along a hull axis from its middle."""
        r = matrix_from_quat(self.turns[turn])
        return float(np.abs(self.problem.body.corner_array().reshape(-1, 3) @ r[axis]).max())

    def _trace(
        self,
        end: _State,
        level: int,
        free: dict[int, NDArray[np.bool_]],
        layer: dict[int, NDArray[np.int16]],
        wanted: float,
    ) -> list[Pose] | None:
        """The way from outside to the goal: each step to the nearest place of one level less."""
        states = [end]
        here = end
        for k in range(level - 1, -1, -1):
            nearer = self._slide_back(here, k, free, layer) or self._turn_back(
                here, k, layer, wanted
            )
            if nearer is None:
                return None
            states.append(nearer)
            here = nearer
        return [self._pose(s) for s in states[:-1]] + [self.problem.goal]

    def _slide_back(
        self,
        here: _State,
        level: int,
        free: dict[int, NDArray[np.bool_]],
        layer: dict[int, NDArray[np.int16]],
    ) -> _State | None:
        """The place of a level that a slide from here reaches, in the middle of those there are."""
        best: tuple[float, Index] | None = None
        for axis in range(3):
            for way in (-1, 1):
                run: list[Index] = []
                at = list(here.at)
                while True:
                    at[axis] += way
                    if not 0 <= at[axis] < len(self.coordinates[axis]):
                        break
                    spot = (at[0], at[1], at[2])
                    if not free[here.turn][spot]:
                        break
                    if layer[here.turn][spot] == level:
                        run.append(spot)
                if run:
                    spot = run[len(run) // 2] if level else run[0]
                    c = self.coordinates[axis]
                    far = abs(float(c[spot[axis]] - c[here.at[axis]]))
                    if best is None or far < best[0]:
                        best = (far, spot)
        return None if best is None else _State(here.turn, best[1])

    def _turn_back(
        self, here: _State, level: int, layer: dict[int, NDArray[np.int16]], wanted: float
    ) -> _State | None:
        """The turn of a level that a quarter turn from here reaches."""
        at = self._pose(here).at_mm.reshape(1, 3)
        for t, middle in self.after[here.turn]:
            if t in layer and layer[t][here.at] == level:
                q0, q1 = self.turns[here.turn], self.turns[t]
                if turns_free(self.problem.scene, at, q0, middle, q1, wanted)[0]:
                    return _State(t, here.at)
        return None


def plain_way(problem: Problem, widest: bool = True) -> list[Pose] | None:
    """A way of plain moves, as few as there are; None when not found.

    With `widest` it is also as wide as so few moves allow.

    Every move is proven clear at the problem's clearance and within its tilt.
    """
    search = PlainSearch(problem)
    if not search.square_goal:
        return None
    best: list[Pose] | None = None
    for turning in (False, True):
        for k in (FIRST_MARGIN, *range(FIRST_MARGIN + 1, len(MARGINS_MM))):
            best = _proven(problem, search.run(MARGINS_MM[k], MOST_LEVELS, turning))
            if best is not None:
                break
        if best is not None:
            break
    if best is None or k != FIRST_MARGIN or not widest:
        return best
    for wider in range(FIRST_MARGIN - 1, -1, -1):
        found = _proven(problem, search.run(MARGINS_MM[wider], len(best) - 1, turning))
        if found is None:
            break
        best = found
    return best


def leaning_way(problem: Problem) -> list[Pose] | None:
    """A way of plain moves that leans the body part of a quarter turn as well; None if not found.

    It asks for more work than `plain_way`, and is for what is known to go.
    """
    steps = FINE_TURNS_DEG if problem.cos_tilt > 0.0 else TURNS_DEG
    search = PlainSearch(problem, _tilted_table(problem.goal.quat, steps))
    for margin in LEANING_MARGINS_MM:
        found = _proven(problem, search.run(margin, MOST_LEVELS, turning=True))
        if found is not None:
            return found
    return None


def _proven(problem: Problem, path: list[Pose] | None) -> list[Pose] | None:
    """The way, if every move of it is proven."""
    if path is None:
        return None
    fine = all(
        motion_allowed(problem.scene, a.at_mm, a.quat, b.at_mm, b.quat, problem.clearance_mm)
        for a, b in zip(path, path[1:], strict=False)
    )
    return path if fine else None


def _lattice(problem: Problem) -> Places:
    """Coordinates every 20 mm (or more, where there are many) from the goal, with those that
    count.
    """
    centre, half, _ = gate_boxes(problem)
    points = np.vstack([problem.start.at_mm, problem.goal.at_mm, centre])
    reach = problem.radius_mm
    low, high = points.min(axis=0) - reach, points.max(axis=0) + reach
    del half
    size = np.maximum(high - low, STEP_MM)
    step = max(STEP_MM, float(np.cbrt(np.prod(size) / MOST_PLACES)))
    out = []
    for k in range(3):
        goal = problem.goal.at_mm[k]
        grid = goal + step * np.arange(
            np.ceil((low[k] - goal) / step), np.floor((high[k] - goal) / step) + 1
        )
        exact = np.array([goal, problem.start.at_mm[k], *centre[:, k]])
        keep = [g for g in grid if np.abs(exact - g).min() > step / 4]
        out.append(np.unique(np.concatenate([keep, exact])))
    return Places(*out)


def _tilted_table(goal: Array, steps_deg: tuple[int, ...]) -> TurnTable:
    """The turns about each hull axis away from a goal's own, every few degrees, and which of them
    one turn about that axis joins.
    """
    step = steps_deg[0]
    turns = [goal]
    families: list[dict[int, int]] = []
    for axis in np.eye(3):
        family = {0: 0}
        for angle in range(step, 360, step):
            family[angle] = len(turns)
            turns.append(quat_product(quat_about(axis, np.deg2rad(angle)), goal))
        families.append(family)
    after: list[list[tuple[int, Array]]] = [[] for _ in turns]
    for axis, family in zip(np.eye(3), families, strict=True):
        for angle, t in family.items():
            for by in (*steps_deg, *(-d for d in steps_deg)):
                half = quat_product(quat_about(axis, np.deg2rad(by / 2)), turns[t])
                after[t].append((family[(angle + by) % 360], half))
    return TurnTable(np.array(turns), after)


def _quarter_turns() -> list[list[tuple[int, Array]]]:
    """For each square turn: where a quarter turn about a hull axis leads, with its middle."""
    out: list[list[tuple[int, Array]]] = []
    for q in SQUARES:
        row = []
        for axis in np.eye(3):
            for sign in (1.0, -1.0):
                new = quat_product(quat_about(axis, sign * np.pi / 2), q)
                middle = quat_product(quat_about(axis, sign * np.pi / 4), q)
                row.append((int(np.argmax(np.abs(SQUARES @ new))), middle))
        out.append(row)
    return out


_SQUARE_TABLE: Final = TurnTable(SQUARES, _quarter_turns())
