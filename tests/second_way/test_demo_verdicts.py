"""Every verdict of the demos checked again by code that shares nothing with the engine."""

import fcl
import numpy as np
from scipy.spatial.transform import Rotation, Slerp

from layout.boat.walls import Cover
from layout.passage import Verdict
from layout.recheck.turns import recheck_proof
from layout.verdict.ways_in import entry
from viewer.work.result import JobResult

STEP_MM = 2.0
CONTACT_MM = 0.05  # a seat may touch: bodies are drawn in by this much for the library


def _objects(boxes: object, draw_in: float) -> list[fcl.CollisionObject]:
    out = []
    for c, h, r in zip(boxes.centre_mm, boxes.half_mm, boxes.rotation, strict=True):  # type: ignore[attr-defined]
        out.append((fcl.Box(*(2 * np.maximum(h - draw_in, 0.1))), c, r))
    return out


def test_every_way_in_is_free_all_along(demo: JobResult) -> None:
    looked = 0
    for fit in demo.fits:
        if fit.passage is None or fit.passage.verdict is not Verdict.GOES_IN or fit.entry is None:
            continue
        looked += 1
        problem = fit.entry.problem
        fixed = [
            fcl.CollisionObject(g, fcl.Transform(r, c)) for g, c, r in _objects(problem.fixed, 0.0)
        ]
        manager = fcl.DynamicAABBTreeCollisionManager()
        manager.registerObjects(fixed)
        manager.setup()
        body = _objects(problem.body, CONTACT_MM)
        path = [*fit.passage.path, fit.entry.seat]
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
                    assert not data.result.is_collision, f"{fit.label} touches on its way"
    assert looked > 4


def test_every_cannot_holds(demo: JobResult) -> None:
    boat = demo.boat
    before = [t for t in boat.things.values() if t.fixed_already]
    for fit in demo.fits:
        if (
            fit.passage is not None
            and fit.passage.verdict is Verdict.CANNOT
            and fit.entry is not None
        ):
            proof = fit.passage.proof
            assert proof is not None
            problem = fit.entry.problem
            if not str(proof["kind"]).endswith("not free"):
                problem = entry(
                    boat, boat.things[fit.name], fit.entry.way, before, Cover.INNER, 0.0
                ).problem
            assert recheck_proof(problem, proof)
        before.append(boat.things[fit.name])


def test_told_clearance_is_what_least_squares_measures(demo: JobResult) -> None:
    from layout.recheck.turns import recheck_way

    fit = min(
        (f for f in demo.fits if f.passage is not None and f.passage.path),
        key=lambda f: (
            len(f.entry.problem.fixed) * len(f.passage.path) if f.entry and f.passage else 0
        ),
    )
    assert fit.passage is not None
    assert fit.entry is not None
    path = [(p.at_mm, p.quat) for p in fit.passage.path]
    met = recheck_way(fit.entry.problem.body, fit.entry.problem.fixed, path, 0.0, 25.0)
    assert fit.passage.least_clearance_mm is not None
    assert fit.passage.least_clearance_mm <= met + 1e-3
