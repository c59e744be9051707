"""Steps beside the job: whole after a kill at any point, and leading nowhere but to its own files.

Truth: the bytes of the files before and after.
"""

import json
from pathlib import Path

import pytest

from layout.errors import CoamingError
from tests.page.test_edits import DEMOS, desk_on, move
from viewer.page.desk import Desk, Edit
from viewer.page.edits import history as history_module
from viewer.page.edits.changes import Change
from viewer.page.edits.history import History, Step
from viewer.page.folder import Folder


@pytest.mark.parametrize("point", ["step", "first file", "both files"])
def test_killed_in_the_middle_of_a_step_nothing_is_lost(tmp_path: Path, point: str) -> None:
    """What a kill -9 leaves behind at each point of a step that touches two files."""
    (tmp_path / "a.toml").write_text("a = 1\n")
    (tmp_path / "b.toml").write_text("b = 1\n")
    names = ["a.toml", "b.toml"]
    folder = tmp_path / ".coaming" / "history" / "j"
    folder.mkdir(parents=True)
    step = Step(
        words="both",
        before={"a.toml": "a = 1\n", "b.toml": "b = 1\n"},
        after={"a.toml": "a = 2\n", "b.toml": "b = 2\n"},
    )
    (folder / "000000.json").write_text(step.model_dump_json())
    if point != "step":
        (tmp_path / "a.toml").write_text("a = 2\n")
    if point == "both files":
        (tmp_path / "b.toml").write_text("b = 2\n")
    h = History.of(tmp_path, "j", names)
    texts = [(tmp_path / n).read_text() for n in names]
    if point == "step":  # not begun: as it was, and it may be done again
        assert texts == ["a = 1\n", "b = 1\n"]
        assert h.redo_words == "both"
    else:  # begun: finished
        assert texts == ["a = 2\n", "b = 2\n"]
        assert h.undo()
        assert [(tmp_path / n).read_text() for n in names] == ["a = 1\n", "b = 1\n"]


def test_a_step_file_cut_short_is_passed_over(tmp_path: Path) -> None:
    desk = desk_on(tmp_path)
    move(desk, 200)
    last = sorted((tmp_path / ".coaming" / "history" / desk.job_name).glob("0*.json"))[-1]
    last.write_text(last.read_text()[:40])
    again = Desk(Folder.at(tmp_path), desk.job_name, lambda *_: None, lambda *_: {})
    again.live.end()
    assert again.history.undo_words == ""
    move(again, 210)
    assert again.history.undo_words == "moved to 210"


@pytest.mark.parametrize("step", ["undo", "redo"])
def test_killed_while_a_step_is_gone_back_or_forward(tmp_path: Path, step: str) -> None:
    """Two files, one written, then the end: the next start finishes the way it was going."""
    for name in ("a.toml", "b.toml"):
        (tmp_path / name).write_text("x = 1\n")
    names = ["a.toml", "b.toml"]
    h = History.of(tmp_path, "j", names)
    h.do("both", dict.fromkeys(names, "x = 2\n"))
    if step == "redo":
        assert h.undo()
    written: list[str] = []

    def dies(path: Path, text: str | None) -> None:
        if written:
            raise KeyboardInterrupt
        written.append(path.name)
        path.write_text(text or "")

    with pytest.MonkeyPatch.context() as m:
        m.setattr(history_module, "put_text", dies)
        with pytest.raises(KeyboardInterrupt):
            h.undo() if step == "undo" else h.redo()
    again = History.of(tmp_path, "j", names)
    wanted = "x = 1\n" if step == "undo" else "x = 2\n"
    assert [(tmp_path / n).read_text() for n in names] == [wanted, wanted]
    assert again.redo() if step == "undo" else again.undo()


def test_a_history_that_names_files_elsewhere_is_not_followed(tmp_path: Path) -> None:
    folder = tmp_path / "jobs"
    folder.mkdir()
    desk = desk_on(folder)
    target = tmp_path / "elsewhere.toml"
    steps = folder / ".coaming" / "history" / desk.job_name
    steps.mkdir(parents=True)
    text = desk.path.read_text(encoding="utf-8")
    evil = {
        "words": "x",
        "before": {desk.job_name: "z", str(target): None},
        "after": {desk.job_name: text, str(target): "evil"},
    }
    (steps / "000000.json").write_text(json.dumps(evil))
    desk.state()
    assert not target.exists() and desk.history.redo_words == ""


def test_a_history_that_leads_out_by_a_link_is_refused(tmp_path: Path) -> None:
    folder = tmp_path / "jobs"
    folder.mkdir()
    (tmp_path / "out").mkdir()
    (folder / ".coaming").symlink_to(tmp_path / "out")
    desk = desk_on(folder)
    with pytest.raises(CoamingError, match="leads out"):
        desk.state()
    assert list((tmp_path / "out").iterdir()) == []


def test_files_that_are_no_text_are_never_written_over(tmp_path: Path) -> None:
    desk = desk_on(tmp_path)
    move(desk, 200)
    hull = tmp_path / "harbour_launch.hull.toml"
    latin = (
        hull.read_text(encoding="utf-8")
        .replace("Harbour", "H\u00e4fen")
        .encode("latin-1", "replace")
    )
    hull.write_bytes(latin)
    assert desk.state().problems
    desk.undo()
    assert hull.read_bytes() != latin
    desk.redo()
    assert hull.read_bytes() == latin


def test_what_was_changed_while_the_page_was_closed_is_a_step_of_its_own(tmp_path: Path) -> None:
    desk = desk_on(tmp_path)
    move(desk, 200)
    text = desk.path.read_text(encoding="utf-8") + "# mine\n"
    desk.path.write_text(text, encoding="utf-8")
    again = Desk(Folder.at(tmp_path), desk.job_name, lambda *_: None, lambda *_: {})
    again.live.end()
    assert "another program" in again.history.undo_words
    again.undo()
    again.undo()
    demo = (DEMOS / desk.job_name).read_text(encoding="utf-8")
    assert again.path.read_text(encoding="utf-8") == demo


def test_a_second_size_from_the_same_look_is_taken(tmp_path: Path) -> None:
    """Two records under a table that was not there: neither is a change of the other."""
    desk = desk_on(tmp_path)
    seen = desk.revision
    for name in ("hatch_length", "hatch_width"):
        record = Change(path=("measured", name), value={"by": "K", "verified": True})
        desk.edit(Edit(name, (record,), (), seen))
    assert set(desk.tables()[1]["measured"]) == {"hatch_length", "hatch_width"}


def test_a_hull_that_is_not_right_in_the_folder_is_told(tmp_path: Path) -> None:
    desk = desk_on(tmp_path)
    (tmp_path / "sub").mkdir()
    (tmp_path / "harbour_launch.hull.toml").rename(tmp_path / "sub" / "x.hull.toml")
    text = desk.path.read_text(encoding="utf-8").replace("harbour_launch.hull", "sub/x.hull")
    desk.path.write_text(text, encoding="utf-8")
    assert any("beside the job" in p.words for p in desk.state().problems)
