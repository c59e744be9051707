"""Every verdict of the demos checked again by code that shares nothing with the engine."""

import fcl
import numpy as np
from scipy.spatial.transform import Rotation, Slerp

from layout.passage import Verdict
from layout.recheck.proofs import recheck_proof
from layout.recheck.walk import recheck_way
from tests.worked import Worked

STEP_MM = 2.0
CONTACT_MM = 0.05  # a seat may touch: bodies are drawn in by this much for the library


def _objects(boxes: object, draw_in: float) -> list[fcl.CollisionObject]:
    out = []
    for c, h, r in zip(boxes.centre_mm, boxes.half_mm, boxes.rotation, strict=True):  # type: ignore[attr-defined]
        out.append((fcl.Box(*(2 * np.maximum(h - draw_in, 0.1))), c, r))
    return out


def test_every_way_in_is_free_all_along(demo: Worked) -> None:
    looked = 0
    for fit in demo.fits:
        if fit.passage is None or fit.passage.verdict is not Verdict.GOES_IN:
            continue
        looked += 1
        problem = demo.question(fit).outer
        fixed = [
            fcl.CollisionObject(g, fcl.Transform(r, c)) for g, c, r in _objects(problem.fixed, 0.0)
        ]
        manager = fcl.DynamicAABBTreeCollisionManager()
        manager.registerObjects(fixed)
        manager.setup()
        body = _objects(problem.body, CONTACT_MM)
        path = [*fit.passage.path, demo.asked[fit.key].piece.rest]
        radius = problem.radius_mm
        for a, b in zip(path, path[1:], strict=False):
            turn = Slerp([0, 1], Rotation.from_quat([a.quat, b.quat]))
            angle = (Rotation.from_quat(b.quat) * Rotation.from_quat(a.quat).inv()).magnitude()
            steps = int((np.linalg.norm(b.at_mm - a.at_mm) + radius * angle) / STEP_MM) + 2
            for t in np.linspace(0, 1, steps):
                r, p = turn(t).as_matrix(), a.at_mm + (b.at_mm - a.at_mm) * t
                for g, c, m in body:
                    data = fcl.CollisionData()
                    manager.collide(
                        fcl.CollisionObject(g, fcl.Transform(r @ m, p + r @ c)),
                        data,
                        fcl.defaultCollisionCallback,
                    )
                    assert not data.result.is_collision, f"{fit.key} touches on its way"
    assert looked > 4


def test_every_cannot_holds(demo: Worked) -> None:
    for fit in demo.fits:
        if fit.passage is not None and fit.passage.verdict is Verdict.CANNOT:
            assert fit.passage.proof is not None
            assert recheck_proof(demo.question(fit).inner, fit.passage.proof)


def test_told_clearance_is_what_least_squares_measures(demo: Worked) -> None:
    fit = min(
        (f for f in demo.fits if f.passage is not None and f.passage.path),
        key=lambda f: len(demo.question(f).outer.fixed) * len(f.passage.path if f.passage else ()),
    )
    assert fit.passage is not None
    problem = demo.question(fit).outer
    path = [(p.at_mm, p.quat) for p in fit.passage.path]
    met = recheck_way(problem, path, 0.0, 25.0)
    assert fit.passage.least_clearance_mm is not None
    assert fit.passage.least_clearance_mm <= met + 1e-3


def test_every_move_keeps_to_the_tilt_allowed(demo: Worked) -> None:
    for fit in demo.fits:
        if fit.passage is None or not fit.passage.path:
            continue
        problem = demo.question(fit).outer
        for a, b in zip(fit.passage.path, fit.passage.path[1:], strict=False):
            turn = Slerp([0, 1], Rotation.from_quat([a.quat, b.quat]))
            for t in np.linspace(0, 1, 100):
                up = turn(t).as_matrix() @ problem.up
                assert np.arccos(np.clip(up[2], -1.0, 1.0)) <= problem.max_tilt_rad + 1e-6, fit.key
