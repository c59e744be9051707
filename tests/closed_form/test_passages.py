"""Verdicts against closed forms; each is re-checked by code that shares nothing with the engine."""

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from benchmarks.passage.files import box_set
from benchmarks.passage.shapes import board, box, corner_steps, locker, rim, solid
from layout.boat.openings import CORNER_STEPS, Cover, corner_cover_error_mm
from layout.boat.openings import corner_steps as cover_steps
from layout.passage import Effort, Passage, Pose, Problem, Verdict, find_passage
from layout.recheck.proofs import recheck_proof
from layout.recheck.walk import recheck_way


def answer(
    body: list,
    fixed: list,
    start: list,
    goal: list,
    work: float = 1.0,
    turn: tuple = (0, 0, 0, 1),
) -> Passage:
    problem = Problem(box_set(body), box_set(fixed), Pose.checked(start), Pose.checked(goal, turn))
    found = find_passage(
        problem, Effort(int(work * Effort().search_steps), int(work * Effort().proof_cells), 0)
    )
    if found.verdict is Verdict.GOES_IN:
        path = [(p.at_mm, p.quat) for p in found.path]
        assert recheck_way(problem, path, 0.0, 25.0) >= -1e-4
    elif found.verdict is Verdict.CANNOT:
        assert found.proof is not None
        assert recheck_proof(problem, found.proof)
    return found


@pytest.mark.parametrize(
    ("play", "verdict"),
    [
        (20.0, Verdict.GOES_IN),
        (5.0, Verdict.GOES_IN),
        (1.0, Verdict.GOES_IN),
        (-1.0, Verdict.CANNOT),
        (-10.0, Verdict.CANNOT),
    ],
)
def test_up_ended_box(play: float, verdict: Verdict) -> None:
    # the least section of a box through its middle is its smallest face's
    fixed = rim(300 + play, 200 + play, 40) + locker(900, 600, 520)
    assert answer(solid(410, 300, 200), fixed, [0, 0, 600], [0, 0, -300]).verdict is verdict


def wetzel_least_side(p: float, q: float, a: float) -> float:
    """Least b so that a rectangle p x q fits a x b, for p > a: Wetzel 2000, doi 10.2307/2691523."""
    return float(
        (2 * p * q * a + (p * p - q * q) * np.sqrt(p * p + q * q - a * a)) / (p * p + q * q)
    )


@pytest.mark.parametrize(
    ("p", "q", "a", "least"), [(9, 4, 8, 9.787594), (10, 1, 9, 6.165757), (13, 2, 12, 8.743076)]
)
def test_wetzel_formula_itself(p: float, q: float, a: float, least: float) -> None:
    assert wetzel_least_side(p, q, a) == pytest.approx(least, abs=1e-6)


@pytest.mark.parametrize("seed", range(4))
def test_rectangle_in_rectangle_on_both_sides_of_the_bound(seed: int) -> None:
    # a post as tall as it cannot lean in its deep throat: its section must fit as a rectangle
    # in a rectangle
    rng = np.random.default_rng(seed)
    p, q = float(rng.uniform(380, 460)), float(rng.uniform(40, 70))
    a = p * float(rng.uniform(0.9, 0.96))
    least = wetzel_least_side(p, q, a)
    goes = answer(
        solid(p, q, 700),
        rim(a, least + 6, 1200, 1200) + locker(1400, 1400, 1200),
        [0, 0, 1900],
        [0, 0, -700],
    )
    cannot = answer(
        solid(p, q, 700),
        rim(a, least - 3, 1200, 1200) + locker(1400, 1400, 1200),
        [0, 0, 1900],
        [0, 0, -700],
    )
    assert goes.verdict is Verdict.GOES_IN
    assert cannot.verdict is Verdict.CANNOT


@pytest.mark.parametrize(("play", "goes"), [(20.0, True), (6.0, True), (-8.0, False)])
def test_longest_box_round_a_corner(play: float, goes: bool) -> None:
    # equal corridors of width h, box of width w: longest is 2 sqrt(2) h - 2 w
    h, w, tall, big = 300.0, 80.0, 500.0, 1500.0
    length = 2 * np.sqrt(2) * h - 2 * w - play
    walls = [
        box([-big, -big, -tall / 2], [0, big, tall / 2]),
        box([0, h, -tall / 2], [big, h + 200, tall / 2]),
        box([h, -big, -tall / 2], [big, 0, tall / 2]),
        box([-big, -big, tall / 2], [big, big, tall / 2 + 40]),
        box([-big, -big, -tall / 2 - 40], [big, big, -tall / 2]),
    ]
    half = float(np.sqrt(0.5))
    found = answer(
        solid(w, length, tall - 4),
        walls,
        [h / 2, -big / 2, 0],
        [big / 2, h / 2, 0],
        30.0 if goes else 2.0,
        (0, 0, half, half),
    )
    assert found.verdict is Verdict.GOES_IN if goes else found.verdict is not Verdict.GOES_IN


@pytest.mark.parametrize(("radius", "spare"), [(40.0, 0.95), (60.0, -7.0), (25.0, 7.0)])
def test_square_carton_at_rounded_corners(radius: float, spare: float) -> None:
    # worked trade example: carton 410 x 300 straight down through 430 x 330: the corner needs
    # 0.29 of the radius
    dx, dy = radius - 10.0, radius - 15.0
    gap = radius - float(np.hypot(max(0.0, dx), max(0.0, dy)))
    assert gap == pytest.approx(spare, abs=0.5)
    assert (1 - np.sqrt(0.5)) * radius == pytest.approx(0.29 * radius, rel=0.02)


def test_cover_of_corners_is_on_the_stated_side() -> None:
    radius = 40.0
    rng = np.random.default_rng(3)
    x = rng.uniform(0, radius, (20_000, 2))
    material = np.hypot(radius - x[:, 0], radius - x[:, 1]) > radius
    for cover in Cover:
        inside = np.zeros(len(x), dtype=bool)
        for u, v in cover_steps(radius, cover):
            inside |= (x[:, 0] < u) & (x[:, 1] < v)
        if cover is Cover.OUTER:
            assert np.all(inside[material])
            beyond = inside & ~material
            off = radius - np.hypot(radius - x[beyond, 0], radius - x[beyond, 1])
            assert off.max() <= corner_cover_error_mm(radius) + 1e-9
        else:
            assert not np.any(inside & ~material)
    assert corner_cover_error_mm(radius) < radius / CORNER_STEPS + 1


@pytest.mark.parametrize(("past", "goes"), [(63.0, False), (71.0, True), (79.0, True)])
def test_undercut_needed_to_lay_a_board_flat(past: float, goes: bool) -> None:
    # worked trade example: board 480 x 300 x 140, hatch 412 long at the corners, throat 55,
    # 240 high below:
    # 63 mm of room past one edge is not enough, 71 mm is
    length = 430.0 + past + 11.0  # past the true edges; the corners shorten the throat to 412
    fixed = rim(412, 330, 55) + locker(length, 420, 240, ((11.0 - past) / 2, 0))
    found = answer(
        solid(480, 300, 140),
        fixed,
        [0, 0, 500],
        [(11.0 - past) / 2, 0, -165],
        20.0 if goes else 3.0,
    )
    assert found.verdict is Verdict.GOES_IN if goes else found.verdict is not Verdict.GOES_IN


def test_board_that_is_too_thick_by_three() -> None:
    fixed = rim(330, 137, 55) + locker(900, 600, 450)
    assert answer(board(), fixed, [0, 0, 500], [0, 0, -370]).verdict is Verdict.CANNOT


def test_resting_in_contact_is_no_clash_and_four_deep_is() -> None:
    fixed = rim(430, 330, 55) + locker(900, 600, 300)
    assert answer(solid(400, 280, 140), fixed, [0, 0, 500], [0, 0, -230]).verdict is Verdict.GOES_IN
    taken = answer(solid(400, 280, 140), fixed, [0, 0, 500], [0, 0, -234])
    assert taken.verdict is Verdict.CANNOT
    assert taken.least_clearance_mm == pytest.approx(-4.0, abs=1e-6)


def test_corner_steps_of_the_cases_lie_in_the_material() -> None:
    for b in corner_steps(430, 330, 55, 40):
        c, h = np.array(b["centre"]), np.array(b["half"])
        inner = np.abs(c[:2]) - h[:2]
        assert np.hypot(*(40 - (np.array([215, 165]) - inner))) >= 40 - 1e-6


@pytest.mark.parametrize("seed", range(5))
def test_a_straight_slide_that_exists_is_found(seed: int) -> None:
    # Passage through a rectangular window by shift alone implies a straight slide in that
    # same turn (a
    # theorem on convex bodies and windows); so a window 3 mm wider than the least shadow along some
    # slide must be passed. The least shadow of a box: its extent of x - d z, least over the
    # slope d.
    from scipy.optimize import minimize_scalar
    from scipy.spatial.transform import Rotation

    rng = np.random.default_rng(seed)
    half = rng.uniform(30, 160, 3)
    turn = Rotation.random(random_state=seed)
    corners = (
        np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)])
        * half
        @ turn.as_matrix().T
    )
    need = []
    for k in (0, 1):
        least = minimize_scalar(
            lambda d, k=k: np.ptp(corners[:, k] - d * corners[:, 2]),
            bounds=(-3, 3),
            method="bounded",
        )
        need.append(float(least.fun) + 3.0)
    fixed = rim(need[0], need[1], 8, 900)
    q = turn.as_quat().tolist()
    problem = Problem(
        box_set(solid(*(2 * half))),
        box_set(fixed),
        Pose.checked([0, 0, 700], q),
        Pose.checked([0, 0, -700], q),
    )
    assert find_passage(problem, Effort(improve_steps=0)).verdict is Verdict.GOES_IN


@pytest.mark.parametrize("seed", range(6))
def test_agrees_with_an_exhaustive_grid_in_the_plane(seed: int) -> None:
    # a tall post in a deep throat turns only in the plane: a grid of a hundredth of a degree
    # decides
    rng = np.random.default_rng(100 + seed)
    p, q = float(rng.uniform(200, 300)), float(rng.uniform(60, 190))
    a, b = p * float(rng.uniform(0.9, 1.05)), p * float(rng.uniform(0.5, 0.95))
    t = np.deg2rad(np.arange(0, 180, 0.01))
    wide, high = (
        p * np.abs(np.cos(t)) + q * np.abs(np.sin(t)),
        p * np.abs(np.sin(t)) + q * np.abs(np.cos(t)),
    )
    spare = float(np.max(np.minimum(a - wide, b - high)))
    if abs(spare) < 2.0:
        pytest.skip("too near the bound for a grid to judge")
    found = answer(
        solid(p, q, 700),
        rim(a, b, 1200, 1200) + locker(1400, 1400, 1200),
        [0, 0, 1900],
        [0, 0, -700],
    )
    assert found.verdict is (Verdict.GOES_IN if spare > 0 else Verdict.CANNOT)


def between_leaning_sides(gap: float) -> list:
    """Two sides that lean towards each other downwards to a gap, between end walls; a space
    below.
    """
    sides = []
    for way in (1, -1):
        turn = Rotation.from_euler("x", -25 * way, degrees=True)
        foot = np.array([0.0, -30.0 * way, -300.0])  # the lower inner corner of the slab
        at = np.array([0.0, way * gap / 2, 0.0]) - turn.as_matrix() @ foot
        sides.append(
            {"centre": at.tolist(), "half": [700, 30, 300], "quat": turn.as_quat().tolist()}
        )
    ends = [box([-700, -900, -400], [-302, 900, 900]), box([302, -900, -400], [700, 900, 900])]
    floor = [
        box([-700, 95, -20], [700, 900, -10]),
        box([-700, -900, -20], [700, -95, -10]),
        box([-700, -900, -460], [700, 900, -400]),
        box([-700, -960, -460], [700, -900, 900]),
        box([-700, 900, -460], [700, 960, 900]),
    ]
    return sides + ends + floor


@pytest.mark.parametrize(
    ("thick", "verdict"),
    [(99.0, Verdict.GOES_IN), (99.9, Verdict.GOES_IN), (125.0, Verdict.CANNOT)],
)
def test_a_square_bar_between_two_leaning_sides(thick: float, verdict: Verdict) -> None:
    # a square's least width is its side, so it passes a gap of 100 between two edges just when
    # it is thinner; the ends leave no room to up-end it
    bar = solid(600, thick, thick)
    found = answer(bar, between_leaning_sides(100.0), [0, 0, 420], [0, 0, -300])
    assert found.verdict is verdict
    if verdict is Verdict.CANNOT:
        assert found.proof is not None
        assert "tread_row" in found.proof
