"""A proven way made plainer to follow: steps that ask for one thing, whole figures, no more of them
than needed. Every step is proven again, and the way keeps most of the room it had.
"""

from itertools import permutations
from typing import Final

import numpy as np
from scipy.spatial.transform import Rotation

from layout.geometry.frames import Array, quat_about, quat_product, turn_between
from layout.geometry.shapes import Pose
from layout.passage.problem import Problem
from layout.passage.search.improve import tidy_turn
from layout.passage.search.plan import path_clearance
from layout.passage.search.trees import motion_allowed

SHIFT_MM: Final = 6.0  # smaller shifts and turns are no part of a step
TURN_DEG: Final = 3.0
KEPT_SHARE: Final = 0.8  # of the room a way had
GRID_MM: Final = 10.0
ROUNDS: Final = 3
MOST_STEPS: Final = 6  # up to so many steps, two things at once are told one after the other
TOGETHER: Final = 2  # things at once where nothing else is found
EXACT: Final = 1e-9


def turn_deg(pose: Pose, b: Pose) -> Array:
    """The turn from a to b as a rotation vector in degrees in the hull frame, (3,)."""
    axis = np.empty(3)
    angle = turn_between(pose.quat, b.quat, axis)
    return np.rad2deg(angle) * axis


def parts(pose: Pose, b: Pose) -> int:
    """How many plain things a motion asks for: slides along and turns about hull axes."""
    slides = int((np.abs(b.at_mm - pose.at_mm) >= SHIFT_MM).sum())
    return slides + int((np.abs(turn_deg(pose, b)) >= TURN_DEG).sum())


def awkward(path: list[Pose]) -> int:
    """How hard a way is to follow: its steps, and everything more than one thing in a step."""
    steps = [parts(a, b) for a, b in zip(path, path[1:], strict=False)]
    return len(steps) + 2 * sum(max(0, p - 1) for p in steps)


def plainer(problem: Problem, path: list[Pose]) -> list[Pose]:
    """The same way, or one beside it, in steps that are easier to follow.

    It keeps at least four fifths of the room the way had, and what is asked in any case.
    """
    least, _ = path_clearance(problem, path, 0.01)
    work = _Plainer(problem, max(problem.clearance_mm, KEPT_SHARE * least))
    best = work.begun_outside(list(path))
    if not work.all_clear(best):
        return path
    for _ in range(ROUNDS):
        before = awkward(best)
        best = work.absorbed(work.merged(work.snapped(best)))
        best = work.split(best)
        if awkward(best) >= before:
            break
    return best if awkward(best) <= awkward(path) else path


class _Plainer:
    """What is tried on one way, at the room to be kept."""

    def __init__(self, problem: Problem, wanted_mm: float) -> None:
        self.problem, self.wanted = problem, wanted_mm

    def clear(self, pose: Pose, b: Pose) -> bool:
        """True when a motion is proven to keep the room and the tilt."""
        scene = self.problem.scene
        return bool(motion_allowed(scene, pose.at_mm, pose.quat, b.at_mm, b.quat, self.wanted))

    def all_clear(self, path: list[Pose]) -> bool:
        """True when all motions are."""
        return all(self.clear(a, b) for a, b in zip(path, path[1:], strict=False))

    def begun_outside(self, path: list[Pose]) -> list[Pose]:
        """The way from the last pose that is still wholly outside: it is held there to begin."""
        k = 0
        while k + 2 < len(path) and self.problem.beyond_mm(path[k + 1]) > 0:
            k += 1
        return self._held_as_it_goes(path[k:])

    def _held_as_it_goes(self, path: list[Pose]) -> list[Pose]:
        """Held outside as it goes in: turned, and straight before it, where that is clear."""
        if self.problem.outside is None or len(path) < 2:
            return path
        axis = self.problem.outside[0]
        first, then = path[0], path[1]
        before = then.at_mm.copy()
        before[axis] = first.at_mm[axis]
        for at, quat in ((before, then.quat), (first.at_mm, then.quat), (before, first.quat)):
            other = Pose(at, quat)
            fewer = parts(other, then) < parts(first, then)
            if fewer and self.problem.beyond_mm(other) > 0 and self.clear(other, then):
                return [other, *path[1:]]
        return path

    def absorbed(self, path: list[Pose]) -> list[Pose]:
        """Fewer slides: one is done before the way begins, or with another along its axis."""
        i = 0
        while i < len(path) - 1:
            shorter = self._without(path, i)
            path, i = (shorter, 0) if shorter is not None else (path, i + 1)
        return path

    def _without(self, path: list[Pose], i: int) -> list[Pose] | None:
        """The way without the slide of step i, the poses before or after it moved; None if not."""
        a, b = path[i], path[i + 1]
        shift = b.at_mm - a.at_mm
        along = np.flatnonzero(np.abs(shift) > EXACT)
        if len(along) != 1 or parts(a, b) != 1 or not _same_turn(path, i, i + 1):
            return None
        k = int(along[0])
        others = [
            j
            for j in range(len(path) - 1)
            if j != i and abs(float(path[j + 1].at_mm[k] - path[j].at_mm[k])) > EXACT
        ]
        runs = [(j + 1, i + 1, shift) for j in others if j < i]  # done with an earlier slide
        runs += [(i + 1, j + 1, -shift) for j in others if j > i]  # or with a later one
        if self.problem.outside is not None and i + 1 < len(path):
            runs.append((0, i + 1, shift))  # or before the way begins
        for first, last, by in runs:
            moved = [
                Pose(p.at_mm + by, p.quat) if first <= m < last else p for m, p in enumerate(path)
            ]
            del moved[i + 1 if first <= i < last else i]
            outside = first > 0 or self.problem.beyond_mm(moved[0]) > 0
            fewer = len(moved) > 1 and outside and awkward(moved) < awkward(path)
            if fewer and self.all_clear(moved):
                return moved
        return None

    def merged(self, path: list[Pose]) -> list[Pose]:
        """Fewer steps: several that one slide does, and stairs that one slant does."""
        out = [path[0]]
        i = 0
        while i < len(path) - 1:
            j = next((j for j in range(len(path) - 1, i + 1, -1) if self._one(path, i, j)), i + 1)
            out.append(path[j])
            i = j
        return out

    def _one(self, path: list[Pose], i: int, j: int) -> bool:
        n = parts(path[i], path[j])
        straight = n <= 1 or (n == TOGETHER and j - i > TOGETHER and _same_turn(path, i, j))
        return straight and self.clear(path[i], path[j])

    def snapped(self, path: list[Pose]) -> list[Pose]:
        """Inner poses moved to turns and places that a fitter can name, or that their neighbours
        have.
        """
        path = list(path)
        for i in range(1, len(path) - 1):
            a, b = path[i - 1], path[i + 1]
            for q in [*tidy_turn(path[i].quat), a.quat, b.quat]:
                path[i] = self._better(a, path[i], Pose(path[i].at_mm, q), b)
            for k in range(3):
                for x in (a.at_mm[k], b.at_mm[k], self._even(path[i], k)):
                    at = path[i].at_mm.copy()
                    at[k] = x
                    path[i] = self._better(a, path[i], Pose(at, path[i].quat), b)
        return path

    def _even(self, pose: Pose, k: int) -> float:
        """A place a whole number of centimetres from the goal."""
        goal = float(self.problem.goal.at_mm[k])
        return goal + GRID_MM * round((float(pose.at_mm[k]) - goal) / GRID_MM)

    def _better(self, pose: Pose, here: Pose, other: Pose, b: Pose) -> Pose:
        """The other pose, where it asks for no more things and both motions are proven."""
        if parts(pose, other) + parts(other, b) > parts(pose, here) + parts(here, b):
            return here
        return other if self.clear(pose, other) and self.clear(other, b) else here

    def split(self, path: list[Pose]) -> list[Pose]:
        """Steps that ask for several things at once told one after the other, where that goes."""
        out = [path[0]]
        for k, (a, b) in enumerate(zip(path, path[1:], strict=False)):
            count = parts(a, b)
            room = count > TOGETHER or len(out) - 1 + count + len(path) - 2 - k <= MOST_STEPS
            found = self._one_by_one(a, b) if count > 1 and room else None
            out += found if found is not None else [b]
        return out

    def _one_by_one(self, pose: Pose, b: Pose) -> list[Pose] | None:
        """Poses that lead from a to b by slides and turns, each about or along one hull axis."""
        shift = b.at_mm - pose.at_mm
        slides = [k for k in range(3) if abs(shift[k]) > EXACT]
        for turns in _turns_between(pose, b):
            found = self._in_some_order(pose, b, shift, slides, turns)
            if found is not None:
                return found
        return None

    def _in_some_order(
        self, here: Pose, end: Pose, shift: Array, slides: list[int], turns: list[tuple[int, float]]
    ) -> list[Pose] | None:
        if not slides and not turns:
            return []
        for k in slides:
            at = here.at_mm.copy()
            at[k] += shift[k]
            rest = [s for s in slides if s != k]
            found = self._after(here, Pose(at, here.quat), end, shift, rest, turns)
            if found is not None:
                return found
        if turns:
            axis, angle = turns[0]
            turned = Pose(here.at_mm, quat_product(quat_about(np.eye(3)[axis], angle), here.quat))
            return self._after(here, turned, end, shift, slides, turns[1:])
        return None

    def _after(
        self,
        here: Pose,
        then: Pose,
        end: Pose,
        shift: Array,
        slides: list[int],
        turns: list[tuple[int, float]],
    ) -> list[Pose] | None:
        """One thing done, and the rest of them."""
        then = then if slides or turns else end
        if not self.clear(here, then):
            return None
        rest = self._in_some_order(then, end, shift, slides, turns)
        return None if rest is None else [then, *rest]


def _same_turn(path: list[Pose], i: int, j: int) -> bool:
    return all(abs(float(path[i].quat @ p.quat)) > 1 - EXACT for p in path[i + 1 : j + 1])


def _turns_between(pose: Pose, b: Pose) -> list[list[tuple[int, float]]]:
    """Ways to turn from a to b about hull axes one after another: (axis, rad) in order."""
    by = Rotation.from_quat(b.quat) * Rotation.from_quat(pose.quat).inv()
    if by.magnitude() < EXACT:
        return [[]]
    vector = by.as_rotvec()
    single = int(np.argmax(np.abs(vector)))
    if np.delete(np.abs(vector), single).max() < EXACT:
        return [[(single, float(vector[single]))]]
    out = []
    for order in permutations(range(3)):
        angles = by.as_euler("".join("xyz"[k] for k in order), suppress_warnings=True)
        out.append([(k, float(x)) for k, x in zip(order, angles, strict=True) if abs(x) > EXACT])
    return sorted(out, key=len)
