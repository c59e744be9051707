"""What would make it go, and the order of fitting."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from layout.boat.build import Builder
from layout.boat.parts import Boat, Piece
from layout.geometry.shapes import BoxSet
from layout.job import read_job
from layout.passage import Effort, Verdict, find_passage
from layout.verdict.order import comes_out, fitting_order
from layout.verdict.question import question, ways_in
from layout.verdict.remedies import RemedyEffort, RemedyKind, remedies
from tests.whole_job.test_small_boats import HATCH
from tests.whole_job.test_wiring import HOLE, HULL
from viewer.command import BAD_INPUT, IN_ORDER, main

ROOT = Path(__file__).parent.parent.parent
LAUNCH = ROOT / "demo_hulls" / "harbour_launch.job.toml"


def test_the_largest_board_told_does_go_in() -> None:
    boat = Builder(read_job(LAUNCH)).boat()
    piece = boat.pieces["peak_board"]
    found = remedies(boat, piece, [], RemedyEffort(try_steps=20_000))
    largest = next(r for r in found if r.kind is RemedyKind.LARGEST)
    long, wide, thick = largest.sizes_mm
    assert long < 560
    assert thick == pytest.approx(piece.size_mm.min())
    flat = [k for k in range(3) if k != int(np.argmin(piece.size_mm))]
    half = np.full(3, thick / 2)
    half[sorted(flat, key=lambda k: -piece.size_mm[k])] = long / 2, wide / 2
    body = BoxSet.checked([[0, 0, 0]], [half], None, ("board",))
    way = ways_in(boat, piece)[0]
    at = question(boat, replace(piece, body=body), way, [], boat.clearance_mm)
    assert find_passage(at.outer, Effort()).verdict is Verdict.GOES_IN


def test_a_removable_thing_in_the_way_is_named_with_its_minutes(tmp_path: Path) -> None:
    hull = (ROOT / "demo_hulls" / "harbour_launch.hull.toml").read_text(encoding="utf-8")
    hull += (
        '\n[solids.peak_bar]\nlabel = "security bar"\nspace = "fore_peak"\n'
        'from = [1, 500, 150]\nto = [20, 530, 450]\nkind = "strut"\n'
        "removable_minutes = 12\n"
    )
    hull = hull.replace('peak_door_width = "300 mm', 'peak_door_width = "520 mm').replace(
        'peak_door_height = "260 mm', 'peak_door_height = "500 mm'
    )
    (tmp_path / "harbour_launch.hull.toml").write_text(hull, encoding="utf-8")
    (tmp_path / "job.toml").write_text(LAUNCH.read_text(encoding="utf-8"), encoding="utf-8")
    boat = Builder(read_job(tmp_path / "job.toml")).boat()
    found = remedies(boat, boat.pieces["peak_board"], [], RemedyEffort())
    off = [r for r in found if r.kind is RemedyKind.TAKE_OFF]
    assert off
    assert off[0].minutes == 12
    assert off[0].keys == ("solid:peak_bar",)


def test_order_found_lets_everything_in() -> None:
    boat = Builder(read_job(LAUNCH)).boat()
    order = fitting_order(boat)
    assert sorted(order) == sorted(k for k, p in boat.pieces.items() if not p.fixed_already)
    fitted = [p for p in boat.pieces.values() if p.fixed_already]
    for name in order:
        if name != "peak_board":
            assert comes_out(boat, boat.pieces[name], fitted, 1), name
        fitted.append(boat.pieces[name])


def test_remedy_command(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["remedy", str(LAUNCH), "peak_bord"]) == BAD_INPUT
    assert "did you mean 'peak_board'" in capsys.readouterr().err
    assert main(["remedy", str(LAUNCH), "peak_board"]) == IN_ORDER
    assert "each with a proven way" in capsys.readouterr().out


# a board flat on the floor of a space 1000 x 1000 x 800 under a hatch 600 x 300
FLAT = (
    "[boards.flat]\nplate = [300, 200, 12]\nplate_kg = 2\n"
    'space = "a"\nat = [500, 500, 0]\nfront = "up"\nalong = "forward"\n'
)


def flat_board(folder: Path, more: str = "") -> tuple[Boat, Piece]:
    hatch = HATCH.format(long=600, throat=20).replace("200]", "300]")
    (folder / "h.hull.toml").write_text(HULL + HOLE + hatch + more, encoding="utf-8")
    (folder / "j.job.toml").write_text('[job]\nname = "j"\nhull = "h.hull.toml"\n' + FLAT)
    boat = Builder(read_job(folder / "j.job.toml")).boat()
    return boat, boat.pieces["flat"]


def largest(boat: Boat, piece: Piece, up_to_mm: float | None = None) -> dict[int | None, float]:
    effort = RemedyEffort(try_steps=4_000, up_to_mm=up_to_mm)
    found = [r for r in remedies(boat, piece, [], effort) if r.kind is RemedyKind.LARGER]
    assert all(r.less_mm is not None and r.less_mm <= 0 for r in found)  # never less than goes
    return {r.axis: r.sizes_mm[0] for r in found}


def test_a_board_that_goes_may_grow_to_the_true_bound_each_way(tmp_path: Path) -> None:
    boat, piece = flat_board(tmp_path)
    clear = boat.clearance_mm
    at_most = largest(boat, piece)
    # on end through 600 x 300: 200 x 12 passes whatever its length, to the walls or 2.5 times
    assert at_most[0] == pytest.approx(750, abs=2)
    # laid across: 300 long goes in along the 600 side on edge, so 2.5 x 200 mm too
    assert at_most[1] == pytest.approx(500, abs=2)
    assert clear > 0
    walls = '[solids.left]\nspace = "a"\nfrom = [0, 700, 0]\nto = [1000, 1000, 800]\n'
    boat, piece = flat_board(tmp_path, walls)
    # 200 mm from its middle to port, and starboard as before: 100 + 200 - 0 to the solid
    assert largest(boat, piece, 900.0)[1] == pytest.approx(700, abs=2)


def test_how_large_is_worth_trying_may_be_told(tmp_path: Path) -> None:
    boat, piece = flat_board(tmp_path)
    assert largest(boat, piece, 333.0)[0] == pytest.approx(333)
