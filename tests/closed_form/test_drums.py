"""Cutting stock against optima known by construction, and what any plan must keep."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.passage.work import Work
from routing.errors import RoutingError
from routing.stock.drums import plan_drums
from routing.stock.patterns import Stock


def triplets(drums: int, seed: int, length: int = 10_000) -> list[float]:
    """Each drum is filled exactly by three pieces between a quarter and a half of it (known
    construction).
    """
    rng = np.random.default_rng(seed)
    out: list[float] = []
    for _ in range(drums):
        a = int(rng.integers(380, 490)) * 10
        b = int(rng.integers((length - a) // 20 - 60, (length - a) // 20 + 60)) * 10
        out += [a, b, length - a - b]
    return [float(x) for x in rng.permutation(out)]


@pytest.mark.parametrize("drums", [5, 20, 40])
@pytest.mark.parametrize("seed", range(3))
def test_triplets_are_cut_with_nothing_left(drums: int, seed: int) -> None:
    plan = plan_drums(triplets(drums, seed), [Stock("10 m drum", 10_000, 1.0)])
    assert plan.bound == pytest.approx(drums)
    assert len(plan.cuts) == drums


@given(st.lists(st.integers(30, 2900), min_size=1, max_size=25), st.integers(0, 3))
def test_every_piece_is_cut_once_and_fits(lengths: list[int], remnants: int) -> None:
    pieces = [float(10 * x) for x in lengths]
    stocks = [
        Stock("30 m drum", 30_000, 30.0),
        *([Stock("remnant", 12_000, 1.0, remnants)] if remnants else []),
    ]
    plan = plan_drums(pieces, stocks)
    assert sorted(p for c in plan.cuts for p in c.pieces_mm) == sorted(pieces)
    assert all(c.left_mm >= -1e-9 for c in plan.cuts)
    assert sum(c.stock.name == "remnant" for c in plan.cuts) <= remnants
    assert plan.bound <= plan.cost + 1e-6


def test_a_remnant_is_used_before_a_drum_is_bought() -> None:
    plan = plan_drums(
        [4000.0, 3000.0], [Stock("30 m drum", 30_000, 30.0), Stock("remnant", 7_500, 0.0, 1)]
    )
    assert [c.stock.name for c in plan.cuts] == ["remnant"]
    assert plan.proven_best


def test_a_run_longer_than_any_drum_is_refused_not_jointed() -> None:
    with pytest.raises(RoutingError, match="never joint"):
        plan_drums([31_000.0], [Stock("30 m drum", 30_000, 30.0)])


def test_lengths_are_counted_in_their_common_measure() -> None:
    # three pieces fill a stock of 1000 exactly: rounding to 10 would need a second one
    plan = plan_drums([367.0, 333.0, 300.0], [Stock("stock", 1000.0, 1.0)])
    assert len(plan.cuts) == 1
    assert plan.cuts[0].left_mm == 0


@pytest.mark.parametrize("remnants", [0, 1])
def test_hardly_any_work_still_gives_a_whole_plan_near_its_bound(remnants: int) -> None:
    rng = np.random.default_rng(5)
    pieces = [float(x) * 10 for x in rng.integers(80, 1200, 80)]
    stocks = [Stock("30 m drum", 30_000, 30.0), Stock("50 m drum", 50_000, 48.0)] + [
        Stock("remnant", 9_000, 0.0, 1)
    ] * remnants
    plan = plan_drums(pieces, stocks, Work(1))
    assert sorted(p for c in plan.cuts for p in c.pieces_mm) == sorted(pieces)
    assert all(c.left_mm >= -1e-6 for c in plan.cuts)
    assert plan.bound <= plan.cost <= 1.15 * plan.bound
