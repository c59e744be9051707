"""The shortest way for a cable over faces, holes and pipes, pulled tight.

First a shortest path over the graph of `ways` (points along the edges every 70 mm); then each
crossing of an edge slides to where the two faces, laid flat side by side, are crossed by a
straight line, until nothing moves: the shortest route for that sequence of edges.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import dijkstra

from layout.frames import Array
from layout.parts import OUTSIDE, Boat, Terminal
from routing.ways import EDGE_STEP_MM, ROUND_CORNER_MM, FaceKey, Patch, Ways, feet

TIGHT_MM: Final = 1e-6  # crossings that move less than this have come to rest
MAX_PULLS: Final = 400
EDGING_COST_MM: Final = 60.0  # an edging ring is worth this much detour
LONGEST_OUTSIDE_MM: Final = 1500.0  # on deck only a short last stretch, from a gland to its terminal


@dataclass(frozen=True, slots=True, eq=False)
class Leg:
    """A piece of a route: on a face, through a joint, free from a face to a terminal, or outside."""

    kind: str  # "face", "hole", "pipe", "free", "outside"
    where: str
    points: Array  # (n, 3)
    length_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class Route:
    """One cable's way, its legs in order and its whole length."""

    legs: tuple[Leg, ...]
    length_mm: float
    joints: tuple[str, ...]
    spaces: tuple[str, ...]

    @property
    def polyline(self) -> Array:
        """All points in order, (n, 3)."""
        rows = [p for leg in self.legs for p in leg.points]
        keep = [rows[0]] + [b for a, b in zip(rows, rows[1:], strict=False) if np.linalg.norm(b - a) > 1e-9]
        return np.array(keep)


@dataclass(frozen=True, slots=True)
class Stop:
    """An end of a route: a point in a space (or outside)."""

    space: str
    at: tuple[float, float, float]

    @classmethod
    def of(cls, space: str, terminal: Terminal) -> "Stop":
        """The stop at a terminal."""
        x, y, z = (float(v) for v in terminal.at)
        return cls(space, (x, y, z))


class Router:
    """A graph of all ways of one boat; routes are asked of it one at a time."""

    def __init__(self, boat: Boat, ways: Ways, stops: list[Stop]) -> None:
        self.ways = ways
        self.points: list[Array] = []
        self.faces: list[list[FaceKey]] = []
        self.edge_dir: list[int] = []  # axis an edge point may slide along, -1 when it may not
        self.rows: list[tuple[int, int, float, str, str]] = []  # a, b, cost, kind, where
        self.joint_of: dict[tuple[int, int], str] = {}
        self.stop_nodes: dict[Stop, int] = {}
        self._edges_and_corners()
        self._join(boat)
        for stop in stops:
            self._stop(boat, stop)
        self._faces()
        self._graph()

    def _add(self, x: Array, faces: list[FaceKey], slide: int = -1) -> int:
        self.points.append(np.array(x, dtype=np.float64))
        self.faces.append(faces)
        self.edge_dir.append(slide)
        return len(self.points) - 1

    def _edges_and_corners(self) -> None:
        for patches in self.ways.by_space.values():
            for i, p in enumerate(patches):
                for q in patches[i + 1 :]:
                    if p.axis != q.axis:
                        self._edge(p, q)
            for p in patches:
                off = ROUND_CORNER_MM
                for u0, u1, v0, v1 in p.blocked:
                    for c in ((u0 - off, v0 - off), (u0 - off, v1 + off), (u1 + off, v0 - off), (u1 + off, v1 + off)):
                        uv = np.array(c)
                        if np.all(uv >= p.low) and np.all(uv <= p.high) and p.is_free(uv):
                            self._add(p.lift(uv), [p.key])

    def _edge(self, p: Patch, q: Patch) -> None:
        along = 3 - p.axis - q.axis
        k = p.others.index(along)
        a, b = p.low[k], p.high[k]
        for t in np.linspace(a, b, max(2, int((b - a) / EDGE_STEP_MM) + 2)):
            x = np.empty(3)
            x[p.axis], x[q.axis], x[along] = p.plane, q.plane, t
            if p.is_free(p.flat(x)) and q.is_free(q.flat(x)):
                self._add(x, [p.key, q.key], along)

    def _join(self, boat: Boat) -> None:
        del boat
        for j in self.ways.joints:
            if not j.passable:
                continue
            ends = []
            for space, at in j.ends:
                if space == OUTSIDE:
                    ends.append(self._add(at, []))
                    continue
                near = min(feet(self.ways, space, at), key=lambda f: f[2], default=None)
                if near is None:
                    break
                patch, foot, leg = near
                mouth = self._add(at, [])
                node = self._add(foot, [patch.key])
                self.rows.append((mouth, node, leg, "free", space))
                ends.append(mouth)
            if len(ends) == 2:
                cost = j.length_mm + (EDGING_COST_MM if j.needs_edging else 0.0)
                self.rows.append((ends[0], ends[1], cost, j.kind, j.name))
                self.joint_of[ends[0], ends[1]] = self.joint_of[ends[1], ends[0]] = j.name

    def _stop(self, boat: Boat, stop: Stop) -> None:
        if stop in self.stop_nodes:
            return
        at = np.array(stop.at)
        node = self._add(at, [])
        self.stop_nodes[stop] = node
        if stop.space == OUTSIDE:
            for j in self.ways.joints:
                for space, mouth in j.ends:
                    away = float(np.linalg.norm(mouth - at))
                    if space == OUTSIDE and away <= LONGEST_OUTSIDE_MM:
                        other = next(i for i, x in enumerate(self.points) if not self.faces[i] and np.array_equal(x, mouth))
                        self.rows.append((node, other, away, "outside", "outside"))
            return
        for patch, foot, leg in feet(self.ways, stop.space, at):
            self.rows.append((node, self._add(foot, [patch.key]), leg, "free", stop.space))
        del boat

    def _faces(self) -> None:
        on: dict[FaceKey, list[int]] = {}
        for i, keys in enumerate(self.faces):
            for key in keys:
                on.setdefault(key, []).append(i)
        pairs = []
        for key, nodes in on.items():
            patch = self.ways.patches[key]
            uv = np.array([patch.flat(self.points[i]) for i in nodes])
            a, b = np.triu_indices(len(nodes), 1)
            free = patch.sees(uv[a], uv[b])
            ids = np.array(nodes)
            length = np.linalg.norm(uv[a] - uv[b], axis=1)
            pairs.append((ids[a[free]], ids[b[free]], length[free]))
        self.face_pairs = pairs

    def _graph(self) -> None:
        a = np.concatenate([np.array([r[0] for r in self.rows], dtype=np.int64), *(p[0] for p in self.face_pairs)])
        b = np.concatenate([np.array([r[1] for r in self.rows], dtype=np.int64), *(p[1] for p in self.face_pairs)])
        c = np.concatenate([np.array([r[2] for r in self.rows]), *(p[2] for p in self.face_pairs)])
        c = np.maximum(c, 1e-6)  # csgraph takes an explicit zero for "no edge"
        n = len(self.points)
        both = coo_array((np.concatenate([c, c]), (np.concatenate([a, b]), np.concatenate([b, a]))), shape=(n, n))
        self.matrix = both.tocsr()
        best: dict[tuple[int, int], tuple[float, str, str]] = {}
        for x, y, cost, kind, where in self.rows:
            for e in ((x, y), (y, x)):
                if e not in best or cost < best[e][0]:
                    best[e] = (cost, kind, where)
        self.special = best

    def route(self, start: Stop, goal: Stop, via: list[str] | None = None, avoid: list[str] | None = None) -> Route | None:
        """The shortest way, through the joints in `via` in that order; None when there is none."""
        matrix = self.matrix
        if avoid:
            drop = [e for e, name in self.joint_of.items() if name in avoid]
            lil = matrix.tolil()
            for x, y in drop:
                lil[x, y] = 0
            matrix = lil.tocsr()
        a, b = self.stop_nodes[start], self.stop_nodes[goal]
        legs_nodes: list[int] = [a]
        for name in via or []:
            ends = next(((x, y) for (x, y), n in self.joint_of.items() if n == name), None)
            if ends is None:
                return None
            dist = dijkstra(matrix, directed=False, indices=legs_nodes[-1])
            near, far = sorted(ends, key=lambda e: float(dist[e]))
            part = self._path(matrix, legs_nodes[-1], near)
            if part is None:
                return None
            legs_nodes += [*part[1:], far]
        part = self._path(matrix, legs_nodes[-1], b)
        if part is None:
            return None
        return self._tight([*legs_nodes, *part[1:]])

    def _path(self, matrix: object, a: int, b: int) -> list[int] | None:
        dist, came = dijkstra(matrix, directed=False, indices=a, return_predecessors=True)
        if not np.isfinite(dist[b]):
            return None
        out = [b]
        while out[-1] != a:
            out.append(int(came[out[-1]]))
        return out[::-1]

    def _tight(self, nodes: list[int]) -> Route:
        x = np.array([self.points[i] for i in nodes])
        pull_tight(x, [self.edge_dir[i] for i in nodes], self._slides(nodes))
        return self._legs(nodes, x)

    def _slides(self, nodes: list[int]) -> list[tuple[Patch, Patch] | None]:
        """The two faces each crossing joins, or None where the point must stay."""
        out: list[tuple[Patch, Patch] | None] = [None] * len(nodes)
        for i in range(1, len(nodes) - 1):
            if self.edge_dir[nodes[i]] < 0:
                continue
            before = set(self.faces[nodes[i]]) & set(self.faces[nodes[i - 1]])
            after = set(self.faces[nodes[i]]) & set(self.faces[nodes[i + 1]])
            pair = [(f, g) for f in sorted(before) for g in sorted(after) if f != g]
            if pair:
                out[i] = (self.ways.patches[pair[0][0]], self.ways.patches[pair[0][1]])
        return out

    def _legs(self, nodes: list[int], x: Array) -> Route:
        legs: list[Leg] = []
        for k, (i, j) in enumerate(zip(nodes, nodes[1:], strict=False)):
            step = float(np.linalg.norm(x[k + 1] - x[k]))
            shared = sorted(set(self.faces[i]) & set(self.faces[j]))
            if shared and (i, j) not in self.special:
                kind, where, length = "face", _face_name(shared[0]), step
            else:
                cost, kind, where = self.special[i, j]
                joint = kind in ("hole", "pipe")
                length = self._joint_length(where) if joint else cost
            legs.append(Leg(kind, where, x[k : k + 2].copy(), length))
        total = sum(leg.length_mm for leg in legs)
        joints = tuple(leg.where for leg in legs if leg.kind in ("hole", "pipe"))
        spaces = tuple(dict.fromkeys(leg.where.split(",")[0] for leg in legs if leg.kind in ("face", "free")))
        return Route(tuple(legs), total, joints, spaces)

    def _joint_length(self, name: str) -> float:
        return next(j.length_mm for j in self.ways.joints if j.name == name)


def pull_tight(x: Array, slide: list[int], faces: list[tuple[Patch, Patch] | None]) -> None:
    """Slide edge crossings, in place, to where the route is shortest for its sequence of edges.

    Between two faces laid flat the straight line crosses the edge at the mean of its neighbours'
    places along the edge, weighted by the other's distance from the edge. A move that would cut
    through something blocked is not made.
    """
    for _ in range(MAX_PULLS):
        most = 0.0
        for i in range(1, len(x) - 1):
            pair = faces[i]
            if pair is None:
                continue
            k = slide[i]
            p, q = pair
            across = [m for m in range(3) if m != k]
            da = float(np.hypot(*(x[i - 1][across] - x[i][across])))
            db = float(np.hypot(*(x[i + 1][across] - x[i][across])))
            if da + db < 1e-12:
                continue
            t = (x[i - 1][k] * db + x[i + 1][k] * da) / (da + db)
            j = p.others.index(k)
            t = float(np.clip(t, p.low[j], p.high[j]))
            new = x[i].copy()
            new[k] = t
            clear = p.sees(p.flat(x[i - 1])[None], p.flat(new)[None])[0] and q.sees(q.flat(new)[None], q.flat(x[i + 1])[None])[0]
            if clear:
                most = max(most, abs(t - x[i][k]))
                x[i] = new
        if most < TIGHT_MM:
            return


def _face_name(key: FaceKey) -> str:
    words = {(0, -1): "aft side", (0, 1): "forward side", (1, -1): "starboard side", (1, 1): "port side", (2, -1): "floor", (2, 1): "top"}
    return f"{key[0]}, {words[key[1], key[2]]}"
