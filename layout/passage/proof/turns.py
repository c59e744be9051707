"""No way at any turn: bounded search over all turns of the body at one unavoidable moment.

At the moment a body point q lies on a gate's cut, the layers of free space on both sides bound
where the body may be. For a cell of turns (a ball of angle `spread` round its middle) the height
and the reach of a body point are bounded by the cosine rule. A line of the body whose one end
never rises above a layer and whose other end never sinks below it has a point in the layer for
every turn of the cell. Two such lines, one to each side, that need more room along a direction
than the layers leave rule the whole cell out. Cells that no pair rules out are cut in eight. All
turns are covered by the four faces of the cube round the unit quaternions (q and -q are one turn).
"""

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from layout.geometry.frames import Array, matrix_from_quat
from layout.geometry.kernels import inner_kernel, kernel
from layout.passage.proof.turn_cells import (
    CELL,
    FIELDS,
    cell_quat,
    cell_spread,
    copy_line,
    split_cell,
)

MARGIN_MM: Final = 1e-5  # a cell is ruled out only by this much: above all rounding of faces
FITS_MM: Final = 0.15  # a turn ruled out by less than this counts as one that fits: no proof here
WORTH_TRYING_RAD: Final = 0.9  # larger cells are cut at once
WORTH_MORE_RAD: Final = 0.4  # only smaller cells are worth looking at with all boxes and layers


class Held(NamedTuple):
    """The body as it hangs on its point q at the moment of a proof."""

    centre: Array  # (n, 3), from q
    half: Array  # (n, 3)
    rotation: Array  # (n, 3, 3)
    main: int  # the box q lies in
    links: Array  # (n, m, 3): points a box shares with the main one, from q; NaN ends
    axis: Array  # (3,), square to the gate
    dirs: Array  # (d, 3), directions along the gate


class Layers(NamedTuple):
    """Layers of free space round q, heights from the hull or from the cut along the gate's axis."""

    low: Array  # (layers,)
    high: Array  # (layers,)
    every: NDArray[np.bool_]  # (layers,): every body box is bound by it, not only the main one
    plus: Array  # (layers, d): how far its room reaches along each direction
    minus: Array  # (layers, d): and against it


@inner_kernel
def _height(
    y0: float, y1: float, y2: float, n: Array, sin_s: float, cos_s: float
) -> tuple[float, float]:
    """Least and greatest n . y over all turns of the cell (y turned by at most the spread)."""
    size2 = y0 * y0 + y1 * y1 + y2 * y2
    d = n[0] * y0 + n[1] * y1 + n[2] * y2
    flat = np.sqrt(max(0.0, size2 - d * d))
    high = d * cos_s + flat * sin_s if d * sin_s < flat * cos_s else np.sqrt(size2)
    low = d * cos_s - flat * sin_s if -d * sin_s < flat * cos_s else -np.sqrt(size2)
    return low, high


@inner_kernel
def _swing(y0: float, y1: float, y2: float, n: Array, sin_s: float, cos_s: float) -> float:
    """A little more than the most a body point's height changes over the cell."""
    d = n[0] * y0 + n[1] * y1 + n[2] * y2
    flat = np.sqrt(max(0.0, y0 * y0 + y1 * y1 + y2 * y2 - d * d))
    return float((flat * sin_s + abs(d) * (1 - cos_s)) * 1.03 + 1e-9)


@inner_kernel
def _try_pair(  # noqa: PLR0913, PLR0917
    a0: float,
    a1: float,
    a2: float,
    b0: float,
    b1: float,
    b2: float,
    n: Array,
    w: Array,
    low: float,
    high: float,
    sin_s: float,
    cos_s: float,
    best: float,
    keep: Array,
) -> float:
    """Reach along w of some point of the body line a-b that is in the layer, over the whole cell.

    When a never rises above the layer and b never sinks below it, the line has a point in it for
    every turn; that point reaches at least as far as the lesser of its two ends.
    """
    if (
        w[0] * a0 + w[1] * a1 + w[2] * a2 <= best or w[0] * b0 + w[1] * b1 + w[2] * b2 <= best
    ):  # no farther at the cell's middle, so no farther all over it
        return best
    _, top = _height(a0, a1, a2, n, sin_s, cos_s)
    if top > high:
        return best
    bottom, _ = _height(b0, b1, b2, n, sin_s, cos_s)
    if bottom < low:
        return best
    reach_a, _ = _height(a0, a1, a2, w, sin_s, cos_s)
    reach_b, _ = _height(b0, b1, b2, w, sin_s, cos_s)
    reach = min(reach_a, reach_b)
    if reach > best:
        keep[0], keep[1], keep[2], keep[3], keep[4], keep[5] = a0, a1, a2, b0, b1, b2
        return reach
    return best


@inner_kernel
def reach_along(  # noqa: C901, PLR0912, PLR0913, PLR0917
    c: Array,
    h: Array,
    r: Array,
    n: Array,
    w: Array,
    low: float,
    high: float,
    spread: float,
    best: float,
    keep: Array,
) -> float:
    """Proven reach along w of one body box inside the layer [low, high] along n, over the cell.

    c, r: the box in the body frame relative to q; n, w: unit vectors in the body frame at the
    cell's middle. The witness line is written into `keep`; `best` is returned when none is better.
    """
    sin_s, cos_s = np.sin(spread), np.cos(spread)
    y, far = np.empty(3), np.empty(3)
    # corners, and the pieces of edges that surely meet the layer
    for i in range(3):
        far[i] = 2 * h[i] * (w[0] * r[0, i] + w[1] * r[1, i] + w[2] * r[2, i])
    for m in range(8):
        for k in range(3):
            y[k] = c[k]
        for i in range(3):
            s = h[i] if (m >> i) & 1 else -h[i]
            for k in range(3):
                y[k] += s * r[k, i]
        best = _try_pair(
            y[0], y[1], y[2], y[0], y[1], y[2], n, w, low, high, sin_s, cos_s, best, keep
        )
        d = n[0] * y[0] + n[1] * y[1] + n[2] * y[2]
        here = w[0] * y[0] + w[1] * y[1] + w[2] * y[2]
        for i in range(3):
            if (m >> i) & 1 or max(here, here + far[i]) <= best:
                continue
            e0, e1, e2 = 2 * h[i] * r[0, i], 2 * h[i] * r[1, i], 2 * h[i] * r[2, i]
            run = n[0] * e0 + n[1] * e1 + n[2] * e2
            if abs(run) < 1e-9:
                continue
            for side in range(2):
                f_a, f_b = 0.5, 0.5
                up, down = high, low
                for _ in range(3):  # swing depends on where along the edge: three rounds settle it
                    up = high - _swing(
                        y[0] + e0 * f_a, y[1] + e1 * f_a, y[2] + e2 * f_a, n, sin_s, cos_s
                    )
                    down = low + _swing(
                        y[0] + e0 * f_b, y[1] + e1 * f_b, y[2] + e2 * f_b, n, sin_s, cos_s
                    )
                    if up >= down:  # thick enough: one point serves
                        goal = up if side == 1 else down
                        f_a = f_b = min(1.0, max(0.0, (goal - d) / run))
                    else:
                        f_a = min(1.0, max(0.0, (up - d) / run))
                        f_b = min(1.0, max(0.0, (down - d) / run))
                best = _try_pair(
                    y[0] + e0 * f_a,
                    y[1] + e1 * f_a,
                    y[2] + e2 * f_a,
                    y[0] + e0 * f_b,
                    y[1] + e1 * f_b,
                    y[2] + e2 * f_b,
                    n,
                    w,
                    low,
                    high,
                    sin_s,
                    cos_s,
                    best,
                    keep,
                )
                if up < down:
                    break
    # points of a face nearest to the ray along w: their reach hardly suffers from a small turn
    for i in range(3):
        wi = w[0] * r[0, i] + w[1] * r[1, i] + w[2] * r[2, i]
        if abs(wi) < 1e-9:
            continue
        s = 1.0 if wi > 0 else -1.0
        ci = c[0] * r[0, i] + c[1] * r[1, i] + c[2] * r[2, i]
        t = (ci + s * h[i]) / wi
        if t <= 0:
            continue
        for k in range(3):
            y[k] = c[k] + s * h[i] * r[k, i]
        for j in range(3):
            if j == i:
                continue
            off = 0.0
            for k in range(3):
                off += r[k, j] * (t * w[k] - c[k])
            off = min(h[j], max(-h[j], off))
            for k in range(3):
                y[k] += off * r[k, j]
        best = _try_pair(
            y[0], y[1], y[2], y[0], y[1], y[2], n, w, low, high, sin_s, cos_s, best, keep
        )
    return best


@inner_kernel
def _bound_here(
    held: Held, i: int, every: bool, n: Array, low: float, high: float, spread: float
) -> bool:
    """True when body box i has to keep to the layer's free room for every turn of the cell.

    The main box always has to: it is convex and holds q. Another box has to when a point it
    shares with the main box stays between the cut and the layer, so that the body joins its part
    in the layer to q without leaving the band.
    """
    if i == held.main or every:
        return True
    for k in range(held.links.shape[1]):
        x = held.links[i, k]
        if np.isnan(x[0]):
            return False
        bottom, top = _height(x[0], x[1], x[2], n, np.sin(spread), np.cos(spread))
        if bottom >= min(low, 0.0) and top <= max(high, 0.0):
            return True
    return False


@inner_kernel
def _along(r: Array, x: Array, sign: float, out: Array) -> None:
    """A hull direction in the body's frame, times a sign, into out."""
    for k in range(3):
        out[k] = sign * (r[0, k] * x[0] + r[1, k] * x[1] + r[2, k] * x[2])


@inner_kernel
def _farthest(  # noqa: PLR0913, PLR0917
    held: Held,
    layers: Layers,
    shift: Array,
    bound: NDArray[np.bool_],
    n: Array,
    w: Array,
    spread: float,
    ell: int,
    reach: float,
    keep: Array,
) -> float:
    """Proven reach along w of what is bound in one layer, where it is more than `reach`; its
    witness line into `keep`.
    """
    low, high = layers.low[ell] - shift[0], layers.high[ell] - shift[1]
    for i in range(held.centre.shape[0]):
        if bound[ell, i]:
            reach = reach_along(
                held.centre[i], held.half[i], held.rotation[i], n, w, low, high, spread, reach, keep
            )
    return reach


@kernel
def rule_out(
    held: Held,
    layers: Layers,
    shift: Array,
    cell: Array,
    spread: float,
    leaf: Array,
    margin: float,
    depth: int,
) -> bool:
    """True when a cell is ruled out by `margin`; the witness is written into `leaf`.

    `shift` (2,) is taken off the layers' low and high ends. At depth 1 only the main box in the
    gate's own layer is looked at, which settles most cells; at the number of layers, everything.
    """
    r = matrix_from_quat(cell_quat(int(cell[0]), cell[1], cell[2], cell[3]))
    n, w = np.empty(3), np.empty(3)
    _along(r, held.axis, 1.0, n)
    count = depth
    whole = depth == layers.low.shape[0]
    bound = np.zeros((count, held.centre.shape[0]), dtype=np.bool_)
    for ell in range(count):
        low, high = layers.low[ell] - shift[0], layers.high[ell] - shift[1]
        for i in range(held.centre.shape[0]):
            if whole or i == held.main:
                bound[ell, i] = _bound_here(held, i, layers.every[ell], n, low, high, spread)
    y_plus, y_minus, keep = np.empty(6), np.empty(6), np.empty(6)
    for turn in range(held.dirs.shape[0]):
        m = (int(cell[5]) + turn) % held.dirs.shape[0]
        _along(r, held.dirs[m], 1.0, w)
        most, at_plus = 1e300, -1  # q may lie at most here along the direction
        for ell in range(count):
            enough = layers.plus[ell, m] - most if at_plus >= 0 else -1e300
            reach = _farthest(held, layers, shift, bound, n, w, spread, ell, enough, keep)
            if reach > enough:
                most, at_plus = layers.plus[ell, m] - reach, ell
                copy_line(keep, y_plus)
        if at_plus < 0:
            continue
        _along(r, held.dirs[m], -1.0, w)
        at_minus = -1
        for ell in range(count):
            enough = most + margin - layers.minus[ell, m]
            reach = _farthest(held, layers, shift, bound, n, w, spread, ell, enough, keep)
            if reach > enough:
                at_minus = ell
                copy_line(keep, y_minus)
                break
        if at_minus >= 0:
            for k in range(5):
                leaf[k] = cell[k]
            leaf[5] = m
            leaf[12], leaf[19] = at_plus, at_minus
            for k in range(6):
                leaf[6 + k], leaf[13 + k] = y_plus[k], y_minus[k]
            return True
    return False


@inner_kernel
def ruled_out(
    held: Held,
    layers: Layers,
    shift: Array,
    cell: Array,
    spread: float,
    leaf: Array,
    margin: float,
) -> bool:
    """`rule_out` by the main box first, which settles most cells, then by everything."""
    last = layers.low.shape[0]
    for depth in (1, last):
        worth = WORTH_TRYING_RAD if depth == 1 else WORTH_MORE_RAD
        if spread < worth and rule_out(held, layers, shift, cell, spread, leaf, margin, depth):
            return True
    return False


@kernel
def cover_all_turns(
    held: Held, layers: Layers, stack: Array, top: int, leaves: Array, count: int, budget: int
) -> tuple[int, int, int, int]:
    """Work through the stack of cells; (stack size, leaves, outcome, cells looked at).

    outcome 0: budget spent, 1: every turn ruled out (stack empty), 2: a turn that fits was met.
    """
    scratch, shift, cell = np.empty(FIELDS), np.zeros(2), np.empty(CELL)
    for done in range(budget):
        if top == 0:
            return 0, count, 1, done
        if top + 8 > stack.shape[0] or count + 1 >= leaves.shape[0]:
            return top, count, 0, done
        top -= 1
        for k in range(CELL):
            cell[k] = stack[top, k]
        spread = cell_spread(int(cell[0]), cell[1], cell[2], cell[3], cell[4])
        if ruled_out(held, layers, shift, cell, spread, leaves[count], MARGIN_MM):
            count += 1
            continue
        scratch[5] = cell[5]
        if not ruled_out(held, layers, shift, cell, 0.0, scratch, FITS_MM):
            return top + 1, count, 2, done + 1
        cell[5] = scratch[5]
        top = split_cell(stack, top, cell, CELL)
    return top, count, 1 if top == 0 else 0, budget
