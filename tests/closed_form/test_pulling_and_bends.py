"""Plugs through bores against known circle packings; bends against plane geometry."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from routing.signals.instruments import coil_size
from routing.ways.bends import BOW, bow_allowance_mm, least_radius_mm, smooth, tight_bends
from routing.ways.pulling import HEAD_ROOM_MM, jam_ratio, passes
from routing.ways.routes import Leg, Route

# Smallest circle round n equal unit-diameter circles (known optimal packings): n -> diameter
ROUND_N = {
    2: 2.0,
    3: 1 + 2 / np.sqrt(3),
    4: 1 + np.sqrt(2),
    5: 1 + np.sqrt(2 * (1 + 1 / np.sqrt(5))),
    7: 3.0,
}


@pytest.mark.parametrize("n", ROUND_N)
def test_equal_circles_pass_from_their_known_bore(n: int) -> None:
    d = 10.0
    head, rest = d - HEAD_ROOM_MM, [d] * (n - 1)
    assert not passes(ROUND_N[n] * d - 0.01, rest, head)
    assert passes(ROUND_N[n] * d + 0.01, rest, head)


def test_story_of_the_sonar_plug() -> None:
    # worked trade example: bore 27 with three 9 mm cables, fill 41 % with the lead, but a 24
    # mm plug cannot pass
    assert not passes(27, [9, 9, 9], 24)
    assert passes(27, [], 24)  # pulled first it does
    assert pytest.approx(0.41, abs=0.005) == (3 * 9**2 + 7.5**2) / 27**2


@given(st.floats(20, 60), st.lists(st.floats(3, 12), max_size=6), st.floats(4, 30))
def test_more_bore_never_hurts_and_a_pass_has_room(
    bore: float, inside: list[float], head: float
) -> None:
    if passes(bore, inside, head):
        assert sum(d * d for d in inside) + (head + HEAD_ROOM_MM) ** 2 <= bore**2 * (1 + 1e-6)
        assert head + HEAD_ROOM_MM + max(inside, default=0.0) <= bore + 1e-6


def test_jam_ratio_of_three_cables() -> None:
    # NEC handbook: 2.8 to 3.2
    assert jam_ratio(27, [9, 9, 9]) == pytest.approx(3.0)
    assert jam_ratio(27, [9, 9]) is None


def on_face(*points: tuple[float, float]) -> Route:
    x = np.array([(a, b, 0.0) for a, b in points])
    legs = [
        Leg("face", "room, floor", x[i : i + 2], float(np.linalg.norm(x[i + 1] - x[i])))
        for i in range(len(x) - 1)
    ]
    ends = [
        Leg("free", "room", x[:1].repeat(2, axis=0), 0.0),
        Leg("free", "room", x[-1:].repeat(2, axis=0), 0.0),
    ]
    return Route((ends[0], *legs, ends[1]), sum(leg.length_mm for leg in legs), (), ("room",))


def test_room_for_a_right_angle_is_its_shorter_leg() -> None:
    # an arc of radius R takes R tan(45) = R of each leg
    route = on_face((0, 0), (100, 0), (100, 300))
    assert not tight_bends(route, 99)
    (t,) = tight_bends(route, 120)
    assert t.has_mm == pytest.approx(100)
    (t,) = tight_bends(on_face((0, 0), (300, 0), (300, 100)), 120)
    assert t.has_mm == pytest.approx(100)


def test_a_small_step_to_one_side_is_an_s_of_two_arcs() -> None:
    # two arcs of radius R and angle a step over by 2 R (1 - cos a): 40 mm with R = 60 is
    # cos a = 2/3, and each arc ends R tan(a / 2) from its corner, half the piece between
    route = on_face((0, 0), (400, 0), (400, 40), (900, 40))
    assert not tight_bends(route, 60)
    line = smooth(route, 60)
    length = float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())
    a = np.arccos(1 - 40 / 120)
    straight = 900 - 2 * 60 * np.sin(a)
    assert length == pytest.approx(straight + 2 * 60 * a, abs=0.5)


def test_two_bends_share_the_leg_between_them() -> None:
    route = on_face((0, 0), (500, 0), (500, 80), (900, 80))
    assert {round(t.has_mm) for t in tight_bends(route, 60)} == {40}


def test_the_smooth_line_is_shorter_by_the_known_amount() -> None:
    # a right angle rounded with R is 2 R - pi R / 2 shorter
    x = smooth(on_face((0, 0), (400, 0), (400, 400)), 60.0)
    length = float(np.linalg.norm(np.diff(x, axis=0), axis=1).sum())
    assert length == pytest.approx(800 - 60 * (2 - np.pi / 2), abs=0.3)


def test_bow_out_of_a_hole() -> None:
    # quarter circle and S of two 60 degree arcs: height R (1 - 0) = 2 R (1 - cos 60), length
    # minus run
    r = 1.0
    assert 2 * r * (1 - np.cos(np.pi / 3)) == pytest.approx(r)
    length = np.pi / 2 * r + 2 * np.pi / 3 * r
    run = r + 2 * r * np.sin(np.pi / 3)
    assert pytest.approx(length - run) == BOW
    hole = Route((Leg("hole", "h", np.zeros((2, 3)), 10.0),), 10.0, ("h",), ())
    assert bow_allowance_mm(hole, 50.0) == pytest.approx(2 * BOW * 50.0)
    assert least_radius_mm(10.0, False) == 40.0  # ship class rule: 4 diameters
    assert least_radius_mm(10.0, True) == 60.0  # NASA-STD-8739.4: 6 diameters


def test_room_for_a_surplus() -> None:
    # the trade's figure: 3 m in a 200 mm coil needs 230 x 230 x 60
    assert coil_size(3000, 7.5) == (230.0, 230.0, 60.0)
