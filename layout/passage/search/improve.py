"""Make a found way better: fewer moves, more room, square turns a fitter can follow."""

import time
from typing import Final

import numpy as np
from numba import njit

from layout.geometry.frames import Array, Ints, quat_product
from layout.passage.motion import motion_clear
from layout.passage.problem import Pose, Problem
from layout.passage.search.easing import ease
from layout.passage.search.plan import SQUARES, Scene, search
from layout.passage.search.trees import _upright_motion, apart2

WIDER_STEPS_MM: Final = (1.0, 2.0, 4.0, 7.0, 11.0, 16.0, 22.0)  # above the wanted clearance
MOVE_WORTH_MM: Final = 150.0  # one move fewer is worth this much more shift and turn
TILT_GRID_RAD: Final = np.deg2rad(5.0)
SHIFT_GRID_MM: Final = 10.0


@njit(cache=True, nogil=True)
def shortcut(
    body_c: Array,
    body_h: Array,
    body_r: Array,
    fix_c: Array,
    fix_h: Array,
    fix_r: Array,
    fix_k: Array,
    ps: Array,
    qs: Array,
    tries: int,
    wanted: float,
    gyration: float,
    up: Array,
    cos_limit: float,
    seed: int,
) -> Ints:
    """Indices of the poses worth keeping: greedy long jumps from random places, each proven clear."""
    np.random.seed(seed)
    keep = np.arange(ps.shape[0])
    for k in range(tries):
        n = keep.shape[0]
        if n <= 2:
            break
        i = np.random.randint(0, n - 2)
        far = n - 1 - i
        jump = far if k < 8 else 2 + np.random.randint(far - 1) if far > 2 else 2
        j = min(n - 1, i + jump)
        a, b = keep[i], keep[j]
        if _upright_motion(qs[a], qs[b], up, cos_limit) and motion_clear(
            body_c, body_h, body_r, fix_c, fix_h, fix_r, fix_k, ps[a], qs[a], ps[b], qs[b], wanted
        ):
            keep = np.concatenate((keep[: i + 1], keep[j:]))
    return keep


@njit(cache=True, nogil=True)
def merge(
    body_c: Array,
    body_h: Array,
    body_r: Array,
    fix_c: Array,
    fix_h: Array,
    fix_r: Array,
    fix_k: Array,
    ps: Array,
    qs: Array,
    tries: int,
    wanted: float,
    gyration: float,
    up: Array,
    cos_limit: float,
    seed: int,
) -> tuple[Array, Array]:
    """Replace two inner poses by one between them (nudged at random) where both motions are proven."""
    np.random.seed(seed)
    for _ in range(tries):
        n = ps.shape[0]
        if n < 4:
            break
        i = np.random.randint(0, n - 3)
        m = i + 1 + np.random.randint(2)
        p, q = ps[m].copy(), qs[m].copy()
        scale = 0.3 * np.random.random()
        for k in range(3):
            p[k] += np.random.normal() * gyration * scale
        if np.random.random() < 0.5:
            q[:] = qs[i + 1] if m == i + 2 else qs[i + 2]
        if not ease(
            body_c,
            body_h,
            body_r,
            fix_c,
            fix_h,
            fix_r,
            p,
            q,
            wanted + 0.3,
            gyration,
            15,
            up,
            cos_limit,
        ):
            continue
        first = _upright_motion(qs[i], q, up, cos_limit) and motion_clear(
            body_c, body_h, body_r, fix_c, fix_h, fix_r, fix_k, ps[i], qs[i], p, q, wanted
        )
        if not first:
            continue
        if _upright_motion(q, qs[i + 3], up, cos_limit) and motion_clear(
            body_c, body_h, body_r, fix_c, fix_h, fix_r, fix_k, p, q, ps[i + 3], qs[i + 3], wanted
        ):
            ps[i + 1], qs[i + 1] = p, q
            ps = np.concatenate((ps[: i + 2], ps[i + 3 :]))
            qs = np.concatenate((qs[: i + 2], qs[i + 3 :]))
    return ps, qs


def _clear(problem: Problem, s: Scene, a: Pose, b: Pose, wanted: float) -> bool:
    return bool(
        _upright_motion(a.quat, b.quat, problem.up, problem.cos_tilt)
        and motion_clear(
            *s.body, *s.fixed, s.fixed_corners, a.at_mm, a.quat, b.at_mm, b.quat, wanted
        )
    )


def shorten(
    problem: Problem, path: list[Pose], wanted: float, seed: int = 0, tries: int = 250
) -> list[Pose]:
    """The same way with as few moves as a short random effort finds; every motion proven at `wanted`."""
    s = Scene.of(problem)
    ps, qs = np.array([p.at_mm for p in path]), np.array([p.quat for p in path])
    up, cos = np.ascontiguousarray(problem.up), problem.cos_tilt
    for round_ in range(3):
        keep = shortcut(
            *s.body,
            *s.fixed,
            s.fixed_corners,
            ps,
            qs,
            tries,
            wanted,
            s.gyration_mm,
            up,
            cos,
            seed + round_,
        )
        ps, qs = ps[keep].copy(), qs[keep].copy()
        if len(ps) < 4:
            break
        ps, qs = merge(
            *s.body,
            *s.fixed,
            s.fixed_corners,
            ps,
            qs,
            tries // 3,
            wanted,
            s.gyration_mm,
            up,
            cos,
            seed + round_,
        )
    return [Pose(p.copy(), q.copy()) for p, q in zip(ps, qs, strict=True)]


def length_mm(problem: Problem, path: list[Pose]) -> float:
    """How much the body shifts and turns along a way, in mm at its gyration radius."""
    g = Scene.of(problem).gyration_mm
    return float(
        sum(
            np.sqrt(apart2(a.at_mm, a.quat, b.at_mm, b.quat, g))
            for a, b in zip(path, path[1:], strict=False)
        )
    )


def tidy_turn(q: Array) -> list[Array]:
    """Turns near q a fitter can name: square, or square with one tilt of whole steps of 5 degrees."""
    dots = np.abs(SQUARES @ q)
    base = SQUARES[int(np.argmax(dots))]
    inverse = base * np.array([-1, -1, -1, 1.0])
    d = quat_product(q, inverse)
    d = d if d[3] >= 0 else -d
    out = [base]
    angles = 2 * np.arctan2(d[:3], d[3])
    k = int(np.argmax(np.abs(angles)))
    for a in (np.round(angles[k] / TILT_GRID_RAD) * TILT_GRID_RAD, angles[k]):
        turn = np.zeros(4)
        turn[k], turn[3] = np.sin(a / 2), np.cos(a / 2)
        out.append(quat_product(turn, base))
    return out


def tidy(problem: Problem, path: list[Pose], wanted: float) -> list[Pose]:
    """Snap inner poses to square or singly tilted turns and to even places where that stays proven."""
    s = Scene.of(problem)
    path = list(path)
    for i in range(1, len(path) - 1):
        options = [
            Pose(p, q)
            for q in tidy_turn(path[i].quat)
            for p in (np.round(path[i].at_mm / SHIFT_GRID_MM) * SHIFT_GRID_MM, path[i].at_mm)
        ]
        for o in options:
            if _clear(problem, s, path[i - 1], o, wanted) and _clear(
                problem, s, o, path[i + 1], wanted
            ):
                path[i] = o
                break
    return path


def effort_of(problem: Problem, path: list[Pose]) -> float:
    """What a way costs a person: shift and turn in mm, and a good deal for every move."""
    return length_mm(problem, path) + MOVE_WORTH_MM * (len(path) - 1)


def eased_ends(problem: Problem, wanted: float) -> list[Pose] | None:
    """Start and goal nudged to more room, when the nudge itself is proven clear."""
    s = Scene.of(problem)
    up = np.ascontiguousarray(problem.up)
    ends = []
    for pose in (problem.start, problem.goal):
        p, q = pose.at_mm.copy(), pose.quat.copy()
        fine = ease(*s.body, *s.fixed, p, q, wanted + 0.01, s.gyration_mm, 30, up, problem.cos_tilt)
        if not fine or not _clear(problem, s, pose, Pose(p, q), problem.clearance_mm):
            return None
        ends.append(Pose(p, q))
    return ends


def roomy(
    problem: Problem, wanted: float, until: float, seed: int, turns: Array
) -> list[Pose] | None:
    """A way that keeps `wanted` except on its first and last move, shortened; None when not found."""
    ends = eased_ends(problem, wanted)
    if ends is None:
        return None
    wider = Problem(
        problem.body, problem.fixed, ends[0], ends[1], wanted, problem.up, problem.max_tilt_rad
    )
    found = search(wider, until, seed, turns=turns)
    if found is None:
        return None
    out = [problem.start, *shorten(wider, found, wanted, seed), problem.goal]
    s = Scene.of(problem)
    for k in (1, len(out) - 2):  # an eased end that is not needed is dropped
        if len(out) > 3 and _clear(problem, s, out[k - 1], out[k + 1], problem.clearance_mm):
            del out[k]
            break
    return out


def improve(problem: Problem, path: list[Pose], until: float, seed: int) -> list[Pose]:
    """A better way in the time given: calm turns first, then more room, then less to do."""
    best, level = shorten(problem, path, problem.clearance_mm, seed), problem.clearance_mm
    began = time.perf_counter()
    calm = SQUARES[:1]
    for extra in WIDER_STEPS_MM:
        if time.perf_counter() >= until:
            break
        wanted = problem.clearance_mm + extra
        now = time.perf_counter()
        found = roomy(
            problem, wanted, min(until, now + max(0.05, 0.4 * (until - began))), seed, calm
        )
        if found is None and level == problem.clearance_mm:
            found = roomy(
                problem, wanted, min(until, now + max(0.1, 0.6 * (until - began))), seed, SQUARES
            )
        if found is None:
            break
        if level == problem.clearance_mm or effort_of(problem, found) < 1.5 * effort_of(
            problem, best
        ):
            best, level = found, wanted
    tries = 0
    while time.perf_counter() < until and tries < 12:
        tries += 1
        turns = calm if tries % 3 else SQUARES
        found = roomy(problem, level, min(until, time.perf_counter() + 0.1), seed + tries, turns)
        if found is not None and effort_of(problem, found) < effort_of(problem, best):
            best = found
    return tidy(problem, best, problem.clearance_mm)
