"""`python -m benchmarks.routes.exact [--rooms N]`: ways beside exact shortest ways of their kind.

In random rooms with boxes on their faces, two or three in a row with holes between.

Straight: beside exact geodesics of a general library over the same faces, cut into triangles with
what is blocked left out. Square: beside Dijkstra's ways over a lattice of the same faces, every
size a multiple of its step, so that the lattice holds a shortest square way. One JSON line each.
"""

import argparse
import json
import time
from dataclasses import replace
from itertools import product
from typing import Any

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import dijkstra

from benchmarks.routes.cases import boat_of, stop
from layout.boat.parts import Boat
from routing.ways.routes import Router
from routing.ways.ways import Style, ways_of

STEP = 10.0
BARE = Style(corner_offs=(0.001,))  # no room kept for a bend: the exact ways keep none


def rooms(seed: int) -> dict[str, Any]:
    """Two or three rooms in a row, boxes on their faces, one or two holes in each wall."""
    rng = np.random.default_rng(seed)
    count, wall = int(rng.integers(2, 4)), 20.0
    sides = STEP * rng.integers(30, 70, 3)
    spaces, blocks, holes = [], [], []
    x = 0.0
    for k in range(count):
        long = STEP * float(rng.integers(30, 70))
        low, high = np.array([x, 0.0, 0.0]), np.array([x + long, sides[1], sides[2]])
        spaces.append({"name": f"s{k}", "low": low.tolist(), "high": high.tolist()})
        for _ in range(int(rng.integers(2, 6))):
            size = STEP * rng.integers(5, 16, 3)
            at = low + STEP * np.floor(rng.uniform(0.05, 0.9, 3) * (high - low - size) / STEP)
            axis, end = int(rng.integers(0, 3)), int(rng.integers(0, 2))
            at[axis] = low[axis] if end else high[axis] - size[axis]
            blocks.append({"space": f"s{k}", "low": at.tolist(), "high": (at + size).tolist()})
        if k:
            for m in range(int(rng.integers(1, 3))):
                yz = STEP * np.floor(rng.uniform(0.1, 0.9, 2) * sides[1:] / STEP)
                at_hole = [x - wall, *yz.tolist()]
                name = f"h{k}{m}"
                holes.append({"name": name, "between": [f"s{k - 1}", f"s{k}"], "at": at_hole})
        x += long + wall
    ends = [_on_face(spaces[k], rng) for k in (0, count - 1)]
    return {
        "name": f"rooms {seed}",
        "spaces": spaces,
        "blocks": blocks,
        "holes": holes,
        "cables": [{"from": ends[0], "to": ends[1]}],
    }


def _on_face(space: dict[str, Any], rng: np.random.Generator) -> dict[str, Any]:
    low, high = np.array(space["low"]), np.array(space["high"])
    at = low + STEP * np.floor(rng.uniform(0.05, 0.95, 3) * (high - low) / STEP)
    axis = int(rng.integers(0, 3))
    at[axis] = low[axis] if rng.random() < 0.5 else high[axis]
    return {"space": space["name"], "at": at.tolist()}


def faces_of(case: dict[str, Any], name: str) -> list[tuple[int, float, list[Any]]]:
    """(axis, plane, what is blocked as (low, high)) of the six faces of a room."""
    s = next(x for x in case["spaces"] if x["name"] == name)
    out = []
    for axis, side in product(range(3), ("low", "high")):
        plane = s[side][axis]
        mine = [
            (np.array(b["low"]), np.array(b["high"]))
            for b in case["blocks"]
            if b["space"] == name and b["low"][axis] < plane + 30 and b["high"][axis] > plane - 30
        ]
        out.append((axis, plane, mine))
    return out


def places(case: dict[str, Any], name: str) -> dict[str, np.ndarray]:
    """The ends and the mouths of holes in a room."""
    s = next(x for x in case["spaces"] if x["name"] == name)
    out = {}
    for c in case["cables"]:
        for end in ("from", "to"):
            if c[end]["space"] == name:
                out[end] = np.array(c[end]["at"])
    for h in case["holes"]:
        if name in h["between"]:
            at = np.array(h["at"])
            out[h["name"]] = np.clip(at, s["low"], s["high"])
    return out


def covered(case: dict[str, Any]) -> bool:
    """True where an end or a mouth lies under a box: there is nothing to compare."""
    for s in case["spaces"]:
        for p in places(case, s["name"]).values():
            for axis, plane, mine in faces_of(case, s["name"]):
                across = (1 if axis == 0 else 0, 1 if axis == 2 else 2)
                if abs(p[axis] - plane) < 1e-6 and blocked(p[None], mine, across)[0]:
                    return True
    return False


def blocked(x: np.ndarray, mine: list[Any], across: tuple[int, int]) -> np.ndarray:
    """Which points lie inside what is blocked on a face."""
    out = np.zeros(len(x), dtype=bool)
    for low, high in mine:
        inside = [(x[:, k] > low[k] + 1e-6) & (x[:, k] < high[k] - 1e-6) for k in across]
        out |= inside[0] & inside[1]
    return out


def lattice(case: dict[str, Any], name: str) -> dict[tuple[str, str], float]:
    """The shortest square ways between the places of a room, over a lattice of its faces."""
    s = next(x for x in case["spaces"] if x["name"] == name)
    low, high = np.array(s["low"]), np.array(s["high"])
    number: dict[tuple[int, ...], int] = {}
    rows, cols = [], []
    for axis, plane, mine in faces_of(case, name):
        u, v = (k for k in range(3) if k != axis)
        n = np.round((high - low) / STEP).astype(int)
        for way in range(2):
            du, dv = (1, 0) if way == 0 else (0, 1)
            i, j = np.meshgrid(np.arange(n[u] + 1 - du), np.arange(n[v] + 1 - dv), indexing="ij")
            i, j = i.ravel(), j.ravel()
            middle = np.empty((len(i), 3))
            middle[:, axis] = plane
            middle[:, u], middle[:, v] = low[u] + STEP * (i + du / 2), low[v] + STEP * (j + dv / 2)
            ok = ~blocked(middle, mine, (u, v))
            fixed = round((plane - low[axis]) / STEP)
            for a, b in zip(i[ok].tolist(), j[ok].tolist(), strict=True):
                ends = []
                for p, q in ((a, b), (a + du, b + dv)):
                    key = [0, 0, 0]
                    key[axis], key[u], key[v] = fixed, p, q
                    ends.append(number.setdefault(tuple(key), len(number)))
                rows.append(ends[0])
                cols.append(ends[1])
    graph = coo_array((np.full(len(rows), STEP), (rows, cols)), shape=(len(number),) * 2).tocsr()
    spots = places(case, name)
    out = {}
    for a, p in spots.items():
        key = tuple(int(k) for k in np.round((p - low) / STEP))
        if key not in number:
            continue
        far = dijkstra(graph, directed=False, indices=number[key])
        for b, q in spots.items():
            other = number.get(tuple(int(k) for k in np.round((q - low) / STEP)))
            if other is not None:
                out[a, b] = float(far[other])
    return out


def geodesics(case: dict[str, Any], name: str) -> dict[tuple[str, str], float]:
    """The exact shortest ways between the places of a room over its faces, by a library."""
    from pygeodesic import geodesic

    s = next(x for x in case["spaces"] if x["name"] == name)
    spots = places(case, name)
    marks = []
    for k in range(3):
        here = [
            b[side][k] for b in case["blocks"] if b["space"] == name for side in ("low", "high")
        ]
        all_ = [s["low"][k], s["high"][k], *here, *(float(p[k]) for p in spots.values())]
        marks.append(np.unique([m for m in all_ if s["low"][k] <= m <= s["high"][k]]))
    number: dict[tuple[float, ...], int] = {}
    triangles = []
    for axis, plane, mine in faces_of(case, name):
        u, v = (k for k in range(3) if k != axis)
        for a, b in product(range(len(marks[u]) - 1), range(len(marks[v]) - 1)):
            ring = []
            middle = np.zeros((1, 3))
            middle[0, axis] = plane
            middle[0, u] = (marks[u][a] + marks[u][a + 1]) / 2
            middle[0, v] = (marks[v][b] + marks[v][b + 1]) / 2
            if blocked(middle, mine, (u, v))[0]:
                continue
            for i, j in ((a, b), (a + 1, b), (a + 1, b + 1), (a, b + 1)):
                x = [0.0, 0.0, 0.0]
                x[axis], x[u], x[v] = plane, float(marks[u][i]), float(marks[v][j])
                ring.append(number.setdefault(tuple(x), len(number)))
            triangles += [[ring[0], ring[1], ring[2]], [ring[0], ring[2], ring[3]]]
    vertices = np.array(list(number))
    solver = geodesic.PyGeodesicAlgorithmExact(vertices, np.array(triangles))
    out = {}
    for a, p in spots.items():
        for b, q in spots.items():
            i, j = number.get(tuple(map(float, p))), number.get(tuple(map(float, q)))
            if a < b and i is not None and j is not None:
                mm, _ = solver.geodesicDistance(i, j)
                out[a, b] = out[b, a] = float(mm)
    return out


def shortest(case: dict[str, Any], ways: Any) -> float:
    """The length of the shortest way through the rooms, hole by hole."""
    wall = 20.0
    at = {"from": 0.0}
    for s in case["spaces"]:
        inside = ways(case, s["name"])
        ends = {b for _, b in inside}
        best: dict[str, float] = {}
        for a, mm in at.items():
            for b in ends:
                d = inside.get((a, b), np.inf)
                beyond = b == "to" or (b.startswith("h") and b not in at)
                if beyond and mm + d < best.get(b, np.inf):
                    best[b] = mm + d
        if "to" in best:
            return best["to"]
        at = {b: mm + wall for b, mm in best.items()}
    return np.inf


def square(boat: Boat) -> Boat:
    """The same boat, every space laid square."""
    return replace(boat, spaces={k: replace(s, square=True) for k, s in boat.spaces.items()})


def compared(kind: str, count: int) -> dict[str, Any]:
    """The worst and the mean error of ways of a kind beside exact ones."""
    errors, seconds, exact_seconds, none = [], 0.0, 0.0, 0
    seed = 0
    while len(errors) + none < count:
        case, seed = rooms(seed), seed + 1
        if covered(case):
            continue
        boat = square(boat_of(case)) if kind == "square" else boat_of(case)
        began = time.perf_counter()
        a, b = (stop(case["cables"][0][e]) for e in ("from", "to"))
        route = Router(ways_of(boat, frozenset(), BARE), [a, b]).route(a, b)
        seconds += time.perf_counter() - began
        began = time.perf_counter()
        exact = shortest(case, lattice if kind == "square" else geodesics)
        exact_seconds += time.perf_counter() - began
        if route is None or not np.isfinite(exact) or exact > 1e9:
            none += (route is None) != (not np.isfinite(exact) or exact > 1e9)
            continue
        errors.append(route.length_mm / exact - 1)
    return {
        "kind": kind,
        "rooms": count,
        "compared": len(errors),
        "only_one_has_a_way": none,
        "worst_error": round(float(np.max(np.abs(errors))), 6),
        "mean_error": round(float(np.mean(errors)), 7),
        "over_a_tenth_percent": int(np.sum(np.array(errors) > 1e-3)),
        "seconds": round(seconds, 2),
        "exact_seconds": round(exact_seconds, 2),
    }


def main() -> None:
    """Compare both kinds."""
    parser = argparse.ArgumentParser(prog="benchmarks.routes.exact")
    parser.add_argument("--rooms", type=int, default=200)
    args = parser.parse_args()
    for kind in ("square", "straight"):
        print(json.dumps(compared(kind, args.rooms)), flush=True)


if __name__ == "__main__":
    main()
