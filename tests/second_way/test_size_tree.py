"""Sizes of all cables as one plan, against every choice there is, tried one by one."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from routing.sizes.conductors import catalogue
from routing.sizes.tree import Sized, share_drop

SIZES = catalogue("mm2")[1:8]


def cable(number: str, up: str | None, amps: float, metres: float, limit: float | None) -> Sized:
    mm = 1000.0 * metres
    return Sized(
        number,
        up,
        SIZES,
        tuple(k.price * metres for k in SIZES),
        tuple(amps * k.ohm(mm) for k in SIZES),
        (True,) * len(SIZES),
        limit,
    )


def best_of_all(cables: list[Sized]) -> float:
    """The least cost over every combination that keeps the limits; infinite where none does."""
    at = {c.number: k for k, c in enumerate(cables)}
    best = float("inf")
    for pick in product(range(len(SIZES)), repeat=len(cables)):
        fine = True
        for c in cables:
            if c.limit_volt is None:
                continue
            volt, here = 0.0, c.number
            while here is not None:
                k = at[here]
                volt += cables[k].drop_volt[pick[k]]
                here = cables[k].up  # type: ignore[assignment]
            fine = fine and volt <= c.limit_volt * (1 - 1e-5)
        if fine:
            best = min(best, sum(c.cost[i] for c, i in zip(cables, pick, strict=True)))
    return best


@settings(max_examples=25, deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(1, 20), st.floats(2, 30), st.floats(0.3, 1.2)), min_size=1, max_size=3
    ),
    st.floats(10, 60),
    st.floats(2, 12),
)
def test_no_other_choice_of_sizes_costs_less(
    branches: list[tuple[float, float, float]], amps: float, metres: float
) -> None:
    feeder = cable("f", None, amps, metres, None)
    cables = [feeder] + [cable(str(k), "f", a, m, v) for k, (a, m, v) in enumerate(branches)]
    least = best_of_all(cables)
    plan = share_drop(cables)
    if np.isfinite(least):
        assert plan.cost == pytest.approx(least, rel=1e-9)
        assert plan.bound <= plan.cost + 1e-6
        assert plan.bound == pytest.approx(plan.cost, rel=1e-6)


def test_sharing_costs_less_than_fixed_shares() -> None:
    # two branches of 3 % behind one feeder: hand-set halves of the drop against a free share
    branches = [("1", 2.0, 8.0), ("2", 10.0, 30.0)]
    free = [cable("f", None, 30.0, 6.0, None)]
    free += [cable(n, "f", a, m, 0.9) for n, a, m in branches]
    halves = [cable("f", None, 30.0, 6.0, 0.45)]
    halves += [cable(n, None, a, m, 0.45) for n, a, m in branches]
    assert share_drop(free).cost <= share_drop(halves).cost


def test_a_limit_that_cannot_be_kept_is_broken_by_as_little_as_can_be() -> None:
    long = cable("1", None, 50.0, 100.0, 0.1)
    assert share_drop([long]).sizes["1"] is SIZES[-1]


def test_what_does_not_fit_its_terminals_is_taken_only_where_nothing_else_serves() -> None:
    wide = cable("1", None, 10.0, 20.0, 0.5)
    narrow = Sized(
        "1", None, wide.sizes, wide.cost, wide.drop_volt, tuple(k.area_mm2 <= 6 for k in SIZES), 0.5
    )
    assert share_drop([narrow]).sizes["1"] is share_drop([wide]).sizes["1"]  # nothing else serves
    easy = Sized("1", None, wide.sizes, wide.cost, wide.drop_volt, narrow.fits, 5.0)
    assert share_drop([easy]).sizes["1"].area_mm2 <= 6


def test_a_feeder_is_not_made_too_large_for_its_terminals_to_save_on_branches() -> None:
    short = cable("f", None, 20.0, 1.0, None)
    small = tuple(k.area_mm2 <= 6 for k in SIZES)
    held = Sized("f", None, short.sizes, short.cost, short.drop_volt, small, None)
    branches = [cable(str(k), "f", 4.0, 8.0, 0.5) for k in range(3)]
    assert share_drop([short, *branches]).sizes["f"].area_mm2 > 6
    assert share_drop([held, *branches]).sizes["f"].area_mm2 <= 6


def test_while_what_is_brief_stands_still_its_feeder_drops_less() -> None:
    feeder = cable("f", None, 60.0, 4.0, None)
    lamp = cable("l", "f", 1.0, 10.0, 0.36)
    alone = share_drop([feeder, lamp]).cost
    quiet = Sized(
        "f", None, feeder.sizes, feeder.cost, feeder.drop_volt, feeder.fits, None, False, 0.2
    )
    assert share_drop([quiet, lamp]).cost < alone
