"""`python -m benchmarks.looms [FILE...]`: shared runs, one JSON line a case.

A case is a Steiner tree problem in the STP format of open libraries (.stp), or a JSON file:
{"name", "nodes": N, "runs": [[a, b, length_mm, fixed], ...], "cables": [[from, to, price_per_mm],
...], "optimum"?}, places counted from 0. Without files: the published set B in
`tests/published/looms`, then generated boats' looms.
"""

import argparse
import csv
import json
import time
from pathlib import Path
from typing import Any

import networkx as nx
import numpy as np

from benchmarks.steiner import steiner_tree
from layout.errors import CoamingError
from layout.passage.work import Work
from routing.runs.looms import USUAL_WORK, Demand, LoomPlan, RunGraph, plan_looms

SET_B = Path(__file__).parent.parent / "tests" / "published" / "looms"


def read_stp(path: Path) -> tuple[RunGraph, list[Demand]]:
    """A Steiner problem: runs cost, cables do not, all start at the first terminal. Raises
    CoamingError.
    """
    nodes, edges, terminals = 0, [], []
    for line in path.read_text(encoding="utf-8").splitlines():
        w = line.split()
        if len(w) == 2 and w[0] == "Nodes":
            nodes = int(w[1])
        elif len(w) == 4 and w[0] in ("E", "A"):
            edges.append((int(w[1]) - 1, int(w[2]) - 1, float(w[3])))
        elif len(w) == 2 and w[0] == "T":
            terminals.append(int(w[1]) - 1)
    if not nodes or not edges or not terminals:
        raise CoamingError(
            f"{path.name}: not a Steiner problem in STP format: no Nodes, E or T lines"
        )
    cost = np.array([e[2] for e in edges])
    graph = RunGraph(
        nodes, np.array([e[:2] for e in edges], dtype=np.int64), np.zeros(len(edges)), cost
    )
    return graph, [Demand(terminals[0], t, 0.0) for t in terminals[1:]]


def read_case(path: Path) -> tuple[str, RunGraph, list[Demand], float | None]:
    """(name, runs, cables, known optimum). Raises CoamingError."""
    if path.suffix == ".stp":
        known = path.parent / "optima.csv"
        optima = (
            {
                r["filename"]: float(r["opt"])
                for r in csv.DictReader(known.read_text(encoding="utf-8").splitlines())
            }
            if known.exists()
            else {}
        )
        return path.stem, *read_stp(path), optima.get(path.name)
    try:
        raw = json.loads(path.read_text(encoding="utf-8"))
        runs = raw["runs"]
        graph = RunGraph(
            int(raw["nodes"]),
            np.array([[t[0], t[1]] for t in runs], dtype=np.int64),
            np.array([float(t[2]) for t in runs]),
            np.array([float(t[3]) for t in runs]),
        )
        return (
            raw.get("name", path.stem),
            graph,
            [Demand(int(c[0]), int(c[1]), float(c[2])) for c in raw["cables"]],
            raw.get("optimum"),
        )
    except (KeyError, IndexError, ValueError, TypeError) as e:
        raise CoamingError(f"{path.name}: {e!r} is missing or not what it should be") from None


def plan_tree(graph: RunGraph, demands: list[Demand], seconds: float = 20.0) -> LoomPlan:
    """Cables that cost nothing from one place: the cheapest tree, with its bound."""
    wanted = np.array([demands[0].start] + [d.goal for d in demands], dtype=np.int64)
    tree = steiner_tree(graph.nodes, graph.ends, graph.fixed, wanted, seconds)
    inside = nx.Graph([tuple(graph.ends[e]) for e in tree.edges])
    edge = {frozenset(map(int, graph.ends[e])): int(e) for e in tree.edges}
    paths = []
    for d in demands:
        nodes = nx.shortest_path(inside, d.start, d.goal)
        paths.append(
            np.array([edge[frozenset((int(a), int(b)))] for a, b in zip(nodes, nodes[1:])])
        )
    return LoomPlan(tuple(paths), tree.cost, tree.bound, tree.cost)


def boat(cables: int, seed: int) -> tuple[str, RunGraph, list[Demand]]:
    """A grid of ways as in a boat 10 m long, cables from two boards to places anywhere."""
    rng = np.random.default_rng(seed)
    wide, deep = 12, 6
    at = np.array([[900.0 * i, 500.0 * j] for i in range(wide) for j in range(deep)]) + rng.uniform(
        -150, 150, (wide * deep, 2)
    )
    ends = [(i * deep + j, i * deep + j + 1) for i in range(wide) for j in range(deep - 1)] + [
        (i * deep + j, (i + 1) * deep + j) for i in range(wide - 1) for j in range(deep)
    ]
    ends = [
        e for e in ends if e[1] == e[0] + 1 or e[0] % deep == 0 or rng.random() < 0.75
    ]  # every place stays joined
    length = np.array([float(np.linalg.norm(at[a] - at[b])) for a, b in ends])
    graph = RunGraph(
        wide * deep,
        np.array(ends, dtype=np.int64),
        length,
        0.008 * length + rng.choice([0.0, 25.0], len(ends), p=[0.7, 0.3]),
    )
    boards = (int(rng.integers(0, 12)), int(rng.integers(40, 60)))
    demands = [
        Demand(
            boards[k % 2],
            int(rng.integers(0, wide * deep)),
            float(rng.choice([0.0016, 0.0024, 0.0052, 0.012])),
        )
        for k in range(cables)
    ]
    return f"boat of {cables} cables, seed {seed}", graph, [d for d in demands if d.start != d.goal]


def main() -> None:
    """Run the cases."""
    parser = argparse.ArgumentParser(prog="benchmarks.looms")
    parser.add_argument("files", nargs="*", type=Path)
    parser.add_argument("--work", type=int, default=USUAL_WORK, help="shortest ways laid")
    args = parser.parse_args()
    generated: list[Any] = (
        [] if args.files else [boat(n, s) for n in (15, 40, 150) for s in range(3)]
    )
    for item in [*(args.files or sorted(SET_B.glob("*.stp"))), *generated]:
        try:
            name, graph, demands, optimum = (
                read_case(item) if isinstance(item, Path) else (*item, None)
            )
            began = time.perf_counter()
            tree = all(d.price_per_mm == 0 for d in demands)
            plan = (
                plan_tree(graph, demands) if tree else plan_looms(graph, demands, Work(args.work))
            )
            spent = time.perf_counter() - began
            row = {
                "name": name,
                "cost": round(plan.cost, 6),
                "bound": round(plan.bound, 6),
                "gap": round(plan.gap, 5),
                "alone": round(plan.alone, 6),
                "seconds": round(spent, 3),
            }
            if optimum is not None:
                row |= {
                    "optimum": optimum,
                    "optimal": plan.cost <= optimum + 1e-6,
                    "proven": plan.gap < 1e-9,
                }
        except CoamingError as e:
            row = {"name": item.name if isinstance(item, Path) else item[0], "error": str(e)}
        print(json.dumps(row), flush=True)


if __name__ == "__main__":
    main()
