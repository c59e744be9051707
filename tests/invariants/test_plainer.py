"""A way made plainer is a way still, checked by code that shares nothing, and easier to follow."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import lsq_linear

from benchmarks.passage.files import box_set, read_case
from benchmarks.passage.shapes import rim, solid
from layout.geometry.shapes import Pose
from layout.passage import Effort, Problem, find_passage
from layout.passage.moves import between
from layout.passage.problem import Touch
from layout.passage.search.plain import leaning_way
from layout.passage.search.plainer import KEPT_SHARE, awkward, parts, plainer
from layout.passage.search.plan import path_clearance
from layout.recheck.walk import recheck_way

CASES = Path(__file__).parent.parent.parent / "benchmarks" / "passage"
UPRIGHT = np.array([0.0, 0.0, 0.0, 1.0])


@pytest.mark.parametrize("name", ["carved-1", "carved-4", "round-a-corner-play-10", "undercut-79"])
def test_a_plainer_way_keeps_its_room_and_leads_to_the_same_place(name: str) -> None:
    _, problem = read_case(sorted(CASES.glob(f"*-{name}.json"))[0])
    rough = list(find_passage(problem, Effort(improve_steps=0)).path)
    assert rough
    plain = plainer(problem, rough)
    assert awkward(plain) <= awkward(rough)
    least = path_clearance(problem, rough)[0]
    kept = max(problem.clearance_mm, KEPT_SHARE * least)
    assert recheck_way(problem, [(p.at_mm, p.quat) for p in plain], kept - 0.05, 10.0) > 0


def free_air() -> Problem:
    far = [{"centre": [9000.0, 0.0, 0.0], "half": [10.0, 10.0, 10.0]}]
    start, goal = Pose.checked([0, 0, 0]), Pose.checked([300.0, 200.0, -400.0])
    return Problem(box_set(solid(300, 200, 100)), box_set(far), start, goal)


def test_in_free_air_several_things_at_once_are_told_one_after_another() -> None:
    p = free_air()
    turned = Pose.checked([300.0, 200.0, -400.0], [0.0, np.sin(0.4), 0.0, np.cos(0.4)])
    assert parts(p.start, turned) == 4
    told = plainer(p, [p.start, turned, p.goal])
    assert [parts(a, b) for a, b in zip(told, told[1:], strict=False)].count(1) == len(told) - 1
    assert len(told) - 1 <= 4  # the turn there and back is left out


def test_a_nudge_is_no_part_of_a_step() -> None:
    a = Pose.checked([0, 0, 0])
    assert parts(a, Pose.checked([100.0, 5.0, 0.0])) == 1
    assert parts(a, Pose.checked([100.0, 7.0, 0.0])) == 2


def test_a_leaning_way_leans_where_nothing_square_passes() -> None:
    # a plate 400 x 20 standing upright into a locker 330 high below a slot 200 x 60: leaned it goes
    fixed = rim(260, 60, 10, 900.0)
    fixed += [
        {"centre": [0.0, 0.0, -345.0], "half": [900.0, 400.0, 15.0]},
    ]
    problem = Problem(
        box_set(solid(400, 40, 60)),
        box_set(fixed),
        Pose.checked([0, 0, 600]),
        Pose.checked([0, 0, -290]),
        outside=(2, 1, 10.0),
    )
    way = leaning_way(problem)
    assert way is not None
    assert recheck_way(problem, [(p.at_mm, p.quat) for p in way], 0.0, 10.0) >= 0


coordinate = st.floats(-80, 80)


@settings(max_examples=60, deadline=None)
@given(st.tuples(coordinate, coordinate, st.floats(120, 300)), st.floats(-3, 3))
def test_the_nearest_place_is_that_of_bounded_least_squares(
    at: tuple[float, float, float], spin: float
) -> None:
    q = [0.0, np.sin(spin / 2), 0.0, np.cos(spin / 2)]
    pose = Pose.checked(at, q)
    problem = Problem(box_set(solid(60, 40, 20)), box_set(solid(150, 90, 40)), pose, pose)
    found = between(problem, Touch("", "", pose, (0, 0)))
    b, f, r = problem.body, problem.fixed, pose.rotation
    low = np.concatenate([-b.half_mm[0], -f.half_mm[0]])
    best = lsq_linear(np.hstack([r, -np.eye(3)]), -pose.at_mm, (low, -low), tol=1e-12)
    distance = float(np.sqrt(2 * best.cost))
    # the point found lies midway: half the distance from each body
    mine = r.T @ (found - pose.at_mm)
    to_body = np.linalg.norm(np.maximum(np.abs(mine) - b.half_mm[0], 0))
    to_fixed = np.linalg.norm(np.maximum(np.abs(found) - f.half_mm[0], 0))
    assert to_body == pytest.approx(distance / 2, abs=1.0)
    assert to_fixed == pytest.approx(distance / 2, abs=1.0)
