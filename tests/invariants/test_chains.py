"""Shared runs with chains taken as one: the same cost and bound as the whole problem."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from routing.runs.chains import chained
from routing.runs.looms import Demand, RunGraph, plan_looms


def grid(seed: int) -> tuple[RunGraph, list[Demand]]:
    """A small grid whose edges are cut into chains, with tails that lead nowhere."""
    rng = np.random.default_rng(seed)
    ends: list[list[int]] = []
    nodes = 9
    for i in range(3):
        for j in range(3):
            for di, dj in ((0, 1), (1, 0)):
                if i + di < 3 and j + dj < 3:
                    a, b = 3 * i + j, 3 * (i + di) + j + dj
                    for _ in range(int(rng.integers(0, 3))):
                        ends.append([a, nodes])
                        a, nodes = nodes, nodes + 1
                    ends.append([a, b])
    for _ in range(3):
        ends.append([int(rng.integers(0, 9)), nodes])
        nodes += 1
    m = len(ends)
    graph = RunGraph(nodes, np.array(ends), rng.uniform(10, 100, m), rng.uniform(0, 30, m))
    pairs = [rng.choice(9, 2, replace=False) for _ in range(4)]
    barred = (int(rng.integers(0, m)),)
    demands = [
        Demand(int(a), int(b), 1.0 + k / 3, barred if k == 0 else ())
        for k, (a, b) in enumerate(pairs)
    ]
    return graph, demands


@given(st.integers(0, 10**6))
@settings(max_examples=15)
def test_a_chain_changes_nothing(seed: int) -> None:
    graph, demands = grid(seed)
    small = chained(graph, demands)
    assert small.graph.nodes <= graph.nodes
    whole, less = plan_looms(graph, demands), plan_looms(small.graph, small.demands)
    assert less.cost == pytest.approx(whole.cost, rel=1e-6)
    for path, mine, d in zip(less.paths, small.demands, demands, strict=True):
        node = d.start
        for e in small.whole(path, mine).tolist():
            a, b = (int(v) for v in graph.ends[e])
            assert node in (a, b)
            assert e not in d.barred
            node = b if node == a else a
        assert node == d.goal
