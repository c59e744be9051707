"""Square ways against known lengths and a lattice; leads against the room they are given."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchmarks.routes.cases import boat_of, stop
from benchmarks.routes.exact import BARE, covered, lattice, rooms, shortest, square
from layout.boat.parts import Boat, Solid, Space
from routing.ways.bends import smooth, tight_bends
from routing.ways.leads import Stop, leads_of
from routing.ways.routes import Route, Router
from routing.ways.ways import Style, ways_of

FT = 304.8


def room(
    sides: tuple[float, float, float], boxes: list[tuple[list[float], list[float]]], lay: bool
) -> Boat:
    high = np.array(sides, dtype=np.float64)
    space = Space("room", "room", np.zeros(3), high, 10.0, {}, "open", False, 0.0, lay)
    solids = {}
    for k, (low, top) in enumerate(boxes):
        a, b = np.array(low, dtype=float), np.array(top, dtype=float)
        half = (b - a) / 2
        solids[f"b{k}"] = Solid(
            f"b{k}", "box", "room", "structure", (a + b) / 2, half, np.eye(3), None
        )
    return Boat("room", 1.0, 1.0, {"room": space}, {}, solids, *({},) * 6, (), 0.0, {}, ())


def way(boat: Boat, a: Stop, b: Stop, style: Style | None = None) -> Route:
    found = Router(ways_of(boat, frozenset(), style), [a, b], frozenset([(a, b)])).route(a, b)
    assert found is not None
    return found


def corners(route: Route) -> int:
    x = route.polyline
    d = np.diff(x, axis=0)
    d /= np.linalg.norm(d, axis=1)[:, None]
    return int(np.sum(np.einsum("ij,ij->i", d[:-1], d[1:]) < 0.99))


def test_spider_and_fly_square() -> None:
    # Dudeney's room of 30 x 12 x 12 ft; level and plumb: 1 ft up, 30 along, 11 down are 42 ft
    boat = room((30 * FT, 12 * FT, 12 * FT), [], lay=True)
    a, b = Stop("room", (0.0, 6 * FT, 11 * FT)), Stop("room", (30 * FT, 6 * FT, FT))
    assert way(boat, a, b).length_mm == pytest.approx(42 * FT, rel=1e-9)
    straight = room((30 * FT, 12 * FT, 12 * FT), [], lay=False)
    assert way(straight, a, b).length_mm == pytest.approx(40 * FT, rel=1e-6)


@pytest.mark.parametrize(
    ("a", "b", "length"),
    [  # in an empty room the shortest square way is the sum of the distances along the axes
        ((300, 400, 0), (1000, 700, 300), 700 + 300 + 300),  # floor to an adjacent wall
        ((200, 150, 0), (650, 480, 0), 450 + 330),  # on one face
        ((0, 150, 420), (610, 800, 130), 610 + 650 + 290),  # two walls that meet
    ],
)
def test_square_ways_in_an_empty_room(
    a: tuple[float, float, float], b: tuple[float, float, float], length: float
) -> None:
    boat = room((1000, 800, 600), [], lay=True)
    assert way(boat, Stop("room", a), Stop("room", b)).length_mm == pytest.approx(length)


@pytest.mark.parametrize("seed", [s for s in range(60) if not covered(rooms(s))][:40])
def test_square_ways_are_those_of_a_lattice(seed: int) -> None:
    # the sum of coordinate distances over the same faces, by Dijkstra over a lattice of 10 mm
    case = rooms(seed)
    a, b = (stop(case["cables"][0][e]) for e in ("from", "to"))
    route = Router(ways_of(square(boat_of(case)), frozenset(), BARE), [a, b]).route(a, b)
    exact = shortest(case, lattice)
    assert (route is None) == (not np.isfinite(exact))
    if route is not None:
        assert route.length_mm == pytest.approx(exact, abs=1e-6)


@given(st.floats(0, 400), st.integers(0, 10**6))
@settings(max_examples=25)
def test_dearer_bends_are_never_more(bend_mm: float, seed: int) -> None:
    rng = np.random.default_rng(seed)
    boxes = []
    for _ in range(5):
        low = rng.uniform(50, 700, 3)
        low[2] = 0.0
        boxes.append((low.tolist(), (low + rng.uniform(40, 200, 3)).tolist()))
    boat = room((1000, 1000, 800), boxes, lay=True)
    a, b = Stop("room", (20.0, 20.0, 0.0)), Stop("room", (980.0, 970.0, 0.0))
    free = way(boat, a, b, Style(bend_mm=0.0))
    dear = way(boat, a, b, Style(bend_mm=bend_mm))
    assert dear.length_mm >= free.length_mm - 1e-6
    assert dear.length_mm + bend_mm * corners(dear) <= (
        free.length_mm + bend_mm * corners(free) + 1e-6
    )


def test_a_terminal_is_no_stepping_stone() -> None:
    boat = room((1000, 600, 500), [], lay=True)
    at = [(100.0, 300.0, 250.0), (500.0, 300.0, 250.0), (900.0, 300.0, 250.0)]
    stops = [Stop("room", x, (0.0, 0.0, -1.0), f"p{k}", 4.0) for k, x in enumerate(at)]
    pairs = frozenset((a, b) for a in stops for b in stops if a != b)
    router = Router(ways_of(boat), stops, pairs)
    route = router.route(stops[0], stops[2])
    assert route is not None
    middle = router.graph.stop_nodes[stops[1]]
    assert middle not in route.nodes
    far, _ = router.graph.spread(router.graph.stop_nodes[stops[0]], router.graph.cost)
    assert far[router.graph.stop_nodes[stops[2]]] == pytest.approx(
        float(router.graph.cost[router.graph.edges_along(route.nodes)].sum())
    )


@given(
    st.tuples(st.floats(250, 750), st.floats(250, 550), st.floats(250, 550)),
    st.integers(0, 5),
    st.floats(2.0, 14.0),
    st.booleans(),
)
@settings(max_examples=60)
def test_a_lead_goes_straight_out_and_bends_by_its_radius(
    at: tuple[float, float, float], side: int, od: float, lay: bool
) -> None:
    out = np.zeros(3)
    out[side // 2] = 1.0 if side % 2 else -1.0
    box = ([300.0, 300.0, 0.0], [420.0, 380.0, 240.0])
    boat = room((1000, 800, 800), [box], lay)
    lug, radius = 25.0, 4 * od
    u, v, w = (float(x) for x in out)
    one = Stop("room", at, (u, v, w), "p", od, lug, radius, 1000.0)
    ways = ways_of(boat, frozenset(), Style(od / 2, od / 2 + 2, 40.0, 1.1))
    for lead in leads_of(ways, one):
        x = lead.points
        if lead.given_up is not None:
            continue
        first = x[1] - x[0]
        assert float(first @ out) == pytest.approx(float(np.linalg.norm(first)))
        if len(x) > 2:
            assert float(np.linalg.norm(first)) >= lug + radius - 1e-6
        low, high = np.array(box[0]) - od / 2, np.array(box[1]) + od / 2
        for p, q in zip(x, x[1:], strict=False):
            t = np.linspace(0, 1, 60)[:, None]
            y = p + t * (q - p)
            assert not np.any(np.all((y > low) & (y < high), axis=1))
    other = Stop("room", (60.0, 700.0, 700.0), (1.0, 0.0, 0.0), "q", od, lug, radius, 1000.0)
    route = way(boat, one, other, ways.style)
    line = smooth(route, radius)
    if not tight_bends(route, radius):  # the circle through any three points of the line
        for a, b, c in zip(line, line[1:], line[2:], strict=False):
            p, q = b - a, c - b
            area = float(np.linalg.norm(np.cross(p, q)))
            sides = float(np.linalg.norm(p) * np.linalg.norm(q))
            if sides > 1e-6 and area / sides > 0.02:
                circle = sides * float(np.linalg.norm(c - a)) / (2 * area)
                assert circle >= radius - 1.0
