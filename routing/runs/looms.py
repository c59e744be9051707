"""Shared runs: which cables run together, at the least whole cost, and how far from best at most.

A run costs something once (supports, labour, holes) however many cables lie in it; each cable
costs by its own length. That is uncapacitated network design with fixed charges. The bound is dual
ascent (Balakrishnan, Magnanti and Wong, "A dual-ascent procedure for large-scale uncapacitated
network design", Operations Research 37, 1989); the plan is found by slope scaling and by re-laying
one cable and leaving out one run at a time; small cases are closed by a whole-number program.
Work is counted in
shortest ways laid; the whole-number program is given a number of branches, and no problem larger
than it can be trusted to end on.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from layout.geometry.frames import Array, Ints
from layout.geometry.kernels import kernel
from layout.known import Known, mark
from layout.passage.work import Work
from routing.errors import RoutingError
from routing.runs.exact import Arcs, closed
from routing.ways.shortest import NO_NODE, neighbours, spread

SCALINGS: Final = 12  # rounds of slope scaling
MOST_PASSES: Final = 20
EXACT_SIZE: Final = 18_000  # demands x runs a whole-number program is tried on
USUAL_WORK: Final = 400_000  # shortest ways laid
ASCENT_COST: Final = 0.25  # of a way laid: raising one cut once
MOST_PLANS: Final = 32  # kept
CLOSE: Final = 1e-4
STALE: Final = 12  # steps without a better bound before they are halved


@dataclass(frozen=True, slots=True, eq=False)
class RunGraph:
    """Places joined by possible runs: `ends` (m, 2), `length_mm` (m,), `fixed` cost (m,)."""

    nodes: int
    ends: Ints
    length_mm: Array
    fixed: Array


@dataclass(frozen=True, slots=True, eq=False)
class Demand:
    """A cable from `start` to `goal` at a price a mm; `barred` are runs (indices) it cannot use."""

    start: int
    goal: int
    price_per_mm: float
    barred: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class LoomPlan:
    """The runs each demand uses in order, the whole cost, its bound, and the cost of every cable
    by its own shortest way.
    """

    paths: tuple[Ints, ...]
    cost: float
    bound: float
    alone: float

    @property
    def gap(self) -> float:
        """How far above the bound the cost is, as a share of it; 0 is proven best."""
        return max(0.0, (self.cost - self.bound) / self.cost) if self.cost > 0 else 0.0

    @property
    def saving(self) -> float:
        """What sharing saves against every cable by its own shortest way."""
        return self.alone - self.cost


_PLANS: Final[Known[LoomPlan]] = Known(MOST_PLANS)


def plan_looms(graph: RunGraph, demands: list[Demand], allowed: Work | None = None) -> LoomPlan:
    """The cheapest sharing found and a proven bound. Raises RoutingError where there is no way."""
    allowed = Work(USUAL_WORK) if allowed is None else allowed
    key = mark(graph, demands, allowed.allowed)
    return _PLANS.of(key, lambda: _planned(graph, demands, allowed), lambda: not allowed.ended())


def _planned(graph: RunGraph, demands: list[Demand], allowed: Work) -> LoomPlan:
    run = (
        np.array([d.price_per_mm for d in demands])[:, None] * graph.length_mm[None]
        if demands
        else np.zeros((0, len(graph.ends)))
    )
    for k, d in enumerate(demands):
        run[k, list(d.barred)] = np.inf
    first, to, edge = neighbours(graph.nodes, graph.ends)
    starts, goals = (
        np.array([demand.start for demand in demands], dtype=np.int64),
        np.array([d.goal for d in demands], dtype=np.int64),
    )
    net = (first, to, edge, graph.fixed, run, starts, goals)
    alone = _lay_all(net, run + 1e-9 * graph.length_mm)
    alone_cost = _cost(alone, graph.fixed, run)
    best, cost = alone, alone_cost
    weight = run.copy()
    for _ in range(SCALINGS):
        users = np.zeros(len(graph.ends))
        for p in best:
            users[p] += 1
        weight = run + graph.fixed / np.maximum(users, 0.5)
        tried = _improve(net, _lay_all(net, weight), allowed)
        c = _cost(tried, graph.fixed, run)
        if c < cost - 1e-9:
            best, cost = tried, c
        elif _ >= 2 or allowed.done:
            break
    bound, slack = _ascend(net, graph.nodes, allowed)
    open_cost = np.where(slack <= 1e-9, 0.0, graph.fixed)
    tried = _improve(net, _lay_all(net, run + open_cost + 1e-9), allowed)
    c = _cost(tried, graph.fixed, run)
    if c < cost - 1e-9:
        best, cost = tried, c
    if cost > bound * (1 + CLOSE) and run.size > EXACT_SIZE:
        bound = max(bound, _priced_bound(net, best, cost, allowed))
    if cost > bound + 1e-6 and run.size <= EXACT_SIZE and not allowed.done:
        bound, best = _exact(net, graph.nodes, best, cost, bound)
        cost = _cost(best, graph.fixed, run)
    return LoomPlan(tuple(best), cost, min(bound, cost), max(alone_cost, cost))


def _lay(first: Ints, to: Ints, edge: Ints, weight: Array, start: int, goal: int) -> Ints:
    """The runs of the shortest way in order. Raises RoutingError when there is none."""
    _, source, by = spread(first, to, edge, weight, start, goal)
    out: list[int] = []
    node = goal
    while node != start:
        if by[node] == NO_NODE:
            raise RoutingError("a cable has no way over these runs")
        out.append(int(by[node]))
        node = int(source[node])
    return np.array(out[::-1], dtype=np.int64)


Net = tuple[Ints, Ints, Ints, Array, Array, Ints, Ints]


def _lay_all(net: Net, weight: Array) -> list[Ints]:
    first, to, edge, _, _, starts, goals = net
    return [
        _lay(first, to, edge, weight[k], int(starts[k]), int(goals[k])) for k in range(len(starts))
    ]


def _cost(paths: list[Ints], fixed: Array, run: Array) -> float:
    used = np.zeros(len(fixed), dtype=bool)
    total = 0.0
    for k, p in enumerate(paths):
        used[p] = True
        total += float(run[k, p].sum())
    return total + float(fixed[used].sum())


def _improve(net: Net, paths: list[Ints], work: Work) -> list[Ints]:  # noqa: C901, PLR0912
    """Re-lay one cable at a time, then leave out one run at a time, while that is cheaper."""
    first, to, edge, fixed, run, starts, goals = net
    paths = list(paths)
    users = np.zeros(len(fixed), dtype=np.int64)
    for p in paths:
        users[p] += 1
    for _ in range(MOST_PASSES):
        saved = 0.0
        for k in range(len(paths)):
            users[paths[k]] -= 1
            weight = run[k] + np.where(users > 0, 0.0, fixed) + 1e-9
            new = _lay(first, to, edge, weight, int(starts[k]), int(goals[k]))
            saved += float(weight[paths[k]].sum() - weight[new].sum())
            paths[k] = new
            users[new] += 1
        work.spend(len(paths))
        if work.done or saved < 1e-6:
            break
    lies: dict[int, set[int]] = {}
    for k, p in enumerate(paths):
        for e in p.tolist():
            lies.setdefault(e, set()).add(k)
    for e in np.argsort(
        np.where(users > 0, users - fixed / (fixed.max(initial=1e-9) + 1e-9), np.inf)
    ).tolist():
        if users[e] == 0:
            continue
        if work.done:
            break
        moved = sorted(lies[e])
        work.spend(len(moved))
        count = users.copy()
        touched = np.unique(np.concatenate([paths[k] for k in moved]))
        for k in moved:
            count[paths[k]] -= 1
        before = sum(float(run[k, paths[k]].sum()) for k in moved) + float(
            fixed[touched[count[touched] == 0]].sum()
        )
        after = 0.0
        laid: dict[int, Ints] = {}
        try:
            for k in moved:
                weight = run[k] + np.where(count > 0, 0.0, fixed) + 1e-9
                weight[e] = np.inf
                laid[k] = _lay(first, to, edge, weight, int(starts[k]), int(goals[k]))
                after += float(weight[laid[k]].sum())
                count[laid[k]] += 1
                if after > before:
                    break
        except RoutingError:
            continue  # this run is the only way for one of them: it stays
        if after < before - 1e-6 and len(laid) == len(moved):
            users = count
            for k, p in laid.items():
                for old in paths[k].tolist():
                    lies[old].discard(k)
                for new_edge in p.tolist():
                    lies.setdefault(new_edge, set()).add(k)
                paths[k] = p
    return paths


def _ascend(net: Net, nodes: int, work: Work) -> tuple[float, Array]:
    """(bound, what is left of each run's fixed cost): cuts round goals raised in turn."""
    first, to, edge, fixed, run, starts, goals = net
    count = len(starts)
    tail = np.repeat(np.arange(nodes), np.diff(first))
    slack = fixed.copy()
    left = np.empty((count, len(to)))
    bound = 0.0
    inside = np.zeros((count, nodes), dtype=np.bool_)
    for k in range(count):
        far, _, _ = spread(first, to, edge, run[k], int(goals[k]), NO_NODE)
        bound += far[starts[k]]
        far = np.where(np.isfinite(far), far, 1e15)
        with np.errstate(invalid="ignore"):
            left[k] = np.maximum(
                0.0, run[k][edge] + far[to] - far[tail]
            )  # the arc from tail to `to`, towards the goal
        inside[k, goals[k]] = True
    active = np.ones(count, dtype=np.bool_)
    work.spend(count)
    while active.any() and not work.done:
        work.spend(max(1, int(ASCENT_COST * active.sum())))
        bound += _raise_once(tail, to, edge, slack, left, inside, starts, active)
    return float(bound), slack


@kernel
def _raise_once(
    tail: Ints,
    to: Ints,
    edge: Ints,
    slack: Array,
    left: Array,
    inside: NDArray[np.bool_],
    starts: Ints,
    active: NDArray[np.bool_],
) -> float:
    """Raise each demand's cut once, as far as the arcs into it allow; the sum of the raises."""
    total = 0.0
    for k in range(len(starts)):
        if not active[k]:
            continue
        mine = inside[k]
        if mine[starts[k]]:
            active[k] = False
            continue
        step = np.inf
        for a in range(len(tail)):
            if mine[to[a]] and not mine[tail[a]]:
                room = left[k, a] if left[k, a] > 1e-12 else slack[edge[a]]
                step = min(step, room)
        if step == np.inf:
            active[k] = False
            continue
        for a in range(len(tail)):
            if mine[to[a]] and not mine[tail[a]]:
                if left[k, a] > 1e-12:
                    left[k, a] -= step
                else:
                    slack[edge[a]] -= step
        grown = False
        for a in range(len(tail)):
            if (
                mine[to[a]]
                and not mine[tail[a]]
                and left[k, a] <= 1e-12
                and slack[edge[a]] <= 1e-12
            ):
                mine[tail[a]] = True
                grown = True
        total += step
        if not grown and step <= 0:
            continue
    return total


def _priced_bound(net: Net, best: list[Ints], cost: float, work: Work) -> float:
    """A bound by sharing out each run's fixed cost among the demands and laying each by itself,
    the shares improved by subgradient steps.

    For any shares w >= 0: sum of shortest ways at run + w, plus min(0, fixed - sum of shares) over
    the runs. Source of the steps: Held, Wolfe and Crowder, "Validation of subgradient
    optimization", Mathematical Programming 6, 1974.
    """
    first, to, edge, fixed, run, starts, goals = net
    count, m = run.shape
    share = np.zeros((count, m))
    users = np.zeros(m)
    for k, p in enumerate(best):
        share[k, p] = 1.0
        users[p] += 1
    share = np.where(users > 0, share / np.maximum(users, 1), 1.0 / count) * fixed
    bound, scale, stale = 0.0, 1.0, 0
    while not work.done and scale > 1e-3:
        work.spend(count)
        over = fixed - share.sum(axis=0)
        step = np.zeros((count, m))
        value = float(np.minimum(over, 0.0).sum())
        for k in range(count):
            path = _lay(first, to, edge, run[k] + share[k], int(starts[k]), int(goals[k]))
            value += float((run[k] + share[k])[path].sum())
            step[k, path] = 1.0
        step -= (over < 0).astype(np.float64)
        if value > bound + 1e-9 * cost:
            bound, stale = value, 0
        else:
            stale += 1
            if stale >= STALE:
                scale, stale = scale / 2, 0
        norm = float((step**2).sum())
        if norm < 1e-9 or bound >= cost - 1e-9:
            break
        share = np.maximum(0.0, share + scale * (cost - value) / norm * step)
    return bound


def _exact(
    net: Net, nodes: int, best: list[Ints], cost: float, bound: float
) -> tuple[float, list[Ints]]:
    """(bound, paths): a small problem closed, or as near as its branches allow."""
    first, to, edge, fixed, run, starts, goals = net
    arcs = Arcs(nodes, np.repeat(np.arange(nodes), np.diff(first)), to, edge)
    proven, opened = closed(arcs, fixed, run, (starts, goals), cost)
    bound = max(bound, min(proven, cost))
    if opened is not None:
        tried = _lay_all(net, run + np.where(opened, 1e-9, np.inf))
        if _cost(tried, fixed, run) < cost - 1e-9:
            return bound, tried
    return bound, best
