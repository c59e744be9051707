"""The shortest way for a cable over faces, holes, pipes and trays, pulled tight.

First a shortest path over the graph of ways (points along the edges every 70 mm); then each
crossing of an edge slides to where the two faces, laid flat side by side, are crossed by a
straight line, until nothing moves: the shortest route for that sequence of edges.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.geometry.frames import Array
from routing.ways.graph import JOINTS, Pairs, Tracked
from routing.ways.kept_graphs import graph_of
from routing.ways.leads import GivenUp, Stop
from routing.ways.refine import refined
from routing.ways.shortest import way_back
from routing.ways.ways import FaceKey, Patch, Ways

__all__ = ["Leg", "Route", "Router", "Stop", "pull_tight"]

TIGHT_MM: Final = 1e-6  # crossings that move less than this have come to rest
MAX_PULLS: Final = 400
NO_AXIS: Final = -1
FEW_FACES: Final = 2  # over fewer a straight line is all there is
REFINES: Final = 3
NEARLY: Final = 1.02  # a way this little longer over the points may be shorter pulled tight
FEW: Final = 3  # fewer ways than this from one place are found one by one


@dataclass(frozen=True, slots=True, eq=False)
class Leg:
    """A piece of a route: on a face, through a joint, free to a terminal, or outside."""

    kind: str  # "face", "hole", "pipe", "tray", "free", "outside"
    where: str  # the key of the space or joint
    points: Array  # (n, 3)
    length_mm: float
    face: FaceKey | None = None  # the face it lies on
    given_up: GivenUp | None = None  # what a lead to a terminal had no room for
    square: bool = False  # laid level or plumb


@dataclass(frozen=True, slots=True, eq=False)
class Route:
    """One cable's way: its legs in order, its whole length, and the graph's nodes it came over."""

    legs: tuple[Leg, ...]
    length_mm: float
    joints: tuple[str, ...]
    spaces: tuple[str, ...]
    nodes: tuple[int, ...] = ()

    @property
    def polyline(self) -> Array:
        """All points in order, (n, 3)."""
        rows = [point for leg in self.legs for point in leg.points]
        keep = [rows[0]] + [
            b for a, b in zip(rows, rows[1:], strict=False) if np.linalg.norm(b - a) > 1e-9
        ]
        return np.array(keep)


class Router:
    """Routes over one boat's ways, asked for one at a time."""

    def __init__(
        self,
        ways: Ways,
        stops: list[Stop],
        pairs: Pairs = frozenset(),
        beside: Tracked | None = None,
    ) -> None:
        self.ways = ways
        self.graph = graph_of(ways, stops, pairs, beside or {})
        self._square = {key for key in ways.by_space if ways.is_square(key)}
        self._joint_length = {joint.key: joint.length_mm for joint in ways.joints}

    def route(
        self,
        start: Stop,
        goal: Stop,
        via: list[str] | None = None,
        avoid: list[str] | None = None,
        weight: Array | None = None,
    ) -> Route | None:
        """The shortest way, through the joints in `via` in that order; None when there is none.

        `weight` (mm, one for each edge of the graph) is kept least instead of the length, if given.
        """
        g = self.graph
        barred = g.bars(avoid or [])
        nodes = [g.stop_nodes[start]]
        for name in via or []:
            if name not in g.joint_ends:
                return None
            far, _ = g.spread(nodes[-1], g.open_weight(barred))
            near, beyond = sorted(g.joint_ends[name], key=lambda e: float(far[e]))
            part = g.shortest(nodes[-1], near, g.open_weight(barred, weight))
            if part is None:
                return None
            nodes += [*part[1:], beyond]
            barred = np.maximum(
                barred, g.bars([name])
            )  # no cable comes back through the hole it was sent through
        part = g.shortest(nodes[-1], g.stop_nodes[goal], g.open_weight(barred, weight))
        if part is None:
            return None
        found = self.along([*nodes, *part[1:]])
        return found if via or weight is not None else self._or_shorter(found, barred)

    def routes(
        self,
        wanted: list[tuple[Stop, Stop, list[str], list[str]]],
        weight: Array | None = None,
        tight: bool = True,
    ) -> list[Route | None]:
        """`route` for many (start, goal, via, avoid): ways from one place with the same bars are
        found together.

        Those are left as the graph has them, not pulled tight, when `tight` is false.
        """
        g = self.graph
        together: dict[tuple[Stop, tuple[str, ...]], list[int]] = {}
        out: list[Route | None] = [None] * len(wanted)
        for k, (start, goal, via, avoid) in enumerate(wanted):
            if via:
                out[k] = self.route(start, goal, via, avoid, weight)
            else:
                together.setdefault((start, tuple(sorted(set(avoid)))), []).append(k)
        for (start, avoid_all), mine in together.items():
            if len(mine) < FEW:
                for k in mine:
                    out[k] = self.route(start, wanted[k][1], [], list(avoid_all), weight)
                continue
            a = g.stop_nodes[start]
            _, came = g.spread(a, g.open_weight(g.bars(list(avoid_all)), weight))
            for k in mine:
                nodes = way_back(came, a, g.stop_nodes[wanted[k][1]])
                out[k] = (
                    None
                    if nodes is None
                    else self.along(nodes, frozenset() if tight else frozenset(nodes))
                )
        return out

    def _or_shorter(self, best: Route, barred: Array) -> Route:
        """A way that is shorter once it is pulled tight, past another edge or corner.

        The graph's points stand apart, so that of two ways nearly as long the wrong one may be
        found: each edge and corner the way goes over is barred in turn.
        """
        g = self.graph
        start, goal = best.nodes[0], best.nodes[-1]
        groups: dict[tuple[FaceKey, ...] | int, list[int]] = {}
        for n in best.nodes[1:-1]:
            keys = g.faces[n]
            if len(keys) > 1:
                groups[keys] = g.nodes_between(keys)
            elif keys:
                groups[n] = [n]
        for nodes in groups.values():
            weight = g.open_weight(barred).copy()
            for n in nodes:
                weight[g.edge[g.first[n] : g.first[n + 1]]] = np.inf
            other = g.shortest(start, goal, weight)
            if other is not None and g.cost[g.edges_along(other)].sum() < NEARLY * best.length_mm:
                tried = self.along(other)
                if tried.length_mm < best.length_mm - TIGHT_MM:
                    best = tried
        return best

    def along(self, nodes: list[int], held: frozenset[int] = frozenset()) -> Route:
        """The route over given nodes of the graph, pulled tight but for those `held` in place."""
        g = self.graph
        x = g.points[nodes].copy()
        stuck = pull_tight(x, [g.slide[i] for i in nodes], self._slides(nodes, held))
        route = self._legs(nodes, x)
        return self._refined(route) if stuck and not held else route

    def _refined(self, route: Route) -> Route:
        """The route with its stretches over straight faces as short as they can be near by."""
        legs: list[Leg] = []
        chain: list[Leg] = []
        for leg in [*route.legs, None]:
            if leg is not None and leg.face is not None and not leg.square:
                chain.append(leg)
                continue
            legs += self._shorter(chain)
            chain = []
            if leg is not None:
                legs.append(leg)
        total = sum(leg.length_mm for leg in legs)
        return Route(tuple(legs), total, route.joints, route.spaces, route.nodes)

    def _shorter(self, chain: list[Leg]) -> list[Leg]:
        faces = [leg.face for leg in chain if leg.face is not None]
        if len(set(faces)) < FEW_FACES:
            return chain
        x = np.array([chain[0].points[0], *(leg.points[-1] for leg in chain)])
        for _ in range(REFINES):
            x, faces = refined(self.ways, x, faces, self.graph.corners())
            slide, pairs = edges_between(self.ways, x, faces)
            if not pull_tight(x, slide, pairs):
                break
        steps = np.linalg.norm(np.diff(x, axis=0), axis=1).tolist()
        return [
            Leg("face", key[0], x[k : k + 2], steps[k], key)
            for k, key in enumerate(faces)
            if steps[k] > TIGHT_MM
        ]

    def _slides(self, nodes: list[int], held: frozenset[int]) -> list[tuple[Patch, Patch] | None]:
        """The two faces each crossing joins, or None where the point must stay."""
        g = self.graph
        out: list[tuple[Patch, Patch] | None] = [None] * len(nodes)
        for i in range(1, len(nodes) - 1):
            if g.slide[nodes[i]] < 0 or nodes[i] in held:
                continue
            before = set(g.faces[nodes[i]]) & set(g.faces[nodes[i - 1]])
            after = set(g.faces[nodes[i]]) & set(g.faces[nodes[i + 1]])
            pair = [(f, h) for f in sorted(before) for h in sorted(after) if f != h]
            if pair:
                out[i] = (self.ways.patches[pair[0][0]], self.ways.patches[pair[0][1]])
        return out

    def _legs(self, nodes: list[int], x: Array) -> Route:
        g = self.graph
        legs: list[Leg] = []
        edges = g.edges_along(nodes)
        steps = np.linalg.norm(np.diff(x, axis=0), axis=1).tolist()
        on = g.edge_face[edges].tolist()
        for k, e in enumerate(edges.tolist()):
            if on[k] >= 0:
                face = g.face_names[on[k]]
                square = face[0] in self._square
                legs.append(Leg("face", face[0], x[k : k + 2], steps[k], face, None, square))
            elif e < len(g.rows):
                legs.append(self._special(e, nodes[k], x[k : k + 2]))
        total = sum(leg.length_mm for leg in legs)
        joints = tuple(leg.where for leg in legs if leg.kind in JOINTS)
        spaces = tuple(dict.fromkeys(leg.where for leg in legs if leg.kind in ("face", "free")))
        return Route(tuple(legs), total, joints, spaces, tuple(nodes))

    def _special(self, e: int, start: int, points: Array) -> Leg:
        """A leg that is no step on a face, in the order it is gone."""
        row = self.graph.rows[e]
        if row.kind in JOINTS:
            return Leg(row.kind, row.where, points, self._joint_length[row.where])
        if row.points is not None:
            points = row.points if row.ends[0] == start else row.points[::-1]
        return Leg(row.kind, row.where, points, row.length, None, row.given_up)


def edges_between(
    ways: Ways, x: Array, faces: list[FaceKey]
) -> tuple[list[int], list[tuple[Patch, Patch] | None]]:
    """For each point of a way over faces the axis it may slide along (-1 for none), and the two
    faces it lies between.
    """
    slide, pairs = [NO_AXIS], list[tuple[Patch, Patch] | None]([None])
    for k in range(1, len(x) - 1):
        p, q = ways.patches[faces[k - 1]], ways.patches[faces[k]]
        crosses = p.axis != q.axis
        slide.append(3 - p.axis - q.axis if crosses else NO_AXIS)
        pairs.append((p, q) if crosses else None)
    return [*slide, NO_AXIS], [*pairs, None]


def pull_tight(x: Array, slide: list[int], faces: list[tuple[Patch, Patch] | None]) -> bool:
    """Slide edge crossings, in place, to where the route is shortest for its sequence of edges.
    True when something blocked held one of them up at the end.

    Between two faces laid flat the straight line crosses the edge at the mean of its neighbours'
    places along the edge, weighted by the other's distance from the edge. A move that would cut
    through something blocked is not made.
    """
    moving = [i for i in range(1, len(x) - 1) if faces[i] is not None]
    held = False
    for _ in range(MAX_PULLS):
        most, held = 0.0, False
        for i in moving:
            pair = faces[i]
            if pair is None:
                continue
            k = slide[i]
            p, q = pair
            u, v = p.axis, q.axis  # the two axes across the edge
            before, here, after = x[i - 1], x[i], x[i + 1]
            da = ((before[u] - here[u]) ** 2 + (before[v] - here[v]) ** 2) ** 0.5
            db = ((after[u] - here[u]) ** 2 + (after[v] - here[v]) ** 2) ** 0.5
            if da + db < 1e-12:
                continue
            j = p.others.index(k)
            t = min(
                max(float((before[k] * db + after[k] * da) / (da + db)), float(p.low[j])),
                float(p.high[j]),
            )
            if abs(t - here[k]) < TIGHT_MM:
                continue
            new = here.copy()
            new[k] = t
            if p.sees_one(p.flat(before), p.flat(new)) and q.sees_one(q.flat(new), q.flat(after)):
                most = max(most, abs(t - float(here[k])))
                x[i] = new
            else:
                held = True
        if most < TIGHT_MM:
            break
    return held
