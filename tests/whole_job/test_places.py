"""Places a piece cannot have, told before any way in; what holds it; a start that is not free."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from layout.boat.parts import Piece
from layout.geometry.shapes import Pose
from layout.passage import Effort, Problem, find_passage
from layout.passage.free import clearance_at
from layout.passage.proof.prover import Prover
from layout.passage.work import Work
from layout.recheck.common import RecheckFailed
from layout.recheck.proofs import recheck_proof
from layout.recheck.walk import recheck_way
from layout.verdict.place import out_of_space, tipped
from layout.verdict.question import question, ways_in, with_beside
from tests.whole_job.test_small_boats import HATCH
from tests.whole_job.test_wiring import HOLE, HULL, JOB
from tests.worked import circuits_of
from viewer.words.names import Names
from viewer.words.pieces import PieceWords
from viewer.work.rows import Result
from viewer.work.session import Asks, Session

AT = "at = [500, 500, 0]"
LOOSE = JOB.replace("at = [300, 300, 0]\nfixed_already = true", AT)
WIDE = HULL + HOLE + HATCH.format(long=400, throat=20)
# the battery is 330 x 173 x 240 mm and may lean 40 degrees; the space is 1000 x 1000 x 800 mm


def answer(folder: Path, hull: str, job: str) -> Result:
    (folder / "h.hull.toml").write_text(hull, encoding="utf-8")
    path = folder / "j.job.toml"
    path.write_text(job, encoding="utf-8")
    return Session(path).answer(Asks(fresh=True))


def advice(r: Result) -> str:
    return PieceWords(r, r.piece("battery"), Names(r)).advice


def rules(r: Result, key: str) -> list[str]:
    return [f.rule for f in r.findings if f"piece:{key}" in f.about]


def test_a_typing_slip_in_a_height_is_no_way_in(tmp_path: Path) -> None:
    row = (r := answer(tmp_path, WIDE, LOOSE.replace(AT, "at = [500, 500, 10200]"))).piece(
        "battery"
    )
    assert (row.verdict, row.evidence) == ("place not free", "out of its space")
    assert row.moves == ()
    assert row.least_clearance_mm == pytest.approx(-(10200 + 240 - 800))
    assert row.free_by_mm == pytest.approx((0, 0, -9640))
    assert "9640 mm" in advice(r)
    assert "down it stands free" in advice(r)


def rest_of(folder: Path) -> tuple[Piece, Problem, tuple[np.ndarray, np.ndarray]]:
    """The battery, its place as a problem, and the corners of its space."""
    boat = circuits_of(folder / "j.job.toml")[1]
    piece = boat.pieces["battery"]
    nothing = piece.body.without(set(range(len(piece.body))))
    rest = Problem(piece.body, nothing, piece.rest, piece.rest, 0.0, piece.up, piece.max_tilt_rad)
    return piece, rest, (boat.spaces["a"].low, boat.spaces["a"].high)


def test_a_place_out_of_its_space_is_checked_again_and_a_forged_one_refused(
    tmp_path: Path,
) -> None:
    answer(tmp_path, WIDE, LOOSE.replace(AT, "at = [500, 500, 10200]"))
    boat = circuits_of(tmp_path / "j.job.toml")[1]
    found = out_of_space(boat, boat.pieces["battery"])
    assert found is not None
    assert found.proof is not None
    _, rest, within = rest_of(tmp_path)
    assert "9640" in recheck_proof(rest, found.proof, within)
    with pytest.raises(RecheckFailed):  # more than it is
        recheck_proof(rest, {**found.proof, "over_mm": 9700.0}, within)
    with pytest.raises(RecheckFailed):  # a space made smaller in the proof alone
        recheck_proof(rest, found.proof, (within[0], within[1] + [0, 0, 20_000]))
    with pytest.raises(RecheckFailed):
        recheck_proof(rest, found.proof)


def test_a_tipped_place_is_checked_again_and_a_forged_one_refused(tmp_path: Path) -> None:
    answer(tmp_path, WIDE, LOOSE.replace(AT, 'at = [500, 400, 100]\ntop = "port"'))
    piece, rest, _ = rest_of(tmp_path)
    found = tipped(piece)
    assert found is not None
    assert found.proof is not None
    assert "90.0 degrees" in recheck_proof(rest, found.proof)
    with pytest.raises(RecheckFailed):
        recheck_proof(rest, {**found.proof, "tilt_rad": 1.0})
    upright = replace(rest, up=np.array([0.0, 0.0, 1.0]))
    with pytest.raises(RecheckFailed):
        recheck_proof(upright, found.proof)


@pytest.mark.parametrize(
    ("at", "depth", "free_by"),
    [
        ([120, 500, 0], 45.0, (45, 0, 0)),  # into the aft side
        ([500, 930, 0], 16.5, (0, -17, 0)),  # into the port side: told in whole millimetres
    ],
)
def test_a_place_that_is_taken_tells_the_shortest_move(
    tmp_path: Path, at: list[int], depth: float, free_by: tuple[int, int, int]
) -> None:
    row = answer(tmp_path, WIDE, LOOSE.replace(AT, f"at = {at}")).piece("battery")
    assert (row.verdict, row.evidence) == ("place not free", "place not free")
    assert row.least_clearance_mm == pytest.approx(-depth, abs=0.01)
    assert row.free_by_mm == pytest.approx(free_by)


def test_a_shelf_in_the_way_is_named(tmp_path: Path) -> None:
    shelf = '[solids.shelf]\nspace = "a"\nfrom = [560, 300, 0]\nto = [900, 700, 140]\n'
    r = answer(tmp_path, WIDE + shelf, LOOSE)
    row = r.piece("battery")
    assert row.verdict == "place not free"
    assert row.free_by_mm == pytest.approx((-105, 0, 0))  # 500 + 165 - 560
    assert "Shelf" in advice(r)


@pytest.mark.parametrize(("top", "verdict"), [("up", "goes in"), ("port", "place not free")])
def test_a_flooded_battery_may_not_lie_on_its_side(tmp_path: Path, top: str, verdict: str) -> None:
    r = answer(tmp_path, WIDE, LOOSE.replace(AT, f'at = [500, 400, 100]\ntop = "{top}"'))
    row = r.piece("battery")
    assert row.verdict == verdict
    assert ("stands tipped" in rules(r, "battery")) is (top != "up")
    if top != "up":
        assert row.evidence == "tipped at its place"
        assert "upright" in advice(r)


def test_floating_gear_is_found_and_what_holds_it_is_told(tmp_path: Path) -> None:
    standing = answer(tmp_path, WIDE, LOOSE)
    assert standing.stand("battery").held_by == ("wall:a.bottom",)
    assert "held by nothing" not in rules(standing, "battery")
    floating = LOOSE.replace(AT, "at = [500, 500, 100]")
    r = answer(tmp_path, WIDE, floating)
    (f,) = [f for f in r.findings if f.rule == "held by nothing" and "piece:battery" in f.about]
    assert f.urgency == "must"
    assert f.values["gap_mm"] == pytest.approx(100.0)
    assert not r.in_order
    said = floating.replace("[500, 500, 100]", '[500, 500, 100]\nheld_by = "a tray on brackets"')
    r = answer(tmp_path, WIDE, said)
    assert "held by nothing" not in rules(r, "battery")
    assert "as the job says" in PieceWords(r, r.piece("battery"), Names(r)).held
    shelf = '[solids.shelf]\nspace = "a"\nfrom = [200, 300, 60]\nto = [800, 700, 98]\n'
    r = answer(tmp_path, WIDE + shelf, floating)  # 2 mm above it: a pad
    assert r.stand("battery").held_by == ("solid:shelf",)


def test_a_side_against_a_wall_holds_no_battery(tmp_path: Path) -> None:
    r = answer(tmp_path, WIDE, LOOSE.replace(AT, "at = [165, 500, 100]"))
    assert "held by nothing" in rules(r, "battery")


# the hatch's rim ends at z = 820; the board below is 200 x 120 x 60 mm
BOARD = (
    "[boards.small]\nplate = [200, 120, 12]\nplate_kg = 1\n"
    'space = "a"\nat = [500, 500, 0]\nfront = "up"\nalong = "forward"\n'
)
GALLOWS = '[solids.gallows]\nspace = "outside"\nfrom = [{x}, {y}, 1030]\nto = [{x2}, {y2}, 1080]\n'


def test_something_over_the_hatch_is_gone_round(tmp_path: Path) -> None:
    job = JOB + BOARD
    over = GALLOWS.format(x=-100, y=-100, x2=1100, y2=1100)
    for hull in (WIDE, WIDE + over):
        assert answer(tmp_path, hull, job).piece("small").verdict == "goes in"


def test_no_room_outside_is_not_settled_and_names_what_is_in_the_way(tmp_path: Path) -> None:
    # a deck house over everything near: no place to hold it was found, which proves nothing
    house = GALLOWS.format(x=-30_000, y=-30_000, x2=30_000, y2=30_000)
    house = house.replace("1030]", "821]").replace("1080]", "60000]")
    r = answer(tmp_path, WIDE + house, JOB + BOARD)
    row = r.piece("small")
    assert (row.verdict, row.evidence) == ("not settled", "start not free")
    assert "Gallows" in PieceWords(r, row, Names(r)).advice


# a low locker 500 x 100 x 150 with a slot in its top near the forward end; beyond its forward side
# another space, and a port between them
LOW = """
[hull]
name = "h"
length = "8 m"
beam = "3 m"
[spaces.low]
from = [1000, 0, 0]
to = [1500, 100, 150]
[spaces.next]
from = [1510, 0, 0]
to = [2500, 100, 150]
[openings.slot]
between = ["low", "outside"]
face = "top"
centre = [330, 50]
size = [300, 90]
corner_radius = 0
throat = 10
"""
PORT = """
[openings.port]
between = ["low", "next"]
face = "forward"
centre = [50, 75]
size = [90, 140]
corner_radius = 0
throat = 10
"""
BAR = """
[job]
name = "j"
hull = "h.hull.toml"
clearance = 1
[types.bar]
label = "Bar"
mass_kg = 3
boxes = [{ what = "all", at = [0, 0, 0], size = [490, 80, 40] }]
[pieces.bar]
type = "bar"
space = "low"
at = [250, 50, 0]
"""


def test_an_end_may_be_poked_through_another_opening(tmp_path: Path) -> None:
    shut = answer(tmp_path, LOW, BAR).piece("bar")
    assert shut.verdict == "not settled"
    r = answer(tmp_path, LOW + PORT, BAR)
    row = r.piece("bar")
    assert row.verdict == "goes in"
    assert row.also_open == ("port",)
    assert "with Port open" in PieceWords(r, row, Names(r)).way
    boat = circuits_of(tmp_path / "j.job.toml")[1]
    bar = boat.pieces["bar"]
    (way,) = ways_in(boat, bar)
    problem = question(boat, bar, with_beside(boat, way), [], boat.clearance_mm).outer
    path = [(np.array(p.at_mm), np.array(p.quat)) for p in row.path]
    assert recheck_way(problem, path, 0.0, 10.0) >= 0.0
    shut = question(boat, bar, way, [], boat.clearance_mm).outer
    with pytest.raises(RecheckFailed):  # it really goes through the port
        recheck_way(shut, path, 0.01, 10.0)


def test_cannot_holds_with_every_other_opening_open(tmp_path: Path) -> None:
    # 40 mm is thicker than a slot of 30, whatever else stands open; and no proof is about a boat
    # whose other openings are shut
    slot = LOW.replace("size = [300, 90]", "size = [300, 30]")
    for hull in (slot, slot + PORT):
        assert answer(tmp_path, hull, BAR).piece("bar").verdict == "cannot"
    (tmp_path / "h.hull.toml").write_text(slot + PORT, encoding="utf-8")
    boat = circuits_of(tmp_path / "j.job.toml")[1]
    bar = boat.pieces["bar"]
    (way,) = ways_in(boat, bar)
    inner = question(boat, bar, way, [], 0.0).inner
    assert inner.room is not None
    shut_there, open_there = (
        clearance_at(replace(inner, fixed=f), Pose.checked([1600.0, 50.0, 75.0]))[0]
        for f in (inner.fixed, inner.room)
    )
    assert shut_there < 0 < 1 + open_there  # the bar reaches through the port in one, not the other
    found = find_passage(inner, Effort(improve_steps=0))
    assert found.proof is not None
    assert recheck_proof(inner, found.proof)


def test_a_gate_that_another_opening_leads_round_is_no_gate(tmp_path: Path) -> None:
    # a bulkhead with a small hole across the locker, and a port on either side of it into one space
    inner = bulkhead_with_two_doors(tmp_path)
    assert Prover(inner).prove(Work(60_000), lambda: False) is None
    shut = replace(inner, doors=(), room=None)
    proof = Prover(shut).prove(Work(60_000), lambda: False)
    assert proof is not None
    assert recheck_proof(shut, proof)
    with pytest.raises(RecheckFailed, match=r"another opening|elsewhere|round"):
        recheck_proof(inner, proof)


def bulkhead_with_two_doors(folder: Path) -> Problem:
    hull = LOW.replace("to = [1500, 100, 150]", "to = [1500, 400, 150]").replace(
        "from = [1510, 0, 0]\nto = [2500, 100, 150]", "from = [1000, 410, 0]\nto = [1500, 800, 150]"
    )
    hull = hull.replace(
        "centre = [330, 50]\nsize = [300, 90]", "centre = [120, 200]\nsize = [200, 380]"
    )
    hull += '[solids.wall]\nspace = "low"\nfrom = [240, 0, 0]\nto = [260, 400, 150]\n'
    for k, x in ((1, 120), (2, 380)):
        hull += (
            f'[openings.port_{k}]\nbetween = ["low", "next"]\nface = "port"\n'
            f"centre = [{x}, 75]\nsize = [220, 140]\ncorner_radius = 0\nthroat = 10\n"
        )
    job = BAR.replace("size = [490, 80, 40]", "size = [200, 80, 40]").replace(
        "at = [250, 50, 0]", "at = [380, 200, 0]"
    )
    (folder / "h.hull.toml").write_text(hull, encoding="utf-8")
    (folder / "j.job.toml").write_text(job, encoding="utf-8")
    boat = circuits_of(folder / "j.job.toml")[1]
    bar = boat.pieces["bar"]
    return question(boat, bar, ways_in(boat, bar)[0], [], 0.0).inner


def test_how_it_comes_out_again_ends_outside(tmp_path: Path) -> None:
    row = answer(tmp_path, WIDE, LOOSE).piece("battery")
    assert row.out_again == "goes in"
    assert row.out_moves[0].start.at_mm == pytest.approx((500, 500, 120))
    assert row.out_moves[-1].end.at_mm[2] > 820 + 120  # above the rim
    for a, b in zip(row.out_moves, row.out_moves[1:], strict=False):
        assert a.end.at_mm == pytest.approx(b.start.at_mm)


@pytest.mark.parametrize(("off_mm", "held"), [(0, True), (20, True), (40, False), (250, False)])
def test_a_board_stands_on_spacers_no_longer_than_spacers_are(
    tmp_path: Path, off_mm: int, held: bool
) -> None:
    board = (
        '[boards.wall]\nplate = [200, 150, 12]\nplate_kg = 1\nspace = "a"\n'
        f'at = [{off_mm}, 500, 400]\nfront = "forward"\nalong = "starboard"\n'
    )
    r = answer(tmp_path, WIDE, JOB + board)
    assert ("held by nothing" not in rules(r, "wall")) is held
    if held:
        assert r.stand("wall").held_by == ("wall:a.aft",)


SECOND = (
    '[openings.second]\nbetween = ["a", "outside"]\nface = "top"\ncentre = [500, 850]\n'
    "size = [400, {wide}]\ncorner_radius = 0\nthroat = 20\n"
)


@pytest.mark.parametrize(("wide", "verdict"), [(150, "cannot"), (200, "goes in")])
def test_two_hatches_are_both_asked(tmp_path: Path, wide: int, verdict: str) -> None:
    # the battery is 173 mm at its thinnest: 140 is too little, and so is 150
    hull = WIDE.replace("size = [400, 200]", "size = [400, 140]") + SECOND.format(wide=wide)
    row = answer(tmp_path, hull, LOOSE).piece("battery")
    assert row.verdict == verdict
    if verdict == "goes in":
        assert row.way == ("second",)
