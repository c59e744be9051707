"""Edits keep the files' comments and order, are whole or not there, and can be taken back.

Truths checked against: the standard library's TOML reader, and the files before and after.
"""

import json
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.errors import CoamingError, JobError
from viewer.page.desk import Desk, Edit, differing
from viewer.page.edits import history as history_module
from viewer.page.edits.changes import Change, changed_text
from viewer.page.folder import Folder, key_from

DEMOS = Path(__file__).parents[2] / "demo_hulls"
NAMES = ("harbour_launch", "sailing_yacht", "survey_catamaran", "trip_boat")


def desk_on(folder: Path, name: str = "harbour_launch") -> Desk:
    for end in ("hull", "job"):
        text = (DEMOS / f"{name}.{end}.toml").read_text(encoding="utf-8")
        (folder / f"{name}.{end}.toml").write_text(text, encoding="utf-8")
    desk = Desk(Folder.at(folder), f"{name}.job.toml", lambda *_: None, lambda *_: {})
    desk.live.end()  # these are about the files only
    return desk


def leaves(value: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    if isinstance(value, dict):
        return [p for k, v in value.items() for p in leaves(v, (*path, k))]
    if isinstance(value, list):
        return [p for n, v in enumerate(value) for p in leaves(v, (*path, n))]
    return [path]


ALL_LEAVES = [
    (f"{name}.{end}.toml", path)
    for name in NAMES
    for end in ("hull", "job")
    for path in leaves(tomllib.loads((DEMOS / f"{name}.{end}.toml").read_text(encoding="utf-8")))
]


@settings(max_examples=120, deadline=None)
@given(
    where=st.sampled_from(ALL_LEAVES),
    value=st.one_of(
        st.integers(-9999, 9999),
        st.floats(-9999, 9999, allow_nan=False).map(lambda x: round(x, 2)),
        st.text(max_size=20).filter(lambda t: "\r" not in t),
        st.just("430 mm ±2 tape"),
    ),
)
def test_any_field_can_be_set_and_nothing_else_moves(
    where: tuple[str, tuple[str | int, ...]], value: Any
) -> None:
    file, path = where
    text = (DEMOS / file).read_text(encoding="utf-8")
    new = changed_text(text, [Change(path=path, value=value)])
    before, after = tomllib.loads(text), tomllib.loads(new)
    changed = list(differing(before, after))
    assert changed in ([], [path])
    here: Any = after
    for step in path:
        here = here[step]
    assert here == value
    comments = [line for line in text.splitlines() if line.startswith("#")]
    assert [line for line in new.splitlines() if line.startswith("#")] == comments
    moved = sum(a != b for a, b in zip(text.splitlines(), new.splitlines(), strict=False))
    assert moved <= 1 or len(new.splitlines()) != len(text.splitlines())


@pytest.mark.parametrize("name", NAMES)
def test_tables_come_and_go_and_leave_the_file_as_it_was(name: str) -> None:
    text = (DEMOS / f"{name}.job.toml").read_text(encoding="utf-8")
    table = {"label": "New", "feed": "a.plus", "load": "b.plus", "amps": 3}
    there = changed_text(text, [Change(path=("circuits", "999"), value=table)])
    assert tomllib.loads(there)["circuits"]["999"] == table
    gone = changed_text(there, [Change(path=("circuits", "999"), value=None)])
    assert tomllib.loads(gone) == tomllib.loads(text)
    assert "\n[circuits.999]\n" in there  # a head of its own, as people write it


def test_a_new_group_a_new_record_and_a_new_size() -> None:
    text = '[hull]\nname = "x"  # kept\n'
    new = changed_text(
        text,
        [
            Change(path=("sizes", "a"), value="430 mm ±2 tape"),
            Change(path=("measured", "spaces.l.from[1]"), value={"by": "K", "verified": True}),
            Change(path=("spaces", "l"), value={"from": [0, 0, 0], "to": [1, 2, 3]}),
        ],
    )
    assert "# kept" in new
    assert tomllib.loads(new)["measured"] == {"spaces.l.from[1]": {"by": "K", "verified": True}}
    assert "[spaces.l]" in new and "[measured]" in new


def test_an_editors_mark_and_line_ends_stay() -> None:
    text = '\ufeff[hull]\r\nname = "x"\r\n'
    new = changed_text(text, [Change(path=("hull", "name"), value="y")])
    assert new == '\ufeff[hull]\r\nname = "y"\r\n'


def test_what_is_not_there_is_told() -> None:
    with pytest.raises(CoamingError, match="nothing at"):
        changed_text("[a]\nb = 1\n", [Change(path=("a", "c"), value=None)])
    with pytest.raises(CoamingError, match="not TOML"):
        changed_text("[a\n", [Change(path=("a", "c"), value=1)])


def move(desk: Desk, x: float, seen: str = "") -> None:
    change = Change(path=("pieces", "house_battery", "at", 0), value=x)
    desk.edit(Edit(f"moved to {x:g}", (), (change,), seen))


def test_back_and_forward_to_the_very_bytes_and_across_a_restart(tmp_path: Path) -> None:
    desk = desk_on(tmp_path)
    texts = [desk.texts()[0]]
    for x in (200, 210, 220):
        move(desk, x)
        texts.append(desk.texts()[0])
    desk.undo()
    desk = Desk(Folder.at(tmp_path), desk.job_name, lambda *_: None, lambda *_: {})
    desk.live.end()
    assert desk.texts()[0] == texts[2]
    assert desk.history.redo_words == "moved to 220"
    desk.redo()
    assert desk.texts()[0] == texts[3]
    for text in reversed(texts[:3]):
        desk.undo()
        assert desk.path.read_text(encoding="utf-8") == text
    with pytest.raises(CoamingError, match="no step"):
        desk.undo()


def test_a_new_step_after_one_taken_back_ends_the_old_branch(tmp_path: Path) -> None:
    desk = desk_on(tmp_path)
    move(desk, 200)
    move(desk, 210)
    desk.undo()
    move(desk, 230)
    assert desk.history.redo_words == ""
    desk.undo()
    assert tomllib.loads(desk.texts()[0])["pieces"]["house_battery"]["at"][0] == 200


def test_what_another_program_changed_is_noticed_and_can_be_taken_back(tmp_path: Path) -> None:
    desk = desk_on(tmp_path)
    move(desk, 200)
    text = desk.path.read_text(encoding="utf-8").replace("amps = 45", "amps = 46")
    desk.path.write_text(text, encoding="utf-8")
    row = desk.state()
    assert "changed in another program" in row.elsewhere
    assert desk.state().elsewhere == ""  # told once
    move(desk, 210)
    assert "amps = 46" in desk.path.read_text(encoding="utf-8")  # never overwritten
    desk.undo()
    desk.undo()
    assert "amps = 45" in desk.path.read_text(encoding="utf-8")


def test_two_windows_on_different_things_both_count_on_one_thing_the_later_is_asked(
    tmp_path: Path,
) -> None:
    desk = desk_on(tmp_path)
    seen = desk.revision
    move(desk, 200, seen)
    label = Change(path=("pieces", "house_battery", "label"), value="bank A")
    desk.edit(Edit("renamed", (), (label,), seen))
    job = tomllib.loads(desk.texts()[0])["pieces"]["house_battery"]
    assert (job["at"][0], job["label"]) == (200, "bank A")
    with pytest.raises(CoamingError, match="another window"):
        move(desk, 300, seen)
    assert tomllib.loads(desk.texts()[0])["pieces"]["house_battery"]["at"][0] == 200
    with pytest.raises(CoamingError, match="older state"):
        move(desk, 300, "0123456789ab")


def test_an_edit_that_would_break_the_files_is_refused_and_told(tmp_path: Path) -> None:
    desk = desk_on(tmp_path)
    before = desk.texts()
    bad = Change(path=("pieces", "house_battery", "at", 0), value="430 mmm")
    with pytest.raises(JobError, match="not a unit I know"):
        desk.edit(Edit("bad", (), (bad,)))
    gone = Change(path=("pieces", "house_battery"), value=None)
    with pytest.raises(JobError, match="house_battery"):
        desk.edit(Edit("out", (), (gone,)))
    assert desk.texts() == before
    assert desk.history.undo_words == ""


def test_taken_out_with_what_needs_it(tmp_path: Path) -> None:
    desk = desk_on(tmp_path)
    gone = Change(path=("pieces", "plotter"), value=None)
    row = desk.edit(Edit("plotter taken out", (), (gone,), with_users=True))
    job = tomllib.loads(desk.texts()[0])
    assert "plotter" not in job["pieces"] and "4" not in job["circuits"]
    assert "circuit 4 (Plotter)" in row.note and not row.problems
    desk.undo()
    assert "4" in tomllib.loads(desk.texts()[0])["circuits"]


def test_a_full_disk_changes_nothing_and_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = desk_on(tmp_path)
    before = desk.texts()

    def full(path: Path, data: bytes) -> None:
        raise OSError(28, "No space left on device", str(path))

    monkeypatch.setattr(history_module, "write_bytes", full)
    with pytest.raises(CoamingError, match="No space left on device"):
        move(desk, 200)
    monkeypatch.undo()
    assert desk.texts() == before
    move(desk, 210)
    desk.undo()
    assert desk.texts() == before


def test_a_file_taken_away_is_told_and_put_back_by_a_step_back(tmp_path: Path) -> None:
    desk = desk_on(tmp_path)
    move(desk, 200)
    (tmp_path / "harbour_launch.hull.toml").unlink()
    row = desk.state()
    assert row.problems and row.boat is None
    desk.undo()
    assert not desk.state().problems


def test_files_with_slips_can_still_be_mended_from_the_page(tmp_path: Path) -> None:
    desk = desk_on(tmp_path)
    text = desk.path.read_text(encoding="utf-8").replace("amps = 45", 'amps = "much"')
    desk.path.write_text(text, encoding="utf-8")
    assert [p.key for p in desk.state().problems] == ["circuits.1.amps"]
    mended = Change(path=("circuits", "1", "amps"), value=45)
    assert not desk.edit(Edit("amps", (), (mended,))).problems


@pytest.mark.parametrize(
    ("words", "key"),
    [
        ("Port bench locker", "port_bench_locker"),
        ("12 V!", "n_12_v"),
        ("", "n"),
        ("outside", "outside_2"),
    ],
)
def test_keys_made_of_words_are_keys_the_files_take(words: str, key: str) -> None:
    assert key_from(words, set()) == key
    assert key_from(words, {key}) != key


def test_steps_are_plain_json_beside_the_job(tmp_path: Path) -> None:
    desk = desk_on(tmp_path)
    move(desk, 200)
    folder = tmp_path / ".coaming" / "history" / "harbour_launch.job.toml"
    step = json.loads((folder / "000000.json").read_text(encoding="utf-8"))
    assert step["words"] == "moved to 200"
    assert set(step["before"]) == {"harbour_launch.job.toml"}
