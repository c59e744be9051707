"""What every re-check needs: distances, free space as cells, and the faults found."""

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import lsq_linear
from scipy.spatial.transform import Rotation

Floats = NDArray[np.float64]
SLOP_MM: Final = 1e-6


class RecheckFailed(Exception):
    """The answer does not stand; the text says which part."""


def distance_mm(pc: Floats, ph: Floats, pr: Floats, qc: Floats, qh: Floats, qr: Floats) -> float:
    """Exact distance of two boxes by bounded least squares; 0 when they touch or overlap."""
    half = np.hstack([ph, qh])
    found = lsq_linear(
        np.hstack([pr, -qr]), qc - pc, bounds=(-half, half), method="bvls", tol=1e-14
    )
    return float(np.sqrt(2 * found.cost))


def square_boxes(fixed: Any) -> tuple[Floats, Floats]:
    """Low and high corners of the boxes that stand square."""
    low, high = [], []
    for c, h, r in zip(fixed.centre_mm, fixed.half_mm, fixed.rotation, strict=True):
        if np.all(np.isclose(np.abs(r), 0, atol=1e-9) | np.isclose(np.abs(r), 1, atol=1e-9)):
            e = np.abs(r) @ h
            low.append(np.round(c - e, 6))
            high.append(np.round(c + e, 6))
    return np.array(low).reshape(-1, 3), np.array(high).reshape(-1, 3)


class Flood:
    """Free space as cells between box faces, walked cell by cell from a starting point."""

    def __init__(self, boxes: list[tuple[Floats, Floats]], cuts: list[list[float]]) -> None:
        self.marks = [
            np.unique(
                np.concatenate(
                    [[b[0][k] for b in boxes], [b[1][k] for b in boxes], cuts[k]]
                ).astype(np.float64)
            )
            for k in range(3)
        ]
        shape = tuple(len(m) + 1 for m in self.marks)
        self.blocked = np.zeros(shape, dtype=bool)
        for lo, hi in boxes:
            at = tuple(
                slice(
                    int(np.searchsorted(self.marks[k], lo[k])) + 1,
                    int(np.searchsorted(self.marks[k], hi[k])) + 1,
                )
                for k in range(3)
            )
            self.blocked[at] = True

    def cell(self, x: Floats) -> tuple[int, int, int]:
        """The cell of a point."""
        i, j, k = (int(np.searchsorted(self.marks[a], x[a], side="right")) for a in range(3))
        return i, j, k

    def reached(
        self, start: tuple[int, int, int], shut: NDArray[np.bool_] | None = None
    ) -> NDArray[np.bool_]:
        """All cells joined to one by free faces."""
        free = ~self.blocked if shut is None else ~self.blocked & ~shut
        seen = np.zeros_like(free)
        if not free[start]:
            return seen
        seen[start] = True
        front = seen.copy()
        while front.any():
            grow = np.zeros_like(seen)
            for k in range(3):
                ahead, behind = [slice(None)] * 3, [slice(None)] * 3
                ahead[k], behind[k] = slice(1, None), slice(None, -1)
                grow[tuple(ahead)] |= front[tuple(behind)]
                grow[tuple(behind)] |= front[tuple(ahead)]
            front = grow & free & ~seen
            seen |= front
        return seen


def ends_of(problem: Any, q: Floats) -> tuple[Floats, Floats]:
    """Where a point of the body is at the start and at the goal."""
    ends = []
    for pose in (problem.start, problem.goal):
        ends.append(pose.at_mm + Rotation.from_quat(pose.quat).as_matrix() @ q)
    return ends[0], ends[1]


def joined_to_start(problem: Any, seen: NDArray[np.bool_], start: tuple[int, int, int]) -> bool:
    """Whether cells joined to the goal reach the start, or, where any place outside is a start,
    the open.
    """
    if bool(seen[start]):
        return True
    if problem.outside is None:
        return False
    return any(bool(seen.take(end, axis=k).any()) for k in range(3) for end in (0, -1))


def matter_of(problem: Any) -> Any:
    """What the body may not pass, with every opening open that its way does not lead by."""
    room = getattr(problem, "room", None)
    return problem.fixed if room is None else room


def at_doors(problem: Any, flood: "Flood", radius: float) -> NDArray[np.bool_]:
    """The free cells just inside the openings beside the way that a ball may pass."""
    out = np.zeros_like(flood.blocked)
    for d in getattr(problem, "doors", ()):
        if min(np.delete(d.high - d.low, d.axis)) <= 2 * radius:
            continue
        # the ball's middle stands its radius off the opening's plane, or nearer
        low, high = d.low.copy(), d.high.copy()
        if d.inward > 0:
            high[d.axis] += radius + 1.0
        else:
            low[d.axis] -= radius + 1.0
        at = tuple(
            slice(
                int(np.searchsorted(flood.marks[k], low[k], side="right")),
                int(np.searchsorted(flood.marks[k], high[k], side="left")) + 1,
            )
            for k in range(3)
        )
        out[at] = True
    return out & ~flood.blocked


def gone_round(
    problem: Any, flood: "Flood", seen: NDArray[np.bool_], shut: NDArray[np.bool_], radius: float
) -> bool:
    """Whether openings beside the way may join what is joined to the goal to what is not."""
    doors = at_doors(problem, flood, radius) & ~shut
    return bool((doors & seen).any() and (doors & ~seen).any())


def ball_inside(problem: Any, main: int, q: Floats, radius: float) -> None:
    """A ball round q of this radius lies in the main body box."""
    b = problem.body
    at = np.abs(b.rotation[main].T @ (q - b.centre_mm[main]))
    if np.any(at + radius > b.half_mm[main] + SLOP_MM):
        raise RecheckFailed("the ball sticks out of the body box")


def joined_cells(
    flood: Flood, seeds: NDArray[np.bool_], band: NDArray[np.bool_]
) -> NDArray[np.bool_]:
    """Free cells of a band joined to any of the seeds without leaving it."""
    joined = np.zeros_like(band)
    todo = seeds & ~flood.blocked & band
    while todo.any():
        first = tuple(int(v) for v in np.argwhere(todo)[0])
        part = flood.reached((first[0], first[1], first[2]), ~band)
        joined |= part
        todo &= ~part
    return joined
