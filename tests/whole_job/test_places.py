"""Places a piece cannot have, told before any way in; what holds it; a start that is not free."""

from pathlib import Path

import pytest

from tests.whole_job.test_small_boats import HATCH
from tests.whole_job.test_wiring import HOLE, HULL, JOB
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
