"""Parts put down one after the other at corner points, and the order annealed: counted rounds.

A part goes where its body, or a room, touches what is there already, or where two terminals come
on one line; of all such places that are free the one that adds least to the plate and to the links
is taken. The order, the turns and the width of the plate are annealed from a seed. Source of the
corner points: Martello, Pisinger, Vigo, "The Three-Dimensional Bin Packing Problem", Operations
Research 48, 2000; of annealing: Kirkpatrick, Gelatt, Vecchi, Science 220, 1983.
"""

from typing import Any, NamedTuple

import numpy as np

from layout.bench.arrange.kit import Arrays
from layout.bench.arrange.meeting import EASE, Stand, clash, on_plate
from layout.boat.parts import LUG_MM
from layout.geometry.draws import Generator, uniform, whole
from layout.geometry.frames import Array
from layout.geometry.kernels import inner_kernel, kernel

UNPLACED = 1e6
MOST_MARKS = 400
MOST_ROOMS = 4


class Aim(NamedTuple):
    """The plate parts are put on, at most so wide and high, at least so wide; what its area and
    the links are worth; whether the lowest place is taken rather than that which grows it least.
    """

    wide: float
    high: float
    least: float
    area: float
    link: float
    low: bool


class Down(NamedTuple):
    """Where parts stand so far: places (n, 2), turns (n,), which do, the plate taken (2,), and room
    for marks along both axes.
    """

    at: Array
    turns: Any
    done: Any
    box: Array
    marks: Array


def nothing_down(n: int) -> Down:
    """Room for so many parts."""
    return Down(
        np.zeros((n, 2)),
        np.zeros(n, dtype=np.int64),
        np.zeros(n, dtype=np.bool_),
        np.zeros(2),
        np.empty((2, MOST_MARKS + 64)),
    )


@inner_kernel
def _stub(k: Arrays, p: Stand, post: int) -> tuple[float, float]:
    """Where the cable of a terminal begins to bend."""
    a = k.posts[p.part, p.turn, post]
    return p.x + a[0] + LUG_MM * a[2], p.y + a[1] + LUG_MM * a[3]


@inner_kernel
def _stood(d: Down, j: int) -> Stand:
    return Stand(j, d.turns[j], d.at[j, 0], d.at[j, 1])


@inner_kernel
def link_length(k: Arrays, m: int, p: Stand, q: Stand) -> float:
    """A link laid square, lug to lug, as far as it goes round nothing; p holds its first end."""
    ax, ay = _stub(k, p, k.links[m, 1])
    bx, by = _stub(k, q, k.links[m, 3])
    return 2 * LUG_MM + abs(ax - bx) + abs(ay - by)


@inner_kernel
def _lead_length(k: Arrays, m: int, p: Stand, wide: float, high: float) -> float:
    """A cable from its terminal to the edge it leaves by."""
    px, py = _stub(k, p, k.leads[m, 1])
    to = k.lead_to[m]
    far = 0.0
    if to[0] > 0.5:
        far = wide - px
    elif to[0] < -0.5:
        far = px
    elif to[1] > 0.5:
        far = high - py
    elif to[1] < -0.5:
        far = py
    return max(far, 0.0)


@inner_kernel
def _marks(k: Arrays, i: int, t: int, d: Down, axis: int, size: float) -> int:
    """Places along an axis where a part touches what is there, into d.marks; how many."""
    o, margin, out = k.outline[i, t], k.bounds[0], d.marks[axis]
    out[0] = margin - o[axis]
    out[1] = size - margin - o[axis + 2]
    out[2] = k.bounds[1] - o[axis]
    n = 3
    for j in range(len(d.done)):
        if not d.done[j] or n > MOST_MARKS - 20:
            continue
        tj, xj = d.turns[j], d.at[j, axis]
        u = k.outline[j, tj]
        out[n] = xj + u[axis + 2] + k.apart[i, j] - o[axis]
        out[n + 1] = xj + u[axis] - k.apart[i, j] - o[axis + 2]
        n += 2
        for r in range(min(k.n_rooms[j], MOST_ROOMS)):  # those that reach beyond the body
            if k.rooms[j, tj, r, axis + 2] > u[axis + 2] + k.apart[i, j]:
                out[n] = xj + k.rooms[j, tj, r, axis + 2] - o[axis]
                n += 1
            if k.rooms[j, tj, r, axis] < u[axis] - k.apart[i, j]:
                out[n] = xj + k.rooms[j, tj, r, axis] - o[axis + 2]
                n += 1
        for r in range(min(k.n_rooms[i], MOST_ROOMS)):
            if k.rooms[i, t, r, axis] < o[axis] - k.apart[i, j]:
                out[n] = xj + u[axis + 2] - k.rooms[i, t, r, axis]
                n += 1
        if k.above[i, j] > 0 and axis == 1:
            out[n] = xj + u[3] + k.above[i, j] - o[1]
            n += 1
        if k.row[i] >= 0 and k.row[i] == k.row[j] and axis == 1:
            out[n] = xj
            n += 1
    for m in range(len(k.links)):
        for side in range(2):
            a, b = k.links[m, 2 * side], k.links[m, 2 - 2 * side]
            if a == i and a != b and d.done[b] and n < MOST_MARKS - 1:
                p = k.posts[i, t, k.links[m, 2 * side + 1]]
                q = k.posts[b, d.turns[b], k.links[m, 3 - 2 * side]]
                out[n] = d.at[b, axis] + q[axis] - p[axis]
                n += 1
    return _sifted(out, n, margin - o[axis], size - margin - o[axis + 2])


@inner_kernel
def _sifted(out: Array, n: int, low: float, high: float) -> int:
    """The first n marks in order, none twice, none off the plate; how many are left."""
    out[:n] = np.sort(out[:n])
    m = 0
    for a in range(n):
        fine = low - EASE <= out[a] <= high + EASE
        if fine and (m == 0 or out[a] > out[m - 1] + EASE):
            out[m] = out[a]
            m += 1
    return m


@inner_kernel
def _worth(k: Arrays, p: Stand, d: Down, aim: Aim) -> float:
    """What a place costs in links and leads so far."""
    i = p.part
    cost = k.pull[i, 0] * p.x + k.pull[i, 1] * p.y
    for m in range(len(k.links)):
        a, b = k.links[m, 0], k.links[m, 2]
        if a == i and a != b and d.done[b]:
            cost += k.link_worth[m] * link_length(k, m, p, _stood(d, b))
        elif b == i and a != b and d.done[a]:
            cost += k.link_worth[m] * link_length(k, m, _stood(d, a), p)
    for m in range(len(k.leads)):
        if k.leads[m, 0] == i:
            cost += k.lead_to[m, 2] * _lead_length(k, m, p, aim.wide, aim.high)
    return aim.link * cost


@inner_kernel
def _free(k: Arrays, p: Stand, d: Down) -> bool:
    """True where a part clashes with nothing that stands, and keeps its row."""
    for j in range(len(d.done)):
        if d.done[j]:
            if k.row[p.part] >= 0 and k.row[p.part] == k.row[j] and abs(p.y - d.at[j, 1]) > EASE:
                return False
            if clash(k, p, _stood(d, j)):
                return False
    return True


@inner_kernel
def _put(k: Arrays, i: int, t: int, d: Down, aim: Aim) -> bool:
    """Put a part down at the cheapest free corner point; False where there is none."""
    nx, ny = _marks(k, i, t, d, 0, aim.wide), _marks(k, i, t, d, 1, aim.high)
    o = k.outline[i, t]
    best, bx, by = np.inf, 0.0, 0.0
    for a in range(nx):
        x = d.marks[0, a]
        for b in range(ny):
            y = d.marks[1, b]
            grown = max(d.box[0], x + o[2]) * max(d.box[1], y + o[3])
            if aim.low:
                grown = aim.wide * (y + o[3])
            cost = aim.area * (grown + 0.1 * (x + o[0] + y + o[1])) + EASE * (x + y)
            if cost >= best:
                continue
            p = Stand(i, t, x, y)
            cost += _worth(k, p, d, aim)
            if cost < best and on_plate(k, p, aim.wide, aim.high) and _free(k, p, d):
                best, bx, by = cost, x, y
    if best == np.inf:
        return False
    d.at[i, 0], d.at[i, 1] = bx, by
    d.turns[i], d.done[i] = t, True
    d.box[0], d.box[1] = max(d.box[0], bx + o[2]), max(d.box[1], by + o[3])
    return True


@kernel
def decoded(k: Arrays, order: Any, wanted: Any, d: Down, aim: Aim) -> float:
    """Put all parts down in an order; the whole cost. `d` is filled, its box the plate."""
    n = len(order)
    d.done[:] = False
    d.box[:] = 0.0
    for i in range(n):  # what is pinned stands first, wherever that is
        if k.pinned[i, 0] > 0:
            d.at[i, 0], d.at[i, 1] = k.pinned[i, 1], k.pinned[i, 2]
            d.turns[i], d.done[i] = 0, True
            d.box[0] = max(d.box[0], d.at[i, 0] + k.outline[i, 0, 2])
            d.box[1] = max(d.box[1], d.at[i, 1] + k.outline[i, 0, 3])
    left = 0
    for q in range(n):
        i = order[q]
        if d.done[i] or _put(k, i, wanted[i], d, aim):
            continue
        for t in range(k.n_turns[i]):
            if t != wanted[i] and _put(k, i, t, d, aim):
                break
        if not d.done[i]:
            left += 1
    return aim.area * _plate(k, d, aim) + UNPLACED * left + aim.link * linked(k, d)


@inner_kernel
def linked(k: Arrays, d: Down) -> float:
    """What links, leads and places cost."""
    cost = 0.0
    for i in range(len(d.done)):
        if d.done[i]:
            cost += k.pull[i, 0] * d.at[i, 0] + k.pull[i, 1] * d.at[i, 1]
    for m in range(len(k.links)):
        a, b = k.links[m, 0], k.links[m, 2]
        if d.done[a] and d.done[b]:
            cost += k.link_worth[m] * link_length(k, m, _stood(d, a), _stood(d, b))
    for m in range(len(k.leads)):
        i = k.leads[m, 0]
        if d.done[i]:
            far = _lead_length(k, m, _stood(d, i), d.box[0], d.box[1])
            cost += k.lead_to[m, 2] * far
    return cost


@kernel
def linked_mm(k: Arrays, d: Down) -> float:
    """The square length of all links together."""
    total = 0.0
    for m in range(len(k.links)):
        a, b = k.links[m, 0], k.links[m, 2]
        if a != b and d.done[a] and d.done[b]:
            total += link_length(k, m, _stood(d, a), _stood(d, b))
    return total


@inner_kernel
def _plate(k: Arrays, d: Down, aim: Aim) -> float:
    """The area of the least plate, its corners free; the box is set to its size."""
    margin, corner = k.bounds[0], k.bounds[1]
    w, h = d.box[0] + margin, d.box[1] + margin
    for _ in range(2):
        more_w, more_h = 0.0, 0.0
        for i in range(len(d.done)):
            if not d.done[i]:
                continue
            o = k.outline[i, d.turns[i]]
            right = d.at[i, 0] + o[2] - (w - corner)
            top = d.at[i, 1] + o[3] - (h - corner)
            if right > EASE and top > EASE:
                if right * h <= top * w:
                    more_w = max(more_w, right)
                else:
                    more_h = max(more_h, top)
            if right > EASE and d.at[i, 1] + o[1] < corner - EASE:
                more_w = max(more_w, right)
            if top > EASE and d.at[i, 0] + o[0] < corner - EASE:
                more_h = max(more_h, top)
        w, h = min(w + more_w, aim.wide), min(h + more_h, aim.high)
    d.box[0], d.box[1] = w, h
    return w * h


@kernel
def annealed(k: Arrays, g: Generator, rounds: int, aim: Aim, best: Down, first: Any) -> float:
    """The cheapest arrangement found in so many rounds, beginning with an order; `best` is filled.

    The width the parts are packed in is drawn between the least and the most where area counts.
    """
    n = len(k.n_turns)
    order, wanted = first.copy(), np.zeros(n, dtype=np.int64)
    width, low = aim.wide, aim.low
    least = decoded(k, order, wanted, best, aim)
    now = Down(
        best.at.copy(), best.turns.copy(), best.done.copy(), best.box.copy(), best.marks.copy()
    )
    here = least
    hot = max(0.003 * min(here, UNPLACED), 1e-9)
    trial, trial_wanted = order.copy(), wanted.copy()
    for r in range(rounds):
        trial[:], trial_wanted[:] = order, wanted
        trial_width, trial_low = width, low
        move = uniform(g)
        i, j = whole(g, n), whole(g, n)
        if move < 0.4:
            trial[i], trial[j] = trial[j], trial[i]
        elif move < 0.6:
            _moved(trial, i, j)
        elif move < 0.87 or aim.least >= aim.wide:
            trial_wanted[i] = whole(g, k.n_turns[i])
        elif move < 0.95:
            trial_width = aim.least + (aim.wide - aim.least) * uniform(g)
        else:
            trial_low = not low
        narrow = Aim(trial_width, aim.high, aim.least, aim.area, aim.link, trial_low)
        cost = decoded(k, trial, trial_wanted, now, narrow)
        heat = hot * (1.0 - r / rounds) ** 2 + 1e-12
        if cost <= here or uniform(g) < np.exp((here - cost) / heat):
            here, width, low = cost, trial_width, trial_low
            order[:], wanted[:] = trial, trial_wanted
            if cost < least - 1e-9:
                least = cost
                best.at[:], best.turns[:] = now.at, now.turns
                best.done[:], best.box[:] = now.done, now.box
    return least


@inner_kernel
def _moved(order: Any, i: int, j: int) -> None:
    """One of an order taken out and put in elsewhere."""
    taken = order[i]
    if i < j:
        for p in range(i, j):
            order[p] = order[p + 1]
    else:
        for p in range(i, j, -1):
            order[p] = order[p - 1]
    order[j] = taken


@kernel
def clashes(k: Arrays, d: Down, wide: float, high: float) -> int:
    """How many pairs of parts, and parts with the plate, may not stand so."""
    n, count = len(d.turns), 0
    for i in range(n):
        if not on_plate(k, _stood(d, i), wide, high):
            count += 1
        for j in range(i):
            if clash(k, _stood(d, i), _stood(d, j)):
                count += 1
    return count
