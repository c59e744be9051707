"""Check a passage answer again, sharing no code with the engine that gave it.

`recheck_way` walks a way in small steps and measures every pair of boxes by bounded least squares.
`recheck_proof` takes a "cannot" apart: the stated gate does part start from goal (a flood fill of
its own over box faces), the cells of turns cover all turns, and each cell's two body lines really
need more room than there is. Only numpy and scipy are used; nothing is imported from the room.
"""

from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from layout.recheck.common import SLOP_MM, Floats, RecheckFailed
from layout.recheck.gates import checked_moment


def recheck_turns(problem: Any, proof: dict[str, Any]) -> str:
    """A sentence on what was checked. Raises RecheckFailed."""
    m = checked_moment(problem, proof)
    cells = covering_cells(proof)
    checked_leaves(problem, proof, m.q, m.main, m.axis)
    return f"{cells} cells of turns, none of which fits"


def covering_cells(proof: dict[str, Any]) -> int:
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


def cell_quats(leaves: Floats) -> tuple[Floats, Floats]:
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


def checked_leaves(problem: Any, proof: dict[str, Any], q: Floats, main: int, axis: int) -> None:
    """Every cell's two body lines need more room than its layers leave."""
    leaves = np.asarray(proof["leaves"])
    mid, spread = cell_quats(leaves)
    r = Rotation.from_quat(mid).as_matrix()
    n_body = r[:, axis, :]  # R^T e_axis
    w_body = np.einsum("nij,ni->nj", r, np.asarray(proof["dirs"])[leaves[:, 5].astype(int)])
    need = []
    for start, sign, room in ((6, 1.0, proof["plus_mm"]), (13, -1.0, proof["minus_mm"])):
        a, b = leaves[:, start : start + 3], leaves[:, start + 3 : start + 6]
        ell = leaves[:, start + 6].astype(int)
        low, high = np.asarray(proof["layer_low_mm"])[ell], np.asarray(proof["layer_high_mm"])[ell]
        lines_belong(problem, proof, q, main, a, b, ell, n_body, spread)
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


def most_along(y: Floats, w: Floats, spread: Floats) -> Floats:
    """Greatest w . Ry over all turns within the spread, by the cosine rule."""
    size = np.linalg.norm(y, axis=1)
    x = np.einsum("ni,ni->n", y, w)
    angle = np.arccos(np.clip(np.divide(x, size, out=np.ones_like(x), where=size > 0), -1, 1))
    out: Floats = size * np.cos(np.maximum(0.0, angle - spread))
    return out


def lines_belong(
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
        out |= (most_along(y, n_body, spread) <= high + SLOP_MM) & (
            -most_along(y, -n_body, spread) >= low - SLOP_MM
        )
    return out
