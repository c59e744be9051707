"""Small boats with one thing to find in each: hatches, rooms, distances, faults, all by hand."""

from pathlib import Path

import pytest

from layout.verdict.question import question, ways_in
from routing.ways.routes import Router, Stop
from routing.ways.separation import APART_MM, beside_power_mm
from routing.ways.ways import ways_of
from tests.closed_form.test_shortest_routes import room
from tests.whole_job.test_wiring import HOLE, HULL, JOB, make
from tests.worked import Worked, circuits_of
from viewer.work.session import Asks, Session

HATCH = (
    '[openings.hatch]\nbetween = ["a", "outside"]\nface = "top"\ncentre = [500, 500]\n'
    "size = [{long}, 200]\ncorner_radius = 0\nthroat = {throat}\n"
)
STOPS = "stops too little"
LOOSE = JOB.replace("at = [300, 300, 0]\nfixed_already = true", "at = [500, 500, 0]")


def verdict(folder: Path, hull: str) -> str:
    (folder / "h.hull.toml").write_text(HULL + HOLE + hull, encoding="utf-8")
    path = folder / "j.job.toml"
    path.write_text(LOOSE, encoding="utf-8")
    return Session(path).answer(Asks(fresh=True)).piece("battery").verdict


# the battery is 330 x 173 x 240 mm: no section of it is thinner than 173


def test_a_tapering_throat_is_as_narrow_as_its_far_end(tmp_path: Path) -> None:
    hatch = HATCH.format(long=360, throat=60)
    assert verdict(tmp_path, hatch) == "goes in"
    assert verdict(tmp_path, hatch + "inner_size = [360, 190]\n") == "goes in"
    assert verdict(tmp_path, hatch + "inner_size = [360, 130]\n") == "cannot"


@pytest.mark.parametrize("throat", [20, 95])
def test_a_throat_is_as_deep_as_it_is_told(tmp_path: Path, throat: int) -> None:
    hatch = HATCH.format(long=360, throat=throat)
    (tmp_path / "h.hull.toml").write_text(HULL + HOLE + hatch, encoding="utf-8")
    (tmp_path / "j.job.toml").write_text(LOOSE, encoding="utf-8")
    boat = circuits_of(tmp_path / "j.job.toml")[1]
    piece = boat.pieces["battery"]
    fixed = question(boat, piece, ways_in(boat, piece)[0], [], 0.0).outer.fixed
    rim = [k for k, owner in enumerate(fixed.names) if owner.startswith("rim:hatch")]
    assert len(rim) >= 4
    for k in rim:  # the deck over the locker is at 800
        middle, half = fixed.centre_mm[k][2], fixed.half_mm[k][2]
        assert (middle - half, middle + half) == pytest.approx((800.0, 800.0 + throat))


def test_a_room_that_is_taken_is_told(tmp_path: Path) -> None:
    # the battery asks 45 mm above its 240 to be lifted out; a shelf stands 20 mm over it
    shelf = '[solids.shelf]\nspace = "a"\nfrom = [200, 200, 260]\nto = [400, 400, 275]\n'
    (tmp_path / "h.hull.toml").write_text(HULL + HOLE + shelf, encoding="utf-8")
    path = tmp_path / "j.job.toml"
    hatch = HATCH.format(long=400, throat=20)
    (tmp_path / "h.hull.toml").write_text(HULL + HOLE + shelf + hatch, encoding="utf-8")
    path.write_text(JOB.replace("at = [300, 300, 0]\nfixed_already = true", "at = [300, 300, 0]"))
    row = Session(path).answer(Asks(fresh=True)).piece("battery")
    (taken,) = row.rooms_taken
    assert taken.room == "lift out"
    assert "shelf" in taken.other
    assert not row.in_order


def test_data_beside_power_is_counted_within_its_distance() -> None:
    boat = room((2000.0, 2000.0, 500.0))

    def beside(off_mm: float) -> float:
        stops = [
            Stop("room", (x, y, 0.0)) for y in (500.0, 500.0 + off_mm) for x in (300.0, 1700.0)
        ]
        router = Router(ways_of(boat), stops)
        power, data = router.route(stops[0], stops[1]), router.route(stops[2], stops[3])
        assert power is not None
        assert data is not None
        return sum(beside_power_mm(data, [power], router.graph).values())

    assert APART_MM == 300.0  # common practice
    assert beside(250.0) == pytest.approx(1400.0, rel=0.2)
    assert beside(350.0) == 0.0


KNOWN_FAULT = (
    '[types.known]\nlabel = "Battery"\nkind = "battery"\nmass_kg = 20\nvolts = 12\n'
    "fault_amps = 5000\nboxes = [{ size = [300, 170, 200] }]\n"
    'terminals.plus = { at = [0, 0, 200], out = "top" }\n'
    'terminals.minus = { at = [50, 0, 200], out = "top" }\n'
)


def along_the_feed(w: Worked, amp: float) -> float:
    """Ohm's law over the two poles of circuit 1, at the voltage of a battery on charge, 14.4 V."""
    feed = w.wiring.cabling.by_number()["1"]
    assert feed.conductor is not None
    assert feed.length is not None
    return 14.4 / (14.4 / amp + feed.conductor.ohm(2 * feed.length.cut_mm, 20.0))


def test_a_branch_figure_of_the_table_stands_as_it_is(tmp_path: Path) -> None:
    # ABYC E-11: 650 A cold cranking, 750 A for branches: it allows for cable already
    job = JOB.replace("amps = 2\n", "amps = 2\nfuse_interrupts_amps = 1\n")
    w = make(tmp_path, HULL + HOLE, job)
    (f,) = [x for x in w.result.findings if x.rule == STOPS]
    assert f.values["needed_amp"] == pytest.approx(min(750.0, along_the_feed(w, 1500.0)))
    assert f.values["needed_amp"] < 750.0  # the feed is long: the main figure falls below it


def test_a_battery_of_unknown_cranking_is_taken_for_the_largest_class(tmp_path: Path) -> None:
    unknown = KNOWN_FAULT.replace("fault_amps = 5000\n", "")
    job = JOB.replace('type = "battery_31"', 'type = "known"') + unknown
    job = job.replace("amps = 2\n", "amps = 2\nfuse_interrupts_amps = 1\n")
    w = make(tmp_path, HULL + HOLE, job)
    (f,) = [x for x in w.result.findings if x.rule == STOPS]
    # ABYC E-11: over 1100 A, 5000 A for mains and 2500 A for branches, or what the feed lets by
    assert f.values["needed_amp"] == pytest.approx(min(2500.0, along_the_feed(w, 5000.0)))
    assert f.values["cranking"] == "unknown"


def test_the_fault_current_falls_along_the_cable(tmp_path: Path) -> None:
    maker = JOB.replace('type = "battery_31"', 'type = "known"') + KNOWN_FAULT
    maker = maker.replace("amps = 2\n", "amps = 2\nfuse_interrupts_amps = 1\n")
    w = make(tmp_path, HULL + HOLE, maker)
    fuse = next(f for f in w.result.fuses if f.number == "2")
    (f,) = [x for x in w.result.findings if x.rule == "stops too little"]
    # a battery with a maker's figure: its current falls along the cable before the fuse
    by_hand = along_the_feed(w, 5000.0)
    assert f.values["needed_amp"] == pytest.approx(by_hand, rel=1e-4)
    assert fuse.stops_amp == pytest.approx(by_hand, rel=1e-4)  # the schedule tells the same
    assert by_hand < 5000.0


@pytest.mark.parametrize(("amps", "fuse"), [(4.0, 5.0), (4.1, 7.5), (8.0, 10.0), (8.1, 15.0)])
def test_a_fuse_has_its_margin_over_the_load(tmp_path: Path, amps: float, fuse: float) -> None:
    # common practice: a quarter above the load, the next standard size (ISO 8820-3: 5, 7.5, 10, 15)
    job = JOB.replace("amps = 2\n", f'amps = {amps}\ncable = "10 mm²"\n')
    assert make(tmp_path, HULL + HOLE, job).circuit("2").fuse_amp == fuse
