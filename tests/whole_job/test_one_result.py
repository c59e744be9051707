"""One result: the same bytes, kept, read back, compared; and what a changed file changes."""

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


def test_a_changed_size_gives_the_verdicts_of_a_fresh_answer(cat: Path) -> None:
    session = Session(cat)
    session.answer(Asks(fresh=True))
    change(cat, 'label = "power board"', 'label = "the power board"')
    again = session.answer()
    fresh = Session(cat).answer(Asks(fresh=True))
    assert {p.key: p.verdict for p in again.pieces} == {p.key: p.verdict for p in fresh.pieces}
    assert again.circuits == fresh.circuits
    assert again.labels["piece:power_board"] == "the power board"


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
