"""No way because two families of turns never join: those that pass the opening and those of the resting place.

After the last time a body point q leaves a gate, it stays in the free space beyond (a bounded set
of cells). Let f be how upright a body axis e stands, |n . R e|, n square to the gate. If every turn
that fits at the gate has f on one side of a limit, and the resting turn has it on the other, f
passes the limit while q is somewhere beyond the gate. Ruling out f = limit for every height of q
beyond the gate, and the far side of the limit at the gate, shows that there is no way. Cells of
turns that have nothing to do with the limit are kept as leaves with direction -1.
"""

import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from threading import Event
from typing import TYPE_CHECKING, Final

import numpy as np
from numba import njit
from numpy.typing import NDArray
from scipy import ndimage

from layout.geometry.frames import Array, matrix_from_quat
from layout.passage.problem import Problem
from layout.passage.proof.gates import square_extents
from layout.passage.proof.layers import NOTHING_MM, layers_round, matter_near, seeds_in
from layout.passage.proof.turns import (
    FIELDS,
    FITS_MM,
    MARGIN_MM,
    WORTH_MORE_RAD,
    WORTH_TRYING_RAD,
    cell_quat,
    cell_spread,
    rule_out,
)

if TYPE_CHECKING:
    from layout.passage.proof.moment import Moment

KIND: Final = "the turns that pass the opening never join those of the resting place"
TILT_FIELDS: Final = FIELDS + 2  # and the heights of q the leaf holds for
SHELL, ABOVE, BELOW = 0, 1, -1  # what is to be ruled out: f = limit, f >= limit, f <= limit
STACK: Final = 40_000
MOST_LEAVES: Final = 1_200_000
CHUNK: Final = 3000
ROOT: Final = 4
THREADS: Final = 2
THICKEST_MM: Final = 60.0
LIMITS_TRIED: Final = 15
HEIGHTS: Final = 5  # of each slab that are sampled
NEAR_FAILED: Final = 0.04
NARROWED: Final = 4  # limits tried for one axis at one gate
SAMPLES: Final = 8
DIFFERS: Final = 0.08  # the axis must stand this differently at the gate and at rest
MARGINS_MM: Final = (10.0, 4.0, 1.5, 0.3)
RATIO: Final = 1.0  # heights are halved rather than turns when they are this much wider
SMALLEST_HALF: Final = 1 / 400


@dataclass(slots=True, eq=False)
class Slab:
    """Heights [low, high] q may have, and the layers of room round them, in the hull frame."""

    low: float
    high: float
    layer_low: Array
    layer_high: Array
    layer_all: NDArray[np.bool_]
    plus: Array
    minus: Array
    leaves: Array


@njit(cache=True, nogil=True)
def _upright(quat, axis_n, e, spread):  # type: ignore[no-untyped-def]
    """Least and greatest |n . R e| over a cell of turns."""
    r = matrix_from_quat(quat)
    d = 0.0
    for i in range(3):
        for k in range(3):
            d += axis_n[i] * r[i, k] * e[k]
    angle = np.arccos(min(1.0, abs(d)))
    return np.cos(min(np.pi / 2, angle + spread)), np.cos(max(0.0, angle - spread))


@njit(cache=True, nogil=True)
def _cover(
    body_c,
    body_h,
    body_r,
    main,
    links,
    axis_n,
    dirs,
    low,
    high,
    alls,
    plus,
    minus,
    e,
    limit,
    mode,
    reach,
    stack,
    top,
    leaves,
    count,
    budget,
):  # type: ignore[no-untyped-def]
    """Work through cells of turns and heights; (stack size, leaves, outcome as in `cover_all_turns`)."""
    scratch = np.empty(FIELDS)
    for _ in range(budget):
        if top == 0:
            return 0, count, 1
        if top + 8 > stack.shape[0] or count + 1 >= leaves.shape[0]:
            return top, count, 0
        top -= 1
        face = int(stack[top, 0])
        a, b, c, half = stack[top, 1], stack[top, 2], stack[top, 3], stack[top, 4]
        first, z1, z2 = int(stack[top, 5]), stack[top, 6], stack[top, 7]
        spread = cell_spread(face, a, b, c, half)
        mid = cell_quat(face, a, b, c)
        least, most = _upright(mid, axis_n, e, spread + 1e-9)
        skip = (mode != BELOW and most < limit) or (mode != ABOVE and least > limit)
        row = leaves[count]
        if skip:
            row[:] = 0.0
            row[0], row[1], row[2], row[3], row[4], row[5] = face, a, b, c, half, -1
            row[FIELDS], row[FIELDS + 1] = z1, z2
            count += 1
            continue
        ruled = False
        if spread < WORTH_TRYING_RAD:
            ruled = rule_out(
                body_c,
                body_h,
                body_r,
                main,
                links,
                axis_n,
                dirs,
                low - z1,
                high - z2,
                alls,
                plus,
                minus,
                face,
                a,
                b,
                c,
                half,
                spread,
                row,
                first,
                MARGIN_MM,
                False,
            )
        if not ruled and spread < WORTH_MORE_RAD:
            ruled = rule_out(
                body_c,
                body_h,
                body_r,
                main,
                links,
                axis_n,
                dirs,
                low - z1,
                high - z2,
                alls,
                plus,
                minus,
                face,
                a,
                b,
                c,
                half,
                spread,
                row,
                first,
                MARGIN_MM,
                True,
            )
        if ruled:
            row[FIELDS], row[FIELDS + 1] = z1, z2
            count += 1
            continue
        if half < SMALLEST_HALF:
            return top + 1, count, 2
        if mode != SHELL:
            lo, hi = _upright(mid, axis_n, e, 0.0)
            inside = lo >= limit if mode == ABOVE else hi <= limit
            if inside and not rule_out(
                body_c,
                body_h,
                body_r,
                main,
                links,
                axis_n,
                dirs,
                low - z1,
                high - z2,
                alls,
                plus,
                minus,
                face,
                a,
                b,
                c,
                half,
                0.0,
                scratch,
                first,
                FITS_MM,
                True,
            ):
                return top + 1, count, 2
        if z2 - z1 > RATIO * spread * reach and z2 - z1 > 0.05:
            m = (z1 + z2) / 2
            for part in range(2):
                stack[top, :6] = stack[top, :6] if part == 0 else stack[top - 1, :6]
                stack[top, 6] = z1 if part == 0 else m
                stack[top, 7] = m if part == 0 else z2
                top += 1
            continue
        h = half / 2
        for m8 in range(8):
            stack[top, 0] = face
            stack[top, 1] = a + (h if m8 & 1 else -h)
            stack[top, 2] = b + (h if m8 & 2 else -h)
            stack[top, 3] = c + (h if m8 & 4 else -h)
            stack[top, 4] = h
            stack[top, 5] = first
            stack[top, 6] = z1
            stack[top, 7] = z2
            top += 1
    return top, count, 1 if top == 0 else 0


@njit(cache=True, nogil=True)
def _any_fits(
    body_c,
    body_h,
    body_r,
    main,
    links,
    axis_n,
    dirs,
    low,
    high,
    alls,
    plus,
    minus,
    frame,
    limit,
    z,
    samples,
    margin,
):  # type: ignore[no-untyped-def]
    """True when some sampled turn with f = limit is not ruled out at height z. `frame`: body axes e, f, g as columns."""
    leaf = np.empty(FIELDS)
    k = 0
    for m in range(3):
        if axis_n[m] > 0.5:
            k = m
    tilt = np.arccos(limit)
    for i in range(samples):
        for j in range(2 * samples):
            turn, swing = np.pi * i / samples, np.pi * j / samples
            # columns of R frame: e at the tilt from n, swung about n; f, g turned about e
            u, v = (k + 1) % 3, (k + 2) % 3
            world = np.zeros((3, 3))
            world[k, 0], world[u, 0], world[v, 0] = (
                np.cos(tilt),
                np.sin(tilt) * np.cos(swing),
                np.sin(tilt) * np.sin(swing),
            )
            side = np.zeros(3)
            side[u], side[v] = -np.sin(swing), np.cos(swing)
            other = np.array(
                [
                    world[1, 0] * side[2] - world[2, 0] * side[1],
                    world[2, 0] * side[0] - world[0, 0] * side[2],
                    world[0, 0] * side[1] - world[1, 0] * side[0],
                ]
            )
            world[:, 1] = np.cos(turn) * side + np.sin(turn) * other
            world[:, 2] = -np.sin(turn) * side + np.cos(turn) * other
            r = world @ frame.T
            n = r.T @ axis_n
            if not _out(
                body_c,
                body_h,
                body_r,
                main,
                links,
                axis_n,
                dirs,
                low - z,
                high - z,
                alls,
                plus,
                minus,
                r,
                n,
                leaf,
                margin,
            ):
                return True
    return False


@njit(cache=True, nogil=True)
def _out(
    body_c,
    body_h,
    body_r,
    main,
    links,
    axis_n,
    dirs,
    low,
    high,
    alls,
    plus,
    minus,
    r,
    n,
    leaf,
    margin,
):  # type: ignore[no-untyped-def]
    """One turn ruled out, by the same means as a cell of no size."""
    w = np.sqrt(max(0.0, 1 + r[0, 0] + r[1, 1] + r[2, 2])) / 2
    x = np.sqrt(max(0.0, 1 + r[0, 0] - r[1, 1] - r[2, 2])) / 2
    y = np.sqrt(max(0.0, 1 - r[0, 0] + r[1, 1] - r[2, 2])) / 2
    z = np.sqrt(max(0.0, 1 - r[0, 0] - r[1, 1] + r[2, 2])) / 2
    face, a, b, c = 3, r[1, 0] - r[0, 1], r[0, 2] + r[2, 0], r[1, 2] + r[2, 1]
    big = z
    if w >= max(x, y, z):
        face, a, b, c, big = 0, r[2, 1] - r[1, 2], r[0, 2] - r[2, 0], r[1, 0] - r[0, 1], w
    elif x >= max(y, z):
        face, a, b, c, big = 1, r[0, 1] + r[1, 0], r[0, 2] + r[2, 0], r[2, 1] - r[1, 2], x
    elif y >= z:
        face, a, b, c, big = 2, r[1, 2] + r[2, 1], r[0, 2] - r[2, 0], r[0, 1] + r[1, 0], y
    f = 4 * big * big
    return rule_out(
        body_c,
        body_h,
        body_r,
        main,
        links,
        axis_n,
        dirs,
        low,
        high,
        alls,
        plus,
        minus,
        face,
        a / f,
        b / f,
        c / f,
        0.0,
        0.0,
        leaf,
        0,
        margin,
        True,
    )


def beyond(m: "Moment", problem: Problem) -> list[tuple[float, float, NDArray[np.bool_]]] | None:
    """Where q can be after its last time on the gate: (low, high, cells over the other two axes), or None when unbounded."""
    cells, gate, axis = m.cells, m.gate, m.gate.axis
    free = np.moveaxis(cells.free, axis, 0).copy()
    e = cells.edges[axis]
    i0, i1 = int(np.searchsorted(e, gate.low[axis])), int(np.searchsorted(e, gate.high[axis]))
    free[i0:i1] &= ~gate.piece
    parts, _ = ndimage.label(free)
    goal = cells.index_of(problem.goal.at_mm + problem.goal.rotation @ m.q_body)
    start = cells.index_of(problem.start.at_mm + problem.start.rotation @ m.q_body)
    order = (axis, *(k for k in range(3) if k != axis))
    at, of = tuple(goal[k] for k in order), tuple(start[k] for k in order)
    if parts[at] == 0 or parts[at] == parts[of]:
        return None
    region = parts == parts[at]
    if any(region.take(end, axis=k).any() for k in range(3) for end in (0, -1)):
        return None
    under, over = bool((region[i0 - 1] & gate.piece).any()), bool((region[i1] & gate.piece).any())
    if under == over:
        return None
    band = (float(e[i0]), m.cut_mm) if under else (m.cut_mm, float(e[i1]))
    out = [(float(e[k]), float(e[k + 1]), region[k]) for k in range(len(region)) if region[k].any()]
    return [*out, (*band, gate.piece)] if band[1] > band[0] + 1e-9 else out


def slabs_of(
    m: "Moment", problem: Problem, places: list[tuple[float, float, NDArray[np.bool_]]]
) -> list[Slab] | None:
    """The places cut into slabs with one set of layers each; None when there are too many cells."""
    axis, b = m.gate.axis, problem.body
    u, v = (k for k in range(3) if k != axis)
    reach = float(np.sqrt(((b.corner_array() - m.q_body) ** 2).sum(-1)).max())
    low, high = square_extents(
        problem.fixed.centre_mm, problem.fixed.half_mm, problem.fixed.rotation
    )
    box_low, box_high = np.empty(3), np.empty(3)
    box_low[axis], box_high[axis] = min(p[0] for p in places), max(p[1] for p in places)
    some = np.any([p[2] for p in places], axis=0)
    for k, along in ((u, 1), (v, 0)):
        on = np.flatnonzero(some.any(axis=along))
        box_low[k], box_high[k] = m.cells.edges[k][on[0]], m.cells.edges[k][on[-1] + 1]
    matter = matter_near(problem, low, high, box_low, box_high, reach)
    if matter is None:
        return None
    e = matter.edges[axis]
    out: list[Slab] = []
    for z1, z2, mask in places:
        seed = seeds_in(matter, m.cells, mask, u, v)
        marks = [z1, *(float(x) for x in e if z1 < x < z2), z2]
        for p, q in zip(marks, marks[1:], strict=False):
            count = max(1, int(np.ceil((q - p) / THICKEST_MM)))
            middle = int(np.searchsorted(e, (p + q) / 2, side="right")) - 1
            here = seed & np.moveaxis(matter.free, axis, 0)[middle]
            layers = (
                layers_round(matter, axis, here, middle, p, q, reach, m.dirs)
                if here.any()
                else _no_room(p, q, len(m.dirs))
            )
            steps = np.linspace(p, q, count + 1)
            out += [
                Slab(float(x), float(y), *layers, np.empty((0, TILT_FIELDS)))
                for x, y in zip(steps, steps[1:], strict=False)
            ]
    return out


def _no_room(
    low: float, high: float, dirs: int
) -> tuple[Array, Array, NDArray[np.bool_], Array, Array]:
    """The layers where q cannot be at all: one, with less than no room."""
    return (
        np.array([low]),
        np.array([high]),
        np.array([False]),
        np.full((1, dirs), -NOTHING_MM),
        np.full((1, dirs), NOTHING_MM),
    )


class TiltProver:
    """Looks for a limit that parts the turns at one gate from the resting turn, and proves it."""

    def __init__(self, problem: Problem, m: "Moment", fits: list[Array]) -> None:
        self.problem, self.moment, self.fits = problem, m, fits
        b = problem.body
        self.body = (
            np.ascontiguousarray(b.centre_mm - m.q_body),
            b.half_mm,
            b.rotation,
            m.main,
            m.links,
            np.eye(3)[m.gate.axis],
            m.dirs,
        )
        self.reach = float(np.sqrt(((b.corner_array() - m.q_body) ** 2).sum(-1)).max())

    def prove(self, until: float, stop: Callable[[], bool]) -> dict[str, object] | None:
        """The proof, or None."""
        m = self.moment
        places = beyond(m, self.problem)
        slabs = slabs_of(m, self.problem, places) if places else None
        if not slabs:
            return None
        n = np.eye(3)[m.gate.axis]
        goal = self.problem.goal.rotation
        frame = self.problem.body.rotation[m.main]
        for axis in range(3):
            e = np.ascontiguousarray(frame[:, axis])
            at_rest = abs(float(n @ goal @ e))
            passing = [abs(float(n @ matrix_from_quat(q) @ e)) for q in self.fits]
            if (
                not passing
                or min(abs(p - at_rest) for p in passing) < DIFFERS
                or (min(passing) - at_rest) * (max(passing) - at_rest) < 0
            ):
                continue
            nearest = min(passing, key=lambda p: abs(p - at_rest))
            failed: list[float] = []
            for _ in range(NARROWED):
                if abs(nearest - at_rest) < DIFFERS or time.perf_counter() > until or stop():
                    break
                limit = self._limit(
                    slabs, np.roll(np.arange(3), -axis), at_rest, nearest, failed, until, stop
                )
                if limit is None:
                    break
                found, met = self._prove(
                    slabs, e, limit, ABOVE if at_rest > limit else BELOW, until, stop
                )
                if found is not None:
                    return found
                if met is None:
                    failed.append(limit)
                else:
                    nearest = met  # a turn that fits stands nearer to rest than those known before
            if time.perf_counter() > until or stop():
                return None
        return None

    def warm(self) -> None:
        """Compile or load the kernels on this problem, with no wish for an answer."""
        places = beyond(self.moment, self.problem)
        for s in (slabs_of(self.moment, self.problem, places) if places else None) or []:
            frame = np.ascontiguousarray(self.problem.body.rotation[self.moment.main])
            _any_fits(
                *self.body,
                s.layer_low,
                s.layer_high,
                s.layer_all,
                s.plus,
                s.minus,
                frame,
                0.5,
                s.low,
                1,
                0.5,
            )
            self._covered(
                s,
                np.ascontiguousarray(frame[:, 0]),
                0.5,
                SHELL,
                time.perf_counter() + 0.001,
                lambda: False,
            )
            return

    def _limit(
        self,
        slabs: list[Slab],
        order: Array,
        at_rest: float,
        passing: float,
        failed: list[float],
        until: float,
        stop: Callable[[], bool],
    ) -> float | None:
        """A limit at which no sampled turn fits at any height, by as much as can be had."""
        frame = np.ascontiguousarray(self.problem.body.rotation[self.moment.main][:, order])
        if np.linalg.det(frame) < 0:
            frame[:, 2] = -frame[:, 2]
        left = [float(x) for x in np.linspace(at_rest, passing, LIMITS_TRIED + 2)[1:-1]]
        left = [x for x in left if all(abs(x - f) > NEAR_FAILED for f in failed)]
        left.sort(key=lambda x: abs(x - (at_rest + passing) / 2))
        for margin in MARGINS_MM:
            for limit in left:
                if time.perf_counter() > until or stop():
                    return None
                if not any(
                    _any_fits(
                        *self.body,
                        s.layer_low,
                        s.layer_high,
                        s.layer_all,
                        s.plus,
                        s.minus,
                        frame,
                        limit,
                        z,
                        SAMPLES,
                        margin,
                    )
                    for s in slabs
                    for z in np.linspace(s.low, s.high, HEIGHTS)
                ):
                    return limit
        return None

    def _prove(
        self,
        slabs: list[Slab],
        e: Array,
        limit: float,
        side: int,
        until: float,
        stop: Callable[[], bool],
    ) -> tuple[dict[str, object] | None, float | None]:
        """(the proof or None, how upright a turn stands that fits at the gate on the resting side, if one was met)."""
        m = self.moment
        gate = Slab(
            m.cut_mm,
            m.cut_mm,
            m.layer_low + m.cut_mm,
            m.layer_high + m.cut_mm,
            m.layer_all,
            m.plus,
            m.minus,
            np.empty((0, TILT_FIELDS)),
        )
        leaves, met = self._covered(gate, e, limit, side, until, stop)
        if leaves is None:
            return None, met
        over = Event()

        def cover(s: Slab) -> bool:
            done, _ = self._covered(s, e, limit, SHELL, until, lambda: over.is_set() or stop())
            if done is None:
                over.set()  # one slab that cannot be covered spoils the proof: the others stop
                return False
            s.leaves = done
            return True

        hardest_first = sorted(slabs, key=lambda s: abs((s.low + s.high) / 2 - m.cut_mm))
        with ThreadPoolExecutor(THREADS) as pool:
            if not all(pool.map(cover, hardest_first)):
                return None, None
        from layout.passage.proof.moment import kept_moment

        proof: dict[str, object] = {
            **kept_moment(m),
            "kind": KIND,
            "leaves": leaves,
            "axis_body": e.copy(),
            "limit": limit,
            "rest_side": side,
            "slabs": [
                {
                    "low_mm": s.low,
                    "high_mm": s.high,
                    "layer_low_mm": s.layer_low,
                    "layer_high_mm": s.layer_high,
                    "layer_all": s.layer_all,
                    "plus_mm": s.plus,
                    "minus_mm": s.minus,
                    "leaves": s.leaves,
                }
                for s in slabs
            ],
        }
        return proof, None

    def _covered(
        self, s: Slab, e: Array, limit: float, mode: int, until: float, stop: Callable[[], bool]
    ) -> tuple[Array | None, float | None]:
        """(the leaves that cover all turns and the slab's heights or None, how upright the turn stands that fits)."""
        stack = np.empty((STACK, 8))
        half = 1.0 / ROOT
        top = 0
        for face in range(4):
            for i in range(ROOT**3):
                a, b, c = i % ROOT, i // ROOT % ROOT, i // ROOT**2
                stack[top] = [
                    face,
                    -1 + half * (2 * a + 1),
                    -1 + half * (2 * b + 1),
                    -1 + half * (2 * c + 1),
                    half,
                    0,
                    s.low,
                    s.high,
                ]
                top += 1
        leaves, count = np.empty((4 * CHUNK, TILT_FIELDS)), 0
        while time.perf_counter() < until and not stop():
            if count + CHUNK + 8 > len(leaves):
                if len(leaves) >= MOST_LEAVES:
                    return None, None
                bigger = np.empty((2 * len(leaves), TILT_FIELDS))
                bigger[:count] = leaves[:count]
                leaves = bigger
            top, count, outcome = _cover(
                *self.body,
                s.layer_low,
                s.layer_high,
                s.layer_all,
                s.plus,
                s.minus,
                e,
                limit,
                mode,
                self.reach,
                stack,
                top,
                leaves,
                count,
                CHUNK,
            )
            if outcome == 1:
                return leaves[:count].copy(), None
            if outcome == 2:
                face, a, b, c = stack[top - 1, :4]
                return None, float(_upright(cell_quat(int(face), a, b, c), self.body[5], e, 0.0)[0])
            if top > STACK - 16:
                break
        return None, None
