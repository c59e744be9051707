"""Box kernels against bounded least squares and a general collision library."""

import fcl
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from layout.geometry.boxes import box_distance, gap_axis
from layout.recheck.common import distance_mm

number = st.floats(-400, 400)
side = st.floats(2, 250)


@st.composite
def box(draw: st.DrawFn) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    c = np.array([draw(number) for _ in range(3)])
    h = np.array([draw(side) for _ in range(3)])
    q = np.array([draw(st.floats(-1, 1)) for _ in range(4)]) + [0, 0, 0, 1e-3]
    r = np.ascontiguousarray(Rotation.from_quat(q / np.linalg.norm(q)).as_matrix())
    return c, h, r


@given(box(), box())
def test_distance_is_the_least_squares_distance(p: tuple, q: tuple) -> None:
    n = np.empty(3)
    mine, other = box_distance(*p, *q, n), distance_mm(*p, *q)
    if mine > 0:
        assert mine == pytest.approx(other, abs=1e-5)
        gap = n @ (p[0] - q[0]) - np.abs(n @ p[2]) @ p[1] - np.abs(n @ q[2]) @ q[1]
        assert gap == pytest.approx(mine, abs=1e-6)  # the direction carries the distance
    else:
        assert other < 1e-5


@given(box(), box())
def test_axis_gap_never_exceeds_the_distance(p: tuple, q: tuple) -> None:
    n = np.empty(3)
    gap, _ = gap_axis(*p, *q, n)
    assert gap <= distance_mm(*p, *q) + 1e-6
    assert np.linalg.norm(n) == pytest.approx(1.0, abs=1e-9)
    if gap < 0:  # moved apart by the depth along the axis, they no longer overlap
        moved = (p[0] + n * (-gap + 1e-6), p[1], p[2])
        assert gap_axis(*moved, *q, np.empty(3))[0] >= -1e-5


@given(box(), box())
def test_overlap_agrees_with_a_collision_library(p: tuple, q: tuple) -> None:
    objects = [fcl.CollisionObject(fcl.Box(*(2 * h)), fcl.Transform(r, c)) for c, h, r in (p, q)]
    gap = box_distance(*p, *q, np.empty(3))
    if abs(gap) > 1e-3:  # the library's own tolerance
        assert (fcl.collide(*objects) > 0) == (gap < 0)
