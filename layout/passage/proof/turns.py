"""No way at any turn: bounded search over all turns of the body at one unavoidable moment.

At the moment a body point q lies on a gate's cut, the layers of free space on both sides bound
where the body may be. For a cell of turns (a ball of angle `spread` round its middle) the height
and the reach of a body point are bounded by the cosine rule. A line of the body whose one end
never rises above a layer and whose other end never sinks below it has a point in the layer for
every turn of the cell. Two such lines, one to each side, that need more room along a direction
than the layers leave rule the whole cell out. Cells that no pair rules out are cut in eight. All
turns are covered by the four faces of the cube round the unit quaternions (q and -q are one turn).
"""

from typing import Final

import numpy as np
from numba import njit

from layout.geometry.frames import Array, matrix_from_quat

FIELDS: Final = (
    20  # face, a, b, c, half, direction, line plus (6), its layer, line minus (6), its layer
)
MARGIN_MM: Final = 1e-5  # a cell is ruled out only by this much: above all rounding of faces
FITS_MM: Final = 0.15  # a turn ruled out by less than this counts as one that fits: no proof here
WORTH_TRYING_RAD: Final = 0.9  # larger cells are cut at once
WORTH_MORE_RAD: Final = 0.4  # only smaller cells are worth looking at with all boxes and layers


@njit(cache=True, nogil=True)
def cell_quat(face: int, a: float, b: float, c: float) -> Array:
    """The unit quaternion at (a, b, c) on a cube face (0: w = 1, 1: x = 1, 2: y = 1, 3: z = 1)."""
    q = np.empty(4)
    if face == 0:
        q[3], q[0], q[1], q[2] = 1.0, a, b, c
    elif face == 1:
        q[0], q[1], q[2], q[3] = 1.0, a, b, c
    elif face == 2:
        q[1], q[2], q[3], q[0] = 1.0, a, b, c
    else:
        q[2], q[3], q[0], q[1] = 1.0, a, b, c
    return q / np.sqrt((q * q).sum())


@njit(cache=True, nogil=True)
def cell_spread(face: int, a: float, b: float, c: float, half: float) -> float:
    """Largest turn from the middle of a cell to any turn in it (reached at a corner)."""
    mid = cell_quat(face, a, b, c)
    least = 1.0
    for m in range(8):
        q = cell_quat(
            face,
            a + (half if m & 1 else -half),
            b + (half if m & 2 else -half),
            c + (half if m & 4 else -half),
        )
        least = min(least, abs((q * mid).sum()))
    return float(2 * np.arccos(min(1.0, least)))


@njit(cache=True, nogil=True)
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


@njit(cache=True, nogil=True)
def _swing(y0: float, y1: float, y2: float, n: Array, sin_s: float, cos_s: float) -> float:
    """A little more than the most a body point's height changes over the cell."""
    d = n[0] * y0 + n[1] * y1 + n[2] * y2
    flat = np.sqrt(max(0.0, y0 * y0 + y1 * y1 + y2 * y2 - d * d))
    return float((flat * sin_s + abs(d) * (1 - cos_s)) * 1.03 + 1e-9)


@njit(cache=True, nogil=True)
def _try_pair(
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


@njit(cache=True, nogil=True)
def reach_along(
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
    # corners, and the pieces of edges that surely meet the layer
    for m in range(8):
        y = c.copy()
        for i in range(3):
            s = h[i] if (m >> i) & 1 else -h[i]
            for k in range(3):
                y[k] += s * r[k, i]
        best = _try_pair(
            y[0], y[1], y[2], y[0], y[1], y[2], n, w, low, high, sin_s, cos_s, best, keep
        )
        d = n[0] * y[0] + n[1] * y[1] + n[2] * y[2]
        for i in range(3):
            if (m >> i) & 1:
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
        y = c + s * h[i] * r[:, i]
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


@njit(cache=True, nogil=True)
def _bound_here(
    i: int,
    main: int,
    all_bound: bool,
    links: Array,
    n: Array,
    low: float,
    high: float,
    spread: float,
) -> bool:
    """True when body box i has to keep to the layer's free room for every turn of the cell.

    The main box always has to: it is convex and holds q. Another box has to when a point it
    shares with the main box stays between the cut and the layer, so that the body joins its part
    in the layer to q without leaving the band.
    """
    if i == main or all_bound:
        return True
    for k in range(links.shape[1]):
        x = links[i, k]
        if np.isnan(x[0]):
            return False
        bottom, top = _height(x[0], x[1], x[2], n, np.sin(spread), np.cos(spread))
        if bottom >= min(low, 0.0) and top <= max(high, 0.0):
            return True
    return False


@njit(cache=True, nogil=True)
def rule_out(
    body_c: Array,
    body_h: Array,
    body_r: Array,
    main: int,
    links: Array,
    axis_n: Array,
    dirs: Array,
    layer_low: Array,
    layer_high: Array,
    layer_all: Array,
    plus: Array,
    minus: Array,
    face: int,
    a: float,
    b: float,
    c: float,
    half: float,
    spread: float,
    leaf: Array,
    first_dir: int,
    margin: float,
    whole: bool,
) -> bool:
    """True when the cell is ruled out by `margin`; the witness is written into `leaf`.

    Without `whole` only the main box in the gate's own layer is looked at, which settles most cells.
    """
    r = matrix_from_quat(cell_quat(face, a, b, c))
    n = r.T @ axis_n
    layers = layer_low.shape[0] if whole else 1
    bound = np.zeros((layers, body_c.shape[0]), dtype=np.bool_)
    for ell in range(layers):
        for i in range(body_c.shape[0]):
            if whole or i == main:
                bound[ell, i] = _bound_here(
                    i, main, layer_all[ell], links, n, layer_low[ell], layer_high[ell], spread
                )
    if _rule_out_with(
        body_c,
        body_h,
        body_r,
        bound,
        r,
        n,
        dirs,
        layer_low,
        layer_high,
        plus,
        minus,
        spread,
        leaf,
        first_dir,
        margin,
    ):
        leaf[0], leaf[1], leaf[2], leaf[3], leaf[4] = face, a, b, c, half
        return True
    return False


@njit(cache=True, nogil=True)
def _rule_out_with(
    body_c: Array,
    body_h: Array,
    body_r: Array,
    bound: Array,
    r: Array,
    n: Array,
    dirs: Array,
    layer_low: Array,
    layer_high: Array,
    plus: Array,
    minus: Array,
    spread: float,
    leaf: Array,
    first_dir: int,
    margin: float,
) -> bool:
    """Rule a cell out by the body boxes that are bound in each layer; direction by direction."""
    layers, boxes = bound.shape
    keep = np.empty(6)
    y_plus, y_minus = np.empty(6), np.empty(6)
    for turn in range(dirs.shape[0]):
        m = (first_dir + turn) % dirs.shape[0]
        w = r.T @ dirs[m]
        v = -w
        most, at_plus = 1e300, -1  # q may lie at most here along the direction
        for ell in range(layers):
            reach = -1e300
            for i in range(boxes):
                if bound[ell, i]:
                    reach = reach_along(
                        body_c[i],
                        body_h[i],
                        body_r[i],
                        n,
                        w,
                        layer_low[ell],
                        layer_high[ell],
                        spread,
                        reach,
                        keep,
                    )
            if reach > -1e299 and plus[ell, m] - reach < most:
                most, at_plus = plus[ell, m] - reach, ell
                y_plus[:] = keep
        if at_plus < 0:
            continue
        least, at_minus = -1e300, -1
        for ell in range(layers):
            reach = -1e300
            for i in range(boxes):
                if bound[ell, i]:
                    reach = reach_along(
                        body_c[i],
                        body_h[i],
                        body_r[i],
                        n,
                        v,
                        layer_low[ell],
                        layer_high[ell],
                        spread,
                        reach,
                        keep,
                    )
            if reach > -1e299 and minus[ell, m] + reach > least:
                least, at_minus = minus[ell, m] + reach, ell
                y_minus[:] = keep
        if at_minus >= 0 and least > most + margin:
            leaf[5] = m
            leaf[6:12] = y_plus
            leaf[12] = at_plus
            leaf[13:19] = y_minus
            leaf[19] = at_minus
            return True
    return False


@njit(cache=True, nogil=True)
def cover_all_turns(
    body_c: Array,
    body_h: Array,
    body_r: Array,
    main: int,
    links: Array,
    axis_n: Array,
    dirs: Array,
    layer_low: Array,
    layer_high: Array,
    layer_all: Array,
    plus: Array,
    minus: Array,
    stack: Array,
    top: int,
    leaves: Array,
    count: int,
    budget: int,
) -> tuple[int, int, int]:
    """Work through the stack of cells; (stack size, leaves, outcome).

    outcome 0: budget spent, 1: every turn ruled out (stack empty), 2: a turn that fits was met.
    """
    scratch = np.empty(FIELDS)
    for _ in range(budget):
        if top == 0:
            return 0, count, 1
        if top + 8 > stack.shape[0] or count + 1 >= leaves.shape[0]:
            return top, count, 0
        top -= 1
        face = int(stack[top, 0])
        a, b, c, half = stack[top, 1], stack[top, 2], stack[top, 3], stack[top, 4]
        first = int(stack[top, 5])
        spread = cell_spread(face, a, b, c, half)
        ruled = False
        for whole in (False, True):  # the main box first: it settles most cells
            ruled = ruled or (
                spread < (WORTH_MORE_RAD if whole else WORTH_TRYING_RAD)
                and rule_out(
                    body_c,
                    body_h,
                    body_r,
                    main,
                    links,
                    axis_n,
                    dirs,
                    layer_low,
                    layer_high,
                    layer_all,
                    plus,
                    minus,
                    face,
                    a,
                    b,
                    c,
                    half,
                    spread,
                    leaves[count],
                    first,
                    MARGIN_MM,
                    whole,
                )
            )
        fits = not ruled
        for whole in (False, True):
            fits = fits and not rule_out(
                body_c,
                body_h,
                body_r,
                main,
                links,
                axis_n,
                dirs,
                layer_low,
                layer_high,
                layer_all,
                plus,
                minus,
                face,
                a,
                b,
                c,
                half,
                0.0,
                scratch,
                first,
                FITS_MM,
                whole,
            )
        if ruled:
            count += 1
            continue
        if fits:
            return top + 1, count, 2
        h = half / 2
        for m in range(8):
            stack[top, 0] = face
            stack[top, 1] = a + (h if m & 1 else -h)
            stack[top, 2] = b + (h if m & 2 else -h)
            stack[top, 3] = c + (h if m & 4 else -h)
            stack[top, 4] = h
            stack[top, 5] = scratch[5]
            top += 1
    return top, count, 1 if top == 0 else 0
