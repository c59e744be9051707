"""The cheapest tree that joins given points of a graph, with a proven bound.

Shortest-path heuristic and exchange of branching points for the tree; dual ascent for the bound
(Wong, "A dual ascent approach for Steiner tree problems on a directed graph", Mathematical
Programming 28, 1984); reduced costs strike out edges; what gap is left is closed by cuts over the
linear and then the whole-number program (HiGHS through scipy).
"""

from dataclasses import dataclass
from time import perf_counter
from typing import Final

import numpy as np
from numba import njit
from numpy.typing import NDArray
from scipy.optimize import LinearConstraint, linprog, milp
from scipy.sparse import coo_array, csr_array, vstack
from scipy.sparse.csgraph import (
    breadth_first_order,
    connected_components,
    dijkstra,
    maximum_flow,
    minimum_spanning_tree,
)

from layout.geometry.frames import Array, Ints
from routing.errors import RoutingError

TINY: Final = 1e-9
FLOW_STEPS: Final = 1_000_000  # the flow solver counts in whole numbers: a share of 1 is this many
STARTS: Final = 40  # terminals the shortest-path heuristic is begun from
CUTS_A_ROUND: Final = 60


@dataclass(frozen=True, slots=True, eq=False)
class Tree:
    """The tree's edges (indices), its cost, and the cost no tree can be below."""

    edges: Ints
    cost: float
    bound: float

    @property
    def proven_best(self) -> bool:
        """True when the bound meets the cost."""
        return self.cost <= self.bound + 1e-6


def steiner_tree(
    nodes: int, ends: Ints, cost: Array, terminals: Ints, seconds: float = 10.0
) -> Tree:
    """The cheapest tree over `terminals`. `ends` (m, 2), `cost` (m,) not below zero.

    Raises RoutingError when the points do not hang together.
    """
    terminals = np.unique(terminals)
    if len(terminals) < 2:
        return Tree(np.zeros(0, dtype=np.int64), 0.0, 0.0)
    until = perf_counter() + seconds
    whole = bool(np.all(np.abs(cost - np.round(cost)) < TINY))
    keep = _no_detours(nodes, ends, cost)
    e, c = ends[keep], cost[keep]
    best = _shortest_path_tree(nodes, e, c, terminals, c)
    if best is None:
        raise RoutingError(
            "these points cannot all be joined: a hole or pipe is missing between their spaces"
        )
    best = _exchange(nodes, e, c, terminals, best, until)
    bound = 0.0
    cuts: list[NDArray[np.bool_]] = []
    for root in terminals[: max(1, min(len(terminals), 8))]:
        found, reduced, mine = _dual_ascent(nodes, e, c, terminals, int(root))
        cuts = mine if found > bound else cuts
        bound = max(bound, found)
        tried = _shortest_path_tree(
            nodes, e, c, terminals, np.minimum(reduced[: len(e)], reduced[len(e) :]) + 1e-6 * c
        )
        if tried is not None:
            tried = _exchange(nodes, e, c, terminals, tried, until)
            if c[tried].sum() < c[best].sum() - TINY:
                best = tried
        if _closed(bound, float(c[best].sum()), whole):
            break
        left = _worth_keeping(
            nodes, e, c, terminals, int(root), found, reduced, float(c[best].sum()), whole
        )
        left[best] = True
        if not left.all():
            number = np.cumsum(left) - 1
            best, e, c = number[best], e[left], c[left]
            keep = keep[left]
            cuts = []
    if not _closed(bound, float(c[best].sum()), whole) and perf_counter() < until:
        bound, best = _cut_and_solve(nodes, e, c, terminals, best, bound, cuts, whole, until)
    total = float(c[best].sum())
    return Tree(
        keep[best],
        total,
        total
        if _closed(bound, total, whole)
        else (float(np.ceil(bound - 1e-6)) if whole else bound),
    )


def _closed(bound: float, cost: float, whole: bool) -> bool:
    """True when no tree can be cheaper: by less than one, where all costs are whole."""
    return bound > cost - 1 + 1e-6 if whole else bound >= cost - 1e-7 * max(1.0, cost)


def _graph(nodes: int, ends: Ints, cost: Array) -> csr_array:
    c = np.maximum(cost, 1e-12)  # csgraph takes an explicit zero for "no edge"
    both = coo_array(
        (
            np.concatenate([c, c]),
            (np.concatenate([ends[:, 0], ends[:, 1]]), np.concatenate([ends[:, 1], ends[:, 0]])),
        ),
        shape=(nodes, nodes),
    )
    return both.tocsr()


def _no_detours(nodes: int, ends: Ints, cost: Array) -> Ints:
    """Edges (indices) that are no longer than every other way between their ends; one of equals."""
    order = np.lexsort((cost, ends.max(axis=1), ends.min(axis=1)))
    low, high = ends.min(axis=1)[order], ends.max(axis=1)[order]
    first = np.ones(len(order), dtype=bool)
    first[1:] = (low[1:] != low[:-1]) | (high[1:] != high[:-1])
    keep = order[first & (low != high)]
    far = dijkstra(_graph(nodes, ends[keep], cost[keep]), directed=False)
    return np.sort(keep[cost[keep] <= far[ends[keep, 0], ends[keep, 1]] + TINY])


def _shortest_path_tree(
    nodes: int, ends: Ints, cost: Array, terminals: Ints, weight: Array, starts: int = STARTS
) -> Ints | None:
    """The best tree (edge indices) grown from several terminals, always to the nearest left."""
    graph = _graph(nodes, ends, weight)
    far, came = dijkstra(graph, directed=False, indices=terminals, return_predecessors=True)
    if not np.isfinite(far[:, terminals]).all():
        return None
    best: Ints | None = None
    for start in range(min(len(terminals), starts)):
        inside = np.zeros(nodes, dtype=bool)
        inside[terminals[start]] = True
        at = np.full(len(terminals), terminals[start])
        reach = far[:, terminals[start]].copy()
        todo = np.ones(len(terminals), dtype=bool)
        todo[start] = False
        while todo.any():
            t = int(np.argmin(np.where(todo, reach, np.inf)))
            node = int(at[t])
            while node != terminals[t]:
                inside[node] = True
                node = int(came[t, node])
                better = far[:, node] < reach
                reach = np.where(better, far[:, node], reach)
                at = np.where(better, node, at)
            inside[terminals[t]] = True
            todo[t] = False
        tree = _spanning(nodes, ends, cost, inside, terminals)
        if tree is not None and (best is None or cost[tree].sum() < cost[best].sum() - TINY):
            best = tree
    return best


def _spanning(
    nodes: int, ends: Ints, cost: Array, inside: NDArray[np.bool_], terminals: Ints
) -> Ints | None:
    """The cheapest tree over chosen points, its useless ends cut off; None when they do not hang
    together.
    """
    use = np.flatnonzero(inside[ends[:, 0]] & inside[ends[:, 1]])
    number = np.cumsum(inside) - 1
    n = int(inside.sum())
    e = number[ends[use]]
    rank = np.empty(len(use))
    rank[np.argsort(cost[use], kind="stable")] = np.arange(1, len(use) + 1)
    m = coo_array((rank, (e[:, 0], e[:, 1])), shape=(n, n)).tocsr()
    mst = minimum_spanning_tree(m).tocoo()
    if mst.nnz != n - 1:
        return None
    by_rank = use[np.argsort(rank, kind="stable")]
    tree = by_rank[np.round(mst.data).astype(np.int64) - 1]
    wanted = np.zeros(nodes, dtype=bool)
    wanted[terminals] = True
    while len(tree):
        degree = np.bincount(ends[tree].ravel(), minlength=nodes)
        loose = (degree == 1) & ~wanted
        bad = loose[ends[tree]].any(axis=1)
        if not bad.any():
            break
        tree = tree[~bad]
    return tree


def _exchange(
    nodes: int, ends: Ints, cost: Array, terminals: Ints, tree: Ints, until: float
) -> Ints:
    """Add or leave out one branching point at a time while that makes the tree cheaper."""
    fixed = np.zeros(nodes, dtype=bool)
    fixed[terminals] = True
    degree = np.bincount(ends.ravel(), minlength=nodes)
    better = True
    while better and perf_counter() < until:
        better = False
        inside = np.zeros(nodes, dtype=bool)
        inside[ends[tree].ravel()] = True
        for v in np.flatnonzero(~fixed & (degree > 1)):
            trial = inside.copy()
            trial[v] = not trial[v]
            if (
                trial[v]
                and np.count_nonzero(
                    inside[
                        np.where(ends[:, 0] == v, ends[:, 1], ends[:, 0])[(ends == v).any(axis=1)]
                    ]
                )
                < 2
            ):
                continue
            found = _spanning(nodes, ends, cost, trial, terminals)
            if found is not None and cost[found].sum() < cost[tree].sum() - TINY:
                tree, better = found, True
                inside[:] = False
                inside[ends[tree].ravel()] = True
            if perf_counter() > until:
                break
    return tree


def _dual_ascent(
    nodes: int, ends: Ints, cost: Array, terminals: Ints, root: int
) -> tuple[float, Array, list[NDArray[np.bool_]]]:
    """(bound, reduced cost of the arcs there and back, the cuts that were raised)."""
    tail, head = np.concatenate([ends[:, 0], ends[:, 1]]), np.concatenate([ends[:, 1], ends[:, 0]])
    order = np.argsort(head, kind="stable")
    first = np.searchsorted(head[order], np.arange(nodes + 1))
    goals = terminals[terminals != root]
    reduced = np.concatenate([cost, cost])
    room = np.zeros((20 * len(goals) + 200, nodes), dtype=np.bool_)
    bound, n = _raise_duals(nodes, tail[order], first, order, reduced, goals, root, room)
    return float(bound), reduced, [room[i] for i in range(min(n, len(room)))]


@njit(cache=True)
def _raise_duals(nodes, tail, first, arc, reduced, goals, root, room):  # type: ignore[no-untyped-def]  # noqa: C901, PLR0912
    """Raise cuts round goals not yet reached by arcs of no reduced cost, the thinnest cut first."""
    bound = 0.0
    kept = 0
    active = np.ones(len(goals), dtype=np.bool_)
    size = np.ones(len(goals))
    stack = np.empty(nodes, dtype=np.int64)
    while active.any():
        g = -1
        for k in range(len(goals)):
            if active[k] and (g < 0 or size[k] < size[g]):
                g = k
        inside = np.zeros(nodes, dtype=np.bool_)
        inside[goals[g]] = True
        stack[0] = goals[g]
        depth = 1
        reached = False
        while depth > 0 and not reached:
            depth -= 1
            v = stack[depth]
            for p in range(first[v], first[v + 1]):
                u = tail[p]
                if not inside[u] and reduced[arc[p]] <= 1e-12:
                    inside[u] = True
                    if u == root:
                        reached = True
                        break
                    stack[depth] = u
                    depth += 1
        if reached:
            active[g] = False
            continue
        count = 0
        least = np.inf
        for v in range(nodes):
            if inside[v]:
                for p in range(first[v], first[v + 1]):
                    if not inside[tail[p]]:
                        count += 1
                        least = min(least, reduced[arc[p]])
        other = np.inf
        for k in range(len(goals)):
            if active[k] and k != g and size[k] < other:
                other = size[k]
        if count > size[g] and count > other:
            size[g] = count
            continue
        size[g] = count
        if least == np.inf:
            return bound, kept
        for v in range(nodes):
            if inside[v]:
                for p in range(first[v], first[v + 1]):
                    if not inside[tail[p]]:
                        reduced[arc[p]] -= least
        bound += least
        if kept < len(room):
            room[kept] = inside
            kept += 1
    return bound, kept


def _worth_keeping(
    nodes: int,
    ends: Ints,
    cost: Array,
    terminals: Ints,
    root: int,
    bound: float,
    reduced: Array,
    best: float,
    whole: bool,
) -> NDArray[np.bool_]:
    """Edges that some tree as cheap as the best might still use."""
    m = len(ends)
    there, back = np.maximum(reduced[:m], 1e-12), np.maximum(reduced[m:], 1e-12)
    arcs = coo_array(
        (
            np.concatenate([there, back]),
            (np.concatenate([ends[:, 0], ends[:, 1]]), np.concatenate([ends[:, 1], ends[:, 0]])),
        ),
        shape=(nodes, nodes),
    ).tocsr()
    out = dijkstra(arcs, directed=True, indices=root)
    home = dijkstra(
        arcs.T.tocsr(), directed=True, indices=terminals[terminals != root], min_only=True
    )
    way = np.minimum(
        out[ends[:, 0]] + there + home[ends[:, 1]], out[ends[:, 1]] + back + home[ends[:, 0]]
    )
    limit = best - 1 + 1e-6 if whole else best - TINY
    return np.asarray(bound + way <= limit + 1e-6)


def _cut_and_solve(
    nodes: int,
    ends: Ints,
    cost: Array,
    terminals: Ints,
    best: Ints,
    bound: float,
    cuts: list[NDArray[np.bool_]],
    whole: bool,
    until: float,
) -> tuple[float, Ints]:
    """(bound, tree): the linear program with cuts added where it breaks them, then in whole
    numbers.
    """
    root = int(terminals[0])
    goals = terminals[1:]
    m = len(ends)
    tail, head = np.concatenate([ends[:, 0], ends[:, 1]]), np.concatenate([ends[:, 1], ends[:, 0]])
    price = np.concatenate([cost, cost])
    rows: list[csr_array] = []

    def add(inside: NDArray[np.bool_]) -> None:
        if not inside[root]:
            rows.append(csr_array((inside[head] & ~inside[tail]).astype(np.float64)[None]))

    for c in cuts:
        add(c)
    for g in goals:
        one = np.zeros(nodes, dtype=bool)
        one[g] = True
        add(one)
    in_whole = False
    while perf_counter() < until:
        if in_whole:
            found = milp(
                price,
                constraints=LinearConstraint(vstack(rows, format="csr"), lb=1.0),
                integrality=np.ones(2 * m),
                bounds=(0, 1),
                options={"time_limit": max(0.1, until - perf_counter())},
            )
            if found.x is None:
                break
            low = float(found.mip_dual_bound)
        else:
            found = linprog(
                price,
                A_ub=-vstack(rows, format="csr"),
                b_ub=-np.ones(len(rows)),
                bounds=(0, 1),
                method="highs",
            )
            low = float(found.fun)
        bound = max(bound, low)
        x = np.clip(found.x, 0, 1)
        tree = _from_shares(nodes, ends, cost, terminals, np.maximum(x[:m], x[m:]))
        if tree is not None and cost[tree].sum() < cost[best].sum() - TINY:
            best = tree
        if _closed(bound, float(cost[best].sum()), whole):
            break
        new = _broken_cuts(nodes, tail, head, x, root, goals)
        if not new:
            if in_whole:
                break
            in_whole = bool(np.any((x > 1e-6) & (x < 1 - 1e-6)))
            if not in_whole:
                break
        for c in new:
            add(c)
    return bound, best


def _from_shares(nodes: int, ends: Ints, cost: Array, terminals: Ints, share: Array) -> Ints | None:
    """A tree guided by how much of each edge the linear program takes."""
    return _shortest_path_tree(nodes, ends, cost, terminals, cost * (1 - share) + 1e-9, 2)


def _broken_cuts(
    nodes: int, tail: Ints, head: Ints, x: Array, root: int, goals: Ints
) -> list[NDArray[np.bool_]]:
    """Cuts between the root and goals that less than 1 flows over, found by maximum flow."""
    flow = np.round(x * FLOW_STEPS).astype(np.int32)
    on = flow > 0
    graph = coo_array((flow[on], (tail[on], head[on])), shape=(nodes, nodes)).tocsr()
    graph.sum_duplicates()
    groups = connected_components(graph, directed=False)[1]
    out: list[NDArray[np.bool_]] = []
    for g in goals:
        if groups[g] != groups[root]:
            side = groups == groups[g]
        else:
            got = maximum_flow(graph, root, int(g))
            if got.flow_value >= FLOW_STEPS - 50:
                continue
            left = graph - got.flow
            left.data = np.where(left.data > 0, left.data, 0)
            left.eliminate_zeros()
            reach = breadth_first_order(
                left.T.tocsr(), int(g), directed=True, return_predecessors=False
            )
            side = np.zeros(nodes, dtype=bool)
            side[reach] = True
        if not any(np.array_equal(side, o) for o in out):
            out.append(side)
        if len(out) >= CUTS_A_ROUND:
            break
    return out
