"""No way because two families of turns never join: those that pass the opening and those at rest.

After the last time a body point q leaves a gate, it stays in the free space beyond (a bounded set
of cells). Let f be how upright a body axis e stands, |n . R e|, n square to the gate. If every turn
that fits at the gate has f on one side of a limit, and the resting turn has it on the other, f
passes the limit while q is somewhere beyond the gate. Ruling out f = limit for every height of q
beyond the gate, and the far side of the limit at the gate, shows that there is no way. Cells of
turns that have nothing to do with the limit are kept as leaves with direction -1.
"""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Final

import numpy as np

from layout.geometry.frames import Array, matrix_from_quat
from layout.passage.problem import Evidence, Problem
from layout.passage.proof.beyond import Slab, beyond, slabs_of
from layout.passage.proof.moment import Moment, kept_layers
from layout.passage.proof.tilt_cells import (
    ABOVE,
    BELOW,
    SHELL,
    TILT_CELL,
    TILT_FIELDS,
    any_fits,
    cover_limit,
    upright,
)
from layout.passage.proof.turn_cells import cell_quat
from layout.passage.work import Work

STACK: Final = 40_000
MOST_LEAVES: Final = 1_200_000
CHUNK: Final = 3000
ROOT: Final = 4
THREADS: Final = 2
LIMITS_TRIED: Final = 15
HEIGHTS: Final = 5  # of each slab that are sampled
NEAR_FAILED: Final = 0.04
NARROWED: Final = 4  # limits tried for one axis at one gate
SAMPLES: Final = 8
SAMPLE_COST: Final = 40  # cells' worth of work in one look at a height and a limit
DIFFERS: Final = 0.08  # the axis must stand this differently at the gate and at rest
MARGINS_MM: Final = (10.0, 4.0, 1.5, 0.3)

Proof = dict[str, object]
Stop = Callable[[], bool]


class TiltProver:
    """Looks for a limit that parts the turns at one gate from the resting turn, and proves it."""

    def __init__(self, problem: Problem, m: Moment, fits: list[Array]) -> None:
        self.problem, self.moment, self.fits = problem, m, fits

    def prove(self, work: Work, stop: Stop) -> Proof | None:
        """The proof, or None."""
        places = beyond(self.moment, self.problem)
        slabs = slabs_of(self.moment, self.problem, places) if places else None
        if not slabs:
            return None
        for axis in range(3):
            if work.done or stop():
                return None
            found = self._by_axis(slabs, axis, work, stop)
            if found is not None:
                return found
        return None

    def _by_axis(self, slabs: list[Slab], axis: int, work: Work, stop: Stop) -> Proof | None:
        """The proof by one axis of the main box, limits tried from the middle outwards."""
        m = self.moment
        n = np.eye(3)[m.gate.axis]
        frame = self.problem.body.rotation[m.main]
        e = np.ascontiguousarray(frame[:, axis])
        at_rest = abs(float(n @ self.problem.goal.rotation @ e))
        passing = [abs(float(n @ matrix_from_quat(q) @ e)) for q in self.fits]
        if not passing or min(abs(p - at_rest) for p in passing) < DIFFERS:
            return None
        if (min(passing) - at_rest) * (max(passing) - at_rest) < 0:
            return None
        nearest = min(passing, key=lambda p: abs(p - at_rest))
        failed: list[float] = []
        for _ in range(NARROWED):
            if abs(nearest - at_rest) < DIFFERS or work.done or stop():
                return None
            limit = self._limit(slabs, axis, at_rest, nearest, failed, work, stop)
            if limit is None:
                return None
            side = ABOVE if at_rest > limit else BELOW
            found, met = self._prove(slabs, e, limit, side, work, stop)
            if found is not None:
                return found
            if met is None:
                failed.append(limit)
            else:
                nearest = met  # a turn that fits stands nearer to rest than those known before
        return None

    def _limit(
        self,
        slabs: list[Slab],
        axis: int,
        at_rest: float,
        passing: float,
        failed: list[float],
        work: Work,
        stop: Stop,
    ) -> float | None:
        """A limit at which no sampled turn fits at any height, by as much as can be had."""
        held = self.moment.held
        order = np.roll(np.arange(3), -axis)
        frame = np.ascontiguousarray(self.problem.body.rotation[self.moment.main][:, order])
        if np.linalg.det(frame) < 0:
            frame[:, 2] = -frame[:, 2]
        left = [float(x) for x in np.linspace(at_rest, passing, LIMITS_TRIED + 2)[1:-1]]
        left = [x for x in left if all(abs(x - f) > NEAR_FAILED for f in failed)]
        left.sort(key=lambda x: abs(x - (at_rest + passing) / 2))
        spots = [
            (slab, float(z)) for slab in slabs for z in np.linspace(slab.low, slab.high, HEIGHTS)
        ]
        for margin in MARGINS_MM:
            for limit in left:
                if work.done or stop():
                    return None
                fits = False
                for s, z in spots:
                    work.spend(SAMPLE_COST)
                    if any_fits(held, s.layers, frame, limit, z, SAMPLES, margin):
                        fits = True
                        break
                if not fits:
                    return limit
        return None

    def _prove(
        self, slabs: list[Slab], e: Array, limit: float, side: int, work: Work, stop: Stop
    ) -> tuple[Proof | None, float | None]:
        """(the proof or None, how upright a turn stands that fits at the gate, if one was met)."""
        m = self.moment
        layers = m.layers._replace(low=m.layers.low + m.cut_mm, high=m.layers.high + m.cut_mm)
        gate = Slab(m.cut_mm, m.cut_mm, layers)
        leaves, met, cells = self._covered(gate, e, limit, side, work.left, stop)
        work.spend(cells)
        if leaves is None:
            return None, met
        covers = self._cover_all(slabs, e, limit, work, stop)
        if covers is None:
            return None, None
        proof: Proof = {
            **m.kept(),
            "kind": Evidence.TILT.value,
            "leaves": leaves,
            "axis_body": e.copy(),
            "limit": limit,
            "rest_side": side,
            "slabs": [
                {"low_mm": s.low, "high_mm": s.high, **kept_layers(s.layers), "leaves": cover}
                for s, cover in zip(slabs, covers, strict=True)
            ],
        }
        return proof, None

    def _cover_all(
        self, slabs: list[Slab], e: Array, limit: float, work: Work, stop: Stop
    ) -> list[Array] | None:
        """The leaves of every slab, or None when one cannot be covered.

        Two at a time, the hardest first. What counts, and the work charged for it, is what one
        after another would have found: a slab is given up only for one that stands before it.
        """
        order = sorted(
            range(len(slabs)),
            key=lambda k: abs((slabs[k].low + slabs[k].high) / 2 - self.moment.cut_mm),
        )
        allowed = work.left
        failed_at = [len(order)]

        def cover(rank: int) -> tuple[Array | None, int]:
            def over() -> bool:
                return failed_at[0] < rank or stop()

            done, _, cells = self._covered(slabs[order[rank]], e, limit, SHELL, allowed, over)
            if done is None and not over():
                failed_at[0] = min(failed_at[0], rank)
            return done, cells

        leaves: dict[int, Array] = {}
        with ThreadPoolExecutor(THREADS) as pool:
            for rank, (done, cells) in enumerate(pool.map(cover, range(len(order)))):
                work.spend(cells)
                if done is None or work.done:
                    failed_at[0] = -1  # what is still at work is given up
                    return None
                leaves[order[rank]] = done
        return [leaves[k] for k in range(len(slabs))]

    def _covered(
        self, slab: Slab, e: Array, limit: float, mode: int, allowed: int, stop: Stop
    ) -> tuple[Array | None, float | None, int]:
        """(leaves that cover all turns and heights or None, the turn that fits, cells done)."""
        stack, top = _roots(slab)
        leaves, count, cells = np.empty((4 * CHUNK, TILT_FIELDS)), 0, 0
        m = self.moment
        while cells < allowed and not stop():
            if count + CHUNK + 8 > len(leaves):
                if len(leaves) >= MOST_LEAVES:
                    return None, None, cells
                bigger = np.empty((2 * len(leaves), TILT_FIELDS))
                bigger[:count] = leaves[:count]
                leaves = bigger
            top, count, outcome, done = cover_limit(
                m.held, slab.layers, e, limit, mode, m.reach_mm, stack, top, leaves, count, CHUNK
            )
            cells += done
            if outcome == 1:
                return leaves[:count].copy(), None, cells
            if outcome == 2:
                face, a, b, c = stack[top - 1, :4]
                fits = upright(cell_quat(int(face), a, b, c), m.held.axis, e, 0.0)
                return None, float(fits[0]), cells
            if top > STACK - 16:
                break
        return None, None, cells


def _roots(slab: Slab) -> tuple[Array, int]:
    """(a stack with the starting cells that cover all turns and a slab's heights, how many)."""
    stack = np.empty((STACK, TILT_CELL))
    half = 1.0 / ROOT
    steps = -1 + half * (2 * np.arange(ROOT) + 1)
    top = 0
    for face in range(4):
        for c in steps:
            for b in steps:
                for a in steps:
                    stack[top] = [face, a, b, c, half, 0, slab.low, slab.high]
                    top += 1
    return stack, top
