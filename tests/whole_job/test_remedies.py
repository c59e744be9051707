"""What would make it go, and the order of fitting."""

from dataclasses import replace
from pathlib import Path

import pytest

from layout.boat.build import Builder
from layout.boat.walls import Cover
from layout.job import read_job
from layout.passage import BoxSet
from layout.verdict.order import comes_out, fitting_order
from layout.verdict.remedies import RemedyEffort, goes, remedies
from layout.verdict.ways_in import chains, entry
from viewer.command import BAD_INPUT, WELL, main

ROOT = Path(__file__).parent.parent.parent
LAUNCH = ROOT / "demo_hulls" / "harbour_launch.job.toml"


def test_the_largest_board_told_does_go_in() -> None:
    boat = Builder(read_job(LAUNCH)).boat()
    thing = boat.things["peak_board"]
    found = remedies(boat, thing, [], RemedyEffort(0.5))
    largest = next(r for r in found if r.kind == "largest board")
    long, wide, thick = largest.sizes_mm
    assert long < 560
    assert thick == pytest.approx(thing.size_mm.min())
    body = BoxSet.checked([[0, 0, 0]], [[thick / 2, long / 2, wide / 2]], None, ("board",))
    way = chains(boat, thing)[0]
    at = entry(boat, replace(thing, body=body), way, [], Cover.OUTER, boat.clearance_mm)
    assert goes(at.problem, RemedyEffort(3.0))


def test_a_removable_thing_in_the_way_is_named_with_its_minutes(tmp_path: Path) -> None:
    hull = (ROOT / "demo_hulls" / "harbour_launch.hull.toml").read_text(encoding="utf-8")
    hull += '\n[solids.peak_bar]\nlabel = "security bar"\nspace = "fore_peak"\nfrom = [1, 500, 150]\nto = [20, 530, 450]\nkind = "strut"\nremovable_minutes = 12\n'
    hull = hull.replace('peak_door_width = "300 mm', 'peak_door_width = "520 mm').replace(
        'peak_door_height = "260 mm', 'peak_door_height = "500 mm'
    )
    (tmp_path / "harbour_launch.hull.toml").write_text(hull, encoding="utf-8")
    (tmp_path / "job.toml").write_text(LAUNCH.read_text(encoding="utf-8"), encoding="utf-8")
    boat = Builder(read_job(tmp_path / "job.toml")).boat()
    found = remedies(boat, boat.things["peak_board"], [], RemedyEffort(0.5))
    off = [r for r in found if r.kind == "take off"]
    assert off
    assert off[0].minutes == 12
    assert "security bar" in off[0].what


def test_order_found_lets_everything_in() -> None:
    boat = Builder(read_job(LAUNCH)).boat()
    order = fitting_order(boat)
    assert sorted(order) == sorted(n for n, t in boat.things.items() if not t.fixed_already)
    fitted = [t for t in boat.things.values() if t.fixed_already]
    for name in order:
        if name != "peak_board":
            assert comes_out(boat, boat.things[name], fitted, 3), name
        fitted.append(boat.things[name])


def test_remedy_command(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["remedy", str(LAUNCH), "peak_bord"]) == BAD_INPUT
    assert "did you mean 'peak_board'" in capsys.readouterr().err
    assert main(["remedy", str(LAUNCH), "peak_board"]) == WELL
    assert "each with a proven way" in capsys.readouterr().out
