"""Arrangements beside what is known of them: perfect packings, shapely, the proof's own bound."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import box
from shapely.geometry import Polygon

from benchmarks.bench.arranging import cut_up
from layout.bench.arrange.door import ArrangeEffort, Arrangement, arrange
from layout.bench.arrange.kit import Box, Kit, KitLink, KitPart, Post, turned_box
from layout.bench.nesting import Blank, Sheet, nest

SHORT = ArrangeEffort(rounds=400, starts=2, proof=0.5)


def bodies(sizes: list[tuple[float, float]], tall: float = 40.0) -> tuple[KitPart, ...]:
    return tuple(
        KitPart(f"p{i}", (Box(-a / 2, -b / 2, 0, a / 2, b / 2, tall),), turns=(0, 90))
        for i, (a, b) in enumerate(sizes)
    )


def outlines(kit: Kit, found: Arrangement, rooms: bool = False) -> dict[str, list[Polygon]]:
    """Every box of every part where it was put, as polygons with their height (by shapely)."""
    at = {p.key: p for p in found.places}
    out = {}
    for part in kit.parts:
        p = at[part.key]
        rows = [turned_box(b, p.turn_deg // 90) for b in (part.rooms if rooms else part.boxes)]
        out[part.key] = [(box(p.x + r[0], p.y + r[1], p.x + r[2], p.y + r[3]), r[4], r[5])
                         for r in rows]  # fmt: skip
    return out


@pytest.mark.parametrize("count", [4, 6, 8])
def test_a_perfect_packing_is_found_within_three_percent_and_never_beaten(count: int) -> None:
    """The area of all pieces is the least any plate can have: the bound told may not be above what
    is found, nor the find below the area.
    """
    for seed in range(2):
        sizes = cut_up(seed, count)
        kit = Kit(bodies(sizes), most_mm=(700, 700), margin_mm=0, gap_mm=0)
        found = arrange(kit, "plate", replace(SHORT, rounds=1500, proof=2.0))
        area = found.plate_mm[0] * found.plate_mm[1]
        assert not found.left
        assert area >= 480 * 360 - 1e-6
        assert area <= 1.03 * 480 * 360
        assert found.bound <= found.cost + 1e-6
        assert found.bound >= 0.999 * 480 * 360  # the areas alone


sizes = st.tuples(st.integers(20, 120), st.integers(20, 120))


@settings(max_examples=12)
@given(st.lists(sizes, min_size=1, max_size=6), st.integers(0, 30), st.integers(0, 20))
def test_no_two_bodies_overlap_and_all_keep_the_margin_and_the_gap(
    some: list[tuple[int, int]], margin: int, gap: int
) -> None:
    kit = Kit(bodies(list(some)), most_mm=(900, 900), margin_mm=margin, gap_mm=gap)
    found = arrange(kit, "plate", replace(SHORT, rounds=80, starts=1, proof=0.0))
    assert not found.left
    flat = [p for group in outlines(kit, found).values() for p, _, _ in group]
    inside = box(0, 0, *found.plate_mm).buffer(-margin + 1e-6, join_style="mitre")
    for i, a in enumerate(flat):
        assert inside.contains(a) or a.difference(inside).area < 1e-3
        for b in flat[:i]:
            apart_x = max(a.bounds[0] - b.bounds[2], b.bounds[0] - a.bounds[2])
            apart_y = max(a.bounds[1] - b.bounds[3], b.bounds[1] - a.bounds[3])
            assert max(apart_x, apart_y) >= gap - 1e-6


def test_a_room_keeps_taller_bodies_out_but_not_other_rooms() -> None:
    """Two parts whose rooms of 60 mm lie between them may share that room; a body may not."""

    def part(key: str) -> KitPart:
        return KitPart(
            key,
            (Box(-20, -20, 0, 20, 20, 40),),
            (Box(20, -20, 10, 80, 20, 40), Box(-80, -20, 10, -20, 20, 40)),
            turns=(0,),
        )  # fmt: skip

    kit = Kit((part("a"), part("b")), most_mm=(400, 60), margin_mm=0, gap_mm=0)
    found = arrange(kit, "plate", SHORT)
    a, b = sorted(p.x for p in found.places)
    assert b - a == pytest.approx(100, abs=0.5)  # 20 + 60 + 20: one room between, shared
    assert found.plate_mm[0] == pytest.approx(140, abs=0.5)  # rooms hang over the edges
    assert found.proven_best


def test_studs_of_opposite_poles_are_thirty_apart_and_heat_rises_past_nothing() -> None:
    plus = KitPart("plus", (Box(-10, -10, 0, 10, 10, 20),), (), (Post(10, 0, 1, 0, 1),), turns=(0,))
    minus = replace(plus, key="minus", posts=(Post(-10, 0, -1, 0, -1),))
    kit = Kit((plus, minus), most_mm=(300, 20), margin_mm=0, gap_mm=0)
    found = arrange(kit, "plate", SHORT)
    at = {p.key: p.x for p in found.places}
    assert abs((at["plus"] + 10) - (at["minus"] - 10)) >= 30 - 1e-6
    hot = KitPart("hot", (Box(-30, -30, 0, 30, 30, 50),), hot=True, turns=(0,))
    fuse = KitPart("fuse", (Box(-30, -10, 0, 30, 10, 30),), minds_heat=True, turns=(0,))
    narrow = Kit((hot, fuse), most_mm=(60, 400), margin_mm=0, gap_mm=0, above_hot_mm=150)
    found = arrange(narrow, "plate", SHORT)
    at = {p.key: p.y for p in found.places}
    assert at["fuse"] < at["hot"] or at["fuse"] - 10 - (at["hot"] + 30) >= 150 - 1e-6


def test_a_link_is_laid_straight_where_two_terminals_can_face() -> None:
    """The least link between two terminals is 50 mm: a lug of 25 at each end."""
    a = KitPart("a", (Box(-20, -20, 0, 20, 20, 30),), (), (Post(20, 0, 1, 0),))
    b = KitPart("b", (Box(-20, -20, 0, 20, 20, 30),), (), (Post(-20, 0, -1, 0),))
    kit = Kit((a, b), (KitLink(0, 0, 1, 0),), most_mm=(400, 400), margin_mm=0, gap_mm=5)
    assert arrange(kit, "cable", SHORT).link_mm == pytest.approx(50, abs=1.1)


def test_pins_rows_and_forbidden_places_are_kept() -> None:
    parts = list(bodies([(60, 40), (50, 30), (40, 30)]))
    parts[0] = replace(parts[0], pinned=(200.0, 150.0, 0))
    parts[1], parts[2] = replace(parts[1], row=0), replace(parts[2], row=0)
    kit = Kit(tuple(parts), most_mm=(400, 300), forbidden=((0, 0, 400, 100),))
    found = arrange(kit, "both", SHORT)
    at = {p.key: p for p in found.places}
    assert (at["p0"].x, at["p0"].y) == (200.0, 150.0)
    assert at["p1"].y == pytest.approx(at["p2"].y)
    for group in outlines(kit, found).values():
        assert all(shape.bounds[1] >= 100 - 1e-6 for shape, _, _ in group)


def test_what_no_plate_holds_is_left_and_the_rest_is_placed() -> None:
    kit = Kit(bodies([(300, 300), (40, 40)]), most_mm=(200, 200), margin_mm=0)
    assert arrange(kit, "plate", replace(SHORT, proof=0.0)).left == ("p0",)


def test_the_same_kit_gives_the_same_arrangement() -> None:
    kit = Kit(bodies([(90, 40), (70, 50), (60, 60), (30, 80)]), most_mm=(400, 400))
    assert arrange(kit, "both", SHORT) == arrange(kit, "both", SHORT)


def test_nine_squares_fill_one_sheet_of_33_by_32() -> None:
    """The squared rectangle of order 9 (Z. Moron, 1925): sides 18, 15, 14, 10, 9, 8, 7, 4, 1."""
    sides = (18, 15, 14, 10, 9, 8, 7, 4, 1)
    blanks = [Blank(f"s{s}", 10 * s, 10 * s, "any") for s in sides]
    found = nest(blanks, [Sheet("sheet", 330, 320, 1.0, None)], 0.0)
    assert len(found.used) == 1 and found.cost == found.bound == 1.0
    flat = [box(x.x, x.y, x.x + x.length_mm, x.y + x.height_mm) for x in found.laid]
    assert sum(p.area for p in flat) == pytest.approx(330 * 320)
    for i, a in enumerate(flat):
        assert box(0, 0, 330, 320).buffer(1e-6).contains(a)
        assert all(a.intersection(b).area < 1e-6 for b in flat[:i])


def test_the_saw_takes_its_cut_and_grain_is_kept() -> None:
    """Two plates of 600 do not come out of 1200 with a kerf of 3; with the grain up they turn."""
    sheet = Sheet("sheet", 1200, 600, 1.0, None)
    two = [Blank("a", 600, 600, "any"), Blank("b", 600, 600, "any")]
    assert len(nest(two, [sheet], 3.0).used) == 2
    assert len(nest(two, [sheet], 0.0).used) == 1
    turned = nest([Blank("a", 500, 300, "up")], [sheet], 3.0)
    assert turned.laid[0].turned and (turned.laid[0].length_mm, turned.laid[0].height_mm) == (
        300, 500,
    )  # fmt: skip
    assert nest([Blank("a", 700, 300, "up")], [sheet], 3.0).too_large == ("a",)
