"""From routes of single cables to shared runs: the graph they are chosen on, the routes after."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from layout.boat.parts import Boat
from layout.geometry.frames import Array, Ints
from layout.geometry.kernels import kernel
from layout.job.job_file import RatesModel
from layout.passage.work import Work
from routing.runs.chains import chained
from routing.runs.looms import Demand, LoomPlan, RunGraph, plan_looms
from routing.ways.distances import SUPPORT_MM
from routing.ways.routes import Leg, Route, Router
from routing.ways.shortest import neighbours, way_back
from routing.ways.ways import FaceKey

MOST_ANCHORS: Final = 120
NEARLY_MM: Final = (
    1.0  # a straight edge this little shorter than its way over another point is left out
)


@dataclass(frozen=True, slots=True, eq=False)
class Sharing:
    """The routes with runs shared, and what the plan says of itself."""

    routes: tuple[Route, ...]
    plan: LoomPlan


def joint_costs(boat: Boat, rates: RatesModel, needs_edging: frozenset[str]) -> dict[str, float]:
    """What using each hole and pipe costs once: edging, and the work of getting through."""
    minute = rates.hour / 60
    out = {
        hole.key: rates.hole_minutes * minute
        + (rates.edging + rates.edging_minutes * minute if hole.key in needs_edging else 0.0)
        for hole in boat.holes.values()
    }
    out |= {
        pipe.key: (rates.pipe_minutes + (0.0 if pipe.pull_string else rates.no_string_minutes))
        * minute
        for pipe in boat.pipes.values()
    }
    return out | dict.fromkeys(boat.trays, rates.hole_minutes * minute)


def run_price_per_mm(rates: RatesModel) -> float:
    """What a millimetre of run costs once, however many cables lie in it: clips and fixing."""
    return (rates.clip + rates.clip_minutes * rates.hour / 60) / SUPPORT_MM


def share(
    router: Router,
    routes: list[Route],
    price_per_mm: list[float],
    barred: list[list[str]],
    joints: dict[str, float],
    rates: RatesModel,
    weight: Array | None = None,
    work: Work | None = None,
) -> Sharing:
    """Runs for cables that have a route each. `weight` is what edges cost a data lead. Raises
    RoutingError.
    """
    g = router.graph
    chosen = _places(router, routes)
    number = np.full(len(g.points), -1)
    number[chosen] = np.arange(len(chosen))
    inside = (number[g.ends] >= 0).all(axis=1)
    edges = np.flatnonzero(inside)
    ends = number[g.ends[edges]]
    length = (g.cost if weight is None else weight)[edges]
    held = np.zeros(len(g.ends), dtype=bool)
    for route in routes:
        held[g.edges_along(route.nodes)] = True
    first, to, edge = neighbours(len(chosen), ends)
    keep = held[edges] | _needed(first, to, edge, length, ends, NEARLY_MM)
    edges, ends, length = edges[keep], ends[keep], length[keep]
    metre = run_price_per_mm(rates)
    fixed = np.where(g.edge_face[edges] >= 0, metre * g.length[edges], 0.0)
    for k, e in enumerate(edges):
        if g.edge_joint[e] >= 0:
            fixed[k] = joints.get(g.joint_names[int(g.edge_joint[e])], 0.0)
    graph = RunGraph(len(chosen), ends, length, fixed)
    special = [(k, int(e)) for k, e in enumerate(edges) if e < len(g.rows)]
    ends_of = {k: {int(n) for n in g.ends[e] if g.is_stop[n]} for k, e in special}
    demands = []
    for r, price, bars in zip(routes, price_per_mm, barred, strict=True):
        own = {r.nodes[0], r.nodes[-1]}
        out = [
            k
            for k, e in special
            if not ends_of[k] <= own  # a terminal is no stepping stone
            or (bars and g.edge_joint[e] >= 0 and g.joint_names[int(g.edge_joint[e])] in bars)
        ]
        demands.append(Demand(int(number[r.nodes[0]]), int(number[r.nodes[-1]]), price, tuple(out)))
    small = chained(graph, demands)
    plan = plan_looms(small.graph, small.demands, work)
    paths = [small.whole(p, d) for p, d in zip(plan.paths, small.demands, strict=True)]
    walks = [_walk(graph, path, d) for path, d in zip(paths, demands, strict=True)]
    still = _held(walks)
    return Sharing(
        tuple(
            router.along([int(chosen[i]) for i in w], frozenset(int(chosen[i]) for i in still))
            for w in walks
        ),
        plan,
    )


def _places(router: Router, routes: list[Route]) -> Ints:
    """The nodes runs may branch at: those of the routes, and of the ways between the ends and
    holes they share.
    """
    g = router.graph
    wanted = {n for r in routes for n in r.nodes}
    uses: dict[int, int] = {}
    for route in routes:
        for n in (route.nodes[0], route.nodes[-1]):
            uses[n] = uses.get(n, 0) + 1
    used = {joint for r in routes for joint in r.joints}
    anchors = [e for j in sorted(used) for e in g.joint_ends[j]] + sorted(
        uses, key=lambda n: -uses[n]
    )
    anchors = list(dict.fromkeys(anchors))[:MOST_ANCHORS]
    all_shut = np.ones(len(g.joint_names) + 1)
    all_shut[-1] = 0.0
    in_space = g.open_weight(all_shut)
    for i, a in enumerate(anchors):
        far, came = g.spread_near(a, in_space)
        for b in anchors[i + 1 :]:
            if np.isfinite(far[b]):
                wanted |= set(way_back(came, a, b) or [])
    return np.array(sorted(wanted), dtype=np.int64)


@kernel
def _needed(
    first: Ints, to: Ints, edge: Ints, length: Array, ends: Ints, nearly: float
) -> NDArray[np.bool_]:
    """False for edges that are as good as a chain of two others."""
    out = np.ones(len(ends), dtype=np.bool_)
    mark = np.full(len(first) - 1, -1.0)
    for e in range(len(ends)):
        a, b = ends[e, 0], ends[e, 1]
        for p in range(first[a], first[a + 1]):
            if edge[p] != e:
                mark[to[p]] = length[edge[p]]
        for p in range(first[b], first[b + 1]):
            w = to[p]
            if (
                edge[p] != e
                and mark[w] >= 0
                and w != a
                and mark[w] + length[edge[p]] <= length[e] + nearly
                and max(mark[w], length[edge[p]]) < length[e]
            ):
                out[e] = False
                break
        for p in range(first[a], first[a + 1]):
            mark[to[p]] = -1.0
    return out


def _walk(graph: RunGraph, path: Ints, demand: Demand) -> list[int]:
    node, out = demand.start, [demand.start]
    for pose in path:
        a, b = graph.ends[pose]
        node = int(b) if node == a else int(a)
        out.append(node)
    return out


def _held(walks: list[list[int]]) -> set[int]:
    """Where runs branch: these places stay while the pieces between are pulled tight."""
    beside: dict[int, set[int]] = {}
    tips: set[int] = set()
    for w in walks:
        tips |= {w[0], w[-1]}
        for a, b in zip(w, w[1:], strict=False):
            beside.setdefault(a, set()).add(b)
            beside.setdefault(b, set()).add(a)
    return tips | {n for n, s in beside.items() if len(s) > 2}


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """A stretch in one space with the same cables in it all along."""

    where: str  # the key of the space or joint
    kind: str  # "face", "hole", "pipe", "tray", "free", "outside"
    face: FaceKey | None
    cables: tuple[int, ...]  # indices into the routes
    length_mm: float
    points: Array


def runs(routes: list[Route | None]) -> list[Run]:
    """All stretches of all routes, each told once with the cables that lie in it."""
    found: dict[tuple[float, ...], tuple[Leg, list[int]]] = {}
    for k, route in enumerate(routes):
        for leg in route.legs if route is not None else ():
            if leg.length_mm < 1e-6:
                continue
            a, b = leg.points[0].round(0), leg.points[-1].round(0)
            ends = (*min(tuple(a), tuple(b)), *max(tuple(a), tuple(b)))
            key = (*(float(v) for v in ends), float(leg.kind == "free"))
            mine = found.setdefault(key, (leg, []))[1]
            if k not in mine:
                mine.append(k)
    out: list[Run] = []
    for leg, cables in found.values():
        last = out[-1] if out else None
        goes_on = (
            last is not None
            and last.kind == leg.kind == "face"
            and last.where == leg.where
            and last.cables == tuple(cables)
            and np.linalg.norm(last.points[-1] - leg.points[0]) < 1.0
        )
        if goes_on and last is not None:
            points = np.vstack([last.points, leg.points[1:]])
            length = last.length_mm + leg.length_mm
            out[-1] = Run(leg.where, leg.kind, last.face, last.cables, length, points)
        else:
            out.append(Run(leg.where, leg.kind, leg.face, tuple(cables), leg.length_mm, leg.points))
    return out
