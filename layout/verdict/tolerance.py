"""How sure: which measured sizes decide, and the boat with every size at its worst or best end."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.boat.build import Builder
from layout.boat.parts import Boat, Thing
from layout.geometry.frames import Array
from layout.passage import BoxSet, Passage, Pose, Problem, Verdict
from layout.passage.motion import motion_clear
from layout.passage.search.easing import pose_gap
from layout.passage.search.plan import Scene, between, search
from layout.verdict.ways_in import Entry, anchor

SAMPLES: Final = 12  # poses looked at along each motion to rank sizes (a ranking, not a verdict)
FAR_MM: Final = 80.0  # gaps above this do not count in the ranking
WORTH_TELLING_MM: Final = 0.05  # sizes that move the clearance by less do not decide
SHRINKS: Final = (0.97, 0.9, 0.8, 0.7, 0.6)


@dataclass(frozen=True, slots=True)
class Deciding:
    """A measured size that moves the least clearance: by `effect_mm` from end to end of its ±."""

    key: str
    label: str
    value_mm: float
    plus_minus_mm: float
    how: str
    effect_mm: float  # signed: what adding its ± does to the clearance
    share: float


def path_slack(problem: Problem, path: tuple[Pose, ...] | list[Pose]) -> float:
    """Least gap at poses sampled along a way; negative in a clash. For ranking only."""
    s = Scene.of(problem)
    least = FAR_MM
    for a, b in zip(path, path[1:], strict=False):
        for t in np.linspace(0.0, 1.0, SAMPLES):
            p = between(a, b, float(t))
            least = min(least, pose_gap(*s.body, *s.fixed, p.at_mm, p.rotation, least))
    return float(least)


def moved(path: tuple[Pose, ...] | list[Pose], shift: Array, seat: Pose) -> list[Pose]:
    """A way tied to a shifted opening, ending at another seat."""
    out = [Pose(p.at_mm + shift, p.quat) for p in path]
    return [*out[:-1], seat]


def follows(at: Entry, passage: Passage, shift: Array) -> bool:
    """True when the way of `passage`, shifted, is proven clear in another entry as well."""
    p = at.problem
    if at.rest_gap_mm < -0.01:
        return False
    s = Scene.of(p)
    path = moved(passage.path, shift, p.goal)
    return all(
        motion_clear(*s.body, *s.fixed, s.fixed_corners, a.at_mm, a.quat, b.at_mm, b.quat, 0.0)
        for a, b in zip(path, path[1:], strict=False)
    )


def shrunk(body: BoxSet, by: float) -> BoxSet:
    """The body scaled about its own origin."""
    return BoxSet.checked(body.centre_mm * by, body.half_mm * by, body.rotation, body.names)


def way_for_ranking(at: Entry, passage: Passage, seed: int) -> tuple[float, tuple[Pose, ...]]:
    """(scale of the body, a way) to measure sizes along: the way found, or a smaller body's way."""
    import time

    if passage.verdict is Verdict.GOES_IN:
        return 1.0, passage.path
    p = at.problem
    for by in SHRINKS:
        small = Problem(shrunk(p.body, by), p.fixed, p.start, p.goal, 0.0, p.up, p.max_tilt_rad)
        if (
            pose_gap(
                *Scene.of(small).body, *Scene.of(small).fixed, p.goal.at_mm, p.goal.rotation, 1.0
            )
            <= 0
        ):
            continue
        path = search(small, time.perf_counter() + 0.2, seed)
        if path is not None:
            return by, tuple(path)
    return 1.0, (p.goal, p.goal)


def deciding_sizes(
    builder: Builder,
    boat: Boat,
    thing: Thing,
    at: Entry,
    passage: Passage,
    problem_for: Callable[[dict[str, float], float], Entry | None],
    seed: int,
) -> list[Deciding]:
    """The sizes that move the least clearance, largest effect first."""
    del boat, thing
    by, path = way_for_ranking(at, passage, seed)
    found = []
    if passage.verdict is Verdict.CANNOT and at.rest_gap_mm < -0.01:
        path = (at.seat, at.seat)
        by = 1.0
    home = anchor(at.way)
    for key, m in builder.sizes.uncertain().items():
        slack = []
        for sign in (1.0, -1.0):
            other = problem_for({key: sign * m.plus_minus_mm}, 0.0)
            if other is None or _same(other, at):
                break
            p = other.problem
            small = (
                Problem(shrunk(p.body, by), p.fixed, p.start, p.goal, 0.0, p.up, p.max_tilt_rad)
                if by != 1.0
                else p
            )
            seat = other.seat if at.rest_gap_mm < -0.01 else p.goal
            if at.rest_gap_mm < -0.01:
                slack.append(other.rest_gap_mm)
            else:
                slack.append(path_slack(small, moved(path, anchor(other.way) - home, seat)))
        if len(slack) == 2 and abs(slack[0] - slack[1]) / 2 > WORTH_TELLING_MM:
            found.append((key, m, (slack[0] - slack[1]) / 2))
    total = sum(abs(e) for _, _, e in found)
    rows = [
        Deciding(k, size_label(k), m.value_mm, m.plus_minus_mm, m.how, e, abs(e) / total)
        for k, m, e in found
    ]
    return sorted(rows, key=lambda d: -abs(d.effect_mm))


def _same(a: Entry, b: Entry) -> bool:
    p, q = a.problem, b.problem
    return (
        len(p.fixed) == len(q.fixed)
        and len(p.body) == len(q.body)
        and np.allclose(p.fixed.centre_mm, q.fixed.centre_mm)
        and np.allclose(p.fixed.half_mm, q.fixed.half_mm)
        and np.allclose(p.body.half_mm, q.body.half_mm)
        and np.allclose(a.seat.at_mm, b.seat.at_mm)
    )


def end_nudges(deciding: list[Deciding], worst: bool) -> dict[str, float]:
    """Every deciding size at its worst (or best) end."""
    side = -1.0 if worst else 1.0
    return {d.key: side * np.sign(d.effect_mm) * d.plus_minus_mm for d in deciding}


def size_label(key: str) -> str:
    """A size's name as a person reads it."""
    parts = key.replace("[1]", "").replace("[2]", " 2").replace("[3]", " 3").split(".")
    words = (
        parts[1:]
        if parts[0] in ("spaces", "openings", "solids", "hazards", "gear", "boards", "sizes")
        else parts
    )
    return " ".join(words).replace("_", " ")
