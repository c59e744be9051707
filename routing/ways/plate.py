"""The way of a link over a board's own plate: square, round the parts, from lug to lug.

The plate is cut along the grown edges of what stands on it; a way runs along those lines, level or
plumb, and every bend costs a little, so that links lie as a bench builder dresses them. Lugs leave
straight out of their terminals first. Two terminals that face each other are joined straight.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import dijkstra

from layout.boat.parts import LUG_MM, PLATE_ROW, Piece, Terminal
from layout.geometry.frames import Array
from layout.known import Known, always, mark
from routing.ways.routes import Leg, Route

APART_MM: Final = 2.0  # kept from every part
BEND_COST_MM: Final = 20.0  # what a bend is worth in cable: common practice, few bends look right
EDGE_MM: Final = 1e-6
MOST_KEPT: Final = 500  # ways over plates, of a few boats
FACING_MM: Final = 150.0  # terminals this near that face each other are joined straight


@dataclass(frozen=True, slots=True, eq=False)
class _Plate:
    """A board's plate in the hull frame: its middle, two axes along it and one out of its front."""

    middle: Array
    u: Array
    v: Array
    out: Array
    half: Array  # along u and v
    front_mm: float  # of its front face, from its middle
    low: Array  # of the parts, (n, 2)
    high: Array
    tall: Array  # (n,) from its middle

    def flat(self, x: Array) -> Array:
        """A place in the hull as (along u, along v, out)."""
        d = x - self.middle
        return np.array([d @ self.u, d @ self.v, d @ self.out])

    def whole(self, uv: Array, out: float) -> Array:
        """The place in the hull of one on the plate."""
        return self.middle + uv[0] * self.u + uv[1] * self.v + out * self.out


def _plate_of(board: Piece) -> _Plate:
    rest = board.at_rest()
    c, h, r = rest.centre_mm, rest.half_mm, rest.rotation
    thin = int(np.argmin(h[PLATE_ROW]))
    u, v = (r[PLATE_ROW][:, k] for k in range(3) if k != thin)
    out = r[PLATE_ROW][:, thin]
    parts = [k for k in range(len(c)) if k != PLATE_ROW]
    if parts and np.mean([(c[k] - c[PLATE_ROW]) @ out for k in parts]) < 0:
        out = -out
    reach = np.array([[np.abs(r[k].T @ a) @ h[k] for a in (u, v, out)] for k in parts])
    at = np.array([[(c[k] - c[PLATE_ROW]) @ a for a in (u, v, out)] for k in parts])
    reach, at = reach.reshape(-1, 3), at.reshape(-1, 3)
    half = np.delete(h[PLATE_ROW], thin)
    return _Plate(
        c[PLATE_ROW],
        u,
        v,
        out,
        half,
        float(h[PLATE_ROW][thin]),
        at[:, :2] - reach[:, :2],
        at[:, :2] + reach[:, :2],
        at[:, 2] + reach[:, 2],
    )


_KEPT: Final[Known[Route | None]] = Known(MOST_KEPT)


def plate_way(board: Piece, feed: Terminal, load: Terminal, od_mm: float) -> Route | None:
    """The way of a link between two terminals of one board; None where the parts leave none.

    It is known where the board and what stands on it are as they were.
    """
    rest = board.at_rest()
    boxes = (rest.centre_mm, rest.half_mm, rest.rotation)
    ends = (feed.at, feed.out, load.at, load.out)
    key = mark(board.key, board.space, boxes, ends, od_mm)
    return _KEPT.of(key, lambda: _over_plate(board, feed, load, od_mm), always)


def _over_plate(board: Piece, feed: Terminal, load: Terminal, od_mm: float) -> Route | None:
    plate = _plate_of(board)
    ends = [
        (plate.flat(t.at), np.array([t.out @ a for a in (plate.u, plate.v, plate.out)]))
        for t in (feed, load)
    ]
    straight = _facing(plate, ends)
    if straight is not None:
        return _route(board, [straight])
    over = None
    for inside in (plate.half - od_mm / 2 - APART_MM, plate.half):  # off its edges where it can
        feet, legs = [], []
        for at, way in ends:
            foot = at[:2] + LUG_MM * way[:2]
            feet.append(np.clip(foot, -inside, inside))
            lug = plate.whole(at[:2] + LUG_MM * way[:2], at[2] + LUG_MM * max(0.0, way[2]))
            legs.append((plate.whole(at[:2], at[2]), lug))
        over = _square(plate, inside, feet[0], feet[1], od_mm / 2 + APART_MM)
        if over is not None:
            break
    if over is None:
        return None
    lie = plate.front_mm + od_mm / 2
    path = [plate.whole(p, lie) for p in over]
    points = [legs[0][0], legs[0][1], *path, legs[1][1], legs[1][0]]
    return _route(board, [np.array(points)])


def _route(board: Piece, runs: list[Array]) -> Route:
    lengths = [float(np.linalg.norm(np.diff(p, axis=0), axis=1).sum()) for p in runs]
    legs = tuple(Leg("board", board.key, p, mm) for p, mm in zip(runs, lengths, strict=True))
    return Route(legs, sum(lengths), (), (board.space,))


def _facing(plate: _Plate, ends: list[tuple[Array, Array]]) -> Array | None:
    """The straight line between two terminals that face each other with nothing between."""
    (a, out_a), (b, out_b) = ends
    d = b - a
    far = float(np.linalg.norm(d))
    if not 0 < far <= FACING_MM or out_a @ d < 0.9 * far or out_b @ d > -0.9 * far:
        return None
    for t in np.linspace(0.02, 0.98, 25):
        x = a + t * d
        inside = np.all((x[:2] > plate.low) & (x[:2] < plate.high), axis=1) & (x[2] < plate.tall)
        if inside.any():
            return None
    return np.array([plate.whole(p[:2], p[2]) for p in (a, b)])


def _square(
    plate: _Plate, half: Array, start: Array, goal: Array, grow: float
) -> list[Array] | None:
    """The square way over so much of the plate with the least length and bends; None where there
    is none.
    """
    low, high = plate.low - grow, plate.high + grow
    taken = np.zeros(len(low), dtype=bool)  # a lug stands beside its own part, and its neighbours'
    for p in (start, goal):
        taken |= np.all((p > low) & (p < high), axis=1)
    lines = _Lines(half, low[~taken], high[~taken], start, goal)
    a, b = lines.nodes(start), lines.nodes(goal)
    far, came = dijkstra(lines.graph(), directed=False, indices=a, return_predecessors=True)
    first, last = min(
        ((k, end) for k in range(2) for end in b), key=lambda x: (float(far[x[0], x[1]]), x)
    )
    if not np.isfinite(far[first, last]):
        return None
    path, n = [], last
    while n >= 0:
        path.append(lines.place(n))
        n = int(came[first, n])
    path.reverse()
    return [p for k, p in enumerate(path) if k == 0 or np.abs(p - path[k - 1]).sum() > 1e-9]


class _Lines:
    """Lines along the edges of what stands on a plate, and the ways along them; each crossing is
    two nodes, one a way along u and one a way along v.
    """

    def __init__(self, half: Array, low: Array, high: Array, start: Array, goal: Array) -> None:
        self.low, self.high = low, high
        self.marks = []
        for k in range(2):
            m = np.unique(np.concatenate([low[:, k], high[:, k], [start[k], goal[k]]]).round(6))
            self.marks.append(m[np.abs(m) <= half[k] + EDGE_MM])

    def nodes(self, p: Array) -> list[int]:
        """Both nodes of a crossing."""
        i, j = (int(np.argmin(np.abs(self.marks[k] - p[k]))) for k in range(2))
        return [self._node(i, j, along) for along in range(2)]

    def place(self, node: int) -> Array:
        """Where a node is on the plate."""
        nv = len(self.marks[1])
        return np.array([self.marks[0][node // 2 // nv], self.marks[1][node // 2 % nv]])

    def _node(self, i: int, j: int, along: int) -> int:
        return (i * len(self.marks[1]) + j) * 2 + along

    def _open(self, p: Array, b: Array) -> bool:
        m = (p + b) / 2
        return not np.any(np.all((m > self.low + EDGE_MM) & (m < self.high - EDGE_MM), axis=1))

    def graph(self) -> csr_array:
        """Steps between neighbouring crossings that no part stands on, and bends at each."""
        nu, nv = len(self.marks[0]), len(self.marks[1])
        rows, cols, cost = [], [], []
        for i in range(nu):
            for j in range(nv):
                p = np.array([self.marks[0][i], self.marks[1][j]])
                steps = [(self._node(i, j, 0), self._node(i, j, 1), BEND_COST_MM)]
                for along, (k, m) in enumerate(((i + 1, j), (i, j + 1))):
                    if k < nu and m < nv:
                        b = np.array([self.marks[0][k], self.marks[1][m]])
                        if self._open(p, b):
                            mm = float(np.abs(b - p).sum())
                            steps.append((self._node(i, j, along), self._node(k, m, along), mm))
                for a, b_node, mm in steps:
                    rows.append(a)
                    cols.append(b_node)
                    cost.append(mm)
        count = nu * nv * 2
        return coo_array((cost, (rows, cols)), shape=(count, count)).tocsr()
