"""The estimate's arithmetic against its published formula, a simulation and sums by hand."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.verdict.again import BEST_MM, Doubt, measure_again
from routing.estimate.access import MOST, Lying, access_factor
from routing.estimate.learning import Record, lessons
from routing.estimate.three_point import ThreePoint, together
from routing.estimate.usual import usual_values, values_for
from routing.stock.shelf import Length, after_cutting
from viewer.work.estimate.bends import bends_by_place
from viewer.work.way_rows import LegRow

MINUTES = st.floats(0.1, 500)


@st.composite
def three_points(draw: st.DrawFn) -> ThreePoint:
    a, m, b = sorted(draw(st.tuples(MINUTES, MINUTES, MINUTES)))
    return ThreePoint(a, m, b)


@given(three_points())
def test_mean_and_deviation_are_the_published_ones(t: ThreePoint) -> None:
    # Malcolm, Roseboom, Clark and Fazar, Operations Research 7 (1959), p. 651
    assert t.mean == pytest.approx((t.least + 4 * t.likely + t.most) / 6)
    assert t.deviation == pytest.approx((t.most - t.least) / 6)
    assert t.least - 1e-9 <= t.mean <= t.most + 1e-9


def test_a_sum_by_hand() -> None:
    """Two kinds: 2, 5, 8 twice and 1, 1, 1: mean 5 + 5 + 1, deviation 1 + 1 of one kind."""
    t = ThreePoint(2, 5, 8)
    s = together([("a", t), ("a", t), ("b", ThreePoint(1, 1, 1))])
    assert s.mean == pytest.approx(11) and t.deviation == 1
    assert (s.low, s.high) == (pytest.approx(11 - 2 * 1.2816), pytest.approx(11 + 2 * 1.2816))


def test_the_range_holds_eight_of_ten_simulated_jobs() -> None:
    """Beta times with the published mean and deviation, one draw for each kind of a job."""
    rng = np.random.default_rng(7)
    kinds = {k: ThreePoint(*u) for k, u in {
        "a": (4, 5, 9), "b": (10, 15, 40), "c": (1, 2, 4), "d": (20, 30, 75), "e": (3, 8, 11)
    }.items()}  # fmt: skip
    counts = {"a": 40, "b": 12, "c": 60, "d": 6, "e": 25}
    s = together((k, t.times(counts[k])) for k, t in kinds.items())
    jobs = np.zeros(40_000)
    for k, t in kinds.items():
        mean = (t.mean - t.least) / (t.most - t.least)
        var = (t.deviation / (t.most - t.least)) ** 2
        n = mean * (1 - mean) / var - 1
        draw = rng.beta(mean * n, (1 - mean) * n, len(jobs))
        jobs += counts[k] * (t.least + draw * (t.most - t.least))
    assert jobs.mean() == pytest.approx(s.mean, rel=0.005)
    inside = np.mean((jobs > s.low) & (jobs < s.high))
    assert 0.78 < inside < 0.82


def test_access_takes_longer_the_deeper_farther_and_narrower() -> None:
    # common practice: open 1.0, locker 1.4, lining 1.8, bilge or engine 2.0 to 2.5
    for site, least in (("open", 1.0), ("locker", 1.4), ("lining", 1.8), ("bilge", 2.0)):
        assert access_factor(Lying(site, 0, 0, 800)) == least
    base = Lying("locker", 300, 300, 500)
    assert access_factor(Lying("locker", 1000, 300, 500)) == pytest.approx(1.4 + 0.1 * 2)
    assert access_factor(Lying("locker", 300, 1200, 500)) == pytest.approx(1.4 + 0.1 * 2)
    assert access_factor(Lying("locker", 300, 300, 200)) > access_factor(base)
    assert access_factor(Lying("engine", 3000, 3000, 100)) == MOST


def test_rates_and_the_shop_s_own_values_come_first() -> None:
    v = values_for({"clip": (1.0, 1.5, 2.0)}, {"clip_minutes": 9.0, "hole_minutes": 12.0})
    assert v["clip"].minutes == ThreePoint(1.0, 1.5, 2.0)
    likely = usual_values()["through_hole"].minutes
    assert v["through_hole"].minutes.likely == 12.0
    assert v["through_hole"].minutes.most == pytest.approx(likely.most * 12 / likely.likely)


def test_one_job_gone_wrong_moves_no_suggestion() -> None:
    """The median of ratios 1.2, 1.3, 1.25, 9: 1.275; its breakdown point is a half."""
    usual = {"clip": ThreePoint(1, 2, 4)}
    some = [Record(j, "clip", 10, 10 * r) for j, r in zip("abcd", (1.2, 1.3, 1.25, 9), strict=True)]
    (told,) = lessons(some, usual)
    assert told.ratio == pytest.approx(1.275) and told.jobs == 4
    assert told.suggested == ThreePoint(1, 2, 4).times(1.275)
    (few,) = lessons(some[:2], usual)
    assert few.suggested is None  # two jobs are too few
    assert lessons([Record("a", "dancing", 1, 1), Record("a", "clip", 1, 0)], usual) == []


def test_the_shelf_loses_what_is_cut_and_gains_what_is_left() -> None:
    shelf = [Length("16 mm²", 6500, 2), Length("4 mm²", 900, 1)]
    after = after_cutting(shelf, [("16 mm²", 6500)], [("16 mm²", 1200.4), ("4 mm²", 120)])
    assert [(x.cable, x.length_mm, x.count) for x in after] == [
        ("16 mm²", 6500, 1), ("4 mm²", 900, 1), ("16 mm²", 1200, 1)
    ]  # fmt: skip
    with pytest.raises(ValueError, match="any more"):
        after_cutting(shelf, [("16 mm²", 3000)], [])


def test_which_sizes_settle_most_by_hand() -> None:
    """A needs u and v, B needs v alone, C no measuring settles."""
    doubts = [
        Doubt("a", 8.0, 3.0, (("u", 4.0, 4.0), ("v", 4.0, 4.0))),  # 8 > 5; both again: 2
        Doubt("b", 6.0, 3.0, (("v", 4.0, 4.0),)),  # 4 > 3; again: 1
        Doubt("c", 3.0, 3.0, (("w", 2.0, 2.0),)),
        Doubt("d", 30.0, 3.0, (("u", 4.0, 4.0),)),  # settled as it is
    ]
    found = measure_again(doubts)
    assert found.exact and found.left == ("c",)
    assert found.steps[0] == ("v", ("a", "b")) and len(found.steps) == 1


@given(st.lists(st.tuples(st.floats(0, 20), st.lists(st.tuples(
    st.sampled_from("pqrstu"), st.floats(0.1, 6), st.floats(1, 8)), min_size=1, max_size=4)),
    min_size=1, max_size=5))  # fmt: skip
def test_no_smaller_set_of_sizes_settles_as_many(
    some: list[tuple[float, list[tuple[str, float, float]]]],
) -> None:
    """Every set tried by plain code."""
    from itertools import combinations

    doubts = [Doubt(str(k), g, 3.0, tuple({s[0]: s for s in sizes}.values()))
              for k, (g, sizes) in enumerate(some)]  # fmt: skip
    found = measure_again(doubts)

    def settled(again: set[str]) -> set[str]:
        out = set()
        for d in doubts:
            left = sum(e * (min(BEST_MM / own, 1) if k in again else 1) for k, e, own in d.sizes)
            if left <= abs(d.gap_mm - 3.0) + 1e-9:
                out.add(d.piece)
        return out

    chosen = {k for k, _ in found.steps}
    best = settled(set("pqrstu"))
    assert settled(chosen) == best
    if found.exact:
        for n in range(len(chosen)):
            assert all(settled(set(c)) != best for c in combinations("pqrstu", n))


def _leg(kind: str, where: str, *points: tuple[float, float, float]) -> LegRow:
    return LegRow(kind=kind, where=where, face=None, square=True, length_mm=1, points=points)


def test_bends_by_hand() -> None:
    """Turns drawn on paper: a hand's breadth of 100 mm makes one of two, a hole has its own."""
    square = _leg("face", "a", (0, 0, 0), (500, 0, 0), (500, 500, 0))
    assert bends_by_place([square]) == {"a": 1}
    jog = _leg("face", "a", (0, 0, 0), (500, 0, 0), (500, 60, 0), (900, 60, 0))
    assert bends_by_place([jog]) == {"a": 1}
    wide = _leg("face", "a", (0, 0, 0), (500, 0, 0), (500, 160, 0), (900, 160, 0))
    assert bends_by_place([wide]) == {"a": 2}
    slight = _leg("face", "a", (0, 0, 0), (500, 0, 0), (1000, 288, 0))  # 30 degrees
    assert bends_by_place([slight]) == {}
    through = [
        _leg("face", "a", (0, 0, 0), (300, 0, 0), (300, 300, 0), (340, 300, 0)),
        _leg("hole", "h", (340, 300, 0), (360, 300, 0)),
        _leg("face", "b", (360, 300, 0), (360, 800, 0), (800, 800, 0)),
        _leg("outside", "outside", (800, 800, 0), (800, 800, 400)),
    ]
    assert bends_by_place(through) == {"a": 1, "b": 1, "outside": 1}
