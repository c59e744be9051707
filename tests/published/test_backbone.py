"""The instrument backbone against printed figures and examples (guides of IEC 61162-3 as reprinted,
IEC 62026-3).
"""

import pytest

from routing.signals.backbone import (
    Backbone,
    Device,
    Tee,
    check_backbone,
    guide_drop_volt,
    loads_of,
    spread_volt,
)


def bone(
    tees: list[tuple[float, list[tuple[float, int]]]],
    feed: int = 0,
    cable: str = "light",
    ends: tuple[str, ...] | None = None,
    fuse: float = 3.0,
) -> Backbone:
    made = tuple(
        Tee(
            f"t{k}",
            at * 1000,
            tuple(Device(f"d{k}.{i}", drop * 1000, n) for i, (drop, n) in enumerate(devices)),
        )
        for k, (at, devices) in enumerate(tees)
    )
    return Backbone(
        "bone",
        cable,
        made,
        f"t{feed}",
        ends if ends is not None else ("t0", f"t{len(tees) - 1}"),
        fuse,
    )


def rules(b: Backbone) -> str:
    return "; ".join(f.rule for f in check_backbone(b).findings)


@pytest.mark.parametrize(("milliamp", "loads"), [(50, 1), (51, 2), (150, 3), (151, 4), (1000, 20)])
def test_load_numbers_are_units_of_50_ma_rounded_up(milliamp: float, loads: int) -> None:
    assert loads_of(milliamp) == loads  # printed: 151 mA is 4


def test_the_quick_estimate_is_the_guides_formula() -> None:
    # 0.1 x loads x length x (ohm per 100 m) / 100 with light cable, 5.7 ohm per 100 m
    assert guide_drop_volt(10, 20, 5.7) == pytest.approx(1.14)
    # the same current all at the end: 0.5 A over 20 m out and back at 0.057 ohm a metre
    far = spread_volt(bone([(0, [(0, 0)]), (20, [(0, 10)])]))
    assert far == pytest.approx(guide_drop_volt(10, 20, 5.7), rel=1e-9)


def test_the_printed_resistance_out_by_ten_is_not_used() -> None:
    # one guide prints 0.0057 ohm a metre for light cable; 22 AWG is 0.057
    assert spread_volt(bone([(0, [(0, 0)]), (20, [(0, 10)])])) > 5 * guide_drop_volt(10, 20, 0.57)


def test_sum_of_drops_example() -> None:
    # printed fieldbus example: 2 + 2 + 1 + 1 + 3 + 4 + 4 = 17 m
    r = check_backbone(bone([(i, [(d, 1)]) for i, d in enumerate((2, 2, 1, 1, 3, 4, 4))]))
    assert r.drops_mm == pytest.approx(17_000)
    assert not r.findings


def test_end_drops_longer_than_their_way_to_the_terminator_count() -> None:
    # printed example: two drops of 5 m at the ends are included in the backbone's length
    r = check_backbone(bone([(0, [(5, 1)]), (90, [(5, 1)])], feed=0))
    assert r.run_mm == pytest.approx(90_000)
    assert r.counted_mm == pytest.approx(100_000)
    assert "bus length" not in rules(bone([(0, [(5, 1)]), (90, [(5, 1)])]))
    assert "bus length" in rules(bone([(0, [(5.5, 1)]), (90, [(5, 1)])]))


def test_limits() -> None:
    assert "drop lead" in rules(bone([(0, [(6.8, 1)]), (5, [])]))
    assert "drop lead" not in rules(bone([(0, [(6.0, 1)]), (5, [])]))
    assert "all drop leads" in rules(bone([(i, [(6.0, 1)]) for i in range(14)]))  # 84 m of 78
    assert "bus length" in rules(bone([(0, []), (101, [(1, 1)])]))
    assert "bus length" not in rules(bone([(0, []), (101, [(1, 1)])], cable="heavy"))
    assert "terminators" in rules(bone([(0, []), (5, [])], ends=("t0",)))
    assert "bus devices" in rules(bone([(i, [(0.1, 1)]) for i in range(51)]))
    assert "bus device" in rules(bone([(0, [(1, 21)]), (5, [])]))
    assert "bus fuse" in rules(bone([(0, []), (5, [])], fuse=5.0))


def test_feeding_in_the_middle_doubles_what_light_cable_carries() -> None:
    # light cable is rated 4 A, 8 A when fed in the middle: 4 A each way
    tees = [(float(i), [(0.0, 20)]) for i in range(9)]
    assert "bus current" in rules(bone([*tees], feed=0))
    assert "bus current" not in rules(bone([*tees], feed=4))
