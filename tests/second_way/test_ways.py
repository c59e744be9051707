"""Routes of the demos again by plain geometry; shortest ways by a general graph library."""

import networkx as nx
import numpy as np
import pytest

from benchmarks.routes.__main__ import _edge, run
from benchmarks.routes.cases import hull, stop
from layout.boat.faces import FACES
from layout.boat.parts import OUTSIDE
from routing.ways.distances import keep_off_mm
from routing.ways.pulling import HEAD_ROOM_MM
from tests.worked import Worked


def test_shortest_ways_agree_with_a_graph_library() -> None:
    case = hull(40, 12, 3)
    _, router, routes = run(case)
    g = router.graph
    whole = nx.Graph()
    whole.add_weighted_edges_from(
        (int(a), int(b), float(w)) for (a, b), w in zip(g.ends, g.length, strict=True)
    )
    for c, r in zip(case["cables"], routes, strict=True):
        a, b = g.stop_nodes[stop(c["from"])], g.stop_nodes[stop(c["to"])]
        others = set(g.stop_nodes.values()) - {a, b}  # a terminal is no stepping stone
        slow = nx.restricted_view(whole, others, [])
        before = sum(
            float(g.length[_edge(g, i, j)]) for i, j in zip(r.nodes, r.nodes[1:], strict=False)
        )
        assert before == pytest.approx(nx.dijkstra_path_length(slow, a, b), rel=1e-9)
        assert r.length_mm <= before + 1e-6  # pulling tight only shortens


def _inside(points: np.ndarray, low: np.ndarray, high: np.ndarray, by: float) -> np.ndarray:
    return np.all((points > low + by) & (points < high - by), axis=1)


def told_near(demo: Worked) -> set[tuple[str, str]]:
    """(circuit, hazard) where the tool says itself that the distance is not kept."""
    out = set()
    for f in demo.result.findings:
        what = str(f.values.get("what", "")).removeprefix("hazard:")
        if f.rule == "hole in hazard":
            hole = f.about[0].removeprefix("joint:")
            out |= {(c.number, what) for c in demo.cables for w in c.poles if hole in w.joints}
            out |= {(c.number, what) for c in demo.cables if f.values["has_mm"] < 300}
        if f.rule in ("stands in hazard", "cable touches"):
            out |= {(about.removeprefix("circuit:"), what) for about in f.about}
    return out


def test_power_cables_keep_off_hazards_and_out_of_gear(demo: Worked) -> None:
    boat, told = demo.boat, told_near(demo)
    for c in demo.cables:
        if c.signal or c.mains:
            continue
        for route in c.poles:
            for leg in route.legs:
                if leg.kind != "face":
                    continue
                points = np.linspace(leg.points[0], leg.points[-1], max(2, int(leg.length_mm / 5)))
                space = leg.where
                s = boat.spaces[space]
                assert np.all(points >= s.low - 1e-6), c.number
                assert np.all(points <= s.high + 1e-6), c.number
                for z in boat.hazards.values():
                    near = z.space == space or z.kind in (
                        "hot",
                        "compass",
                        "heading sensor",
                        "radio aerial",
                    )
                    if near and (c.number, z.key) not in told:
                        off = keep_off_mm(z)
                        assert not _inside(points, z.low - off, z.high + off, 0.01).any(), (
                            c.number,
                            z.key,
                        )
                for t in boat.pieces.values():
                    if t.space == space:
                        low, high = t.extent()
                        rest = t.at_rest()
                        assert not any(
                            _inside(points, m - h, m + h, 0.01).any()
                            for m, h in zip(rest.centre_mm, rest.half_mm, strict=True)
                        ), (c.number, t.key, low, high)


def test_closed_surfaces_carry_no_cable(demo: Worked) -> None:
    shut = {(s.key, *FACES[face]) for s in demo.boat.spaces.values() for face in s.closed}
    for c in demo.cables:
        for route in c.poles:
            assert not shut & {leg.face for leg in route.legs}, c.number


def test_every_plug_has_room_when_it_is_pulled(demo: Worked) -> None:
    boat = demo.boat
    inside = {h.key: list(h.holds_mm) for h in boat.holes.values()} | {
        p.key: list(p.holds_mm) for p in boat.pipes.values()
    }
    bores = {h.key: h.bore_mm for h in boat.holes.values()} | {
        p.key: p.bore_mm for p in boat.pipes.values()
    }
    ods = {c.number: c.od_mm for c in demo.cables}
    heads = [p.plug_mm or 0.0 for p in demo.wiring.cabling.pulls]
    assert heads == sorted(heads, reverse=True)
    for p in demo.wiring.cabling.pulls:
        for j in p.through:
            if p.plug_mm is not None:
                big = p.plug_mm + HEAD_ROOM_MM
                assert big <= bores[j]
                assert big**2 + sum(d * d for d in inside[j]) <= bores[j] ** 2 + 1e-6
                assert big + max(inside[j], default=0.0) <= bores[j] + 1e-6
            inside[j].append(ods[p.number])


def test_outside_only_short_stretches(demo: Worked) -> None:
    for c in demo.cables:
        if c.route is not None:
            assert all(leg.length_mm <= 1500 for leg in c.route.legs if leg.kind == "outside")
            assert OUTSIDE not in c.route.spaces
