"""What must hold for any motion: a proven bound is never above what is met along it."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from layout.geometry.boxes import box_distance
from layout.geometry.frames import matrix_from_quat
from layout.geometry.shapes import BoxSet
from layout.passage.motion import least_clearance, motion_clear

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
    turn = Rotation.from_quat(q1) * Rotation.from_quat(q0).inv()
    met = 1e9
    n = np.empty(3)
    for t in np.linspace(0, 1, 60):
        p = p0 + t * (p1 - p0)
        r = (Rotation.from_rotvec(t * turn.as_rotvec()) * Rotation.from_quat(q0)).as_matrix()
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


@given(
    st.tuples(*[st.floats(-1, 1)] * 3),
    st.floats(1.0, 3.1),
    st.tuples(*[st.floats(-2000, 2000)] * 3),
    st.tuples(*[place] * 3),
    st.tuples(*[st.floats(-200, 200)] * 3),
)
def test_bound_holds_where_a_long_body_shifts_and_turns_fast(
    axis: tuple, angle_rad: float, shift: tuple, at: tuple, lever: tuple
) -> None:
    # a box far off the turn's axis, carried along a curve: its own axes turn with it
    about = np.array(axis)
    if np.linalg.norm(about) < 0.1:
        return
    about = about / np.linalg.norm(about) * angle_rad
    body = BoxSet.checked([list(lever)], [[220, 15, 90]])
    fixed = BoxSet.checked([list(at)], [[25, 240, 12]])
    q0, q1 = np.array([0, 0, 0, 1.0]), Rotation.from_rotvec(about).as_quat()
    p0, p1 = -np.array(shift) / 2, np.array(shift) / 2
    args = (body.arrays, fixed.arrays, p0, q0, p1, q1)
    bound, _, _, _ = least_clearance(*args, 0.05, 4000.0)
    met, n = 1e9, np.empty(3)
    for t in np.linspace(0, 1, 400):
        r = Rotation.from_rotvec(t * about).as_matrix()
        p = p0 + t * (p1 - p0) + r @ np.array(lever)
        c, h, eye = fixed.centre_mm[0], fixed.half_mm[0], np.eye(3)
        met = min(met, box_distance(p, body.half_mm[0], r, c, h, eye, n))
    assert bound <= met + 1e-6
    if motion_clear(*args, 5.0):
        assert met >= 5.0 - 1e-5


@given(st.tuples(*[angle] * 3))
def test_quaternion_matrix_is_the_library_one(turns: tuple) -> None:
    q = Rotation.from_euler("xyz", turns).as_quat()
    assert np.allclose(matrix_from_quat(q), Rotation.from_quat(q).as_matrix(), atol=1e-12)
