"""One result: the same bytes, kept, read back, compared; and what a changed file changes."""

import re
import shutil
from pathlib import Path

import pytest

from layout.job import read_job
from tests.whole_job.test_wiring import HOLE, HULL, JOB
from viewer.command import IN_ORDER, NOT_IN_ORDER, main
from viewer.work import saved
from viewer.work.saved import json_text
from viewer.work.session import Asks, Session

ROOT = Path(__file__).parent.parent.parent


@pytest.fixture
def small(tmp_path: Path) -> Path:
    (tmp_path / "h.hull.toml").write_text(HULL + HOLE, encoding="utf-8")
    path = tmp_path / "j.job.toml"
    path.write_text(JOB, encoding="utf-8")
    return path


@pytest.fixture
def cat(tmp_path: Path) -> Path:
    for end in ("job", "hull"):
        shutil.copy(ROOT / "demo_hulls" / f"survey_catamaran.{end}.toml", tmp_path)
    return tmp_path / "survey_catamaran.job.toml"


def change(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def test_the_same_files_give_the_same_bytes(cat: Path) -> None:
    first = json_text(Session(cat).answer(Asks(fresh=True)))
    assert json_text(Session(cat).answer(Asks(fresh=True))) == first
    assert json_text(Session(cat).answer()) == first  # as it was kept


def test_a_changed_label_changes_only_what_people_read(cat: Path) -> None:
    session = Session(cat)
    before = session.answer(Asks(fresh=True))
    change(cat, 'label = "power board"', 'label = "the power board"')
    change(cat, 'label = "Horn"', 'label = "Fog horn"')
    again = session.answer()
    assert again.labels["piece:power_board"] == "the power board"
    assert "Fog horn" in {c.label for c in again.circuits}
    assert again.pieces == before.pieces
    fresh = Session(cat).answer(Asks(fresh=True))
    marks = {"pieces": {p.key: p.verdict for p in fresh.pieces}, "labels": fresh.labels}
    assert marks == {"pieces": {p.key: p.verdict for p in again.pieces}, "labels": again.labels}
    assert again.circuits == fresh.circuits


def test_a_changed_current_leaves_what_stands_as_it_was(cat: Path) -> None:
    session = Session(cat)
    before = session.answer(Asks(fresh=True))
    change(cat, "amps = 60", "amps = 75")
    again = session.answer()
    fresh = Session(cat).answer(Asks(fresh=True))
    assert again.pieces == before.pieces == fresh.pieces
    assert again.inputs.standing == before.inputs.standing
    assert again.circuits == fresh.circuits != before.circuits
    assert again.cuts == fresh.cuts
    text = cat.read_text(encoding="utf-8")
    x = re.search(r"\nat = \[(\d+),", text)
    assert x is not None
    change(cat, x[0], f"\nat = [{int(x[1]) + 1},")  # moved by a millimetre: another question
    moved = session.answer()
    assert moved.inputs.standing != before.inputs.standing


def test_a_label_that_a_circuit_means_is_more_than_a_label(small: Path) -> None:
    # two panels change their labels, and the circuit that names one by it is fed by the other
    panel = (
        '[pieces.other]\ntype = "fuse_panel_12"\nlabel = "two"\nspace = "a"\n'
        "at = [700, 200, 100]\nfixed_already = true\n"
        '[circuits.3]\nlabel = "Other feed"\nfeed = "battery.plus"\nload = "other.feed"\n'
        "amps = 20\nfuse_at = 100\n"
    )
    change(small, "[pieces.panel]\n", '[pieces.panel]\nlabel = "one"\n')
    change(small, 'feed = "panel.out"', 'feed = "one.out"')
    change(small, "[circuits.1]", panel + "[circuits.1]")
    session = Session(small)
    assert session.answer(Asks(fresh=True)).circuit("2").feed == "panel.out"
    change(small, 'label = "one"', 'label = "swap"')
    change(small, 'label = "two"', 'label = "one"')
    change(small, 'label = "swap"', 'label = "two"')
    again = session.answer()
    assert again.circuit("2").feed == "other.out"
    assert again.circuits == Session(small).answer(Asks(fresh=True)).circuits


def test_what_other_sources_worked_out_is_not_used(
    small: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = Session(small).answer()
    assert saved.latest(small) is not None
    monkeypatch.setattr(saved, "program_version", lambda: "0.0.0+another")
    assert saved.latest(small) is None
    assert saved.same(small, saved.fingerprint_of(read_job(small), 1.0, 1)) is None
    assert kept.inputs.coaming != "0.0.0+another"


def test_the_mark_of_the_sources_changes_with_a_rule_and_with_a_table(tmp_path: Path) -> None:
    for room in saved.RESULT_ROOMS:
        shutil.copytree(ROOT / room, tmp_path / room)
    marks = [saved.sources_mark(tmp_path)]
    for name in ("routing/network/protection.py", "layout/job/gear.toml"):
        path = tmp_path / name
        path.write_text(path.read_text(encoding="utf-8") + "\n", encoding="utf-8")
        marks.append(saved.sources_mark(tmp_path))
    assert len(set(marks)) == 3


def test_compare_tells_what_changed_and_nothing_else(
    small: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = small.with_name("before.json")
    assert main(["check", str(small), "--json"]) in (IN_ORDER, NOT_IN_ORDER)
    before.write_text(capsys.readouterr().out, encoding="utf-8")
    assert main(["compare", str(before), str(small)]) == IN_ORDER
    assert "Nothing changed" in capsys.readouterr().out
    change(small, "amps = 2\n", "amps = 9\n")
    assert main(["compare", str(before), str(small)]) == NOT_IN_ORDER
    said = capsys.readouterr().out
    assert "Light" in said
    assert "h.hull" not in said


def test_a_clock_that_fires_is_told(tmp_path: Path) -> None:
    for end in ("job", "hull"):
        shutil.copy(ROOT / "demo_hulls" / f"harbour_launch.{end}.toml", tmp_path)
    path = tmp_path / "harbour_launch.job.toml"
    result = Session(path).answer(Asks(fresh=True, clocked=lambda: True))
    assert result.clocked
    assert result.piece("peak_board").verdict == "not settled"
    assert not list(tmp_path.rglob("*.result"))  # what a clock cut short is not kept


def test_two_pieces_of_one_label_are_two_pieces(small: Path) -> None:
    more = (
        '[pieces.one]\ntype = "switch_single"\nlabel = "relay"\nspace = "a"\nat = [500, 500, 0]\n'
        '[pieces.two]\ntype = "switch_single"\nlabel = "relay"\nspace = "a"\nat = [510, 500, 0]\n'
    )
    change(small, "[circuits.1]", more + "[circuits.1]")
    result = Session(small).answer(Asks(fresh=True))
    found = {c.other for p in result.pieces if p.key in ("one", "two") for c in p.clashes}
    found |= {c.what for p in result.pieces if p.key in ("one", "two") for c in p.clashes}
    assert {"one", "two"} <= found
    assert not result.in_order


def test_parts_of_one_board_are_compared(small: Path) -> None:
    board = (
        '[boards.main]\nplate = [400, 200, 12]\nspace = "a"\nat = [500, 970, 500]\n'
        'front = "starboard"\nalong = "forward"\n'
        'parts.bus = { type = "bus_bar", at = [200, 100] }\n'
        'parts.bar = { type = "bus_bar", at = [210, 100] }\n'
    )
    change(small, "[circuits.1]", board + "[circuits.1]")
    row = Session(small).answer(Asks(fresh=True)).piece("main")
    assert any({c.what, c.other} == {"main.bus", "main.bar"} for c in row.clashes)
    assert not row.in_order
