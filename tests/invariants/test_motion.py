"""What must hold for any motion: a proven bound is never above what is met along it."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from layout.geometry.boxes import box_distance
from layout.geometry.frames import matrix_from_quat
from layout.passage.motion import least_clearance, motion_clear, pose_at
from layout.geometry.shapes import BoxSet

angle = st.floats(-2.5, 2.5)
place = st.floats(-300, 300)


@given(st.tuples(*[angle] * 6), st.tuples(*[place] * 6), st.floats(0, 40))
def test_certified_bound_is_below_every_sample(turns: tuple, places: tuple, wanted: float) -> None:
    body = BoxSet.checked([[0, 0, 0], [40, 0, 30]], [[100, 60, 10], [20, 20, 25]])
    fixed = BoxSet.checked(
        [[250, 0, 0], [0, 0, -260]],
        [[30, 200, 200], [300, 300, 20]],
        Rotation.from_euler("xyz", [[0, 0, 0], [0.2, 0.1, 0]]).as_matrix(),
    )
    q0, q1 = (Rotation.from_euler("xyz", turns[k : k + 3]).as_quat() for k in (0, 3))
    p0, p1 = np.array(places[:3]), np.array(places[3:])
    args = (body.arrays, fixed.arrays, p0, q0, p1, q1)
    bound, _, _, _ = least_clearance(*args, 0.05, 1000.0)
    from layout.geometry.frames import turn_between

    axis = np.empty(3)
    theta = turn_between(q0, q1, axis)
    met = 1e9
    n = np.empty(3)
    for t in np.linspace(0, 1, 60):
        p, r = pose_at(p0, q0, p1 - p0, axis, theta, float(t))
        for i in range(2):
            for j in range(2):
                d = box_distance(
                    p + r @ body.centre_mm[i],
                    body.half_mm[i],
                    np.ascontiguousarray(r @ body.rotation[i]),
                    fixed.centre_mm[j],
                    fixed.half_mm[j],
                    fixed.rotation[j],
                    n,
                )
                met = min(met, d)
    assert bound <= met + 1e-6
    if motion_clear(*args, wanted):
        assert met >= wanted - 1e-5


@given(st.tuples(*[angle] * 3))
def test_quaternion_matrix_is_the_library_one(turns: tuple) -> None:
    q = Rotation.from_euler("xyz", turns).as_quat()
    assert np.allclose(matrix_from_quat(q), Rotation.from_quat(q).as_matrix(), atol=1e-12)
