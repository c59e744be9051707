"""The wiring of the demo boats: each table there, every pole cut once, nothing cut from nothing."""

import pytest

from tests.worked import Worked
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
