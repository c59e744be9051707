"""Unavoidable moments: a body point on the cut of a gate, and the room each layer leaves the body.

q, a point of the body, must at some moment lie on the cut of a gate (`gates`); at that moment the
body's parts in each layer of free space on both sides must fit that layer. `turns` rules that out
for every turn of the body. Shift along the cut is covered exactly, so all six freedoms are.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.geometry.frames import Array
from layout.passage.problem import Problem
from layout.passage.proof.gates import Cells, Gate, gates_between, square_extents, swollen
from layout.passage.proof.layers import (
    cells_within,
    directions_across,
    layers_of,
    matter_near,
    room_of,
    seeds_in,
    window_of,
)
from layout.passage.proof.turns import Held, Layers

EXTRA_CUTS: Final = 10
ROOT_SPLIT: Final = 4  # the cube faces start cut this many times along each edge
LINKS: Final = 9
BALL_SHARE: Final = 0.999  # of the largest ball inside a box: keeps clear of rounding
OPEN_MM: Final = 1e8  # a layer with this much room is open
MOST_GATES: Final = 14


@dataclass(frozen=True, slots=True, eq=False)
class Moment:
    """One unavoidable moment: q on the cut, with the room each layer leaves the body."""

    gate: Gate
    q_body: Array
    cut_mm: float
    held: Held
    layers: Layers  # heights relative to the cut
    inner_mm: float  # the ball round q inside the main box
    share: float  # where q lies along the main box, from its middle
    reach_mm: float  # farthest body point from q
    cells: Cells  # where q may be

    @property
    def main(self) -> int:
        """The body box q lies in."""
        return self.held.main

    @property
    def room_mm(self) -> float:
        """The least room the layers leave along any direction: small is promising."""
        return float((self.layers.plus - self.layers.minus)[0].min())

    def kept(self) -> dict[str, object]:
        """The moment's data as a proof keeps it."""
        return {
            "axis": self.gate.axis,
            "cut_mm": self.cut_mm,
            "gate_low_mm": self.gate.low.copy(),
            "gate_high_mm": self.gate.high.copy(),
            "q_body_mm": self.q_body.copy(),
            "main_box": self.main,
            "share": self.share,
            "inner_mm": self.inner_mm,
            **kept_layers(self.layers),
            "dirs": self.held.dirs,
            "root_split": ROOT_SPLIT,
            "links": self.held.links,
        }


def kept_layers(layers: Layers) -> dict[str, object]:
    """Layers as a proof keeps them."""
    return {
        "layer_low_mm": layers.low,
        "layer_high_mm": layers.high,
        "layer_all": layers.every,
        "plus_mm": layers.plus,
        "minus_mm": layers.minus,
    }


def body_points(problem: Problem) -> list[tuple[int, float]]:
    """Body points worth trying, as (box, share of its length from its middle); the largest box
    first.
    """
    order = np.argsort(-np.prod(problem.body.half_mm, axis=1))
    return [
        (int(order[0]), 0.0),
        *((int(i), 0.0) for i in order[1:4]),
        (int(order[0]), 0.6),
        (int(order[0]), -0.6),
    ]


def moments(problem: Problem, main: int, share: float) -> list[Moment]:
    """Candidate moments of one body point, the least room first."""
    fixed = problem.fixed
    low, high = square_extents(fixed.centre_mm, fixed.half_mm, fixed.rotation)
    if not len(low):
        return []
    found = _moments_of(problem, low, high, main, share)
    return sorted((m for m in found if m.room_mm < OPEN_MM), key=lambda m: m.room_mm)


def shared_points(problem: Problem, main: int, q: Array) -> Array:
    """Points each body box shares with the main box, relative to q: middle and corners of the
    overlap.
    """
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
    cuts = [
        np.linspace(start[k], goal[k], EXTRA_CUTS + 2)[1:-1]
        if abs(goal[k] - start[k]) > 20
        else np.empty(0)
        for k in range(3)
    ]
    radius = BALL_SHARE * inner + problem.clearance_mm
    cells = cells_within(low, high, lambda a, b: swollen(a, b, radius), (cuts[0], cuts[1], cuts[2]))
    if cells is None:
        return []
    reach = float(np.sqrt(((b.corner_array() - q) ** 2).sum(-1)).max())
    out = []
    gates = gates_between(cells, start, goal, problem.outside is not None, problem.doors, radius)
    for gate in gates[:MOST_GATES]:
        matter = matter_near(problem, gate.low, gate.high, reach)
        if matter is None:
            continue
        held = Held(
            b.centre_mm - q,
            b.half_mm.copy(),
            b.rotation.copy(),
            main,
            shared_points(problem, main, q),
            np.eye(3)[gate.axis],
            directions_across(gate.axis),
        )
        m = _moment(matter, cells, gate, q, held, share, inner, reach)
        if m is not None:
            out.append(m)
    return out


def _moment(
    matter: Cells,
    cells: Cells,
    gate: Gate,
    q: Array,
    held: Held,
    share: float,
    inner: float,
    reach: float,
) -> Moment | None:
    """Measure the room in every layer within reach of the gate; layers with equal room are one."""
    axis = gate.axis
    u, v = (k for k in range(3) if k != axis)
    e = matter.edges
    free = np.moveaxis(matter.free, axis, 0)
    half_way = (gate.low[axis] + gate.high[axis]) / 2
    middle = int(np.searchsorted(e[axis], half_way, side="right")) - 1
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
    window = window_of(e[u], gate, u, reach)[:, None] & window_of(e[v], gate, v, reach)[None, :]
    own = (first, last, room_here)
    layers = layers_of(matter, axis, seed, middle, own, (cut, cut), reach, held.dirs, window)
    return Moment(
        gate,
        q,
        cut,
        held,
        layers._replace(low=layers.low - cut, high=layers.high - cut),
        inner,
        share,
        reach,
        cells,
    )
