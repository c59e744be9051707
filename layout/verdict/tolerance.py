"""How sure: which measured sizes decide, and the boat with every size at its worst or best end."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.boat.build import Builder
from layout.boat.differences import Marks, changed, marks_of, parts_on_the_way
from layout.geometry.frames import Array
from layout.geometry.shapes import Pose
from layout.job.sizes import Measure
from layout.passage import Passage, Problem, Verdict
from layout.passage.search.easing import pose_gap
from layout.passage.search.plain import plain_way
from layout.passage.search.plan import pose_between, search
from layout.passage.search.trees import motion_allowed
from layout.verdict.question import SEATED_MM, Question

SAMPLES: Final = 12  # poses looked at along each motion to rank sizes (a ranking, not a verdict)
FAR_MM: Final = 80.0  # gaps above this do not count in the ranking
WORTH_TELLING_MM: Final = 0.05  # sizes that move the clearance by less do not decide
SHRINKS: Final = (0.6, 0.72, 0.85, 0.95)  # the first that does not go ends the looking
SMALLER_STEPS: Final = 6_000  # of search for a smaller body's way, to rank sizes along
AsksFor = Callable[[Mapping[str, float], float], Question | None]


@dataclass(frozen=True, slots=True)
class Deciding:
    """A measured size that moves the least clearance: by `effect_mm` from end to end of its ±."""

    key: str
    value_mm: float
    plus_minus_mm: float
    how: str
    effect_mm: float  # signed: what adding its ± does to the clearance
    share: float


class Ends:
    """The boat with each uncertain size at its ends, and which parts that changes; made once."""

    def __init__(self, builder: Builder) -> None:
        self.builder = builder
        self.nominal = builder.boat()
        self.marks = marks_of(self.nominal)
        self._changed: dict[str, frozenset[str]] = {}
        self._marks: dict[str, tuple[Marks, Marks]] = {}

    @property
    def uncertain(self) -> dict[str, Measure]:
        """The measured sizes with a ±."""
        return self.builder.sizes.uncertain()

    def _look(self, key: str) -> None:
        if key not in self._changed:
            reach = self.uncertain[key].plus_minus_mm
            ends = [marks_of(self.builder.boat({key: s * reach})) for s in (1.0, -1.0)]
            self._marks[key] = (ends[0], ends[1])
            self._changed[key] = changed(self.marks, ends[0]) | changed(self.marks, ends[1])

    def touching(self, parts: list[str]) -> list[str]:
        """The uncertain sizes that change any of some parts."""
        wanted = frozenset(parts)
        for key in self.uncertain:
            self._look(key)
        return [key for key in self.uncertain if self._changed[key] & wanted]

    def marks_at_ends(self, key: str, parts: list[str]) -> list[bytes]:
        """The marks of some parts with one size at each end."""
        self._look(key)
        return [m.get(p, b"") for m in self._marks[key] for p in parts]


def path_slack(problem: Problem, path: tuple[Pose, ...] | list[Pose]) -> float:
    """Least gap at poses sampled along a way; negative in a clash. For ranking only."""
    least = FAR_MM
    for a, b in zip(path, path[1:], strict=False):
        for t in np.linspace(0.0, 1.0, SAMPLES):
            p = pose_between(a, b, float(t))
            least = min(least, pose_gap(problem.scene, p.at_mm, p.rotation, least))
    return float(least)


def moved(path: tuple[Pose, ...] | list[Pose], shift: Array, problem: Problem) -> list[Pose]:
    """A way tied to a shifted opening, to another problem's goal.

    It begins where it did when that is outside still, else at the problem's own start.
    """
    out = [Pose(pose.at_mm + shift, pose.quat) for pose in path]
    if len(out) == 1:
        return [problem.goal]
    first = out[0] if problem.beyond_mm(out[0]) > 0 else problem.start
    return [first, *out[1:-1], problem.goal]


def held(
    problem: Problem, path: tuple[Pose, ...] | list[Pose], shift: Array, wanted_mm: float
) -> list[Pose] | None:
    """A way proven clear for another problem as well, shifted or where it lay; None if neither."""
    for by in (shift, np.zeros(3)):
        way = moved(path, by, problem)
        if all(
            motion_allowed(problem.scene, a.at_mm, a.quat, b.at_mm, b.quat, wanted_mm)
            for a, b in zip(way, way[1:], strict=False)
        ):
            return way
    return None


def follows(q: Question, path: tuple[Pose, ...], shift: Array, wanted_mm: float = 0.0) -> bool:
    """True when a way, shifted or not, is proven clear for another question as well."""
    return q.rest_gap_mm >= -SEATED_MM and held(q.outer, path, shift, wanted_mm) is not None


def _shrunk(problem: Problem, by: float) -> Problem:
    """The same question for a body scaled about its own origin, with no clearance asked."""
    body = problem.body if by == 1.0 else problem.body.scaled(np.full(3, by))
    return Problem(
        body,
        problem.fixed,
        problem.start,
        problem.goal,
        0.0,
        problem.up,
        problem.max_tilt_rad,
        problem.outside,
    )


def way_for_ranking(q: Question, passage: Passage, seed: int) -> tuple[float, tuple[Pose, ...]]:
    """(scale of the body, a way) to measure sizes along: the way found, or a smaller body's."""
    if passage.verdict is Verdict.GOES_IN:
        return 1.0, passage.path
    if q.rest_gap_mm < -SEATED_MM:
        return 1.0, (q.seat, q.seat)
    best = 1.0
    way: tuple[Pose, ...] = (q.outer.goal, q.outer.goal)
    for by in SHRINKS:
        small = _shrunk(q.outer, by)
        if pose_gap(small.scene, small.goal.at_mm, small.goal.rotation, 1.0) <= 0:
            break
        path = plain_way(small, widest=False) or search(small, SMALLER_STEPS, seed)
        if path is None:
            break
        best, way = by, tuple(path)
    return best, way


def deciding_sizes(
    ends: Ends, q: Question, passage: Passage, asks_for: AsksFor, seed: int
) -> list[Deciding]:
    """The sizes that move the least clearance, largest effect first.

    A size that changes nothing the way can meet is passed over before anything is built for it.
    """
    openings = frozenset(opening.key for opening in q.way.all_openings)
    parts = parts_on_the_way(ends.nominal, frozenset(q.way.all_spaces), openings)
    keys = ends.touching(parts)
    if not keys:
        return []
    by, path = way_for_ranking(q, passage, seed)
    found = []
    for key in keys:
        m = ends.uncertain[key]
        slack = [
            _slack_at(q, asks_for({key: sign * m.plus_minus_mm}, 0.0), path, by)
            for sign in (1.0, -1.0)
        ]
        if slack[0] is not None and slack[1] is not None:
            effect = (slack[0] - slack[1]) / 2
            if abs(effect) > WORTH_TELLING_MM:
                found.append((key, m, effect))
    total = sum(abs(e) for _, _, e in found)
    rows = [Deciding(k, m.value_mm, m.plus_minus_mm, m.how, e, abs(e) / total) for k, m, e in found]
    return sorted(rows, key=lambda d: (-abs(d.effect_mm), d.key))


def _slack_at(
    q: Question, other: Question | None, path: tuple[Pose, ...], by: float
) -> float | None:
    """The room along a way with one size at an end; None when the way is not there any more."""
    if other is None:
        return None
    if q.rest_gap_mm < -SEATED_MM:
        return other.rest_gap_mm
    small = _shrunk(other.outer, by)
    shift = other.way.anchor - q.way.anchor
    return path_slack(small, moved(path, shift, small))


def end_nudges(deciding: list[Deciding], worst: bool) -> dict[str, float]:
    """Every deciding size at its worst (or best) end."""
    side = -1.0 if worst else 1.0
    return {d.key: float(side * np.sign(d.effect_mm) * d.plus_minus_mm) for d in deciding}
