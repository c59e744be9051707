"""Lengths, fuses and money by hand: every term stands in the sum. Figures are invented."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from routing.sizes.fill import Bore, filled, round_mm
from routing.sizes.lengths import cut_length
from tests.whole_job.test_wiring import HOLE, HULL, JOB, make


def test_every_term_of_a_cut_length() -> None:
    # 2000 route + 120 + 80 tails + 2 x 150 loops + 4 % of 2000 wander + 30 bends + 7 off = 2617
    found = cut_length(2000.0, 120.0, 80.0, 300.0, 30.0, 7.0)
    assert found.loop_mm == 300.0
    assert found.wander_mm == pytest.approx(80.0)
    assert found.cut_mm == 2620.0  # to the next 10 up
    assert cut_length(2000.0, 120.0, 80.0, 0).cut_mm == 2280.0


def test_fill_of_three_cables_by_hand() -> None:
    # three of 10 mm in a bore of 25: 3 x 100 / 625 = 48 %, over the 40 % of three
    found = filled(
        Bore("h", "pipe", 25.0, (), False, 1000.0), [("1", 10.0), ("2", 10.0), ("3", 10.0)]
    )
    assert found is not None
    assert found.fill == pytest.approx(0.48)
    assert found.too_full
    # least bore: 40 % of it holds 300: sqrt(300 / 0.4) = 27.39
    assert found.least_bore_mm == pytest.approx(27.386, abs=0.01)
    one = filled(Bore("h", "hole", 25.0, (18.0,), False), [("1", 10.0)])
    assert one is not None
    assert one.fill == pytest.approx((18.0**2 + 10.0**2) / 625)


def test_a_cost_sheet_by_hand(tmp_path: Path) -> None:
    rates = (
        "[rates]\nhour = 60\nclip = 0.5\nedging = 2.0\nclip_minutes = 1\nedging_minutes = 4\n"
        "end_minutes = 6\nhole_minutes = 10\npull_minutes_per_metre = 2\n"
    )
    bare = HOLE.replace('edge = "edged"', 'edge = "bare"')
    r = make(tmp_path, HULL + bare, JOB + rates).result
    by_kind = {c.kind: c for c in r.costs if c.kind != "cable"}
    likely = {k: sum(t.likely for t in r.estimate.tasks if t.task == k) for k in (
        "clip", "edge", "through_hole", "pull_metre")}  # fmt: skip
    clips = sum(f.count for f in r.fixings if f.kind == "clip")
    edges = sum(f.count for f in r.fixings if f.kind == "edging")
    metres = sum(c.out.route_mm for c in r.circuits if c.out) / 1000
    totals = sorted(round(c.total, 3) for c in by_kind.values())
    assert edges >= 1
    assert totals == pytest.approx(sorted([clips * 0.5, edges * 2.0]), abs=0.01)
    # minutes by hand, as its rates tell; both spaces are lockers no opening leads to: 1.4 + 0.4
    by_hand = (clips * 1.0, edges * 4.0, 10.0, metres * 2.0)
    for hours, minutes in zip(likely.values(), by_hand, strict=True):
        assert hours == pytest.approx(1.8 * minutes / 60, rel=0.01)
    assert r.estimate.hour == 60 and {a.factor for a in r.estimate.access} == {1.8}
    drums = sum(x.price for x in r.cuts)
    assert sum(c.total for c in r.costs if c.kind == "cable") == pytest.approx(drums, abs=0.02)


def test_tails_go_through_named_sizes_with_their_plus_minus(tmp_path: Path) -> None:
    plain = make(tmp_path, HULL + HOLE, JOB + 'tail_load = "400 mm"\n').circuit("2")
    named = JOB.replace('hull = "h.hull.toml"', 'hull = "h.hull.toml"\n[sizes]\nend = "400 mm ±30"')
    with_doubt = make(tmp_path, HULL + HOLE, named + 'tail_load = "end"\n').circuit("2")
    assert plain.out is not None
    assert with_doubt.out is not None
    assert with_doubt.out.tail_load_mm == plain.out.tail_load_mm == 400.0
    assert with_doubt.out.plus_minus_mm == pytest.approx(plain.out.plus_minus_mm + 30.0, abs=5.0)
    assert with_doubt.out.cut_mm > plain.out.cut_mm


def _pass(diameters: list[float], bore: float) -> bool:
    """Whether circles lie side by side in a bore: each at its rim, every angle tried."""
    r = [d / 2 for d in diameters]
    if any(2 * x > bore for x in r):
        return False
    angles = np.linspace(0.0, 2 * np.pi, 1441)
    rim = np.column_stack([np.cos(angles), np.sin(angles)])
    first, second, third = (rim * (bore / 2 - x) for x in (*r, *[0.0] * (3 - len(r))))
    two = np.linalg.norm(second - first[0], axis=1) >= r[0] + r[1] - 1e-9
    if len(r) < 3:
        return bool(two.any())
    beside = np.linalg.norm(third - first[0], axis=1) >= r[0] + r[2] - 1e-9
    apart = np.linalg.norm(second[two][:, None] - third[beside][None], axis=2)
    return bool((apart >= r[1] + r[2] - 1e-9).any())


@settings(max_examples=40, deadline=None)
@given(st.lists(st.floats(2.0, 30.0), min_size=2, max_size=3))
def test_cables_side_by_side_against_every_angle(diameters: list[float]) -> None:
    told = round_mm(diameters)
    assert _pass(diameters, told * 1.01)
    assert not _pass(diameters, told * 0.985)


def test_three_like_cables_side_by_side() -> None:
    """Three like circles want 1 + 2 / sqrt 3 times one of them (Pirl, 1969, as tables of circle
    packing give it; from memory); two, twice.
    """
    assert round_mm([10.0] * 3) == pytest.approx(10 * (1 + 2 / 3**0.5))
    assert round_mm([13.2, 13.2, 2.0]) == pytest.approx(26.4)
    tight = filled(Bore("h", "hole", 25.0, (), False, 10.0), [("4", 13.2), ("4", 13.2)])
    assert tight is not None
    assert tight.fill < tight.limit and tight.too_full and tight.least_bore_mm == 26.4
