"""A bench builder's day: arrange, place, places in words, papers; and what is wrong with them."""

import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from layout.bench.arrange.door import ArrangeEffort
from layout.bench.arrange.kit import Box, KitPart
from layout.bench.frontier import PassEffort
from layout.bench.going import board_that_goes
from layout.bench.wanted import alone
from layout.boat.build import Builder
from layout.errors import JobError
from layout.job import read_job
from layout.packing.door import PlaceAsk, places
from layout.packing.things import Thing, default_stands, with_piece, without
from layout.recheck.proofs import recheck_proof
from layout.recheck.walk import recheck_way
from layout.verdict.question import question, ways_in
from viewer.command import BAD_INPUT, IN_ORDER, NOT_IN_ORDER, main
from viewer.work.arranging import board_to_arrange
from viewer.work.placing import placed
from viewer.work.session import Asks, Session

HULL = """
[hull]
name = "small"
length = 5000
beam = 2000
[spaces.locker]
from = [0, 0, 0]
to = [900, 700, 500]
[openings.hatch]
label = "locker hatch"
between = ["locker", "outside"]
face = "top"
centre = [450, 350]
size = [{wide}, {deep}]
throat = 30
"""
HEAD = '[job]\nname = "small"\nhull = "h.hull.toml"\n'
BOARD = """
[boards.board]
plate = [400, 300, 12]
space = "locker"
place = { on = "forward", centred = true, stand_off = 20 }
front = "aft"
along = "starboard"
parts.isolator = { type = "isolator" }
parts.fuse = { type = "main_fuse" }
parts.bus = { type = "bus_bar" }
parts.charger = { type = "dc_converter_30" }
"""
Job = Callable[..., Path]


@pytest.fixture
def job(tmp_path: Path) -> Job:
    def write(text: str, wide: float = 420, deep: float = 380) -> Path:
        (tmp_path / "h.hull.toml").write_text(HULL.format(wide=wide, deep=deep))
        path = tmp_path / "j.job.toml"
        path.write_text(HEAD + text)
        return path

    return write


def test_a_board_from_its_parts_alone_is_arranged_written_and_goes(
    job: Job, capsys: pytest.CaptureFixture[str]
) -> None:
    path = job(BOARD)
    assert main(["check", str(path)]) == BAD_INPUT
    assert "coaming arrange finds one" in capsys.readouterr().err
    assert main(["arrange", str(path), "board", "--write"]) == IN_ORDER
    told = capsys.readouterr().out
    assert "goes in through locker hatch" in told and "FRONT looks AFT" in told
    result = Session(path).answer()
    assert result.piece("board").verdict == "goes in"
    assert not result.piece("board").clashes and not result.piece("board").rooms_taken


def test_the_way_of_an_arranged_board_holds_for_code_that_shares_nothing(job: Job) -> None:
    board = board_to_arrange(read_job(job(BOARD, 330, 260)), "board")
    going = board_that_goes(board.site, board.wanted, PassEffort(), _quick())
    assert going.goes and all(b.solid_mm is not None for b in going.boards)
    for b in going.boards:
        path = [(pose.at_mm, pose.quat) for pose in b.passage.path]
        least = recheck_way(b.problem, path, board.site.boat.clearance_mm - 0.01)
        assert least >= b.problem.clearance_mm - 0.01


def _quick() -> ArrangeEffort:
    return ArrangeEffort(rounds=300, starts=2, proof=0.0)


def test_a_part_larger_than_the_hatch_is_proven_to_stop_every_board(
    job: Job, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its box is 190 x 130 x 75 with a plate of 12: a hatch of 100 x 80 lets no side by."""
    path = job(BOARD, 100, 80)
    assert main(["arrange", str(path), "board"]) == NOT_IN_ORDER
    told = capsys.readouterr().out
    assert "No board that carries DC-DC charger can go in" in told
    assert "fit it by itself" in told
    board = board_to_arrange(read_job(path), "board")
    none = board_that_goes(board.site, board.wanted, PassEffort(), _quick()).impossible
    assert none is not None and none.part == "charger" and len(none.proofs) == 1  # its fins stand
    for problem, proof in none.proofs:
        assert recheck_proof(problem, proof)


def test_no_part_is_refused_for_what_is_not_there() -> None:
    """An isolator of 70 x 70 x 45 with a knob of 36 x 36 x 30 on it: the box round both is larger
    than both, and a proof may only count on the two, and on a plate no larger than its foot.
    """
    knob = KitPart("isolator", (Box(-35, -35, 0, 35, 35, 45), Box(-18, -18, 45, 18, 18, 75)))
    body, size = alone(knob, 1, 12.0)
    assert size == (70, 70, 87)
    assert np.allclose(2 * body.half_mm, [[70, 70, 12], [70, 70, 45], [36, 36, 30]])
    assert np.allclose(body.centre_mm, [[0, 0, 6], [0, 0, 34.5], [0, 0, 72]])


def test_the_way_to_a_found_place_holds_for_code_that_shares_nothing(job: Job) -> None:
    path = job('[pieces.b]\ntype = "battery_24"\nspace = "locker"\nat = [450, 350, 0]\n')
    files = read_job(path)
    boat = Builder(files).boat()
    thing = Thing(boat.pieces["b"], default_stands("battery", [], "any way"))
    ask = PlaceAsk(boat, (thing,), ("locker",), {})
    bare = without(boat, {"b"})
    found = places(ask, thing, bare, PassEffort())
    assert found
    for stood in found:
        way = next(w for w in ways_in(bare, stood.spot.piece) if w.keys == stood.way)
        q = question(with_piece(bare, stood.spot.piece), stood.spot.piece, way, (), 3.0).outer
        poses = [(pose.at_mm, pose.quat) for pose in stood.passage.path]
        assert recheck_way(q, poses, q.clearance_mm - 0.01) >= q.clearance_mm - 0.01


def test_what_cannot_be_arranged_is_told_with_what_would_work(
    job: Job, capsys: pytest.CaptureFixture[str]
) -> None:
    path = job(BOARD + "arrange.most = [150, 120]\n")
    assert main(["arrange", str(path), "board"]) == NOT_IN_ORDER
    assert "No plate there may be holds" in capsys.readouterr().out
    path = job(BOARD.replace('"isolator" }', '"isolator", at = [60, 60], pinned = true }').replace(
        '"main_fuse" }', '"main_fuse", at = [60, 60], pinned = true }'))  # fmt: skip
    assert main(["arrange", str(path), "board"]) in (NOT_IN_ORDER, BAD_INPUT)
    told = capsys.readouterr()
    assert "pin" in told.out + told.err
    assert main(["arrange", str(path), "bored"]) == BAD_INPUT
    assert "did you mean 'board'" in capsys.readouterr().err


def test_a_place_is_found_written_and_goes(job: Job, capsys: pytest.CaptureFixture[str]) -> None:
    path = job('[pieces.b]\ntype = "battery_24"\nspace = "locker"\nat = [450, 350, 0]\n')
    assert main(["place", str(path), "sounder_box", "b", "--write", "1"]) == IN_ORDER
    told = capsys.readouterr().out
    assert "goes in and out through locker hatch" in told.lower()
    result = Session(path).answer()
    assert {p.key: p.verdict for p in result.pieces} == {"b": "goes in", "sounder_box": "goes in"}
    battery = next(s for s in result.boat.stands if s.key == "b")
    assert battery.body[0].centre_mm[2] == 0 and battery.at_mm[2] == pytest.approx(225 / 2, abs=0.1)


def test_what_would_open_a_place_is_told(job: Job, capsys: pytest.CaptureFixture[str]) -> None:
    """A locker 500 long holds two cases of 260 by its length only when the first stands aside: in
    the middle it leaves 120 at each end.
    """
    path = job(
        '[pieces.a]\ntype = "battery_24"\nspace = "locker"\nat = [280, 110, 0]\nalong = "forward"\n'
        '[pieces.b]\ntype = "battery_24"\nspace = "locker"\nat = [280, 110, 0]\n'
    )
    hull = path.parent / "h.hull.toml"
    text = hull.read_text().replace("[900, 700, 500]", "[560, 200, 420]")
    hull.write_text(text.replace("[450, 350]", "[280, 100]").replace("[420, 380]", "[540, 190]"))
    assert main(["place", str(path), "b"]) == NOT_IN_ORDER
    told = capsys.readouterr().out
    assert "No place was found" in told and "What would open one: move" in told
    moved = re.search(r"move .* (\d+) mm .* (forward|aft)", told)
    assert moved is not None and 100 <= int(moved[1]) <= 160


def test_a_space_no_opening_leads_to_is_no_place(job: Job) -> None:
    path = job('[pieces.b]\ntype = "battery_24"\nspace = "locker"\nat = [450, 350, 0]\n')
    hull = path.parent / "h.hull.toml"
    hull.write_text(
        hull.read_text() + "[spaces.sealed]\nfrom = [1000, 0, 0]\nto = [1900, 700, 500]\n"
    )
    found = placed(read_job(path), ["isolator"], [], Asks()).places
    assert found and {p.space for p in found} == {"locker"}


def test_distances_between_kinds_are_kept(job: Job) -> None:
    text = '[pieces.b]\ntype = "battery_24"\nspace = "locker"\nat = [130, 90, 0]\n'
    near = placed(read_job(job(text)), ["sounder_box"], [], Asks()).places
    far = text + '[[apart]]\nkinds = ["instrument", "battery"]\noff = 300\nwhy = "its maker"\n'
    kept = placed(read_job(job(far)), ["sounder_box"], [], Asks()).places
    assert min(p.gap_mm for p in near) < 300 <= min(p.gap_mm for p in kept) + 0.01


def test_more_than_can_stand_is_proven(job: Job) -> None:
    """Cases of 260 x 173 x 225 that must stand upright in 450 x 300 x 420. By hand: none stands on
    another, for 2 x 225 > 420; none beside another across 300, for 2 x 173 > 300; so all stand one
    behind the other, and three need 3 x 173 = 519 > 450, two need no more than 2 x 173 = 346.
    """
    pieces = "".join(
        f'[pieces.b{k}]\ntype = "battery_24"\nspace = "locker"\nat = [450, 350, 0]\n'
        for k in range(3)
    )
    path = job(pieces)
    text = (path.parent / "h.hull.toml").read_text().replace("[900, 700, 500]", "[450, 300, 420]")
    text = text.replace("[450, 350]", "[225, 150]").replace("[420, 380]", "[400, 280]")
    (path.parent / "h.hull.toml").write_text(text)
    row = placed(read_job(path), ["b0", "b1", "b2"], [], Asks())
    assert row.together and row.left and row.proven_none
    lines = path.read_text().partition("[pieces.b2]")[0]
    path.write_text(lines)
    two = placed(read_job(path), ["b0", "b1"], [], Asks())
    assert len(two.places) == 2 and not two.left


def test_places_in_words_are_those_in_figures(job: Job) -> None:
    """By hand: the isolator is 70 x 70 x 45 with a knob; on the forward side its middle stands at
    x = 900, level in the middle of 500 at z = 250, 100 mm left (to port) of the fuse.
    """
    text = """
[pieces.fuse]
type = "main_fuse"
space = "locker"
place = { on = "forward", from_starboard = 50, centred = ["height"] }
[pieces.isolator]
type = "isolator"
space = "locker"
place = { on = "forward", left_of = "fuse", by = 100, level_with = "fuse" }
[pieces.box]
type = "sounder_box"
space = "locker"
place = { on = "bottom", against = ["aft", "port"] }
[pieces.lamp]
type = "cabin_light"
space = "locker"
place = { on = "box", abreast_of = "box", in_line_with = "box" }
"""
    pieces = Builder(read_job(job(text))).boat().pieces
    low, high = pieces["fuse"].extent()
    assert np.allclose((low, high), [[860, 50, 227.5], [900, 160, 272.5]])
    low, high = pieces["isolator"].extent()
    assert np.allclose((low, high), [[825, 260, 215], [900, 330, 285]])
    low, high = pieces["box"].extent()
    assert np.allclose((low[0], high[1], low[2]), (0, 700, 0))
    low, high = pieces["lamp"].extent()
    assert np.allclose(((low + high) / 2)[:2], (105, 630)) and low[2] == pytest.approx(60)


def test_places_in_words_that_make_no_sense_are_told_all_at_once(job: Job) -> None:
    text = """
[pieces.a]
type = "isolator"
space = "locker"
place = { on = "forward", left_of = "b" }
[pieces.b]
type = "isolator"
space = "locker"
place = { on = "forward", right_of = "a", from_top = 10 }
[pieces.c]
type = "isolator"
space = "locker"
place = { on = "bottom", left_of = "d", centred = true }
[pieces.d]
type = "isolator"
space = "locker"
at = [100, 100, 0]
place = { on = "bottom", centred = true }
"""
    with pytest.raises(JobError) as e:
        Builder(read_job(job(text))).boat()
    told = " ".join(f.sentence() for f in e.value.findings)
    assert "circle" in told and "left and right are told of a wall" in told
    assert "both at and place" in told


def test_a_leaning_board_leans_and_a_hung_board_keeps_its_swing(job: Job) -> None:
    text = BOARD.replace('"isolator" }', '"isolator", at = [60, 60] }')
    text = re.sub(r"parts\.(fuse|bus|charger).*\n", "", text)
    lean = Builder(read_job(job(text + "leans_degrees = 15\n"))).boat().pieces["board"]
    assert np.degrees(np.arccos(lean.turn[2, 1])) == pytest.approx(15)
    hung = job(
        text + 'hinge = { edge = "lower", opens_degrees = 90 }\n'
        '[pieces.box]\ntype = "sounder_box"\nspace = "locker"\nat = [700, 350, 0]\n'
    )
    taken = Session(hung).answer().piece("board").rooms_taken
    assert any(c.room == "swing" and c.other.startswith("box") for c in taken)


def test_a_board_upside_down_and_fins_that_lie_are_told(job: Job) -> None:
    text = BOARD.replace('along = "starboard"', 'along = "port"')
    text = text.replace('"dc_converter_30" }', '"dc_converter_30", at = [200, 150], turn = 90 }')
    text = re.sub(r"parts\.(isolator|fuse|bus).*\n", "", text)
    rules = {f.rule: f.urgency for f in Session(job(text)).answer().findings}
    assert rules["board upside down"] == rules["turned wrong"] == "should"
    right = text.replace('along = "port"', 'along = "starboard"').replace(", turn = 90", "")
    rules = {f.rule for f in Session(job(right)).answer().findings}
    assert not rules & {"board upside down", "turned wrong"}
