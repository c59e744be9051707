"""Shared trunks against Steiner problems with published optima, and against trying every subset."""

import itertools
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmarks.looms import plan_tree, read_case
from routing.errors import RoutingError
from routing.runs.looms import Demand, RunGraph, plan_looms

# OR-Library set B (J. E. Beasley), with the optima published for it; see looms/README.md
SET_B = sorted((Path(__file__).parent / "looms").glob("*.stp"))


@pytest.mark.parametrize("path", SET_B, ids=lambda p: p.stem)
def test_set_b_is_solved_and_proven(path: Path) -> None:
    _, graph, demands, optimum = read_case(path)
    plan = plan_tree(graph, demands)
    assert optimum is not None
    assert plan.cost == pytest.approx(optimum)
    assert plan.bound == pytest.approx(optimum)
    used = np.unique(np.concatenate(plan.paths))
    assert graph.fixed[used].sum() == pytest.approx(optimum)
    for path_edges, d in zip(plan.paths, demands, strict=True):
        node = d.start
        for e in path_edges:
            a, b = graph.ends[e]
            node = b if node == a else a
        assert node == d.goal


def by_every_subset(graph: RunGraph, demands: list[Demand]) -> float:
    """The optimum by trying every set of trunks, shortest ways by Bellman and Ford's rounds."""
    best = np.inf
    m = len(graph.ends)
    for chosen in itertools.product((False, True), repeat=m):
        on = np.flatnonzero(chosen)
        total = float(graph.fixed[on].sum())
        for d in demands:
            far = np.full(graph.nodes, np.inf)
            far[d.start] = 0.0
            for _ in range(graph.nodes):
                for e in on:
                    a, b = graph.ends[e]
                    far[a], far[b] = (
                        min(far[a], far[b] + graph.length_mm[e]),
                        min(far[b], far[a] + graph.length_mm[e]),
                    )
            total += d.price_per_mm * far[d.goal]
        best = min(best, total)
    return best


@given(st.integers(0, 10_000))
def test_bound_and_plan_enclose_the_optimum(seed: int) -> None:
    rng = np.random.default_rng(seed)
    ends = [(i, i + 1) for i in range(4)] + [(0, 2), (1, 3), (2, 4), (0, 4)]
    length = rng.integers(1, 20, len(ends)).astype(float)
    graph = RunGraph(5, np.array(ends), length, rng.integers(0, 40, len(ends)).astype(float))
    demands = [
        Demand(int(a), int(b), float(rng.choice([0.3, 1.0, 2.5])))
        for a, b in rng.integers(0, 5, (3, 2))
        if a != b
    ]
    if not demands:
        return
    plan = plan_looms(graph, demands)
    best = by_every_subset(graph, demands)
    assert plan.bound <= best + 1e-6
    assert plan.cost >= best - 1e-6
    assert plan.cost == pytest.approx(best)
    assert plan.gap < 1e-6
    assert plan.alone >= plan.cost - 1e-9


def test_a_cable_with_no_way_is_said() -> None:
    graph = RunGraph(4, np.array([[0, 1], [2, 3]]), np.ones(2), np.ones(2))
    with pytest.raises(RoutingError, match="no way"):
        plan_looms(graph, [Demand(0, 3, 1.0)])
