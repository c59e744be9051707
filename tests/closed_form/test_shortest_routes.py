"""Routes over box surfaces against lengths known in closed form."""

import numpy as np
import pytest

from layout.boat.parts import Boat, Hole, Space
from routing.ways.routes import Router, Stop
from routing.ways.ways import ways_of


def room(sides: tuple[float, float, float]) -> Boat:
    space = Space(
        "room", "room", np.zeros(3), np.array(sides, dtype=np.float64), 10.0, {}, "open", False, 0.0
    )
    return Boat("room", 1.0, 1.0, {"room": space}, *({},) * 8, (), 0.0, {}, ())


def shortest(
    sides: tuple[float, float, float], a: tuple[float, float, float], b: tuple[float, float, float]
) -> float:
    boat = room(sides)
    p, q = Stop("room", a), Stop("room", b)
    route = Router(ways_of(boat), [p, q]).route(p, q)
    assert route is not None
    return route.length_mm


def test_spider_and_fly() -> None:
    # Dudeney's room of 30 x 12 x 12 ft: 1 ft from ceiling to 1 ft from floor is 40 ft, by
    # five faces
    ft = 304.8
    length = shortest((30 * ft, 12 * ft, 12 * ft), (0, 6 * ft, 11 * ft), (30 * ft, 6 * ft, 1 * ft))
    assert length == pytest.approx(40 * ft, rel=1e-6)


@pytest.mark.parametrize(
    ("sides", "to", "length"),
    [
        ((1, 1, 1), (1, 1, 1), 5**0.5),  # unit cube, opposite corners
        ((1, 1, 2), (1, 1, 2), 8**0.5),  # 1 x 1 x 2 box, far corner
        ((1, 1, 2), (0.75, 0.75, 2), (65 / 8) ** 0.5),  # Kotani's ant: the farthest point, 2.850438
        ((1, 1, 10), (1, 0, 10), 101**0.5),
        ((1, 1, 10), (1, 1, 10), 104**0.5),
    ],
)
def test_box_surfaces(
    sides: tuple[float, float, float], to: tuple[float, float, float], length: float
) -> None:
    mm = 1000.0
    scaled = tuple(mm * s for s in sides)
    goal = tuple(mm * s for s in to)
    found = shortest(scaled, (0.0, 0.0, 0.0), goal)  # type: ignore[arg-type]
    assert found == pytest.approx(length * mm, rel=2e-4)


@pytest.mark.parametrize("wall", [6.0, 60.0, 150.0])
def test_a_wall_counts_once(wall: float) -> None:
    # two rooms of 1 m with a hole 500 mm up the wall between: 500 along the floor and 500 up in the
    # one, the wall, and the same in the other
    def space(key: str, aft: float) -> Space:
        low, high = np.array([aft, 0.0, 0.0]), np.array([aft + 1000.0, 1000.0, 1000.0])
        return Space(key, key, low, high, 10.0, {}, "open", False, 0.0)

    spaces = {"a": space("a", 0.0), "b": space("b", 1000.0 + wall)}
    hole = Hole("h", "h", ("a", "b"), np.array([1000.0, 500.0, 500.0]), 30.0, "edged", True, ())
    empty: dict = {}
    boat = Boat(
        "two", 1.0, 1.0, spaces, empty, empty, empty, {"h": hole}, *({},) * 4, (), 0.0, {}, ()
    )
    p, q = Stop("a", (500.0, 500.0, 0.0)), Stop("b", (1500.0 + wall, 500.0, 0.0))
    route = Router(ways_of(boat), [p, q]).route(p, q)
    assert route is not None
    assert route.length_mm == pytest.approx(2000.0 + wall, rel=1e-6)
    assert route.joints == ("h",)
