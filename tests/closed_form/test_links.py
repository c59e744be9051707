"""Links on a board against lengths known by hand, and banks against Ohm's and Kirchhoff's laws."""

from pathlib import Path

import numpy as np
import pytest

from tests.whole_job.test_wiring import HOLE, HULL, make
from tests.worked import Worked

BATTERY = """
[types.cell]
label = "12 V battery, 50 Ah"
kind = "battery"
mass_kg = 15
volts = 12
amp_hours = 50
cranking_amps = 400
boxes = [{ size = [200, 150, 200] }]
terminals.plus = { at = [-60, 0, 200], out = "top" }
terminals.minus = { at = [60, 0, 200], out = "top" }
[types.heater]
label = "Heater"
kind = "motor"
mass_kg = 1
boxes = [{ size = [100, 100, 100] }]
terminals = { plus = { at = [0, 0, 100], out = "top" }, minus = { at = [30, 0, 100], out = "top" } }
"""


def cells(count: int) -> str:
    return "".join(
        f'[pieces.b{k}]\ntype = "cell"\nspace = "a"\nat = [150, {120 + 170 * k}, 0]\n'
        "fixed_already = true\n"
        for k in range(count)
    )


def bank_job(strings: str, volts: float, links: list[tuple[str, str]], feed: str) -> str:
    rows = "".join(
        f'[circuits.L{k}]\nlabel = "link"\nfeed = "{a}"\nload = "{b}"\namps = 20\n'
        f"volts = {volts}\nlink = true\n"
        for k, (a, b) in enumerate(links)
    )
    return (
        '[job]\nname = "j"\nhull = "h.hull.toml"\n'
        + BATTERY
        + cells(4)
        + '[pieces.heater]\ntype = "heater"\nspace = "a"\nat = [700, 500, 0]\n'
        + "fixed_already = true\n"
        + f"[banks.main]\nstrings = {strings}\n"
        + f'[circuits.1]\nlabel = "Heater"\nfeed = "{feed}"\nload = "heater.plus"\namps = 10\n'
        + f"volts = {volts}\nfuse_at = 100\nfuse_interrupts_amps = 5000\nbypass = true\n"
        + rows
    )


SERIES = [("b0.plus", "b1.minus"), ("b1.plus", "b2.minus"), ("b2.plus", "b3.minus")]
BESIDE = [("b0.plus", "b1.plus"), ("b0.minus", "b1.minus")]


@pytest.fixture(scope="module")
def series(tmp_path_factory: pytest.TempPathFactory) -> Worked:
    job = bank_job('[["b0", "b1", "b2", "b3"]]', 48, SERIES, "b3.plus")
    return make(tmp_path_factory.mktemp("series"), HULL + HOLE, job)


def test_four_in_series_are_48_volts_and_one_batterys_ampere_hours(series: Worked) -> None:
    (bank,) = [b for b in series.result.banks if b.key == "main"]
    assert (bank.volts, bank.amp_hour) == (48.0, 50.0)  # common practice: volts add, Ah do not
    rules = {f.rule for f in series.result.findings if f.urgency == "must"}
    assert rules & {"series link", "other voltage", "plus to minus", "bank not joined"} == set()


def test_two_side_by_side_are_12_volts_and_twice_the_ampere_hours(tmp_path: Path) -> None:
    job = bank_job('[["b0"], ["b1"]]', 12, BESIDE, "b1.plus")
    (bank,) = [b for b in make(tmp_path, HULL + HOLE, job).result.banks if b.key == "main"]
    assert (bank.volts, bank.amp_hour) == (12.0, 100.0)


def test_one_batterys_fault_current_flows_through_a_string(series: Worked) -> None:
    fuse = next(f for f in series.result.fuses if f.number == "1")
    assert fuse.stops_amp == 1500.0  # ABYC E-11: 400 A cold cranking, not four times that


def test_the_strings_links_are_in_the_heaters_drop(series: Worked) -> None:
    made = series.wiring.cabling.by_number()
    ohm = sum(
        c.conductor.ohm(c.sized_mm, 60.0)
        for c in made.values()
        if c.conductor is not None and c.sized_mm is not None
    )
    fuse = 0.08 / (made["1"].fuse_amp or 1.0)
    by_hand = 100 * 10.0 * (ohm + fuse) / 48.0  # one loop: every cable carries the 10 A
    assert series.circuit("1").hot_percent == pytest.approx(by_hand, rel=1e-3)
    for n in ("L0", "L1", "L2"):
        assert series.wiring.fed[n].amp == pytest.approx(10.0, rel=1e-6)


PLATE = """
[job]
name = "j"
hull = "h.hull.toml"
[types.stud]
label = "Post"
kind = "isolator"
mass_kg = 0.1
boxes = [{ size = [40, 40, 30] }]
terminals = { in = { at = [-20, 0, 10], out = "left" }, out = { at = [20, 0, 10], out = "right" } }
[types.block]
label = "Block"
mass_kg = 0.1
boxes = [{ size = [60, 120, 60] }]
[boards.b]
plate = [600, 300, 10]
space = "a"
at = [500, 100, 400]
front = "port"
along = "aft"
parts.one = { type = "stud", at = [100, 150] }
parts.two = { type = "stud", at = [500, 150] }
MORE
[pieces.battery]
type = "battery_31"
space = "a"
at = [300, 500, 0]
fixed_already = true
[circuits.1]
label = "feed"
feed = "battery.plus"
load = "b.one.in"
amps = 10
[circuits.L1]
label = "link"
feed = "b.one.out"
load = "b.two.in"
amps = 10
link = true
"""


def link(folder: Path, more: str = "") -> Worked:
    return make(folder, HULL + HOLE, PLATE.replace("MORE", more))


def test_a_link_lies_straight_where_nothing_is_between(tmp_path: Path) -> None:
    # posts 400 mm apart, 40 broad: 360 between their terminals, 10 mm above the plate both ends
    cable = link(tmp_path).wiring.cabling.by_number()["L1"]
    assert cable.route is not None
    od = cable.od_mm
    down = 10.0 - od / 2  # from the terminal to a cable lying on the plate
    assert cable.route.length_mm == pytest.approx(360.0 + 2 * down, abs=0.01)
    assert cable.back_length is None
    assert cable.conductors == 1


def test_a_link_goes_square_round_what_stands_between(tmp_path: Path) -> None:
    cable = link(tmp_path, 'parts.block = { type = "block", at = [300, 150] }').wiring.cabling
    c = cable.by_number()["L1"]
    assert c.route is not None
    od = c.od_mm
    aside = 60.0 + od / 2 + 2.0  # half the block, half the cable and what is kept between
    assert c.route.length_mm == pytest.approx(360.0 + 2 * aside + 2 * (10 - od / 2), abs=0.01)
    steps = np.abs(np.diff(c.route.polyline, axis=0))
    assert np.all((steps > 1e-6).sum(axis=1) <= 1)  # level or plumb, never slanting


def test_facing_terminals_are_joined_straight(tmp_path: Path) -> None:
    near = PLATE.replace("at = [500, 150]", "at = [200, 150]").replace("MORE", "")
    c = make(tmp_path, HULL + HOLE, near).wiring.cabling.by_number()["L1"]
    assert c.route is not None
    assert c.route.length_mm == pytest.approx(60.0, abs=1e-6)
    assert c.length is not None
    assert c.length.cut_mm == 70.0  # 60 from stud to stud and 4 % wander, to the next 10 up
