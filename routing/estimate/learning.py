"""Better usual values from done jobs: what tasks really took beside what was planned.

For each task the ratio of real to planned hours of every job is taken, and of those the median: a
single job gone wrong does not move it (its breakdown point is a half; Huber, Robust Statistics,
1981). The spread is the median absolute deviation times 1.4826, which is the standard deviation
where ratios are normal. Suggested from three jobs on; never applied.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from statistics import median
from typing import Final

from routing.estimate.three_point import ThreePoint

FEW: Final = 3  # jobs before a value is suggested
MAD_TO_DEVIATION: Final = 1.4826
SAME: Final = 0.05  # a ratio so near to 1 suggests nothing


@dataclass(frozen=True, slots=True)
class Record:
    """The hours of one task in one done job."""

    job: str
    task: str
    planned_h: float
    real_h: float


@dataclass(frozen=True, slots=True)
class Lesson:
    """What the records of one task say: the median ratio, its spread, on how many jobs it rests.

    `suggested` is None where too few jobs tell, or the value stands as it is.
    """

    task: str
    jobs: int
    ratio: float
    spread: float
    usual: ThreePoint
    suggested: ThreePoint | None


def lessons(records: Iterable[Record], usual: dict[str, ThreePoint]) -> list[Lesson]:
    """A lesson for each task that records tell of; unknown tasks and empty hours are left out."""
    sums: dict[str, dict[str, list[float]]] = {}
    for r in records:
        if r.task in usual and r.planned_h > 0 and r.real_h > 0:
            hours = sums.setdefault(r.task, {}).setdefault(r.job, [0.0, 0.0])
            hours[0] += r.planned_h
            hours[1] += r.real_h
    return [_lesson(task, jobs, usual[task]) for task, jobs in sums.items()]


def _lesson(task: str, jobs: dict[str, list[float]], now: ThreePoint) -> Lesson:
    ratios = [real / planned for planned, real in jobs.values()]
    middle = median(ratios)
    spread = MAD_TO_DEVIATION * median(abs(r - middle) for r in ratios)
    enough = len(ratios) >= FEW and abs(middle - 1) > SAME
    return Lesson(task, len(ratios), middle, spread, now, now.times(middle) if enough else None)
