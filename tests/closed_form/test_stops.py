"""What a move would touch next, and what it can be set down on, against distances known by hand."""

import numpy as np
import pytest

from benchmarks.passage.files import box_set
from benchmarks.passage.shapes import box, solid
from layout.passage import Pose, Problem
from layout.passage.stops import rest_at, stop_after

FLOOR = box([-500, -500, -20], [500, 500, 0])
LEDGE = box([-500, -500, -20], [-10, 500, 0])  # carries less than half of what stands over it
WALL = box([-300, -500, -20], [-280, 500, 600])


def problem(*fixed: dict, high: float = 60.0) -> Problem:
    pose = Pose.checked([0, 0, 300])
    return Problem(box_set(solid(200, 100, high)), box_set(list(fixed)), pose, pose)


@pytest.mark.parametrize("gap", [0.5, 4.0, 14.0])
def test_a_floor_stops_a_piece_and_carries_it(gap: float) -> None:
    end = Pose.checked([0, 0, 30 + gap])
    stop = stop_after(problem(FLOOR), end, np.array([0, 0, -120.0]), np.zeros(3))
    assert stop is not None
    assert stop.more == pytest.approx(gap, abs=2e-3)
    assert stop.side == (2, -1)
    rest = rest_at(problem(FLOOR), end)
    assert rest is not None
    assert rest.below_mm == pytest.approx(gap, abs=2e-3)


def test_what_is_far_off_is_no_stop() -> None:
    end = Pose.checked([0, 0, 60])
    assert stop_after(problem(FLOOR), end, np.array([0, 0, -120.0]), np.zeros(3)) is None
    assert rest_at(problem(FLOOR), end) is None


def test_a_slide_stops_at_a_wall_by_its_own_end() -> None:
    end = Pose.checked([-172, 0, 200])  # its aft end 8 mm off the wall
    stop = stop_after(problem(WALL), end, np.array([-90.0, 0, 0]), np.zeros(3))
    assert stop is not None
    assert stop.more == pytest.approx(8.0, abs=2e-3)
    assert stop.side == (0, -1)


def test_a_turn_stops_where_the_swung_corner_meets_the_floor() -> None:
    # a long side of 200 x 60 tipped about y: its lower corner is 100 sin t + 30 cos t below
    angle = np.deg2rad(20)
    more = np.deg2rad(2.5)
    high = 100 * np.sin(angle + more) + 30 * np.cos(angle + more)
    quat = [0, np.sin(angle / 2), 0, np.cos(angle / 2)]
    end = Pose.checked([0, 0, high], quat)
    stop = stop_after(problem(FLOOR), end, np.zeros(3), np.array([0, 20.0, 0]))
    assert stop is not None
    assert stop.more == pytest.approx(2.5, abs=1e-3)
    assert stop.side in {(0, 1), (2, -1)}  # its forward end, which is its lowest


def test_it_is_not_told_to_be_set_down_where_it_would_fall() -> None:
    assert rest_at(problem(LEDGE), Pose.checked([0, 0, 35])) is None
    assert rest_at(problem(LEDGE), Pose.checked([-30, 0, 35])) is not None


def test_two_things_at_once_have_no_stop() -> None:
    end = Pose.checked([0, 0, 34])
    assert stop_after(problem(FLOOR), end, np.array([50.0, 0, -120.0]), np.zeros(3)) is None
