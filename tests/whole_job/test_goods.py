"""What is bought, counted anew from the job's own files; changes in few lines; names told apart."""

import csv
import io
import re
import shutil
import tomllib
from pathlib import Path

import numpy as np
import pypdf
import pytest
import trimesh

from layout.errors import JobError
from layout.job import JobFiles, read_job
from tests.worked import DEMOS, ROOT, circuits_of, demo_worked
from viewer.command import BAD_INPUT, IN_ORDER, main
from viewer.sheets.quote.pages import quote_pdf
from viewer.words.estimate import EstimateWords
from viewer.words.names import Names
from viewer.words.standing import stands_words
from viewer.words.tables import fuse_place
from viewer.words.variation import SMALL_H, VariationWords
from viewer.work.estimate.rows import GoodsRow
from viewer.work.gather_boat import told_apart
from viewer.work.rows import Result
from viewer.work.session import Asks, Session
from viewer.work.shelving import shelf_after
from viewer.work.states import State, StateHead
from viewer.work.variation import variation

ONE_WAY = {"in cable", "battery end", "to fit"}  # a fuse that hangs in its own holder


def _kinds(files: JobFiles) -> dict[str, str]:
    """The kind of every piece and part by its place, from the job's files alone."""
    out = {k: files.types[p.type].kind for k, p in files.job.pieces.items()}
    for key, board in files.job.boards.items():
        out |= {f"{key}.{k}": files.types[p.type].kind for k, p in board.parts.items()}
    return out


@pytest.mark.parametrize("name", DEMOS)
def test_a_fuse_is_bought_for_every_holder_and_way_and_none_for_a_breaker(name: str) -> None:
    w = demo_worked(name)
    files, result = w.files, w.result
    kinds = _kinds(files)
    breakers = {
        f"{key}.{k}"
        for key, board in files.job.boards.items()
        for k, p in board.parts.items()
        if files.types[p.type].breakers
    }
    ways, holders, in_line = 0, set(), 0
    for f in (f for f in result.fuses if f.amp is not None):
        if f.at in ONE_WAY:
            in_line += 1
        elif f.place in breakers:
            assert f.breaker
            assert "breaker of" in fuse_place(f, Names(result))
        elif kinds[f.place] == "fuse panel":
            ways += 1
    single = {place for place, kind in kinds.items() if kind == "fuse" and place not in breakers}
    for place in single:  # a holder that a circuit ends on or leaves takes one fuse
        ends = [e for c in files.job.circuits.values() for e in (c.feed, c.load)]
        if any(e.rpartition(".")[0] == place for e in ends):
            holders.add(place)
    bought = [g for g in result.estimate.goods if g.kind == "fuse"]
    buses = sum(b.fuse_amp is not None for b in files.job.backbones.values())
    assert sum(g.count for g in bought) == ways + len(holders) + in_line + buses
    lines = [g for g in result.estimate.goods if g.kind == "holder in line"]
    assert sum(g.count for g in lines) == in_line


@pytest.fixture
def yacht(tmp_path: Path) -> Path:
    for file in (ROOT / "demo_hulls").glob("sailing_yacht.*.toml"):
        shutil.copy(file, tmp_path)
    return tmp_path / "sailing_yacht.job.toml"


def test_a_panel_of_breakers_is_no_panel_of_blade_fuses(yacht: Path) -> None:
    """The 32 V of a blade fuse (ISO 8820-3) is no limit of a breaker; its maker's volts are."""
    text = yacht.read_text(encoding="utf-8")
    fuses = text.replace("breakers = true\n", "")
    rules: dict[str, list[str]] = {}
    for key, content in (("breakers", text), ("fuses", fuses)):
        more = '\n[circuits.99]\nlabel = "New"\nfeed = "chart_panel.switches.out"\n'
        more += 'load = "socket.lead"\namps = 45\nvolts = 48\n'
        yacht.write_text(content + more, encoding="utf-8")
        found = demo_of(yacht)
        rules[key] = [f.rule for f in found.findings if "circuit:99" in f.about]
    for rule in ("device volts", "blade way"):
        assert rule in rules["fuses"]
        assert rule not in rules["breakers"]


def demo_of(path: Path) -> Result:
    """The one result of a job, its pieces not tried."""
    circuits_of(path)
    return Session(path).answer(Asks(fresh=True, clocked=lambda: True))


def test_equal_names_hold_their_keys() -> None:
    found = told_apart({"piece:a.one_bus": "Bus bar, 6 studs", "piece:a.two": "Bus bar, 6 studs",
                        "piece:a.three": "Shunt"})  # fmt: skip
    assert found == {"piece:a.one_bus": "Bus bar (one bus), 6 studs",
                     "piece:a.two": "Bus bar (two), 6 studs", "piece:a.three": "Shunt"}  # fmt: skip


def test_a_quote_says_for_whom_and_how_many_days() -> None:
    result = demo_worked("trip_boat").result
    e = result.estimate.model_copy(update={"customer": "An invented owner", "hours_in_day": 6.0})
    words = EstimateWords(result.model_copy(update={"estimate": e}), Names(result))
    low, high = e.hours.low / 6, e.hours.high / 6
    assert words.days() == f"{low:.1f} to {high:.1f} days of one person, 6 h each"
    pdf = pypdf.PdfReader(io.BytesIO(quote_pdf(words, 30, "", "", "")))
    assert "For An invented owner" in pdf.pages[0].extract_text()


def _cable(about: str, metres: float, total: float) -> GoodsRow:
    return GoodsRow(section="all", kind="cable", what="1 mm²", about=about, count=metres, unit="m",
                    each=1.0, total=total, basis="job", supplier="", weeks=0)  # fmt: skip


def test_a_change_is_told_in_few_lines_that_come_to_the_whole() -> None:
    """What a new drum plan alone moves is one line; tasks of minutes are one line."""
    result = demo_worked("trip_boat").result
    e = result.estimate
    old = tuple(_cable(f"circuit:{k}", 10.0, 5.00) for k in range(9))
    new = tuple(_cable(f"circuit:{k}", 10.0, 5.01) for k in range(8)) + (
        _cable("circuit:8", 12.0, 6.01),
    )
    shares = variation(e.model_copy(update={"goods": old}), e.model_copy(update={"goods": new}))
    assert [(g.about, g.before, g.after) for g in shares.goods] == [
        ("circuit:8", 10.0, 12.0),
        ("", 80.0, 80.0),
    ]
    moved = sum((g.total_after or 0) - (g.total_before or 0) for g in shares.goods)
    assert moved == pytest.approx(sum(g.total or 0 for g in new) - sum(g.total or 0 for g in old))

    tasks = tuple(
        t.model_copy(update={"mean": t.mean + (0.01 if k % 2 else 0.2)})
        for k, t in enumerate(e.tasks)
    )
    head = StateHead(number=2, state="changed", on="", why="", photo="")
    after = result.model_copy(update={"estimate": e.model_copy(update={"tasks": tasks})})
    states = [State(head, r, Path("x")) for r in (result, after)]
    words = VariationWords(states[0], states[0], states[1])
    rows = words.hours().rows
    by_row = sum(float(r[5]) for r in rows)
    assert by_row == pytest.approx(sum(t.mean for t in tasks) - e.hours.mean, abs=0.01 * len(rows))
    assert sum(abs(float(r[5])) < SMALL_H for r in rows) <= 1


def test_a_state_kept_before_a_key_was_added_is_still_read() -> None:
    """What a result gained since has a usual value: a kept quote stays a quote."""
    data = demo_worked("harbour_launch").result.model_dump(by_alias=True)
    for key in ("customer", "hours_in_day"):
        del data["estimate"][key]
    for f in data["fuses"]:
        del f["breaker"]
    assert Result.model_validate(data).fuses[0].breaker is False


@pytest.mark.parametrize("name", DEMOS)
def test_where_things_stand_is_where_their_triangles_are(name: str) -> None:
    """Distances told in words, against boxes of a mesh library at the told place."""
    result = demo_worked(name).result
    names = Names(result)
    spaces = {s.key: s for s in result.boat.spaces}
    told = 0
    for stand in (s for s in result.boat.stands if s.space in spaces):
        meshes = []
        for b in stand.body:
            turn = np.eye(4)
            turn[:3, :3], turn[:3, 3] = b.rotation, np.array(stand.at_mm) + b.centre_mm
            meshes.append(trimesh.creation.box(2 * np.array(b.half_mm), turn))
        low, high = trimesh.util.concatenate(meshes).bounds
        s = spaces[stand.space]
        faces = {"aft side": low[0] - s.low_mm[0], "forward side": s.high_mm[0] - high[0],
                 "starboard side": low[1] - s.low_mm[1], "port side": s.high_mm[1] - high[1],
                 "floor": low[2] - s.low_mm[2], "top": s.high_mm[2] - high[2]}  # fmt: skip
        words = stands_words(result, stand, names)
        found = re.findall(r"(-?\d+) mm from its ([a-z ]*?side|floor|top)", words)
        for figure, side in found:
            assert float(figure) == pytest.approx(faces[side], abs=0.51)
            told += 1
        touched = re.match(r"against its ([^\d]*?)(?:,|$| and \d)", words)
        for side in re.findall(r"[a-z]+ side|floor|top", touched[1]) if touched else ():
            assert abs(faces[side]) < 2.0
            told += 1
    assert told >= 3 * sum(s.space in spaces for s in result.boat.stands)


def test_one_shelf_serves_jobs_in_mm2_and_in_awg(tmp_path: Path) -> None:
    """Each takes its own sizes; a size no catalogue has is told with the shelf's own name."""
    for file in (ROOT / "demo_hulls").glob("survey_catamaran.*.toml"):
        shutil.copy(file, tmp_path)
    job, shelf = tmp_path / "survey_catamaran.job.toml", tmp_path / "shelf.toml"
    text = job.read_text(encoding="utf-8")
    job.write_text(text.replace("[job]\n", '[job]\nshelf = "shelf.toml"\n', 1), encoding="utf-8")
    both = '[[remnants]]\ncable = "16 mm²"\nlength_mm = 6500\n'
    both += '[[remnants]]\ncable = "14 AWG"\nlength_mm = 30000\n'
    shelf.write_text(both, encoding="utf-8")
    result = demo_of(job)
    assert {c.cable for c in result.cuts if c.stock.startswith("shelf")} == {"14 AWG"}
    kept = {r.cable for r in shelf_after(read_job(job), result, "").remnants}
    assert "16 mm²" in kept
    shelf.write_text(both.replace("16 mm²", "17 mm²"), encoding="utf-8")
    with pytest.raises(JobError) as told:
        demo_of(job)
    lines = [f.sentence() for f in told.value.findings]
    assert len(lines) == 1
    assert lines[0].startswith('shelf.toml, line 2: remnants[1].cable: found "17 mm²"')


def test_cable_is_bought_in_the_colour_of_its_pole(yacht: Path) -> None:
    """Red for plus, black for minus (ISO 10133), no drum for both; a shelf's length goes once."""
    text = yacht.read_text(encoding="utf-8")
    head = '[job]\nshelf = "shelf.toml"\n'
    yacht.write_text(text.replace("[job]\n", head, 1), encoding="utf-8")
    shelf = '[[remnants]]\ncable = "1 mm²"\nlength_mm = 30000\n'
    (yacht.parent / "shelf.toml").write_text(shelf, encoding="utf-8")
    result = demo_of(yacht)
    for c in result.cuts:
        assert c.colour == {"+": "red", "-": "black"}[c.pieces[0].pole]
        assert len({p.pole for p in c.pieces}) == 1
    assert sum(c.stock.startswith("shelf") and c.cable == "1 mm²" for c in result.cuts) == 1
    shelf_after(read_job(yacht), result, "")  # and is there to be taken
    own = head + "drum_colours = false\n"
    yacht.write_text(text.replace("[job]\n", own, 1), encoding="utf-8")
    mixed = demo_of(yacht)
    assert {c.colour for c in mixed.cuts} == {""}
    assert sum(c.price for c in mixed.cuts) < sum(c.price for c in result.cuts)


def test_what_has_neither_switch_nor_breaker_is_told() -> None:
    """The yacht's lights hang on breakers; its engine start, windlass and pilot on nothing."""
    result = demo_worked("sailing_yacht").result
    found = [f.about for f in result.findings if f.rule == "no switch"]
    assert found == [("circuit:3b", "circuit:4", "circuit:6")]
    launch = demo_worked("harbour_launch").result
    told = next(f.about for f in launch.findings if f.rule == "no switch")
    assert "circuit:14b" not in told  # its light has a switch before it


def test_a_backbone_takes_a_way_and_a_minus_none() -> None:
    """Counted from the file: four circuits and the backbone leave the block, its minus link not."""
    w = demo_worked("sailing_yacht")
    out = [c for c in w.files.job.circuits.values() if c.feed.startswith("chart_panel.fuses.out")]
    assert len(out) == 4
    (spare,) = [f for f in w.result.findings if f.rule == "spare ways"
                and f.about == ("piece:chart_panel.fuses",)]  # fmt: skip
    assert spare.values["spare"] == 6 - len(out) - 1
    bench = next(b for b in w.result.benches if b.key == "chart_panel")
    ways = [x for x in bench.legend if x.part == "fuses"]
    assert sum(x.number == "" for x in ways) == 1
    assert [x.amp for x in ways if x.number == "main"] == [3.0]


def test_a_size_that_stands_in_sums_alone_is_on_the_sheet_by_its_name(tmp_path: Path) -> None:
    """Of the hull alone: its frame gap is asked for first, and comes back under its name."""
    hull = tmp_path / "survey_catamaran.hull.toml"
    shutil.copy(ROOT / "demo_hulls" / hull.name, hull)
    out = tmp_path / "out"
    assert main(["survey", str(hull), "-o", str(out)]) == IN_ORDER
    table = out / "sizes.csv"
    rows = list(csv.reader(table.read_text(encoding="utf-8-sig").splitlines()))
    assert rows[1][1] == "size:frame_gap"
    words = {r[1]: r[2] for r in rows}
    assert words["opening:port_hatch:length"].endswith("(port hatch length)")
    assert "(" not in words["opening:port_hatch:from_aft"]  # it holds that length, it is not it
    rows[1][7:11] = ["331", "1", "tape", "a helper"]
    with table.open("w", encoding="utf-8") as f:
        csv.writer(f).writerows(rows)
    assert main(["survey", str(hull), "--read", str(table)]) == IN_ORDER
    told = tomllib.loads(hull.read_text(encoding="utf-8"))
    assert told["sizes"]["frame_gap"] == "331 mm ±1 tape"
    assert told["measured"]["frame_gap"]["by"] == "a helper"
    assert main(["survey", str(hull), "--again"]) == BAD_INPUT  # verdicts come from a job
    assert main(["check", str(hull)]) == BAD_INPUT
