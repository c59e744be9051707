"""The gate of a proof and the room in its layers, found again by a flood fill."""

from itertools import product
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from layout.recheck.common import (
    Floats,
    Flood,
    RecheckFailed,
    ball_inside,
    ends_of,
    gone_round,
    joined_cells,
    joined_to_start,
    matter_of,
    square_boxes,
)


class Moment(NamedTuple):
    """The moment a proof is about: body point q at a cut of an axis, and the room q has there."""

    q: Floats
    main: int
    axis: int
    cut: float
    inner: float
    low: Floats
    high: Floats
    gate: Floats


def checked_moment(problem: Any, proof: dict[str, Any]) -> Moment:
    """The moment, its gate and its layers found again. Raises RecheckFailed."""
    q, main = np.asarray(proof["q_body_mm"]), int(proof["main_box"])
    axis, cut = int(proof["axis"]), float(proof["cut_mm"])
    ball = 0.999 * float(proof["inner_mm"])
    ball_inside(problem, main, q, ball)
    low, high = square_boxes(problem.fixed)
    inner = ball + problem.clearance_mm
    gate = checked_gate(problem, proof, q, inner, low, high, axis, cut)
    room_low, room_high = square_boxes(matter_of(problem))
    checked_layers(problem, proof, q, main, room_low, room_high, axis, cut, gate)
    return Moment(q, main, axis, cut, inner, low, high, gate)


def checked_gate(
    problem: Any,
    proof: dict[str, Any],
    q: Floats,
    radius: float,
    low: Floats,
    high: Floats,
    axis: int,
    cut: float,
) -> Floats:
    """The gate parts start from goal for the ball round q; (low, high) of the gate, (2, 3)."""
    d = radius / np.sqrt(3)
    gate_low, gate_high = np.asarray(proof["gate_low_mm"]), np.asarray(proof["gate_high_mm"])
    thin = 1e-4
    cuts: list[list[float]] = [[float(gate_low[k]), float(gate_high[k])] for k in range(3)]
    cuts[axis] = [cut - thin, cut + thin]
    flood = Flood([(lo - d, hi + d) for lo, hi in zip(low, high, strict=True)], cuts)
    a, b = ends_of(problem, q)
    shut = np.zeros_like(flood.blocked)
    span = []
    for k in range(3):
        lo, hi = (cut - thin, cut + thin) if k == axis else (gate_low[k], gate_high[k])
        span.append(
            slice(
                int(np.searchsorted(flood.marks[k], lo)) + 1,
                int(np.searchsorted(flood.marks[k], hi)) + 1,
            )
        )
    shut[tuple(span)] = True
    seen = flood.reached(flood.cell(b), shut)
    if gone_round(problem, flood, seen, shut, radius):
        raise RecheckFailed("another opening leads round the gate")
    if joined_to_start(problem, seen, flood.cell(a)):
        raise RecheckFailed("start and goal are joined without the gate")
    return np.array([gate_low, gate_high])


def checked_layers(
    problem: Any,
    proof: dict[str, Any],
    q: Floats,
    main: int,
    low: Floats,
    high: Floats,
    axis: int,
    cut: float,
    gate: Floats,
) -> None:
    """Each layer leaves no more room than stated, in what is joined to the gate within the band."""
    del main
    c = problem.clearance_mm
    boxes = [(lo - c * e, hi + c * e) for lo, hi in zip(low, high, strict=True) for e in np.eye(3)]
    lows, highs = np.asarray(proof["layer_low_mm"]) + cut, np.asarray(proof["layer_high_mm"]) + cut
    cuts: list[list[float]] = [[], [], []]
    cuts[axis] = sorted({float(v) for v in (*lows, *highs, cut)})
    for k in range(3):
        if k != axis:
            cuts[k] = [float(gate[0, k]), float(gate[1, k])]
    flood = Flood(boxes, cuts)
    dirs = np.asarray(proof["dirs"])
    plus, minus = np.asarray(proof["plus_mm"]), np.asarray(proof["minus_mm"])
    marks = [np.concatenate([[-1e9], m, [1e9]]) for m in flood.marks]
    for ell, (lo, hi) in enumerate(zip(lows, highs, strict=True)):
        band = np.ones_like(flood.blocked)
        index = np.arange(band.shape[axis])
        begin, end = marks[axis][index], marks[axis][index + 1]
        keep = (end > min(lo, cut) + 1e-7) & (begin < max(hi, cut) - 1e-7)
        shape = [1, 1, 1]
        shape[axis] = -1
        band &= keep.reshape(shape)
        seeds = np.zeros_like(band)
        for k_cell in product(*(range(n) for n in _gate_range(flood, gate, axis, cut))):
            at = tuple(
                r[i] for r, i in zip(_gate_cells(flood, gate, axis, cut), k_cell, strict=True)
            )
            seeds[at] = True
        joined = joined_cells(flood, seeds, band)
        inside = (end > lo + 1e-7) & (begin < hi - 1e-7)
        here = joined & inside.reshape(shape)
        if bool(np.asarray(proof["layer_all"])[ell]):
            here |= (
                ~flood.blocked & inside.reshape(shape) & within_reach(problem, q, gate, axis, marks)
            )
        no_more_room(here, marks, dirs, plus[ell], minus[ell], f"layer {ell}")


def no_more_room(
    here: NDArray[np.bool_],
    marks: list[Floats],
    dirs: Floats,
    plus: Floats,
    minus: Floats,
    what: str,
) -> None:
    """The cells reach no farther along each direction, or against it, than stated."""
    cells = np.argwhere(here)
    for m, w in enumerate(dirs if len(cells) else []):
        corner_low = np.stack([marks[k][cells[:, k]] for k in range(3)], 1)
        corner_high = np.stack([marks[k][cells[:, k] + 1] for k in range(3)], 1)
        far = np.where(w > 0, corner_high, corner_low)[:, w != 0] @ w[w != 0]
        near = np.where(w > 0, corner_low, corner_high)[:, w != 0] @ w[w != 0]
        if far.max() > plus[m] + 1e-5 and plus[m] < 1e8:
            raise RecheckFailed(f"{what} leaves {far.max() - plus[m]:.4f} mm more room than stated")
        if near.min() < minus[m] - 1e-5 and minus[m] > -1e8:
            raise RecheckFailed(f"{what} leaves more room than stated")


def within_reach(
    problem: Any, q: Floats, gate: Floats, axis: int, marks: list[Floats]
) -> NDArray[np.bool_]:
    """Cells nearer to the gate, across it, than the body reaches from q."""
    b = problem.body
    reach = 0.0
    for s in product((-1, 1), repeat=3):
        corner = b.centre_mm + np.einsum("nij,nj->ni", b.rotation, b.half_mm * np.array(s)) - q
        reach = max(reach, float(np.linalg.norm(corner, axis=1).max()))
    out = np.ones([len(m) - 1 for m in marks], dtype=bool)
    for k in range(3):
        if k != axis:
            near = (marks[k][1:] > gate[0, k] - reach) & (marks[k][:-1] < gate[1, k] + reach)
            shape = [1, 1, 1]
            shape[k] = -1
            out &= near.reshape(shape)
    return out


def _gate_cells(flood: Flood, gate: Floats, axis: int, cut: float) -> list[range]:
    out = []
    for k in range(3):
        if k == axis:
            i = int(np.searchsorted(flood.marks[k], cut - 1e-7))
            out.append(range(i, i + 2))
        else:
            out.append(
                range(
                    int(np.searchsorted(flood.marks[k], gate[0, k])) + 1,
                    int(np.searchsorted(flood.marks[k], gate[1, k])) + 1,
                )
            )
    return out


def _gate_range(flood: Flood, gate: Floats, axis: int, cut: float) -> list[int]:
    return [len(r) for r in _gate_cells(flood, gate, axis, cut)]
