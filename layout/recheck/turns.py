"""Check a passage answer again, sharing no code with the engine that gave it.

`recheck_way` walks a way in small steps and measures every pair of boxes by bounded least squares.
`recheck_proof` takes a "cannot" apart: the stated gate does part start from goal (a flood fill of
its own over box faces), the cells of turns cover all turns, and each cell's two body lines really
need more room than there is. Only numpy and scipy are used; nothing is imported from the room.
"""

from itertools import product
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import lsq_linear
from scipy.spatial.transform import Rotation, Slerp

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


def recheck_way(
    body: Any,
    fixed: Any,
    path: list[tuple[Floats, Floats]],
    clearance_mm: float,
    step_mm: float = 5.0,
) -> float:
    """Least distance met walking a way in small steps. Raises RecheckFailed below the clearance.

    body, fixed: anything with centre_mm, half_mm, rotation; path: (place, quaternion) pairs.
    """
    least = np.inf
    reach = float(
        np.max(np.linalg.norm(body.centre_mm, axis=1) + np.linalg.norm(body.half_mm, axis=1))
    )
    for (p0, q0), (p1, q1) in zip(path, path[1:], strict=False):
        turn = Slerp([0, 1], Rotation.from_quat([q0, q1]))
        angle = (Rotation.from_quat(q1) * Rotation.from_quat(q0).inv()).magnitude()
        steps = max(2, int(np.ceil((np.linalg.norm(p1 - p0) + reach * angle) / step_mm)) + 1)
        for t in np.linspace(0, 1, steps):
            r, p = turn(t).as_matrix(), p0 + (p1 - p0) * t
            for i in range(len(body.centre_mm)):
                c, m = p + r @ body.centre_mm[i], r @ body.rotation[i]
                for j in range(len(fixed.centre_mm)):
                    away = np.maximum(
                        np.abs(fixed.rotation[j].T @ (c - fixed.centre_mm[j])) - fixed.half_mm[j], 0
                    )
                    if np.linalg.norm(away) - np.linalg.norm(body.half_mm[i]) > min(
                        least, clearance_mm + 50
                    ):
                        continue
                    least = min(
                        least,
                        distance_mm(
                            c,
                            body.half_mm[i],
                            m,
                            fixed.centre_mm[j],
                            fixed.half_mm[j],
                            fixed.rotation[j],
                        ),
                    )
                    if least < clearance_mm - 1e-4:
                        raise RecheckFailed(
                            f"only {least:.4f} mm at {p.round(2)}, {clearance_mm:g} mm claimed"
                        )
    return float(least)


def _square(fixed: Any) -> tuple[Floats, Floats]:
    low, high = [], []
    for c, h, r in zip(fixed.centre_mm, fixed.half_mm, fixed.rotation, strict=True):
        if np.all(np.isclose(np.abs(r), 0, atol=1e-9) | np.isclose(np.abs(r), 1, atol=1e-9)):
            e = np.abs(r) @ h
            low.append(np.round(c - e, 6))
            high.append(np.round(c + e, 6))
    return np.array(low).reshape(-1, 3), np.array(high).reshape(-1, 3)


class _Flood:
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


def recheck_proof(problem: Any, proof: dict[str, Any]) -> str:
    """Re-check a "cannot"; a sentence on what was checked. Raises RecheckFailed."""
    kind = str(proof["kind"])
    if kind.endswith("not free"):
        return _blocked_pose(problem, proof)
    if kind == "thinner than the body":
        return _ball(problem, proof)
    if kind == "no turn fits":
        return _turns(problem, proof)
    if kind == "turns never join":
        from layout.recheck.tilt import recheck_tilt

        return recheck_tilt(problem, proof)
    raise RecheckFailed(f"a proof of a kind not known here: {kind}")


def _blocked_pose(problem: Any, proof: dict[str, Any]) -> str:
    r, p = Rotation.from_quat(proof["quat"]).as_matrix(), np.asarray(proof["at_mm"])
    b, f = problem.body, problem.fixed
    least = min(
        distance_mm(
            p + r @ b.centre_mm[i],
            b.half_mm[i],
            r @ b.rotation[i],
            f.centre_mm[j],
            f.half_mm[j],
            f.rotation[j],
        )
        for i in range(len(b.centre_mm))
        for j in range(len(f.centre_mm))
    )
    depth = -float(proof["gap_mm"])
    if depth > 0:  # with the body drawn in by a quarter of the stated depth it must still overlap
        least = min(
            distance_mm(
                p + r @ b.centre_mm[i],
                b.half_mm[i] - min(depth / 4, 0.9 * b.half_mm[i].min()),
                r @ b.rotation[i],
                f.centre_mm[j],
                f.half_mm[j],
                f.rotation[j],
            )
            for i in range(len(b.centre_mm))
            for j in range(len(f.centre_mm))
        )
    if least > max(0.0, problem.clearance_mm) - SLOP_MM and not (depth > 0 and least <= SLOP_MM):
        raise RecheckFailed(f"the pose is free by {least:.6f} mm")
    return f"the pose is {-depth:.3f} mm from the nearest box, {problem.clearance_mm:g} mm wanted"


def _places(problem: Any, q: Floats) -> tuple[Floats, Floats]:
    ends = []
    for pose in (problem.start, problem.goal):
        ends.append(pose.at_mm + Rotation.from_quat(pose.quat).as_matrix() @ q)
    return ends[0], ends[1]


def _inside(problem: Any, main: int, q: Floats, radius: float) -> None:
    """A ball round q of this radius lies in the main body box."""
    b = problem.body
    at = np.abs(b.rotation[main].T @ (q - b.centre_mm[main]))
    if np.any(at + radius > b.half_mm[main] + SLOP_MM):
        raise RecheckFailed("the ball sticks out of the body box")


def _ball(problem: Any, proof: dict[str, Any]) -> str:
    q, radius = np.asarray(proof["q_body_mm"]), float(proof["radius_mm"])
    _inside(problem, int(proof["main_box"]), q, radius - problem.clearance_mm)
    low, high = _square(problem.fixed)
    boxes = [
        (lo - radius * e, hi + radius * e)
        for lo, hi in zip(low, high, strict=True)
        for e in np.eye(3)
    ]
    a, b = _places(problem, q)
    flood = _Flood(boxes, [[], [], []])
    if flood.reached(flood.cell(a))[flood.cell(b)]:
        raise RecheckFailed("the ball's middle can get from start to goal")
    return f"a ball of {radius:.1f} mm cannot pass"


def _turns(problem: Any, proof: dict[str, Any]) -> str:
    q, main, axis, cut = (
        np.asarray(proof["q_body_mm"]),
        int(proof["main_box"]),
        int(proof["axis"]),
        float(proof["cut_mm"]),
    )
    inner = 0.999 * float(proof["inner_mm"]) + problem.clearance_mm
    _inside(problem, main, q, float(proof["inner_mm"]) * 0.999)
    low, high = _square(problem.fixed)
    room = _gate(problem, proof, q, inner, low, high, axis, cut)
    _layers(problem, proof, q, main, low, high, axis, cut, room)
    cells = _cover(proof)
    _leaves(problem, proof, q, main, axis)
    return f"{cells} cells of turns, none of which fits"


def _gate(
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
    flood = _Flood([(lo - d, hi + d) for lo, hi in zip(low, high, strict=True)], cuts)
    a, b = _places(problem, q)
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
    if flood.reached(flood.cell(a), shut)[flood.cell(b)]:
        raise RecheckFailed("start and goal are joined without the gate")
    return np.array([gate_low, gate_high])


def _layers(
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
    flood = _Flood(boxes, cuts)
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
        joined = _joined(flood, seeds, band)
        inside = (end > lo + 1e-7) & (begin < hi - 1e-7)
        here = joined & inside.reshape(shape)
        if bool(np.asarray(proof["layer_all"])[ell]):
            here |= (
                ~flood.blocked
                & inside.reshape(shape)
                & _within_reach(problem, q, gate, axis, marks)
            )
        _no_more_room(here, marks, dirs, plus[ell], minus[ell], f"layer {ell}")


def _joined(flood: _Flood, seeds: NDArray[np.bool_], band: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Free cells of a band joined to any of the seeds without leaving it."""
    joined = np.zeros_like(band)
    todo = seeds & ~flood.blocked & band
    while todo.any():
        first = tuple(int(v) for v in np.argwhere(todo)[0])
        part = flood.reached((first[0], first[1], first[2]), ~band)
        joined |= part
        todo &= ~part
    return joined


def _no_more_room(
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


def _within_reach(
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


def _gate_cells(flood: _Flood, gate: Floats, axis: int, cut: float) -> list[range]:
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


def _gate_range(flood: _Flood, gate: Floats, axis: int, cut: float) -> list[int]:
    return [len(r) for r in _gate_cells(flood, gate, axis, cut)]


def _cover(proof: dict[str, Any]) -> int:
    """The cells fill the four cube faces: none overlaps (all lie on one octree) and volumes add
    up.
    """
    leaves = np.asarray(proof["leaves"])
    if len(leaves) == 0:
        raise RecheckFailed("no cells")
    half = leaves[:, 4]
    depth = np.round(-np.log2(half)).astype(int)
    if not np.allclose(half, 2.0 ** (-depth), rtol=0, atol=0):
        raise RecheckFailed("a cell is not a halving of its cube face")
    if abs(float((8 * half**3).sum()) - 32.0) > 1e-9:
        raise RecheckFailed(f"cells cover {float((8 * half**3).sum()):.6f} of 32")
    keys = set()
    for face, a, b, c, h, d in zip(*leaves[:, :5].T, depth, strict=True):
        i, j, k = ((v + 1) / (2 * h) - 0.5 for v in (a, b, c))
        if any(abs(v - round(v)) > 1e-9 for v in (i, j, k)):
            raise RecheckFailed("a cell is off the grid")
        keys.add((int(face), int(d), round(i), round(j), round(k)))
    if len(keys) != len(leaves):
        raise RecheckFailed("a cell is there twice")
    for face, d, i, j, k in keys:
        for up in range(1, d):
            if (face, d - up, i >> up, j >> up, k >> up) in keys:
                raise RecheckFailed("two cells overlap")
    return len(leaves)


def _quats(leaves: Floats) -> tuple[Floats, Floats]:
    """Middle quaternions (n, 4) and largest turn inside each cell (n,)."""

    def on_face(face: Floats, abc: Floats) -> Floats:
        out = np.empty((len(face), 4))
        order = {0: (3, 0, 1, 2), 1: (0, 1, 2, 3), 2: (1, 2, 3, 0), 3: (2, 3, 0, 1)}
        for f, idx in order.items():
            mine = face == f
            out[mine, idx[0]] = 1.0
            for n in range(3):
                out[mine, idx[n + 1]] = abc[mine, n]
        return out / np.linalg.norm(out, axis=1, keepdims=True)

    mid = on_face(leaves[:, 0], leaves[:, 1:4])
    spread = np.zeros(len(leaves))
    for s in product((-1, 1), repeat=3):
        corner = on_face(leaves[:, 0], leaves[:, 1:4] + np.array(s) * leaves[:, 4:5])
        spread = np.maximum(spread, 2 * np.arccos(np.clip(np.abs((corner * mid).sum(1)), 0, 1)))
    return mid, spread


def _leaves(problem: Any, proof: dict[str, Any], q: Floats, main: int, axis: int) -> None:
    """Every cell's two body lines need more room than its layers leave."""
    leaves = np.asarray(proof["leaves"])
    mid, spread = _quats(leaves)
    r = Rotation.from_quat(mid).as_matrix()
    n_body = r[:, axis, :]  # R^T e_axis
    w_body = np.einsum("nij,ni->nj", r, np.asarray(proof["dirs"])[leaves[:, 5].astype(int)])
    need = []
    for start, sign, room in ((6, 1.0, proof["plus_mm"]), (13, -1.0, proof["minus_mm"])):
        a, b = leaves[:, start : start + 3], leaves[:, start + 3 : start + 6]
        ell = leaves[:, start + 6].astype(int)
        low, high = np.asarray(proof["layer_low_mm"])[ell], np.asarray(proof["layer_high_mm"])[ell]
        _belong(problem, proof, q, main, a, b, ell, n_body, spread)
        if np.any(_most(a, n_body, spread) > high + SLOP_MM) or np.any(
            -_most(b, -n_body, spread) < low - SLOP_MM
        ):
            raise RecheckFailed("a body line may miss its layer")
        reach = np.minimum(-_most(a, -sign * w_body, spread), -_most(b, -sign * w_body, spread))
        need.append((reach, np.asarray(room)[ell, leaves[:, 5].astype(int)]))
    (up, plus), (down, minus) = need
    if np.any(minus + down <= plus - up):
        raise RecheckFailed("a cell of turns fits after all")


def _most(y: Floats, w: Floats, spread: Floats) -> Floats:
    """Greatest w . Ry over all turns within the spread, by the cosine rule."""
    size = np.linalg.norm(y, axis=1)
    x = np.einsum("ni,ni->n", y, w)
    angle = np.arccos(np.clip(np.divide(x, size, out=np.ones_like(x), where=size > 0), -1, 1))
    out: Floats = size * np.cos(np.maximum(0.0, angle - spread))
    return out


def _belong(
    problem: Any,
    proof: dict[str, Any],
    q: Floats,
    main: int,
    a: Floats,
    b: Floats,
    ell: NDArray[np.int64],
    n_body: Floats,
    spread: Floats,
) -> None:
    """Both ends of each line lie in one body box, and that box is bound to keep to the layer."""
    body = problem.body
    ok = np.zeros(len(a), dtype=bool)
    for i in range(len(body.centre_mm)):
        local = [np.abs((y + q - body.centre_mm[i]) @ body.rotation[i]) for y in (a, b)]
        mine = np.all(local[0] <= body.half_mm[i] + SLOP_MM, axis=1) & np.all(
            local[1] <= body.half_mm[i] + SLOP_MM, axis=1
        )
        if i == main:
            ok |= mine
            continue
        bound = np.asarray(proof["layer_all"])[ell]
        if not np.all(bound[mine & ~ok]):
            bound = bound | _linked(problem, proof, q, main, i, ell, n_body, spread)
        ok |= mine & bound
    if not np.all(ok):
        raise RecheckFailed("a body line is not where the body must be")


def _linked(
    problem: Any,
    proof: dict[str, Any],
    q: Floats,
    main: int,
    i: int,
    ell: NDArray[np.int64],
    n_body: Floats,
    spread: Floats,
) -> NDArray[np.bool_]:
    """Cells for which a point shared by box i and the main box stays between the cut and the
    layer.
    """
    body = problem.body
    low = np.minimum(np.asarray(proof["layer_low_mm"])[ell], 0)
    high = np.maximum(np.asarray(proof["layer_high_mm"])[ell], 0)
    out = np.zeros(len(ell), dtype=bool)
    for x in np.asarray(proof["links"])[i]:
        if np.any(np.isnan(x)):
            break
        for k in (main, i):
            if np.any(
                np.abs(body.rotation[k].T @ (x + q - body.centre_mm[k])) > body.half_mm[k] + SLOP_MM
            ):
                raise RecheckFailed("a shared point is not in both boxes")
        y = np.broadcast_to(x, (len(ell), 3)).astype(np.float64)
        out |= (_most(y, n_body, spread) <= high + SLOP_MM) & (
            -_most(y, -n_body, spread) >= low - SLOP_MM
        )
    return out
