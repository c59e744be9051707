"""What would make it go, and the order of fitting."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from layout.boat.build import Builder
from layout.geometry.shapes import BoxSet
from layout.job import read_job
from layout.passage import Effort, Verdict, find_passage
from layout.verdict.order import comes_out, fitting_order
from layout.verdict.question import question, ways_in
from layout.verdict.remedies import RemedyEffort, RemedyKind, remedies
from viewer.command import BAD_INPUT, IN_ORDER, main

ROOT = Path(__file__).parent.parent.parent
LAUNCH = ROOT / "demo_hulls" / "harbour_launch.job.toml"


def test_the_largest_board_told_does_go_in() -> None:
    boat = Builder(read_job(LAUNCH)).boat()
    piece = boat.pieces["peak_board"]
    found = remedies(boat, piece, [], RemedyEffort())
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
