"""Make a found way better: fewer moves, more room, square turns a fitter can follow."""

from typing import Final

import numpy as np

from layout.geometry.draws import Generator, generator, normal, uniform, whole
from layout.geometry.frames import Array, Ints, quat_product
from layout.geometry.kernels import inner_kernel, kernel
from layout.geometry.shapes import Pose
from layout.passage.problem import Problem, Scene
from layout.passage.search.easing import ease
from layout.passage.search.forest import apart2
from layout.passage.search.plan import SQUARES, GateBoxes, gate_boxes, search
from layout.passage.search.trees import motion_allowed

WIDER_STEPS_MM: Final = (2.0, 6.0, 14.0)  # above the wanted clearance
MOVE_WORTH_MM: Final = 150.0  # one move fewer is worth this much more shift and turn
TILT_GRID_RAD: Final = np.deg2rad(5.0)
SHIFT_GRID_MM: Final = 10.0
WIDER_SHARE: Final = 0.4  # of the steps given, for one try at more room with calm turns
WILD_SHARE: Final = 0.6  # and for one with any turns
AGAIN_TRIES: Final = 3
AGAIN_SHARE: Final = 0.12
LESS_TO_DO: Final = 1.5  # a wider way may cost this much more to do


@kernel
def shortcut(
    scene: Scene, places: Array, turns: Array, tries: int, wanted: float, draw: Generator
) -> Ints:
    """Indices of the poses worth keeping: long jumps from random places, each proven clear."""
    keep = np.arange(places.shape[0])
    n = keep.shape[0]
    for k in range(tries):
        if n <= 2:
            break
        i = whole(draw, n - 2)
        far = n - 1 - i
        jump = far if k < 8 or far <= 2 else 2 + whole(draw, far - 1)
        j = min(n - 1, i + jump)
        a, b = keep[i], keep[j]
        if motion_allowed(scene, places[a], turns[a], places[b], turns[b], wanted):
            for m in range(j, n):
                keep[i + 1 + m - j] = keep[m]
            n -= j - i - 1
    return keep[:n]


@inner_kernel
def _put(places: Array, turns: Array, i: int, p: Array, q: Array) -> None:
    for k in range(3):
        places[i, k] = p[k]
    for k in range(4):
        turns[i, k] = q[k]


@kernel
def merge(
    scene: Scene, places: Array, turns: Array, tries: int, wanted: float, draw: Generator
) -> int:
    """Replace two inner poses by one between them, nudged, where both motions are proven.

    Works in place; how many poses are left.
    """
    n = places.shape[0]
    p, q = np.empty(3), np.empty(4)
    for _ in range(tries):
        if n < 4:
            break
        i = whole(draw, n - 3)
        m = i + 1 + whole(draw, 2)
        scale = 0.3 * uniform(draw)
        for k in range(3):
            p[k] = places[m, k] + normal(draw) * scene.gyration * scale
        other = m
        if uniform(draw) < 0.5:
            other = i + 1 if m == i + 2 else i + 2
        for k in range(4):
            q[k] = turns[other, k]
        if not ease(scene, p, q, wanted + 0.3):
            continue
        if not motion_allowed(scene, places[i], turns[i], p, q, wanted):
            continue
        if not motion_allowed(scene, p, q, places[i + 3], turns[i + 3], wanted):
            continue
        _put(places, turns, i + 1, p, q)
        for m in range(i + 3, n):
            _put(places, turns, m - 1, places[m], turns[m])
        n -= 1
    return n


def _clear(problem: Problem, pose: Pose, b: Pose, wanted: float) -> bool:
    return bool(motion_allowed(problem.scene, pose.at_mm, pose.quat, b.at_mm, b.quat, wanted))


def shorten(
    problem: Problem, path: list[Pose], wanted: float, seed: int = 0, tries: int = 250
) -> list[Pose]:
    """The same way with as few moves as a short random effort finds; all proven at `wanted`."""
    places, turns = np.array([p.at_mm for p in path]), np.array([pose.quat for pose in path])
    draw = generator(seed)
    for _ in range(3):
        keep = shortcut(problem.scene, places, turns, tries, wanted, draw)
        places, turns = places[keep].copy(), turns[keep].copy()
        if len(places) < 4:
            break
        n = merge(problem.scene, places, turns, tries // 3, wanted, draw)
        places, turns = places[:n].copy(), turns[:n].copy()
    return [Pose(p.copy(), q.copy()) for p, q in zip(places, turns, strict=True)]


def length_mm(problem: Problem, path: list[Pose]) -> float:
    """How much the body shifts and turns along a way, in mm at its gyration radius."""
    g = problem.scene.gyration
    return float(
        sum(
            np.sqrt(apart2(a.at_mm, a.quat, b.at_mm, b.quat, g))
            for a, b in zip(path, path[1:], strict=False)
        )
    )


def tidy_turn(q: Array) -> list[Array]:
    """Turns near q a fitter can name: square, or square with one tilt of whole steps of 5°."""
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
    """Snap inner poses to square or singly tilted turns and even places where that is proven."""
    path = list(path)
    for i in range(1, len(path) - 1):
        at = path[i].at_mm
        places = (np.round(at / SHIFT_GRID_MM) * SHIFT_GRID_MM, at)
        for o in [Pose(p, q) for q in tidy_turn(path[i].quat) for p in places]:
            before, after = path[i - 1], path[i + 1]
            if _clear(problem, before, o, wanted) and _clear(problem, o, after, wanted):
                path[i] = o
                break
    return path


def effort_of(problem: Problem, path: list[Pose]) -> float:
    """What a way costs a person: shift and turn in mm, and a good deal for every move."""
    return length_mm(problem, path) + MOVE_WORTH_MM * (len(path) - 1)


def eased_ends(problem: Problem, wanted: float) -> list[Pose] | None:
    """Start and goal nudged to more room, when the nudge itself is proven clear."""
    ends = []
    for pose in (problem.start, problem.goal):
        p, q = pose.at_mm.copy(), pose.quat.copy()
        fine = ease(problem.scene, p, q, wanted + 0.01)
        if not fine or not _clear(problem, pose, Pose(p, q), problem.clearance_mm):
            return None
        ends.append(Pose(p, q))
    return ends


def roomy(
    problem: Problem, wanted: float, steps: int, seed: int, turns: Array, gates: GateBoxes
) -> list[Pose] | None:
    """A way that keeps `wanted` except on its first and last move, shortened; None if not found."""
    ends = eased_ends(problem, wanted)
    if ends is None:
        return None
    wider = Problem(
        problem.body, problem.fixed, ends[0], ends[1], wanted, problem.up, problem.max_tilt_rad
    )
    found = search(wider, steps, seed, turns, gates)
    if found is None:
        return None
    out = [problem.start, *shorten(wider, found, wanted, seed), problem.goal]
    for k in (1, len(out) - 2):  # an eased end that is not needed is dropped
        if len(out) > 3 and _clear(problem, out[k - 1], out[k + 1], problem.clearance_mm):
            del out[k]
            break
    return out


def improve(problem: Problem, path: list[Pose], steps: int, seed: int) -> list[Pose]:
    """A better way for so many steps a try: calm turns first, then more room, then less to do."""
    level, gates = problem.clearance_mm, gate_boxes(problem)
    best = shorten(problem, path, level, seed)
    calm, wild = int(steps * WIDER_SHARE), int(steps * WILD_SHARE)
    for extra in WIDER_STEPS_MM:
        wanted = problem.clearance_mm + extra
        found = roomy(problem, wanted, calm, seed, SQUARES[:1], gates)
        if found is None and level == problem.clearance_mm:
            found = roomy(problem, wanted, wild, seed, SQUARES, gates)
        if found is None:
            break
        first = level == problem.clearance_mm
        if first or effort_of(problem, found) < LESS_TO_DO * effort_of(problem, best):
            best, level = found, wanted
    for n in range(1, AGAIN_TRIES + 1):
        turns = SQUARES[:1] if n % 3 else SQUARES
        found = roomy(problem, level, int(steps * AGAIN_SHARE), seed + n, turns, gates)
        if found is not None and effort_of(problem, found) < effort_of(problem, best):
            best = found
    return tidy(problem, best, problem.clearance_mm)
