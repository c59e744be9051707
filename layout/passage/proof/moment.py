"""Proof that there is no way in, with its data kept so that a separate program can re-check it.

Two arguments. A start or resting place that is not free needs no search. Otherwise: q, a point of
the body, must at some moment lie on the cut of a gate (`gates`); at that moment the body's parts
in each layer of free space on both sides must fit that layer, and `turns` rules that out for
every turn of the body. Shift along the cut is covered exactly, so all six freedoms are.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from layout.geometry.boxes import box_distance
from layout.geometry.frames import Array
from layout.passage.motion import TOUCHING_MM
from layout.passage.problem import Pose, Problem, Touch
from layout.passage.proof.gates import Cells, Gate, gates_between, grown, square_extents, swollen
from layout.passage.proof.layers import (
    cells_within,
    directions_across,
    layers_of,
    matter_near,
    room_of,
    seeds_in,
    window_of,
)
from layout.passage.proof.tilt import TiltProver
from layout.passage.proof.turns import FIELDS, cell_quat, cover_all_turns

MAX_LEAVES: Final = 1_500_000
MAX_STACK: Final = 20_000
EXTRA_CUTS: Final = 10
ROOT_SPLIT: Final = 4  # the cube faces start cut this many times along each edge
LINKS: Final = 9
RANK_SHARES: Final = (
    1.0,
    0.5,
    0.25,
    0.1,
    0.04,
)  # of a round's effort, the moment nearest to done first
ROUNDS_EACH: Final = 4  # rounds for the moments at hand before the next body point is taken up
SAME_CUT_MM: Final = 60.0  # cuts this near are taken for the same hole of a slightly different boat
BALL_SHARE: Final = 0.999  # of the largest ball inside a box: keeps clear of rounding
OPEN_MM: Final = 1e8  # a layer with this much room is open
TILTS_TRIED: Final = 8  # moments looked at for turns that never join


def blocked_at(problem: Problem, pose: Pose) -> Touch | None:
    """The deepest clash at a pose (depth below the wanted clearance), or None when it is free."""
    depth, worst = blocked_depth(problem, pose)
    if worst is None or depth >= problem.clearance_mm - TOUCHING_MM:
        return None
    return worst


def blocked_depth(problem: Problem, pose: Pose) -> tuple[float, Touch | None]:
    """Exact least distance at a pose (minus the depth in a clash) and where."""
    least, touch = float("inf"), None
    n = np.empty(3)
    r = pose.rotation
    b, f = problem.body, problem.fixed
    for i in range(len(b)):
        c, m = pose.at_mm + r @ b.centre_mm[i], np.ascontiguousarray(r @ b.rotation[i])
        for j in range(len(f)):
            far = np.linalg.norm(
                np.maximum(np.abs(f.rotation[j].T @ (c - f.centre_mm[j])) - f.half_mm[j], 0)
            )
            if far - np.linalg.norm(b.half_mm[i]) >= least:
                continue
            d = box_distance(c, b.half_mm[i], m, f.centre_mm[j], f.half_mm[j], f.rotation[j], n)
            if d < least:
                least, touch = float(d), Touch(b.names[i], f.names[j], pose)
    return least, touch


@dataclass(frozen=True, slots=True, eq=False)
class Moment:
    """One unavoidable moment: q on the cut, with the room each layer leaves the body."""

    gate: Gate
    q_body: Array
    main: int
    cut_mm: float
    layer_low: Array  # relative to the cut
    layer_high: Array
    layer_all: NDArray[np.bool_]  # every body box is bound by the layer, not only the main one
    plus: Array  # (layers, directions)
    minus: Array
    dirs: Array  # (directions, 3)
    inner_mm: float  # the ball round q inside the main box
    share: float  # where q lies along the main box, from its middle
    links: Array  # (boxes, LINKS, 3) points relative to q that a box shares with the main one; NaN ends
    cells: Cells  # where q may be

    @property
    def room_mm(self) -> float:
        """The least room the layers leave along any direction: small is promising."""
        return float((self.plus - self.minus)[0].min())


def body_points(problem: Problem) -> list[tuple[int, float]]:
    """Body points worth trying, as (box, share of its length from its middle); the largest box first."""
    order = np.argsort(-np.prod(problem.body.half_mm, axis=1))
    return [
        (int(order[0]), 0.0),
        *((int(i), 0.0) for i in order[1:4]),
        (int(order[0]), 0.6),
        (int(order[0]), -0.6),
    ]


def moments(problem: Problem, main: int, share: float) -> list[Moment]:
    """Candidate moments of one body point, the least room first."""
    low, high = square_extents(
        problem.fixed.centre_mm, problem.fixed.half_mm, problem.fixed.rotation
    )
    if not len(low):
        return []
    found = _moments_of(problem, low, high, main, share)
    return sorted((m for m in found if m.room_mm < OPEN_MM), key=lambda m: m.room_mm)


def ball_parted(problem: Problem) -> dict[str, object] | None:
    """Proof that not even the largest ball inside a body box gets from start to goal, or None.

    The ball's middle keeps its radius and the clearance from every box; the cells left free for it
    do not join its start to its goal.
    """
    b = problem.body
    low, high = square_extents(
        problem.fixed.centre_mm, problem.fixed.half_mm, problem.fixed.rotation
    )
    if not len(low):
        return None
    for i in np.argsort(-b.half_mm.min(axis=1))[:3]:
        q, inner = b.centre_mm[i], float(b.half_mm[i].min())
        radius = BALL_SHARE * inner + problem.clearance_mm
        cells = cells_within(low, high, lambda a, b, r=radius: grown(a, b, r), None)  # type: ignore[misc]
        if cells is None:
            continue
        start = cells.index_of(problem.start.at_mm + problem.start.rotation @ q)
        goal = cells.index_of(problem.goal.at_mm + problem.goal.rotation @ q)
        parts, _ = ndimage.label(cells.free)
        if cells.free[start] and cells.free[goal] and parts[start] != parts[goal]:
            return {
                "kind": "the opening is thinner than the body at its thinnest",
                "q_body_mm": q.copy(),
                "main_box": int(i),
                "radius_mm": radius,
            }
    return None


def shared_points(problem: Problem, main: int, q: Array) -> Array:
    """Points each body box shares with the main box, relative to q: middle and corners of the overlap."""
    b = problem.body
    out = np.full((len(b), LINKS, 3), np.nan)
    rm = b.rotation[main]
    for i in range(len(b)):
        turn = rm.T @ b.rotation[i]
        if i == main or not np.all((np.abs(turn) < 1e-12) | (np.abs(np.abs(turn) - 1) < 1e-12)):
            continue
        c = rm.T @ (b.centre_mm[i] - b.centre_mm[main])
        h = np.abs(turn) @ b.half_mm[i]
        low, high = np.maximum(c - h, -b.half_mm[main]), np.minimum(c + h, b.half_mm[main])
        if np.any(low > high):
            continue
        signs = [np.zeros(3)] + [
            np.array([x, y, z]) for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)
        ]
        mid, ext = (low + high) / 2, (high - low) / 2
        near = np.clip(rm.T @ (q - b.centre_mm[main]), low, high)
        points = [near] + [mid + s * ext for s in signs[1:]]
        for k, x in enumerate(points[:LINKS]):
            out[i, k] = b.centre_mm[main] + rm @ x - q
    return out


def _moments_of(problem: Problem, low: Array, high: Array, main: int, share: float) -> list[Moment]:
    b = problem.body
    h = b.half_mm[main]
    long = int(np.argmax(h))
    inner = float(min(h.min(), h[long] * (1 - abs(share))))
    q = b.centre_mm[main] + share * h[long] * b.rotation[main][:, long]
    start = problem.start.at_mm + problem.start.rotation @ q
    goal = problem.goal.at_mm + problem.goal.rotation @ q
    extra = tuple(
        np.linspace(start[k], goal[k], EXTRA_CUTS + 2)[1:-1]
        if abs(goal[k] - start[k]) > 20
        else np.empty(0)
        for k in range(3)
    )
    cells = cells_within(
        low,
        high,
        lambda a, b: swollen(a, b, BALL_SHARE * inner + problem.clearance_mm),
        (extra[0], extra[1], extra[2]),
    )
    if cells is None:
        return []
    reach = float(np.sqrt(((b.corner_array() - q) ** 2).sum(-1)).max())
    out = []
    for gate in gates_between(cells, start, goal)[:14]:
        matter = matter_near(problem, low, high, gate.low, gate.high, reach)
        m = (
            _moment(problem, matter, cells, gate, q, main, share, inner, reach)
            if matter is not None
            else None
        )
        if m is not None:
            out.append(m)
    return out


def _moment(
    problem: Problem,
    matter: Cells,
    cells: Cells,
    gate: Gate,
    q: Array,
    main: int,
    share: float,
    inner: float,
    reach: float,
) -> Moment | None:
    """Measure the room in every layer within reach of the gate; layers with equal room are one."""
    axis = gate.axis
    u, v = (k for k in range(3) if k != axis)
    e = matter.edges
    free = np.moveaxis(matter.free, axis, 0)
    middle = int(np.searchsorted(e[axis], (gate.low[axis] + gate.high[axis]) / 2, side="right")) - 1
    seed = seeds_in(matter, cells, gate.piece, u, v) & free[middle]
    if not seed.any():
        return None
    room_here = room_of(free, middle, middle, seed)
    first = last = middle
    while first - 1 > 0 and np.array_equal(room_of(free, middle, first - 1, seed), room_here):
        first -= 1
    while last + 1 < free.shape[0] - 1 and np.array_equal(
        room_of(free, middle, last + 1, seed), room_here
    ):
        last += 1
    cut = float((max(e[axis][first], gate.low[axis]) + min(e[axis][last + 1], gate.high[axis])) / 2)
    dirs = directions_across(axis)
    window = window_of(e[u], gate, u, reach)[:, None] & window_of(e[v], gate, v, reach)[None, :]
    low, high, alls, plus, minus = layers_of(
        matter, axis, seed, middle, (first, last, room_here), (cut, cut), reach, dirs, window
    )
    return Moment(
        gate,
        q,
        main,
        cut,
        low - cut,
        high - cut,
        alls,
        plus,
        minus,
        dirs,
        inner,
        share,
        shared_points(problem, main, q),
        cells,
    )


def _root_cells(stack: Array) -> int:
    """Fill the stack with the starting cells that cover all turns."""
    half = 1.0 / ROOT_SPLIT
    top = 0
    for face in range(4):
        for i in range(ROOT_SPLIT):
            for j in range(ROOT_SPLIT):
                for k in range(ROOT_SPLIT):
                    stack[top] = [
                        face,
                        -1 + half * (2 * i + 1),
                        -1 + half * (2 * j + 1),
                        -1 + half * (2 * k + 1),
                        half,
                        0,
                    ]
                    top += 1
    return top


@dataclass(slots=True, eq=False)
class _Attempt:
    """How far the cover of all turns has come for one moment."""

    moment: Moment
    stack: Array
    top: int
    leaves: Array
    count: int = 0

    @property
    def left(self) -> float:
        """Volume of the cells still to be ruled out (8 per cube face, 32 in all)."""
        return float((8 * self.stack[: self.top, 4] ** 3).sum())

    def go_on(self, problem: Problem, budget: int) -> int:
        """Work through `budget` more cells; the outcome of `cover_all_turns`."""
        if self.count + budget + 8 > len(self.leaves):
            bigger = np.empty((min(MAX_LEAVES, 2 * (self.count + budget) + 8), FIELDS))
            bigger[: self.count] = self.leaves[: self.count]
            self.leaves = bigger
        m, b = self.moment, problem.body
        self.top, self.count, outcome = cover_all_turns(
            b.centre_mm - m.q_body,
            b.half_mm,
            b.rotation,
            m.main,
            m.links,
            np.eye(3)[m.gate.axis],
            m.dirs,
            m.layer_low,
            m.layer_high,
            m.layer_all,
            m.plus,
            m.minus,
            self.stack,
            self.top,
            self.leaves,
            self.count,
            budget,
        )
        full = self.top >= len(self.stack) - 16 or self.count >= MAX_LEAVES - 16
        return 2 if outcome == 0 and full else int(outcome)


class Prover:
    """A proof being looked for, a slice of time at a time; body points are taken up one after another."""

    def __init__(self, problem: Problem, like: dict[str, object] | None = None) -> None:
        self.problem = problem
        self.like = like
        self.budget = 400
        self.rounds = 0
        self.live: list[_Attempt] = []
        self.fitted: list[
            tuple[Moment, list[Array]]
        ] = []  # moments some turn fits, with such turns
        self.hard_at_it = False  # the long second kind of proof has begun
        self.parted = ball_parted(problem)
        self.waiting = body_points(problem) if self.parted is None else []

    def take_up(self) -> None:
        """Add the next body point's moments."""
        main, share = self.waiting.pop(0)
        for m in moments(self.problem, main, share):
            stack = np.empty((MAX_STACK, 6))
            self.live.append(_Attempt(m, stack, _root_cells(stack), np.empty((1024, FIELDS))))
        self.rounds = 0

    def _again(
        self, like: dict[str, object], until: float, stop: Callable[[], bool]
    ) -> dict[str, object] | None:
        """Try the moment and the cells that proved a very similar problem; None when they do not serve."""
        self.like = None
        if "leaves" not in like or "slabs" in like:
            return None
        leaves, cut = np.asarray(like["leaves"]), float(str(like["cut_mm"]))
        same = [
            m
            for m in moments(self.problem, int(str(like["main_box"])), float(str(like["share"])))
            if m.gate.axis == like["axis"]
        ]
        same = sorted(
            (m for m in same if abs(m.cut_mm - cut) < SAME_CUT_MM),
            key=lambda m: abs(m.cut_mm - cut),
        )
        if not same:
            return None
        stack = np.empty((len(leaves) + MAX_STACK, 6))
        stack[: len(leaves)] = leaves[:, :6]
        attempt = _Attempt(same[0], stack, len(leaves), np.empty((1024, FIELDS)))
        outcome = 0
        while (
            outcome == 0
            and time.perf_counter() < until
            and not stop()
            and attempt.count < 3 * len(leaves)
        ):
            outcome = attempt.go_on(self.problem, 5000)
        return (
            _kept_proof(attempt.moment, attempt.leaves[: attempt.count]) if outcome == 1 else None
        )

    def go_on(self, until: float, stop: Callable[[], bool]) -> dict[str, object] | None:
        """A proof that no way exists, or None. Moments that some turn fits are dropped at once."""
        if self.parted is not None:
            return self.parted
        if self.like is not None:
            again = self._again(self.like, until, stop)
            if again is not None:
                return again
        while self.live or self.waiting:
            if self.waiting and (not self.live or self.rounds >= ROUNDS_EACH):
                self.take_up()
            still = []
            for rank, attempt in enumerate(self.live):
                if time.perf_counter() > until or stop():
                    return None
                share = int(self.budget * RANK_SHARES[min(rank, len(RANK_SHARES) - 1)])
                outcome = attempt.go_on(self.problem, share)
                if outcome == 1:
                    return _kept_proof(attempt.moment, attempt.leaves[: attempt.count])
                if outcome == 0:
                    still.append(attempt)
                elif attempt.top:
                    face, a, b, c = attempt.stack[attempt.top - 1, :4]
                    self.fitted.append((attempt.moment, [cell_quat(int(face), a, b, c)]))
            self.live = sorted(still, key=lambda a: a.left)
            self.budget = min(12_000, self.budget * 2)
            self.rounds += 1
        self.hard_at_it = bool(self.fitted)
        broad = np.sort(self.problem.body.half_mm, axis=1)[:, 1:].prod(axis=1)
        for moment, fits in sorted(self.fitted, key=lambda f: (-broad[f[0].main], f[0].room_mm))[
            :TILTS_TRIED
        ]:
            found = TiltProver(self.problem, moment, fits).prove(until, stop)
            if found is not None or time.perf_counter() > until or stop():
                return found
        return None


def kept_moment(m: Moment) -> dict[str, object]:
    """A moment's data as a proof keeps it."""
    return {
        "axis": m.gate.axis,
        "cut_mm": m.cut_mm,
        "gate_low_mm": m.gate.low.copy(),
        "gate_high_mm": m.gate.high.copy(),
        "q_body_mm": m.q_body.copy(),
        "main_box": m.main,
        "share": m.share,
        "inner_mm": m.inner_mm,
        "layer_low_mm": m.layer_low,
        "layer_high_mm": m.layer_high,
        "layer_all": m.layer_all,
        "plus_mm": m.plus,
        "minus_mm": m.minus,
        "dirs": m.dirs,
        "root_split": ROOT_SPLIT,
        "links": m.links,
    }


def _kept_proof(m: Moment, leaves: Array) -> dict[str, object]:
    return {
        "kind": "no turn of the body fits the opening",
        **kept_moment(m),
        "leaves": leaves.copy(),
    }
