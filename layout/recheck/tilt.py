"""Check again that two families of turns never join, sharing no code with the engine that said so.

The gate is checked as in `recheck`; then: the resting turn stands on the stated side of the limit;
at the gate every turn on that side is ruled out; the heights q may have beyond the gate (a flood
fill of its own) are all covered by the slabs; the room round each slab is no more than stated; and
in each slab every turn that meets the limit is ruled out at every height.
"""

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from layout.recheck.common import (
    SLOP_MM,
    Floats,
    Flood,
    RecheckFailed,
    at_doors,
    ends_of,
    joined_cells,
    matter_of,
    square_boxes,
)
from layout.recheck.gates import checked_moment, no_more_room, within_reach
from layout.recheck.turns import (
    cell_quats,
    checked_leaves,
    covering_cells,
    lines_belong,
    most_along,
)

LINES: Final = 20  # fields of a leaf before its heights
THIN_MM: Final = 1e-4


def recheck_tilt(problem: Any, proof: dict[str, Any]) -> str:
    """A sentence on what was checked. Raises RecheckFailed."""
    q, main, axis, cut, inner, low, high, gate = checked_moment(problem, proof)
    e, limit, side = (
        np.asarray(proof["axis_body"], dtype=np.float64),
        float(proof["limit"]),
        int(proof["rest_side"]),
    )
    if abs(float(np.linalg.norm(e)) - 1) > 1e-9 or side not in (1, -1):
        raise RecheckFailed("the axis is not a unit vector, or the side is not told")
    rest = abs(float((Rotation.from_quat(problem.goal.quat).as_matrix() @ e)[axis]))
    if side * (rest - limit) <= 1e-6:
        raise RecheckFailed("the resting turn is not on the stated side of the limit")
    leaves = np.asarray(proof["leaves"])
    covering_cells({**proof, "leaves": leaves[:, :LINES]})
    ruled = _skipped(leaves, axis, e, limit, side)
    checked_leaves(problem, {**proof, "leaves": leaves[ruled][:, :LINES]}, q, main, axis)
    heights = _beyond(problem, proof, q, inner, low, high, axis, cut, gate)
    cells = len(leaves)
    room_low, room_high = square_boxes(matter_of(problem))
    for slab in proof["slabs"]:
        each = {**proof, **slab}
        cells += _slab(problem, each, q, main, axis, e, limit, heights, room_low, room_high)
    _heights_covered(heights, proof["slabs"])
    return f"{cells} cells of turns: those that pass the opening never join the resting ones"


def _skipped(leaves: Floats, axis: int, e: Floats, limit: float, side: int) -> NDArray[np.bool_]:
    """Leaves that are ruled out by body lines; the others must really have nothing to do with the
    limit.
    """
    ruled = leaves[:, 5] >= 0
    if np.all(ruled):
        return ruled
    some = leaves[~ruled]
    mid, spread = cell_quats(some)
    up = np.abs(Rotation.from_quat(mid).as_matrix()[:, axis, :] @ e)
    angle = np.arccos(np.clip(up, 0, 1))
    most, least = (
        np.cos(np.maximum(0.0, angle - spread)),
        np.cos(np.minimum(np.pi / 2, angle + spread)),
    )
    away = (
        most < limit
        if side == 1
        else (least > limit if side == -1 else (most < limit) | (least > limit))
    )
    if not np.all(away):
        raise RecheckFailed("a cell left out has turns that matter")
    return ruled


def _beyond(
    problem: Any,
    proof: dict[str, Any],
    q: Floats,
    radius: float,
    low: Floats,
    high: Floats,
    axis: int,
    cut: float,
    gate: Floats,
) -> tuple[Flood, NDArray[np.bool_], int]:
    """Cells q may be in after its last time on the gate."""
    d = radius / np.sqrt(3)
    cuts: list[list[float]] = [[float(gate[0, k]), float(gate[1, k])] for k in range(3)]
    cuts[axis] = [cut - THIN_MM, cut + THIN_MM] + [
        float(s[k]) for s in proof["slabs"] for k in ("low_mm", "high_mm")
    ]
    flood = Flood([(lo - d, hi + d) for lo, hi in zip(low, high, strict=True)], cuts)
    start, goal = ends_of(problem, q)
    shut = np.zeros_like(flood.blocked)
    span = []
    for k in range(3):
        lo, hi = (cut - THIN_MM, cut + THIN_MM) if k == axis else (gate[0, k], gate[1, k])
        span.append(
            slice(
                int(np.searchsorted(flood.marks[k], lo)) + 1,
                int(np.searchsorted(flood.marks[k], hi)) + 1,
            )
        )
    shut[tuple(span)] = True
    region = flood.reached(flood.cell(goal), shut)
    if region[flood.cell(start)]:
        raise RecheckFailed("start and goal are joined without the gate")
    if (at_doors(problem, flood, radius) & region).any():
        raise RecheckFailed("it could go out by another opening and turn there")
    if any(region.take(end, axis=k).any() for k in range(3) for end in (0, -1)):
        raise RecheckFailed("the space beyond the gate is not bounded")
    return flood, region, axis


def _heights_covered(
    beyond: tuple[Flood, NDArray[np.bool_], int], slabs: list[dict[str, Any]]
) -> None:
    """Every height q may have lies in a slab."""
    flood, region, axis = beyond
    marks = np.concatenate([[-1e9], flood.marks[axis], [1e9]])
    there = region.any(axis=tuple(k for k in range(3) if k != axis))
    spans = sorted((float(s["low_mm"]), float(s["high_mm"])) for s in slabs)
    for i in np.flatnonzero(there):
        a, b = float(marks[i]), float(marks[i + 1])
        at = a
        for lo, hi in spans:
            if lo <= at + 2 * THIN_MM and hi > at:
                at = hi
        if at < b - 2 * THIN_MM:
            raise RecheckFailed(f"heights {at:.3f} to {b:.3f} mm are in no slab")


def _slab(  # noqa: PLR0913, PLR0917
    problem: Any,
    proof: dict[str, Any],
    q: Floats,
    main: int,
    axis: int,
    e: Floats,
    limit: float,
    beyond: tuple[Flood, NDArray[np.bool_], int],
    low: Floats,
    high: Floats,
) -> int:
    """One slab's room and cells; the number of cells."""
    z1, z2 = float(proof["low_mm"]), float(proof["high_mm"])
    _room_round(problem, proof, q, axis, z1, z2, beyond, low, high)
    leaves = np.asarray(proof["leaves"])
    marks = np.unique(leaves[:, LINES : LINES + 2])
    if abs(marks[0] - z1) > 1e-9 or abs(marks[-1] - z2) > 1e-9:
        raise RecheckFailed("the cells do not reach over the slab's heights")
    for a, b in zip(marks, marks[1:], strict=False):
        m = (a + b) / 2
        covering_cells(
            {
                **proof,
                "leaves": leaves[(leaves[:, LINES] <= m) & (leaves[:, LINES + 1] >= m)][:, :LINES],
            }
        )
    ruled = _skipped(leaves, axis, e, limit, 0)
    _ruled_out(problem, proof, q, main, axis, leaves[ruled])
    return len(leaves)


def _ruled_out(
    problem: Any, proof: dict[str, Any], q: Floats, main: int, axis: int, leaves: Floats
) -> None:
    """Every leaf's two body lines need more room than its layers leave, at every height of the
    leaf.
    """
    mid, spread = cell_quats(leaves)
    r = Rotation.from_quat(mid).as_matrix()
    n_body = r[:, axis, :]
    w_body = np.einsum("nij,ni->nj", r, np.asarray(proof["dirs"])[leaves[:, 5].astype(int)])
    z1, z2 = leaves[:, LINES], leaves[:, LINES + 1]
    need = []
    for start, sign, room in ((6, 1.0, proof["plus_mm"]), (13, -1.0, proof["minus_mm"])):
        a, b = leaves[:, start : start + 3], leaves[:, start + 3 : start + 6]
        ell = leaves[:, start + 6].astype(int)
        low, high = (
            np.asarray(proof["layer_low_mm"])[ell] - z1,
            np.asarray(proof["layer_high_mm"])[ell] - z2,
        )
        each = {
            **proof,
            "layer_low_mm": low,
            "layer_high_mm": high,
            "layer_all": np.asarray(proof["layer_all"])[ell],
        }
        lines_belong(problem, each, q, main, a, b, np.arange(len(leaves)), n_body, spread)
        if np.any(most_along(a, n_body, spread) > high + SLOP_MM) or np.any(
            -most_along(b, -n_body, spread) < low - SLOP_MM
        ):
            raise RecheckFailed("a body line may miss its layer")
        reach = np.minimum(
            -most_along(a, -sign * w_body, spread), -most_along(b, -sign * w_body, spread)
        )
        need.append((reach, np.asarray(room)[ell, leaves[:, 5].astype(int)]))
    (up, plus), (down, minus) = need
    if np.any(minus + down <= plus - up):
        raise RecheckFailed("a cell of turns fits after all")


def _room_round(
    problem: Any,
    proof: dict[str, Any],
    q: Floats,
    axis: int,
    z1: float,
    z2: float,
    beyond: tuple[Flood, NDArray[np.bool_], int],
    low: Floats,
    high: Floats,
) -> None:
    """Each layer leaves no more room than stated, in what is joined to q's places in the band."""
    walk, region, _ = beyond
    c = problem.clearance_mm
    boxes = [(lo - c * u, hi + c * u) for lo, hi in zip(low, high, strict=True) for u in np.eye(3)]
    lows, highs = np.asarray(proof["layer_low_mm"]), np.asarray(proof["layer_high_mm"])
    cuts: list[list[float]] = [[float(x) for x in walk.marks[k]] for k in range(3)]
    cuts[axis] = sorted({z1, z2, *(float(x) for x in lows), *(float(x) for x in highs)})
    flood = Flood(boxes, cuts)
    marks = [np.concatenate([[-1e9], m, [1e9]]) for m in flood.marks]
    own = [np.concatenate([[-1e9], m, [1e9]]) for m in walk.marks]
    tall: NDArray[np.bool_] = (own[axis][1:] > z1 + 1e-7) & (own[axis][:-1] < z2 - 1e-7)
    flat: NDArray[np.bool_] = np.asarray(
        np.take(region, np.flatnonzero(tall), axis=axis).any(axis=axis)
    )
    u, v = (k for k in range(3) if k != axis)
    seeds = np.zeros_like(flood.blocked)
    mid_u, mid_v = (
        np.array([(a + b) / 2 for a, b in zip(marks[k], marks[k][1:], strict=False)])
        for k in (u, v)
    )
    at_u, at_v = (
        np.clip(np.searchsorted(walk.marks[k], m, side="right"), 0, region.shape[k] - 1)
        for k, m in ((u, mid_u), (v, mid_v))
    )
    spread = flat[np.ix_(at_u, at_v)]
    inside_q = np.flatnonzero((marks[axis][1:] > z1 + 1e-7) & (marks[axis][:-1] < z2 - 1e-7))
    for i in inside_q:
        where: list[Any] = [slice(None)] * 3
        where[axis] = i
        seeds[tuple(where)] = spread
    on = np.argwhere(flat)
    if not len(on):
        return  # q cannot be at these heights: the slab claims more than it needs
    gate = np.zeros((2, 3))
    for k, col in ((u, 0), (v, 1)):
        gate[0, k], gate[1, k] = own[k][on[:, col].min()], own[k][on[:, col].max() + 1]
    shape = [1, 1, 1]
    shape[axis] = -1
    begin, end = marks[axis][:-1], marks[axis][1:]
    dirs, plus, minus = (
        np.asarray(proof["dirs"]),
        np.asarray(proof["plus_mm"]),
        np.asarray(proof["minus_mm"]),
    )
    for ell, (lo, hi) in enumerate(zip(lows, highs, strict=True)):
        keep = (end > min(lo, z1) + 1e-7) & (begin < max(hi, z2) - 1e-7)
        band: NDArray[np.bool_] = np.ones_like(flood.blocked)
        band &= keep.reshape(shape)
        layer = ((end > lo + 1e-7) & (begin < hi - 1e-7)).reshape(shape)
        here = joined_cells(flood, seeds, band) & layer
        if bool(np.asarray(proof["layer_all"])[ell]):
            here |= ~flood.blocked & layer & within_reach(problem, q, gate, axis, marks)
        no_more_room(
            here, marks, dirs, plus[ell], minus[ell], f"slab {z1:.1f} to {z2:.1f}: layer {ell}"
        )
