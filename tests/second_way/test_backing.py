"""What is behind a board, by rays through a mesh library's triangles; which stud is whose."""

from pathlib import Path

import numpy as np
import pytest
import trimesh

from layout.bench.backing import GAP_MOST_MM, backing
from layout.bench.plate import Plate, plates
from layout.boat.parts import Boat
from routing.network.studs import studs_of
from routing.network.wire_list import MOST_LUGS
from tests.whole_job.test_wiring import HULL
from tests.worked import DEMOS, Worked, circuits_of, demo_worked


@pytest.mark.parametrize("name", DEMOS)
def test_the_length_of_a_stand_off_is_what_a_ray_through_triangles_measures(name: str) -> None:
    """Space, fixed things and gear as a mesh library's triangles; a ray from the plate's back meets
    the first of them.
    """
    w = demo_worked(name)
    for plate in plates(w.files, w.boat):
        mesh = _all_about(w.boat, plate)
        rng = np.random.default_rng(3)
        for _ in range(12):
            x, y = rng.uniform([5, 5], [plate.length_mm - 5, plate.height_mm - 5])
            start = plate.whole((x, y, -plate.thickness_mm)) - 1e-4 * plate.turn[:, 2]
            far = _ray(mesh, start, -plate.turn[:, 2])
            b = backing(w.boat, plate, float(x), float(y))
            if b is None:  # gear, a hole or an opening is there
                continue
            assert (b.on == "") == (far > GAP_MOST_MM), (plate.key, x, y, far, b)
            if b.on:
                assert b.length_mm == pytest.approx(far, abs=0.01), (plate.key, x, y, b)


def _ray(mesh: trimesh.Trimesh, start: np.ndarray, way: np.ndarray) -> float:
    """How far off the first triangle is (Moller and Trumbore, 1997)."""
    a, b, c = (mesh.triangles[:, k] for k in range(3))
    p = np.cross(way, c - a)
    det = np.sum((b - a) * p, axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        u = np.sum((start - a) * p, axis=1) / det
        q = np.cross(start - a, b - a)
        v = (q @ way) / det
        t = np.sum((c - a) * q, axis=1) / det
        return float(t[(u >= 0) & (v >= 0) & (u + v <= 1) & (t > 0)].min())


def _all_about(boat: Boat, plate: Plate) -> trimesh.Trimesh:
    space = boat.spaces[plate.space]
    parts = [trimesh.creation.box(bounds=[space.low, space.high])]
    for s in boat.solids.values():
        if s.space == plate.space:
            parts.append(_box(s.centre, s.half, s.rotation))
    for p in boat.pieces.values():
        if p.space == plate.space and p.key != plate.key:
            rest = p.at_rest()
            rows = zip(rest.centre_mm, rest.half_mm, rest.rotation, strict=True)
            parts += [_box(*row) for row in rows]
    return trimesh.util.concatenate(parts)


def _box(centre: np.ndarray, half: np.ndarray, rotation: np.ndarray) -> trimesh.Trimesh:
    turn = np.eye(4)
    turn[:3, :3], turn[:3, 3] = rotation, centre
    return trimesh.creation.box(extents=2 * half, transform=turn)


def test_a_frame_behind_half_a_board_holds_only_that_half() -> None:
    """The launch's battery board lies over a frame 40 mm wide: elsewhere the floor is below it."""
    row = demo_worked("harbour_launch").result.bench("battery_board")
    lengths = {round(s.length_mm) for s in row.stand_offs}
    assert lengths == {40, 100}
    skin = [s for s in row.stand_offs if s.on.startswith("wall:")]
    assert skin and all(s.hold == "pad" and s.screw_most_mm == 0 for s in skin)


def test_stand_offs_on_a_flared_side_each_have_their_own_length() -> None:
    """A side that flares 9° is so much farther off at the top: the tangent."""
    row = demo_worked("trip_boat").result.bench("drive_board")
    held = [s for s in row.stand_offs if s.on.startswith("solid:")]
    low, high = min(held, key=lambda s: s.y_mm), max(held, key=lambda s: s.y_mm)
    rise = (high.y_mm - low.y_mm) * np.tan(np.radians(9))
    assert abs(high.length_mm - low.length_mm) == pytest.approx(rise, abs=0.2)
    assert all(s.slope_deg == pytest.approx(9, abs=0.1) for s in held)


def _bar_job(loads: int) -> str:
    gear = "".join(
        f'[pieces.lamp_{n}]\ntype = "cabin_light"\nspace = "a"\nat = [{200 + 60 * n}, 900, 0]\n'
        f'[circuits.{n}]\nlabel = "Lamp {n}"\nfeed = "board.bus.out"\nload = "lamp_{n}.lead"\n'
        f"amps = {1 + n % 7}\n"
        for n in range(loads)
    )
    return (
        '[job]\nname = "j"\nhull = "h.hull.toml"\n'
        '[boards.board]\nplate = [400, 200, 12]\nspace = "a"\nat = [500, 300, 60]\n'
        'front = "up"\nalong = "forward"\nheld_by = "posts"\n'
        'parts.bus = { type = "bus_bar", at = [200, 100] }\n'
        '[pieces.battery]\ntype = "battery_31"\nspace = "a"\nat = [300, 700, 0]\n'
        '[circuits.main]\nlabel = "Main"\nfeed = "battery.plus"\nload = "board.bus.feed"\n'
        "amps = 60\n" + gear
    )


@pytest.mark.parametrize("loads", [3, 5, 8, 13])
def test_studs_are_dealt_evenly_and_the_most_current_stands_nearest_the_feed(
    tmp_path: Path, loads: int
) -> None:
    """Common practice; four ring terminals on a stud at the most (ABYC E-11)."""
    (tmp_path / "h.hull.toml").write_text(HULL)
    (tmp_path / "j.job.toml").write_text(_bar_job(loads))
    _, boat, circuits = circuits_of(tmp_path / "j.job.toml")
    studs = {n: k for (n, pole, _), k in studs_of(circuits).items() if pole == "plus"}
    assert len(studs) == loads and set(studs.values()) <= {1, 2, 3, 4, 5}
    count = np.bincount(list(studs.values()), minlength=6)[1:]
    assert count.max() - count.min() <= 1 and count.max() <= MOST_LUGS
    row = boat.pieces["board"].terminals["bus.out"]
    feed = boat.pieces["board"].terminals["bus.feed"]
    off = {k: float(np.linalg.norm(row.of_row(k).at - feed.at)) for k in range(1, 6)}
    alone = sorted(studs, key=lambda n: -circuits.models[n].amps)[: min(loads, 5)]
    assert [off[studs[n]] for n in alone] == sorted(off[studs[n]] for n in alone)


def test_a_link_is_as_long_as_the_way_to_its_own_stud(demo: Worked) -> None:
    """Both ends of a link's line are at the studs its row tells, on every demo board."""
    for b in demo.result.benches:
        ends = {e.name: e for p in b.parts for e in p.ends}
        for w in b.links:
            told = ((w.start, w.start_stud, 0), (w.goal, w.goal_stud, -1))
            for name, stud, k in told if w.line else ():
                if stud:
                    assert w.line[k] == pytest.approx(ends[name].studs[stud - 1], abs=0.1), w.mark
