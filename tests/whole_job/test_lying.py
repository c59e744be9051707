"""How cable lies in whole jobs: every demo walked by code of its own, and what is said of a job."""

import itertools
from pathlib import Path

import numpy as np
import pytest

from benchmarks.walk_cables import Walker
from layout.boat.parts import OUTSIDE
from tests.whole_job.test_wiring import HOLE, HULL, JOB, Made, make
from tests.worked import Worked
from viewer.words.names import Names
from viewer.words.tables import wiring_tables
from viewer.work.way_rows import PoleRow

SITE = "[spaces.b]\nfrom = [1010, 0, 0]\nto = [3000, 1000, 800]\n"


def rules(made: Made) -> set[str]:
    return {f.rule for f in made.result.findings}


def pole(made: Made, number: str) -> PoleRow:
    return next(p for p in made.result.poles if p.number == number and p.pole == "out")


def added_up(p: PoleRow, amps: float, at: tuple[float, float, float]) -> float:
    """The level field of a pair at a place, microtesla: small pieces added up, the worse lay."""
    x = np.array([q for leg in p.legs for q in leg.points])
    x = x[np.concatenate([[True], np.linalg.norm(np.diff(x, axis=0), axis=1) > 1e-6])]
    worst = 0.0
    for lay in range(2):
        field = np.zeros(3)
        for a, b in itertools.pairwise(x):
            d = (b - a) / np.linalg.norm(b - a)
            n = np.cross(d, [0.0, 0.0, 1.0] if abs(d[2]) < 0.9 else [1.0, 0.0, 0.0])
            n = n / np.linalg.norm(n) if lay == 0 else np.cross(n, d) / np.linalg.norm(n)
            m = max(2, int(np.linalg.norm(b - a)))
            t = (np.arange(m) + 0.5)[:, None] / m
            for sign in (1.0, -1.0):
                r = (np.array(at) - (a + t * (b - a) + sign * n * p.outside_diameter_mm / 2)) / 1e3
                dl = sign * (b - a) / m / 1e3
                field += (
                    1e-7
                    * amps
                    * (np.cross(dl, r) / np.linalg.norm(r, axis=1)[:, None] ** 3).sum(axis=0)
                )
        worst = max(worst, float(np.hypot(field[0], field[1])) * 1e6)
    return worst


def words(made: Made, key: str) -> str:
    table = next(t for t in wiring_tables(made.result, Names(made.result)) if t.key == key)
    return "\n".join(" | ".join(row) for row in table.rows) + table.note


def test_nothing_is_wrong_with_a_demo_cable_that_is_not_told(demo: Worked) -> None:
    # the walker shares nothing with the router: bodies, hazards, bends, leads, terminals
    faults = Walker(demo.boat, demo.result).faults()
    assert [f for f in faults if not f.told] == []


def test_every_support_is_near_enough_to_the_next_and_on_material(demo: Worked) -> None:
    # ISO 10133:2012 7.3: 450 mm; counted along every run by its own arithmetic
    for run in demo.result.runs:
        if run.kind not in ("face", "tray") or run.length_mm < 500:
            continue
        points = np.array(run.points)
        steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
        along = np.concatenate([[0.0], np.cumsum(steps)])
        t = np.arange(0.0, along[-1], 10.0)
        x = np.column_stack([np.interp(t, along, points[:, k]) for k in range(3)])
        held = np.array([s.at for s in demo.result.supports if s.where == run.where])
        away = np.linalg.norm(x[:, None] - held[None], axis=2).min(axis=1)
        assert away.max() <= 450 / 2 + 121, run.circuits  # moved aside by 120 mm at the most
    told = {f.values["what"] for f in demo.result.findings if f.rule == "support on a lid"}
    for s in demo.result.supports:
        assert s.on_material or f"space:{s.where}" in told or f"joint:{s.where}" in told
    clips = sum(f.count for f in demo.result.fixings if f.kind == "clip")
    assert clips == sum(s.kind != "outside" for s in demo.result.supports)


def test_square_and_straight_are_both_told(tmp_path: Path) -> None:
    square = make(tmp_path, HULL + HOLE, JOB)
    line = next(r for r in words(square, "laid").splitlines() if r.startswith("2 |"))
    assert "laid square" in line
    assert "pulled straight" in line
    assert all(leg.square for leg in pole(square, "2").legs if leg.kind == "face")
    straight = make(tmp_path, HULL + HOLE, JOB.replace("[job]\n", '[job]\nlay = "straight"\n'))
    assert not any(leg.square for leg in pole(straight, "2").legs)
    laid = [sum(leg.length_mm for leg in pole(m, "2").legs) for m in (square, straight)]
    assert laid[0] > laid[1]
    pulled = square.circuit("2").pulled_mm
    assert pulled is not None
    assert laid[1] - 60 < pulled <= laid[0]


@pytest.mark.parametrize(
    ("site", "square"),
    [("open", True), ("locker", True), ("engine", True), ("duct", False), ("lining", False)],
)
def test_the_kind_of_place_decides(tmp_path: Path, site: str, square: bool) -> None:
    hull = HULL.replace(SITE, SITE + f'site = "{site}"\n')
    made = make(tmp_path, hull + HOLE, JOB)
    mine = [leg for leg in pole(made, "2").legs if leg.kind == "face" and leg.where == "b"]
    assert mine
    assert all(leg.square == square for leg in mine)


def test_a_person_may_choose_for_one_place(tmp_path: Path) -> None:
    hull = HULL.replace(SITE, SITE + 'site = "duct"\nlay = "square"\n')
    legs = pole(make(tmp_path, hull + HOLE, JOB), "2").legs
    assert all(leg.square for leg in legs if leg.kind == "face")


@pytest.mark.parametrize(("ways", "rule"), [("", "gland ways unknown"), ("ways = 1", "gland ways")])
def test_a_gland_is_counted_by_its_ways(tmp_path: Path, ways: str, rule: str) -> None:
    hull = HULL + HOLE.replace('edge = "edged"', f'edge = "gland"\n{ways}')
    assert rule in rules(make(tmp_path, hull, JOB))
    enough = HULL + HOLE.replace('edge = "edged"', 'edge = "gland"\nways = 2')
    assert not rules(make(tmp_path, enough, JOB)) & {"gland ways", "gland ways unknown"}


def test_a_tray_by_an_engine_carries_nothing(tmp_path: Path) -> None:
    engine = (
        '[solids.engine]\nkind = "engine"\nspace = "b"\n'
        "from = [600, 300, 0]\nto = [1400, 700, 400]\n"
        '[trays.t]\nbetween = ["b", "b"]\nat = [20, 500, 430]\nto = [1900, 500, 430]\n'
    )
    made = make(tmp_path, HULL + HOLE + engine, JOB)
    assert "tray by hazard" in rules(made)
    assert not any(leg.kind == "tray" for p in made.result.poles for leg in p.legs)


def test_a_hole_too_near_to_something_hot_is_told(tmp_path: Path) -> None:
    hot = '[hazards.hot]\nkind = "hot"\nspace = "b"\nfrom = [150, 450, 600]\nto = [250, 550, 700]\n'
    made = make(tmp_path, HULL + HOLE + hot, JOB)
    assert "hole in hazard" in rules(made)
    # the hole is 150 mm from it; what is clipped to a face keeps the 300 mm asked all the same
    low, high = np.array([1160.0, 450.0, 600.0]), np.array([1260.0, 550.0, 700.0])
    legs = [leg for leg in pole(made, "2").legs if leg.kind == "face" and leg.where == "b"]
    assert legs
    for leg in legs:
        for x in np.linspace(leg.points[0], leg.points[-1], 40):
            assert np.linalg.norm(np.maximum(np.maximum(low - x, x - high), 0)) > 299


def test_a_lead_into_its_own_foot_is_told(tmp_path: Path) -> None:
    job = JOB.replace("at = [1500, 500, 700]\n", 'at = [1500, 500, 800]\ntop = "down"\n')
    made = make(tmp_path, HULL + HOLE, job)
    assert "lead under foot" in rules(made)


def test_what_stands_before_a_terminal_is_told(tmp_path: Path) -> None:
    t = 'feed = "battery.plus"\nload = "panel.feed"\n'
    assert t in JOB
    block = '[solids.block]\nspace = "a"\nfrom = [560, 560, 110]\nto = [840, 840, 240]\n'
    made = make(tmp_path, HULL + HOLE + block, JOB)
    assert rules(made) & {"no lug room", "lead room", "cable touches"}


def test_an_outboard_lead_is_long_enough_to_tilt_and_turn(tmp_path: Path) -> None:
    hull = (
        HULL
        + HOLE
        + (
            '[holes.out]\nbetween = ["a", "outside"]\nat = [0, 500, 600]\n'
            'bore = 40\nedge = "gland"\nways = 2\n'
        )
    )
    motor = (
        '[pieces.motor]\ntype = "starter_motor"\nspace = "outside"\nat = [-600, 500, 300]\n'
        '[circuits.3]\nlabel = "Motor"\nfeed = "panel.out"\nload = "motor.plus"\namps = 10\n'
    )
    still = make(tmp_path, hull, JOB + motor).circuit("3").out
    swing = "swing = { pivot = [-500, 500, 500], tilt_degrees = 60, turn_degrees = 35 }\n"
    moving = motor.replace("at = [-600, 500, 300]\n", "at = [-600, 500, 300]\n" + swing)
    made = make(tmp_path, hull, JOB + moving)
    free = made.circuit("3").out
    assert still is not None
    assert free is not None
    assert still.swing_mm == 0.0
    assert free.swing_mm > 5
    assert any(x.why == "swing" for x in made.result.loops)
    assert any(leg.kind == "outside" for leg in pole(made, "3").legs)
    assert any(f.kind == "outside" and f.space == OUTSIDE for f in made.result.fixings)


def test_a_heavy_pair_by_a_compass_is_told_in_degrees(tmp_path: Path) -> None:
    compass = (
        '[hazards.compass]\nkind = "compass"\nspace = "b"\nfrom = [40, 440, 640]\n'
        "to = [140, 540, 740]\nkeep_off = 20\n"
    )
    job = JOB.replace('load = "light.lead"\namps = 2', 'load = "light.lead"\namps = 20')
    made = make(tmp_path, HULL + HOLE + compass, job)
    (sensor,) = made.result.sensors
    assert sensor.earth_micro_tesla == 20
    assert {c.number for c in sensor.circuits} >= {"2"}
    assert sensor.degrees >= max(c.degrees for c in sensor.circuits)
    worst = 0.0
    for c in sensor.circuits:
        own = added_up(
            pole(made, c.number), made.circuit(c.number).amps, (90.0 + 1010, 490.0, 690.0)
        )
        assert c.micro_tesla == pytest.approx(own, rel=0.15)
        assert c.degrees == pytest.approx(np.rad2deg(np.arcsin(c.micro_tesla / 20)), rel=1e-4)
        worst += c.micro_tesla
    assert sensor.micro_tesla <= worst + 1e-6
    assert "compass field" in rules(made)
    assert "°" in words(made, "compass")
    north = make(
        tmp_path, HULL + HOLE + compass, job.replace("[job]", "[job]\nearth_level_ut = 10")
    )
    assert north.result.sensors[0].degrees > 1.5 * sensor.degrees


def test_the_bend_is_that_of_the_cable_chosen(demo: Worked) -> None:
    # ship class rule: 4 diameters for power; NASA-STD-8739.4: 6 for data
    for p in demo.result.poles:
        c = demo.result.circuit(p.number)
        given = demo.boat.lengths[p.number].bend_radius is not None
        assert p.outside_diameter_mm == pytest.approx(c.outside_diameter_mm)
        if c.size is not None and not given:
            assert p.bend_radius_mm == pytest.approx(4 * c.outside_diameter_mm, abs=0.01)


def test_a_lead_out_of_the_back_needs_a_hole_through_the_plate(tmp_path: Path) -> None:
    meter = (
        '[types.meter]\nlabel = "Meter"\nkind = "instrument"\nmass_kg = 0.2\n'
        "boxes = [{ size = [80, 80, 30] }]\n"
        'terminals.lead = { at = [0, 0, 0], out = "back" }\n'
        '[boards.panel_2]\nplate = [300, 200, 12]\nspace = "b"\nat = [900, 80, 400]\n'
        'front = "port"\nalong = "aft"\nparts.meter = { type = "meter", at = [150, 100] }\n'
        '[circuits.3]\nlabel = "Meter"\nfeed = "panel.out"\nload = "panel_2.meter.lead"\n'
        "amps = 1\n"
    )
    made = make(tmp_path, HULL + HOLE, JOB + meter)
    (hole,) = made.result.plate_holes
    assert hole.board == "panel_2"
    assert hole.along_mm == pytest.approx((150, 100), abs=0.5)
    assert hole.bore_mm >= made.circuit("3").outside_diameter_mm + 4
    assert "through plate" in rules(made)
    assert "panel_2" in words(made, "plate_holes").lower() or "3" in words(made, "plate_holes")


def test_a_thin_cable_still_passes_where_a_thick_one_does_not(tmp_path: Path) -> None:
    # two boxes right across the second space leave a slot of 24 x 60 mm along its floor edge
    wall = (
        '[solids.w]\nspace = "b"\nfrom = [600, 24, 0]\nto = [700, 1000, 800]\n'
        '[solids.low]\nspace = "b"\nfrom = [600, 0, 60]\nto = [700, 24, 800]\n'
    )
    job = JOB.replace('load = "panel.feed"\namps = 20', 'load = "panel.feed"\namps = 180')
    made = make(tmp_path, HULL + HOLE + wall, job.replace("[1500, 500, 700]", "[1800, 500, 700]"))
    row = made.circuit("2")
    assert row.no_way is None
    thick = made.circuit("1").outside_diameter_mm
    assert thick > 2 * row.outside_diameter_mm
    x = np.array(pole(made, "2").line)
    assert x[:, 0].max() > 1010 + 700  # it came past the wall


def test_the_room_kept_for_a_bend_is_checked_with_the_cable_chosen(tmp_path: Path) -> None:
    def job(room_mm: int) -> str:
        return JOB + (
            '[types.meter]\nlabel = "Meter"\nkind = "instrument"\nmass_kg = 0.2\n'
            "boxes = [{ size = [80, 80, 30] }]\n"
            f'rooms = [{{ why = "cable bend", size = [20, {room_mm}, 20], '
            f"at = [0, {40 + room_mm // 2}, 5] }}]\n"
            'terminals.lead = { at = [0, 40, 15], out = "up" }\n'
            '[pieces.meter]\ntype = "meter"\nspace = "b"\nat = [1500, 300, 0]\n'
            'fixed_already = true\n[circuits.3]\nlabel = "Meter"\nfeed = "panel.out"\n'
            'load = "meter.lead"\namps = 1\n'
        )

    assert "bend room" in rules(make(tmp_path, HULL + HOLE, job(6)))
    assert "bend room" not in rules(make(tmp_path, HULL + HOLE, job(60)))


def test_a_return_of_its_own_goes_through_the_holes_of_its_feed(tmp_path: Path) -> None:
    second = HOLE.replace("holes.h", "holes.h2").replace("[1000, 500, 700]", "[1000, 60, 100]")
    job = JOB + 'returns_to = "battery.minus"\n'
    made = make(tmp_path, HULL + HOLE + second, job)
    ways = {p.pole: p for p in made.result.poles if p.number == "2"}
    assert set(ways) == {"out", "back"}
    through = [[leg.where for leg in ways[k].legs if leg.kind == "hole"] for k in ("out", "back")]
    assert through[0] == through[1]
