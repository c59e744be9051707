"""Runs without a branch taken as one: the same problem of shared runs with far fewer places.

A place where only two runs meet, and no cable ends, is no choice; a run that leads nowhere is none
either. Costs add up along a chain, so the best plan and every bound stay what they were.
"""

from dataclasses import dataclass, field

import numpy as np

from layout.geometry.frames import Ints
from routing.runs.looms import Demand, RunGraph


@dataclass(slots=True, eq=False)
class Chained:
    """The smaller problem; `chains` are the runs of the whole one in each of its runs, in order."""

    graph: RunGraph
    demands: list[Demand]
    chains: list[list[int]] = field(default_factory=list)

    def whole(self, path: Ints, demand: Demand) -> Ints:
        """A path of the smaller problem in the runs of the whole one."""
        node, out = demand.start, list[int]()
        for e in path.tolist():
            a, b = (int(v) for v in self.graph.ends[e])
            forward = node == a
            out += self.chains[e] if forward else self.chains[e][::-1]
            node = b if forward else a
        return np.array(out, dtype=np.int64)


def chained(graph: RunGraph, demands: list[Demand]) -> Chained:
    """The problem with its chains taken as one run each."""
    at: list[list[int]] = [[] for _ in range(graph.nodes)]
    for e, (a, b) in enumerate(graph.ends.tolist()):
        at[a].append(e)
        at[b].append(e)
    ends = {d.start for d in demands} | {d.goal for d in demands}
    alive = _without_dead_ends(graph, at, ends)
    degree = [sum(alive[e] for e in edges) for edges in at]
    stays = [n in ends or degree[n] > 2 for n in range(graph.nodes)]
    found: list[tuple[int, int, list[int]]] = []
    for n in range(graph.nodes):
        if stays[n]:
            for e in at[n]:
                if alive[e]:
                    chain, goal = _follow(graph, at, alive, stays, n, e)
                    if n < goal:  # a ring back to where it began is no way
                        found.append((n, goal, chain))
    return _made(graph, demands, found, stays)


def _without_dead_ends(graph: RunGraph, at: list[list[int]], ends: set[int]) -> list[bool]:
    """Which runs are left when those that lead nowhere are left out, one after another."""
    alive = [True] * len(graph.ends)
    degree = [len(edges) for edges in at]
    todo = [n for n in range(graph.nodes) if degree[n] == 1 and n not in ends]
    while todo:
        n = todo.pop()
        for e in at[n]:
            if alive[e]:
                alive[e] = False
                a, b = (int(v) for v in graph.ends[e])
                other = b if a == n else a
                degree[other] -= 1
                if degree[other] == 1 and other not in ends:
                    todo.append(other)
    return alive


def _follow(
    graph: RunGraph, at: list[list[int]], alive: list[bool], stays: list[bool], n: int, e: int
) -> tuple[list[int], int]:
    """(the runs of a chain from a place by one of its runs, the place it leads to)."""
    chain = [e]
    a, b = (int(v) for v in graph.ends[e])
    node = b if a == n else a
    while not stays[node]:
        e = next(x for x in at[node] if alive[x] and x != chain[-1])
        chain.append(e)
        a, b = (int(v) for v in graph.ends[e])
        node = b if a == node else a
    return chain, node


def _made(
    graph: RunGraph,
    demands: list[Demand],
    found: list[tuple[int, int, list[int]]],
    stays: list[bool],
) -> Chained:
    number = {n: k for k, n in enumerate(k for k, s in enumerate(stays) if s)}
    ends = np.array([[number[a], number[b]] for a, b, _ in found], dtype=np.int64).reshape(-1, 2)
    chains = [chain for _, _, chain in found]
    length = np.array([float(graph.length_mm[c].sum()) for c in chains])
    fixed = np.array([float(graph.fixed[c].sum()) for c in chains])
    where = {e: k for k, chain in enumerate(chains) for e in chain}
    smaller = [
        Demand(
            number[d.start],
            number[d.goal],
            d.price_per_mm,
            tuple(sorted({where[e] for e in d.barred if e in where})),
        )
        for d in demands
    ]
    return Chained(RunGraph(len(number), ends, length, fixed), smaller, chains)
