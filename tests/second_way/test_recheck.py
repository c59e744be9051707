"""The re-checker can say no: every way of spoiling a sound answer is refused."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from benchmarks.passage.files import box_set, read_case
from benchmarks.passage.shapes import board, locker, rim
from layout.geometry.shapes import BoxSet
from layout.passage import Effort, Pose, Problem, Verdict, find_passage
from layout.passage.proof.prover import Prover, body_point
from layout.passage.work import Work
from layout.recheck.common import RecheckFailed
from layout.recheck.proofs import recheck_proof
from layout.recheck.walk import recheck_way


def case(wide: float) -> Problem:
    return Problem(
        box_set(board()),
        box_set(rim(330, wide, 55) + locker(900, 600, 450)),
        Pose.checked([0, 0, 500]),
        Pose.checked([0, 0, -370]),
    )


@pytest.fixture(scope="module")
def proof() -> dict[str, Any]:
    found = find_passage(case(135.0), Effort(improve_steps=0))
    assert found.verdict is Verdict.CANNOT
    assert found.proof is not None
    assert recheck_proof(case(135.0), found.proof)
    return found.proof


def spoilt(proof: dict[str, Any], key: str, change: Any) -> dict[str, Any]:
    return {**proof, key: change(np.array(proof[key], dtype=np.float64))}


def longer_lines(leaves: np.ndarray) -> np.ndarray:
    leaves[:, 6:12] *= 1.2
    return leaves


@pytest.mark.parametrize(
    ("key", "change"),
    [
        ("leaves", lambda x: x[:-1]),  # a cell of turns left out
        ("leaves", lambda x: np.vstack([x[:-1], x[:1]])),  # one there twice
        ("leaves", longer_lines),  # body points outside the body
        ("plus_mm", lambda x: np.where(np.abs(x) < 1e8, x - 20, x)),  # less room than there is
        ("gate_high_mm", lambda x: x - 40),  # not the whole gate
        ("q_body_mm", lambda x: x + [0, 0, 500]),  # a point off the body
    ],
)
def test_a_spoilt_proof_is_refused(proof: dict[str, Any], key: str, change: Any) -> None:
    with pytest.raises(RecheckFailed):
        recheck_proof(case(135.0), spoilt(proof, key, change))


def test_a_proof_does_not_serve_a_larger_hole(proof: dict[str, Any]) -> None:
    with pytest.raises(RecheckFailed):
        recheck_proof(case(160.0), proof)


def test_a_way_does_not_serve_a_smaller_hole() -> None:
    found = find_passage(case(160.0), Effort(improve_steps=0))
    path = [(p.at_mm, p.quat) for p in found.path]
    assert found.verdict is Verdict.GOES_IN
    with pytest.raises(RecheckFailed, match="claimed"):
        recheck_way(case(135.0), path, 0.5, 10.0)


def test_a_way_that_leads_elsewhere_is_refused() -> None:
    problem = case(160.0)
    found = find_passage(problem, Effort(improve_steps=0))
    path = [(p.at_mm, p.quat) for p in found.path]
    assert recheck_way(problem, path, 0.0, 10.0) >= 0.0
    with pytest.raises(RecheckFailed, match="end at the goal"):
        recheck_way(problem, path[:-1], 0.0, 10.0)
    with pytest.raises(RecheckFailed, match="begin at the start"):
        recheck_way(problem, path[1:], 0.0, 10.0)
    anywhere = replace(problem, outside=(2, 1, 55.0))  # any place above the rim is a start
    high = [(np.array([0.0, 0.0, 900.0]), path[0][1]), *path[1:]]
    assert recheck_way(anywhere, high, 0.0, 10.0) >= 0.0
    with pytest.raises(RecheckFailed, match="begin outside"):
        recheck_way(anywhere, path[-1:], 0.0, 10.0)


def test_a_way_beyond_the_tilt_is_refused() -> None:
    problem = case(160.0)
    found = find_passage(problem, Effort(improve_steps=0))
    path = [(p.at_mm, p.quat) for p in found.path]
    with pytest.raises(RecheckFailed, match="tilted"):
        recheck_way(replace(problem, max_tilt_rad=np.deg2rad(5.0)), path, 0.0, 10.0)


def test_a_forged_place_that_is_not_free_is_refused() -> None:
    problem = case(400.0)  # a wide open hole
    wall = {"kind": "place not free", "at_mm": np.array([0.0, 300.0, 0.0]), "gap_mm": -20.0}
    forged = {**wall, "quat": np.array([0.0, 0.0, 0.0, 1.0]), "body": "", "fixed": ""}
    with pytest.raises(RecheckFailed, match="not that of the problem"):
        recheck_proof(problem, forged)
    start = {**forged, "kind": "start not free", "at_mm": problem.start.at_mm}
    with pytest.raises(RecheckFailed, match="free by"):
        recheck_proof(problem, start)
    with pytest.raises(RecheckFailed, match="proves nothing"):
        recheck_proof(replace(problem, outside=(2, 1, 55.0)), start)


CASES = Path(__file__).parent.parent.parent / "benchmarks" / "passage"


@pytest.fixture(scope="module")
def tilt() -> tuple[Problem, dict[str, Any]]:
    _, problem = read_case(CASES / "039-undercut-55.json")
    found = Prover(problem).prove(Work(2_000_000), lambda: False)
    assert found is not None
    assert found["kind"] == "turns never join"
    assert "never join" in recheck_proof(problem, found)
    return problem, found


def first_slab(proof: dict[str, Any], **change: Any) -> dict[str, Any]:
    return {**proof, "slabs": [{**proof["slabs"][0], **change}, *proof["slabs"][1:]]}


@pytest.mark.parametrize(
    "spoil",
    [
        lambda p: {**p, "slabs": p["slabs"][1:]},  # heights left out
        lambda p: {**p, "limit": p["limit"] + 0.02},  # another limit than the cells were made for
        lambda p: {**p, "rest_side": -p["rest_side"]},
        lambda p: {**p, "leaves": p["leaves"][1:]},  # a cell at the gate left out
        lambda p: first_slab(p, leaves=p["slabs"][0]["leaves"][1:]),  # a cell beyond it left out
        lambda p: first_slab(p, plus_mm=p["slabs"][0]["plus_mm"] - 20.0),  # less room than there is
        lambda p: first_slab(p, low_mm=p["slabs"][0]["low_mm"] + 5.0),
    ],
)
def test_a_spoilt_tilt_proof_is_refused(tilt: tuple[Problem, dict[str, Any]], spoil: Any) -> None:
    problem, proof = tilt
    with pytest.raises(RecheckFailed):
        recheck_proof(problem, spoil(proof))


def test_a_tilt_proof_does_not_carry_over_to_more_room(
    tilt: tuple[Problem, dict[str, Any]],
) -> None:
    _, roomier = read_case(CASES / "043-undercut-95.json")
    with pytest.raises(RecheckFailed):
        recheck_proof(roomier, tilt[1])


def turned(problem: Problem, degrees: tuple[float, float]) -> Problem:
    """The whole case turned about two axes: no length changes, so no answer does."""
    r = Rotation.from_euler("xz", degrees, degrees=True)
    m, f = r.as_matrix(), problem.fixed
    boxes = BoxSet.checked(f.centre_mm @ m.T, f.half_mm, m @ f.rotation, f.names)

    def pose(p: Pose) -> Pose:
        return Pose.checked(m @ p.at_mm, (r * Rotation.from_quat(p.quat)).as_quat())

    return replace(problem, fixed=boxes, start=pose(problem.start), goal=pose(problem.goal))


@pytest.mark.parametrize("degrees", [(20.0, 0.0), (10.0, 33.0)])
def test_a_boat_drawn_turned_has_the_same_proof(degrees: tuple[float, float]) -> None:
    problem = turned(case(135.0), degrees)
    found = find_passage(problem, Effort(improve_steps=0))
    assert found.verdict is Verdict.CANNOT
    assert found.proof is not None
    assert recheck_proof(problem, found.proof)
    for wrong in (np.eye(3), np.diag([1.0, 1.0, -1.0])):
        with pytest.raises(RecheckFailed):
            recheck_proof(problem, {**found.proof, "frame": wrong})
    wider = turned(case(160.0), degrees)
    with pytest.raises(RecheckFailed):
        recheck_proof(wider, found.proof)
    assert Prover(turned(case(141.5), degrees)).prove(Work(60_000), lambda: False) is None


def test_a_proof_asked_for_one_body_point_is_about_that_point() -> None:
    # several ways are shut to a body only where one point of it comes by none of them
    points = set()
    for point in ((0, 0.0), (0, 0.6)):
        found = find_passage(case(135.0), Effort(0, improve_steps=0), None, None, point)
        if found.verdict is Verdict.CANNOT:
            assert found.proof is not None
            assert body_point(found.proof) == point
            assert recheck_proof(case(135.0), found.proof)
            points.add(point)
    assert points


def leaning_case(wide: float = 135.0) -> Problem:
    """A board that would tip into its locker but for a side that leans in."""
    lean = Rotation.from_euler("x", 22, degrees=True)
    side = {
        "centre": (np.array([0, 190, -400]) + lean.as_matrix() @ [0, 20, 200]).tolist(),
        "half": [900, 20, 420],
        "quat": lean.as_quat().tolist(),
    }
    fixed = [*rim(351, wide, 40), *locker(480, 420, 400), side]
    return Problem(
        box_set(board(415, 321, 126)),
        box_set(fixed),
        Pose.checked([0, 0, 600]),
        Pose.checked([0, -40, -330]),
        outside=(2, 1, 40.0),
    )


def test_treads_lie_inside_their_box_and_others_are_refused() -> None:
    problem = leaning_case()
    found = find_passage(problem, Effort(improve_steps=0))
    assert found.verdict is Verdict.CANNOT
    proof = found.proof
    assert proof is not None
    assert "tread_row" in proof
    assert recheck_proof(problem, proof)
    for key, by in (("tread_low_mm", [0, -3.0, 0]), ("tread_high_mm", [0, 3.0, 0])):
        with pytest.raises(RecheckFailed, match="tread"):
            recheck_proof(problem, {**proof, key: np.asarray(proof[key]) + by})
    with pytest.raises(RecheckFailed, match="tread"):
        recheck_proof(problem, {**proof, "tread_row": np.asarray(proof["tread_row"]) - 1})
