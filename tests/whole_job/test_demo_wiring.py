"""The wiring of the demo boats: each table there, every pole cut once, nothing cut from nothing."""

import pytest

from tests.worked import Worked, demo_worked
from viewer.sheets.book import circuits as circuit_table
from viewer.words.lists import lists_of
from viewer.words.names import Names
from viewer.words.tables import wiring_tables


def test_demo_books_tell_the_wiring(demo: Worked) -> None:
    result = demo.result
    keys = {t.key for t in wiring_tables(result, Names(result))}
    assert {
        "rules",
        "sizes",
        "shared_runs",
        "pulls",
        "fuses",
        "fixings",
        "drums",
        "costs",
        "detours",
        "wires",
        "links",
        "banks",
    } <= keys
    assert ("leads" in keys) == bool(result.leads)
    for plan in result.run_plans:
        assert plan.saving > 0
        assert plan.cost - plan.bound < 0.05 * plan.cost
    cut = {p.number for x in result.cuts for p in x.pieces}
    for c in result.circuits:
        if c.mains:
            assert all(p.number != c.number for p in result.fuses)
            assert c.number not in cut
    for x in result.cuts:
        assert sum(p.length_mm for p in x.pieces) + x.left_mm == pytest.approx(
            x.stock_mm, abs=0.01 * (1 + len(x.pieces))
        )
        assert x.left_mm >= -1e-6


def test_every_pole_is_cut_once(demo: Worked) -> None:
    wanted = []
    for c in demo.result.circuits:
        if c.mains or c.signal or c.out is None:
            continue
        assert (c.back is None) == c.link
        lengths = (c.out.cut_mm,) if c.back is None else (c.out.cut_mm, c.back.cut_mm)
        wanted += [(c.number, mm) for mm in lengths]
    cut = [(p.number, p.length_mm) for x in demo.result.cuts for p in x.pieces]
    assert sorted(cut) == sorted(wanted)


def test_every_demo_table_can_be_worded(demo: Worked) -> None:
    result, names = demo.result, Names(demo.result)
    assert len(circuit_table(result, names).rows) == len(result.circuits)
    for t in (circuit_table(result, names), *wiring_tables(result, names)):
        assert all(len(row) == len(t.head) == len(t.widths) for row in t.rows), t.key
    for name, rows in lists_of(result, names).items():
        head, *rest = rows
        assert all(len(row) in (1, len(head)) for row in rest), name


def test_a_fuse_at_a_battery_stops_what_that_battery_gives() -> None:
    """The mains charger's cable ends on the house battery: a short there draws the main figure of
    ABYC E-11 (5000 A for a battery of unknown cranking), whatever it is fed from.
    """
    fuses = {f.number: f for f in demo_worked("sailing_yacht").result.fuses}
    assert fuses["18"].at == "battery end"
    assert fuses["18"].stops_amp == fuses["1"].stops_amp == 5000.0
    assert fuses["7"].stops_amp < fuses["2"].stops_amp <= 2500.0  # less along the cable


def test_fuse_steps_are_looked_for_past_links() -> None:
    """The windlass hangs on the bus by links alone: 125 A behind 150 A is no step of 1.6."""
    found = demo_worked("sailing_yacht").result.findings
    steps = {f.about: f.values for f in found if f.rule == "fuse steps"}
    assert steps[("circuit:4",)]["above"] == "circuit:1"
    assert steps[("circuit:4",)]["asked_amp"] == pytest.approx(1.6 * 125)


def test_what_charges_past_the_shunt_is_told() -> None:
    """The charger's minus ends on the battery: the shunt between that and the bus sees nothing."""
    result = demo_worked("sailing_yacht").result
    assert ("inverter_board.charger.minus", "house_1.minus") in {
        (w.start, w.goal) for w in result.wires
    }
    found = [f for f in result.findings if f.rule == "shunt side"]
    assert [(f.about, f.urgency) for f in found] == [(("circuit:18",), "should")]


def test_a_starter_s_drop_counts_its_whole_way() -> None:
    """Battery to isolator, isolator to starter: the two in series, by Ohm's law at 200 A."""
    w = demo_worked("sailing_yacht")
    cables = {c.number: c for c in w.cables}
    both = 0.0
    for n in ("3", "3b"):
        c = cables[n]
        assert c.conductor is not None
        metres = sum(x.cut_mm for x in c.lengths)
        both += 200.0 * c.conductor.ohm(metres, 20.0)
    assert w.result.circuit("3b").drop_volt == pytest.approx(both, rel=0.1)
