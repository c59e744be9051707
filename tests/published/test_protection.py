"""Ampacity factors, fuse distances and breaking currents against the regulation and standard
extracts.
"""

import pytest

from layout.job.job_file import CircuitModel
from routing.network.endings import COPPER_K
from routing.network.protection import (
    BARE_MM,
    BATTERY_SHEATHED_MM,
    CRANKING,
    REGULATION_OVER,
    SHEATHED_MM,
)
from routing.sizes.conductors import catalogue, engine_share, insulations
from routing.sizes.ends import BLADE_MOST_MM2, STUD_MOST_MM2
from routing.sizes.sizing import DecidedBy, Lies, bundle_factor, carries, choose
from routing.stock.placing import clips

# 33 CFR 183.425 table 5, whole: amps at 30 degC ambient by insulation temperature
TABLE_5 = """
18 10 10 15 20 20 25 25
16 15 15 20 25 25 30 35
14 20 20 25 30 35 40 45
12 25 25 35 40 45 50 55
10 40 40 50 55 60 70 70
8 55 65 70 70 80 90 100
6 80 95 100 100 120 125 135
4 105 125 130 135 160 170 180
2 140 170 175 180 210 225 240
1 165 195 210 210 245 265 280
1/0 195 230 245 245 285 305 325
2/0 225 265 285 285 330 355 370
3/0 260 310 330 330 385 410 430
4/0 300 360 385 385 445 475 510
"""

# UL 1426 reprint of 105 degC boat cable with both factors: AWG -> (out, in engine space) for <=2,
# 3, 4-6, 7-24 conductors
DERATED = {
    "16 AWG": ((25, 21.3), (17.5, 14.9), (15, 12.8), (12.5, 10.6)),
    "12 AWG": ((45, 38.3), (31.5, 26.8), (27, 23), (22.5, 19.1)),
    "10 AWG": ((60, 51), (42, 35.7), (36, 30.6), (30, 25.5)),
    "6 AWG": ((120, 102), (84, 71.4), (72, 61.2), (60, 51)),
    "2 AWG": ((210, 178.5), (147, 125), (126, 107.1), (105, 89.3)),
    "4/0 AWG": ((445, 378.3), (311.5, 264.8), (267, 227), (222.5, 189.1)),
}


def test_every_insulation_temperature_is_the_regulations_table() -> None:
    assert insulations() == (60, 75, 80, 90, 105, 125, 200)
    sizes = {c.name.removesuffix(" AWG"): c for c in catalogue("AWG")}
    rows = [line.split() for line in TABLE_5.split("\n") if line.split()]
    seen = 0
    for name, *amps in rows:
        if name in sizes:
            seen += 1
            got = [sizes[name].ampacity_amp(t) for t in insulations()]
            assert got == [float(a) for a in amps]
    assert seen == len(sizes)


def test_the_device_limit_is_half_as_much_again_as_the_table() -> None:
    # 33 CFR 183.455(c)(1), under 50 V; the products as a reprint gives them for 105 degC
    limits = {"16 AWG": 37.5, "12 AWG": 67.5, "10 AWG": 90, "6 AWG": 180, "4/0 AWG": 667.5}
    for c in catalogue("AWG"):
        if c.name in limits:
            assert c.ampacity_amp() * REGULATION_OVER == limits[c.name]


def test_ten_gauge_of_60_degrees_carries_40_amps_and_not_60() -> None:
    ten = next(c for c in catalogue("AWG") if c.name == "10 AWG")
    assert carries(ten, Lies(insulation_degc=60)) == 40.0
    assert carries(ten, Lies(insulation_degc=105)) == 60.0
    assert carries(ten, Lies(True, insulation_degc=60)) == pytest.approx(0.58 * 40)


@pytest.mark.parametrize("name", DERATED)
def test_both_factors_give_the_printed_table(name: str) -> None:
    k = next(c for c in catalogue("AWG") if c.name == name)
    for (out, engine), count in zip(DERATED[name], (2, 3, 5, 12), strict=True):
        assert carries(k, Lies(False, count)) == pytest.approx(out, abs=0.06)
        assert carries(k, Lies(True, count)) == pytest.approx(
            engine, abs=0.26
        )  # the reprint rounds up and down


@pytest.mark.parametrize(
    ("count", "factor"),
    [(1, 1.0), (2, 1.0), (3, 0.7), (4, 0.6), (6, 0.6), (7, 0.5), (24, 0.5), (25, 0.4), (80, 0.4)],
)
def test_bundle_factors(count: int, factor: float) -> None:
    assert bundle_factor(count) == factor  # 33 CFR 183.425 table 5 note 2
    assert engine_share(105) == 0.85  # note 1, 105 degC


def test_bundling_can_decide_the_size() -> None:
    c = CircuitModel(label="x", feed="a.b", load="c.d", amps=40, drop_percent=10)
    alone = choose(c, 48.0, 1000.0, 0.0, "AWG", Lies(False, 2))
    bundled = choose(c, 48.0, 1000.0, 0.0, "AWG", Lies(False, 8))
    assert (alone.conductor.name, bundled.conductor.name) == ("12 AWG", "8 AWG")
    assert bundled.decided_by is DecidedBy.CURRENT


def test_distances_are_the_regulations_inches() -> None:
    # 33 CFR 183.455(b): 7 in, 40 in in a sheath; ABYC E-11: 72 in sheathed from the battery
    assert pytest.approx(7 * 25.4, abs=0.5) == BARE_MM
    assert pytest.approx(40 * 25.4, abs=0.5) == SHEATHED_MM
    assert pytest.approx(72 * 25.4, abs=2) == BATTERY_SHEATHED_MM


def test_breaking_currents_are_the_printed_steps() -> None:
    # ABYC E-11, 12 to 24 V: total cold cranking amps <= 650, 651 to 1100, above
    assert [(m, b) for _, m, b in CRANKING] == [(1500, 750), (3000, 1500), (5000, 2500)]


def test_support_counts() -> None:
    # worked trade example: 9.4 m at 450 mm needs 21 spaces and 22 clips; 1.2 m at 300 mm
    # needs 4 spaces
    assert clips(9400, 450) == 22
    assert clips(1200, 300) - 1 == 4


def test_chained_derating_of_a_bundle_at_altitude() -> None:
    # AC 43.13-1B, worked example: No. 14, 47 A x 0.91 (altitude) x 0.6 (bundle) = 26 A
    assert round(47 * 0.91 * bundle_factor(5)) == 26


def test_the_heating_of_a_short_is_the_standards_figure() -> None:
    # IEC 60364-5-54 table A.54: k = 143 for copper with 90 degC thermosetting insulation, so that
    # 10 mm2 carries 1430 A for a second, or 2.04 MA2 s
    assert COPPER_K == 143.0
    assert pytest.approx(1430.0**2) == (COPPER_K * 10) ** 2


def test_lug_ranges_never_shrink_with_the_stud() -> None:
    # DIN 46235 and DIN 46245 ranges, from memory: a larger stud or blade takes no smaller cable
    for table in (STUD_MOST_MM2, BLADE_MOST_MM2):
        sizes = [v for k, v in table.items() if k != "taper post"]
        assert sizes == sorted(sizes)
    assert STUD_MOST_MM2["M5"] < 95 < STUD_MOST_MM2["M8"]
    assert BLADE_MOST_MM2["4.8"] < 10
