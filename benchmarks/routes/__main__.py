"""`python -m benchmarks.routes [FILE...]`: cable routes, one JSON line a case.

Without files: the case files beside this, cases with known lengths, hulls of 200 boxes with up to
300 cables (beside a general graph library on the same graph), and empty rooms beside exact
geodesics. Libraries come with the extra `bench`.
"""

import argparse
import json
import time
from pathlib import Path
from typing import Any

import numpy as np

from benchmarks.routes.cases import boat_of, hull, known, plain_rooms, read, stop
from layout.errors import CoamingError
from routing.ways.routes import Router
from routing.ways.ways import ways_of

FEW = 12  # cases with no more cables than this have their lengths printed


def run(case: dict[str, Any]) -> tuple[dict[str, Any], Router, list[Any]]:
    """(row, router, routes) of one case."""
    boat = boat_of(case)
    ends = [(stop(c["from"]), stop(c["to"])) for c in case["cables"]]
    began = time.perf_counter()
    router = Router(ways_of(boat), [s for pair in ends for s in pair])
    built = time.perf_counter()
    routes = [
        router.route(a, b, list(c.get("via", [])), list(c.get("avoid", [])))
        for (a, b), c in zip(ends, case["cables"], strict=True)
    ]
    done = time.perf_counter()
    lengths = [None if r is None else round(r.length_mm, 3) for r in routes]
    row: dict[str, Any] = {
        "name": case.get("name", "case"),
        "cables": len(ends),
        "no_way": lengths.count(None),
        "total_mm": round(sum(x for x in lengths if x is not None), 1),
        "graph_seconds": round(built - began, 4),
        "seconds": round(done - began, 4),
    }
    if len(ends) <= FEW:
        row["lengths_mm"] = lengths
    told = [
        (x, c["length_mm"])
        for x, c in zip(lengths, case["cables"], strict=True)
        if "length_mm" in c and x is not None
    ]
    if told:
        row["worst_error"] = round(max(abs(x - k) / k for x, k in told), 7)
    return row, router, routes


def against_graph_library(
    case: dict[str, Any], router: Router, routes: list[Any], spent: float
) -> dict[str, Any]:
    """The same shortest ways over the same graph by general graph libraries: seconds and ratio;
    lengths must agree before pulling tight.
    """
    import networkx
    import rustworkx

    g = router.graph
    slow = networkx.Graph()
    slow.add_weighted_edges_from(
        (int(a), int(b), float(w)) for (a, b), w in zip(g.ends, g.length, strict=True)
    )
    fast = rustworkx.PyGraph(multigraph=False)
    fast.add_nodes_from(range(len(g.points)))
    fast.add_edges_from(
        [(int(a), int(b), float(w)) for (a, b), w in zip(g.ends, g.length, strict=True)]
    )
    row: dict[str, Any] = {}
    sample = list(range(0, len(routes), max(1, len(routes) // 20)))
    began = time.perf_counter()
    for k in sample:
        a, b = (
            g.stop_nodes[stop(case["cables"][k]["from"])],
            g.stop_nodes[stop(case["cables"][k]["to"])],
        )
        networkx.dijkstra_path_length(slow, a, b)
    row["networkx_ratio"] = round(
        (time.perf_counter() - began) / len(sample) * len(routes) / spent, 1
    )
    worst = 0.0
    began = time.perf_counter()
    for k, r in enumerate(routes):
        a, b = (
            g.stop_nodes[stop(case["cables"][k]["from"])],
            g.stop_nodes[stop(case["cables"][k]["to"])],
        )
        far = rustworkx.dijkstra_shortest_path_lengths(fast, a, float, b)
        if r is not None:
            ours = sum(
                float(g.length[_edge(g, i, j)]) for i, j in zip(r.nodes, r.nodes[1:], strict=False)
            )
            worst = max(worst, abs(ours - far[b]))
    row["rustworkx_ratio"] = round((time.perf_counter() - began) / spent, 1)
    row["worst_difference_mm"] = round(worst, 6)
    return row


def _edge(g: Any, a: int, b: int) -> int:
    rows = np.arange(g.first[a], g.first[a + 1])
    return int(g.edge[rows[g.to[rows] == b][0]])


def geodesic_mm(case: dict[str, Any]) -> float:
    """The exact shortest way over the faces of an empty room by a general geodesic library."""
    from pygeodesic import geodesic

    sides = np.array(case["spaces"][0]["high"], float)
    points = [np.array(case["cables"][0][e]["at"], float) for e in ("from", "to")]
    corners = [np.array([i, j, k]) * sides for i in (0, 1) for j in (0, 1) for k in (0, 1)]
    vertices = [*corners, *points]
    triangles: list[tuple[int, int, int]] = []
    for axis in range(3):
        u, v = (k for k in range(3) if k != axis)
        for end in (0.0, sides[axis]):
            ring = [
                next(i for i, c in enumerate(corners) if c[axis] == end and c[u] == a and c[v] == b)
                for a, b in ((0, 0), (sides[u], 0), (sides[u], sides[v]), (0, sides[v]))
            ]
            inner = [8 + i for i, p in enumerate(points) if p[axis] == end]
            faces = [tuple(ring[:3]), (ring[0], ring[2], ring[3])]
            for p in inner:
                faces = _split(faces, p, np.array(vertices), (u, v))
            triangles += [(int(a), int(b), int(c)) for a, b, c in faces]
    solver = geodesic.PyGeodesicAlgorithmExact(np.array(vertices), np.array(triangles))
    length, _ = solver.geodesicDistance(8, 9)
    return float(length)


def _split(faces: list[Any], p: int, x: Any, axes: tuple[int, int]) -> list[Any]:
    """The triangles with point p put into the one it lies in."""
    out = []
    q = x[p][list(axes)]
    done = False
    for f in faces:
        a, b, c = (x[i][list(axes)] for i in f)
        m = np.column_stack([b - a, c - a])
        s, t = np.linalg.solve(m, q - a)
        if not done and s >= -1e-12 and t >= -1e-12 and s + t <= 1 + 1e-12:
            out += [(f[0], f[1], p), (f[1], f[2], p), (f[2], f[0], p)]
            done = True
        else:
            out.append(f)
    return out


def main() -> None:
    """Run the cases."""
    parser = argparse.ArgumentParser(prog="benchmarks.routes")
    parser.add_argument("files", nargs="*", type=Path)
    args = parser.parse_args()
    run(known()[0])  # compiles
    files = args.files or sorted(Path(__file__).parent.glob("*.json"))
    for path in files:
        try:
            print(json.dumps(run(read(path))[0]), flush=True)
        except CoamingError as e:
            print(json.dumps({"name": path.name, "error": str(e)}), flush=True)
    if args.files:
        return
    for case in (hull(60, 60, 1), hull(200, 300, 2)):
        row, router, routes = run(case)
        row |= against_graph_library(case, router, routes, row["seconds"] - row["graph_seconds"])
        print(json.dumps(row), flush=True)
    worst, spent, library = 0.0, 0.0, 0.0
    rooms = plain_rooms(60, 5)
    for case in rooms:
        row, _, _ = run(case)
        began = time.perf_counter()
        exact = geodesic_mm(case)
        library += time.perf_counter() - began
        spent += row["seconds"]
        worst = max(
            worst, abs(row["total_mm"] - exact) / exact, abs(row["lengths_mm"][0] - exact) / exact
        )
    print(
        json.dumps(
            {
                "name": f"{len(rooms)} rooms beside exact geodesics",
                "worst_error": round(worst, 7),
                "seconds": round(spent, 3),
                "library_seconds": round(library, 3),
                "ratio": round(library / spent, 2),
            }
        ),
        flush=True,
    )


if __name__ == "__main__":
    main()
