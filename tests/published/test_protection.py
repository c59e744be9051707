"""Ampacity factors, fuse distances and breaking currents against the regulation and standard
extracts.
"""

import pytest

from layout.job.job_file import CircuitModel
from routing.network.protection import BARE_MM, BATTERY_SHEATHED_MM, CRANKING, SHEATHED_MM
from routing.sizes.conductors import ENGINE_FACTOR, catalogue
from routing.sizes.sizing import DecidedBy, Lies, bundle_factor, carries, choose
from routing.stock.supports import clips

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
    assert ENGINE_FACTOR == 0.85  # note 1, 105 degC


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
