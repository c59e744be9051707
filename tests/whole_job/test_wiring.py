"""The wiring of whole jobs: what the demos show, and what is said when something cannot be."""

from dataclasses import dataclass
from pathlib import Path

import pytest

from layout.errors import JobError
from routing.wiring import Wiring, wire
from tests.worked import circuits_of
from viewer.words.circuits import detour_words, no_way_words
from viewer.words.names import Names
from viewer.words.rule_values import RuleWords
from viewer.words.rules import rule_words
from viewer.words.tables import wiring_tables
from viewer.work.rows import Result
from viewer.work.session import Asks, Session
from viewer.work.wiring_rows import CircuitRow

HULL = """
[hull]
name = "h"
length = "8 m"
beam = "3 m"
[spaces.a]
from = [0, 0, 0]
to = [1000, 1000, 800]
[spaces.b]
from = [1010, 0, 0]
to = [3000, 1000, 800]
"""
HOLE = (
    '[holes.h]\nlabel = "H1"\nbetween = ["a", "b"]\n'
    'at = [1000, 500, 700]\nbore = 40\nedge = "edged"\n'
)
JOB = """
[job]
name = "j"
hull = "h.hull.toml"
[pieces.battery]
type = "battery_31"
space = "a"
at = [300, 300, 0]
fixed_already = true
[pieces.panel]
type = "fuse_panel_12"
space = "a"
at = [700, 700, 100]
fixed_already = true
[pieces.light]
type = "cabin_light"
space = "b"
at = [1500, 500, 700]
fixed_already = true
[circuits.1]
label = "Feed"
feed = "battery.plus"
load = "panel.feed"
amps = 20
fuse_at = 100
[circuits.2]
label = "Light"
feed = "panel.out"
load = "light.lead"
amps = 2
"""


@dataclass(frozen=True)
class Made:
    """A small job wired: the objects, and the one result with its words."""

    wiring: Wiring
    result: Result

    @property
    def sentences(self) -> list[RuleWords]:
        names = Names(self.result)
        return [rule_words(f, names) for f in self.result.findings]

    def circuit(self, number: str) -> CircuitRow:
        return self.result.circuit(number)

    def no_way(self, number: str = "2") -> str:
        row = self.circuit(number)
        assert row.no_way is not None
        return no_way_words(row.no_way, Names(self.result), row.plug_mm)


def make(tmp_path: Path, hull: str, job: str) -> Made:
    (tmp_path / "h.hull.toml").write_text(hull, encoding="utf-8")
    path = tmp_path / "j.job.toml"
    path.write_text(job, encoding="utf-8")
    wiring = wire(circuits_of(path)[2])
    return Made(wiring, Session(path).answer(Asks(fresh=True)))


def light(made: Made) -> str:
    return made.no_way("2")


def test_a_plain_job_is_wired(tmp_path: Path) -> None:
    w = make(tmp_path, HULL + HOLE, JOB)
    assert all(c.in_order for c in w.result.circuits)
    keys = {t.key for t in wiring_tables(w.result, Names(w.result))}
    assert keys >= {"sizes", "fuses", "fixings", "drums", "costs"}


def test_no_hole_between_the_spaces(tmp_path: Path) -> None:
    assert "add a hole, pipe or tray" in light(make(tmp_path, HULL, JOB))


def test_a_hole_nobody_can_pass(tmp_path: Path) -> None:
    hull = HULL + HOLE.replace('edge = "edged"', 'edge = "bare"\nmay_edge = false')
    assert "H1, whose edge is bare and may not be edged" in light(make(tmp_path, hull, JOB))


def test_a_plug_that_passes_nowhere(tmp_path: Path) -> None:
    why = light(make(tmp_path, HULL + HOLE, JOB + 'plug = "45 mm"\nsignal = true\n'))
    assert "plug of 45 mm does not pass H1" in why
    assert "drill 47 mm" in why


def test_a_way_only_over_a_closed_surface(tmp_path: Path) -> None:
    shut = (
        "closed = ["
        + ", ".join(
            f'{{ face = "{f}", why = "wet" }}'
            for f in ("top", "bottom", "port", "starboard", "forward", "aft")
        )
        + "]"
    )
    hull = HULL.replace("to = [3000, 1000, 800]", "to = [3000, 1000, 800]\n" + shut) + HOLE
    assert "keeps off closed surfaces" in light(make(tmp_path, hull, JOB))


def test_a_via_out_of_reach(tmp_path: Path) -> None:
    other = (
        '[holes.far]\nbetween = ["b", "outside"]\nat = [1990, 500, 400]\n'
        'bore = 30\nedge = "edged"\n'
    )
    assert "leave 'via' out" in light(make(tmp_path, HULL + HOLE + other, JOB + 'via = ["far"]\n'))


def test_a_rule_that_lengthens_is_told(tmp_path: Path) -> None:
    hot = (
        '[hazards.exhaust]\nlabel = "exhaust"\nkind = "hot"\nspace = "b"\n'
        "from = [500, 300, 500]\nto = [700, 700, 800]\nkeep_off = 150\n"
    )
    plain = make(tmp_path, HULL + HOLE, JOB)
    w = make(tmp_path, HULL + HOLE + hot, JOB)
    c, before = w.circuit("2"), plain.circuit("2")
    assert c.out is not None
    assert before.out is not None
    longer = c.out.route_mm - before.out.route_mm
    names = Names(w.result)
    told = {detour_words(d, names): d.extra_mm for d in c.detours}
    assert longer > 20
    assert told["to stay 150 mm from exhaust"] == pytest.approx(longer, abs=1.0)


def test_two_cables_of_one_way_share_and_the_numbers_add_up(tmp_path: Path) -> None:
    more = "".join(
        (
            f'[pieces.l{k}]\ntype = "cabin_light"\nspace = "b"\n'
            f"at = [1500, {300 + 40 * k}, 600]\nfixed_already = true\n"
            f'[circuits.L{k}]\nlabel = "L{k}"\nfeed = "panel.out"\n'
            f'load = "l{k}.lead"\namps = 1\n'
        )
        for k in range(4)
    )
    w = make(tmp_path, HULL + HOLE, JOB + more)
    (plan,) = [p for p in w.result.run_plans if p.group == "power"]
    assert plan.saving > 0
    assert plan.bound <= plan.cost + 1e-6
    assert any(len(run.circuits) >= 4 for run in w.result.runs)


def test_backbone_names_are_checked_with_everything_else(tmp_path: Path) -> None:
    bus = (
        '[backbones.main]\nfeed = "panel.owt"\nfeed_tee = "x"\n'
        '[backbones.main.tees.y]\nspace = "a"\nat = [500, 990, 500]\n'
        'devices = [{ on = "lamp.lead" }]\n'
    )
    with pytest.raises(JobError) as e:
        make(tmp_path, HULL + HOLE, JOB.replace("light.lead", "lihgt.lead") + bus)
    keys = {f.key for f in e.value.findings}
    assert {
        "circuits.2.load",
        "backbones.main.feed",
        "backbones.main.feed_tee",
        "backbones.main.tees.y.devices[1].on",
    } <= keys


def test_standing_rules(tmp_path: Path) -> None:
    fuel = (
        '[hazards.filter]\nlabel = "fuel filter"\nkind = "fuel"\nspace = "a"\n'
        "from = [420, 250, 600]\nto = [600, 350, 700]\n"
    )
    found = make(tmp_path, HULL + HOLE + fuel, JOB).result.findings
    # invented story with the trade's rule: overlap in plan is flagged however large the gap
    # (33 CFR 183.420(d))
    assert any(
        f.rule == "battery and fuel"
        and f.about == ("piece:battery",)
        and f.values["overlap_mm"] == pytest.approx(45)
        and f.urgency == "must"
        for f in found
    )
    vent = (
        '[hazards.vent]\nlabel = "petrol vent"\nkind = "petrol vent"\n'
        'space = "a"\nfrom = [940, 740, 100]\nto = [960, 760, 130]\n'
    )
    # 33 CFR 183.410(b)(3): 2 ft in the open air; in a closed space no distance is enough, and one
    # that holds a source is a petrol space whether it is said to be or not
    airy = HULL.replace("to = [1000, 1000, 800]", 'to = [1000, 1000, 800]\nsite = "open"', 1)
    words = make(tmp_path, airy + HOLE + vent, JOB).sentences
    assert any("ignition-protected" in f.rule and "610 mm" in f.asks for f in words)
    for kind in ("petrol vent", "petrol tank", "petrol source"):
        hull = HULL + HOLE + vent.replace('kind = "petrol vent"', f'kind = "{kind}"')
        found = make(tmp_path, hull, JOB).result.findings
        assert any(f.rule == "petrol space" and "piece:battery" in f.about for f in found)


def test_fuse_distance_is_along_the_cable(tmp_path: Path) -> None:
    far = make(tmp_path, HULL + HOLE, JOB.replace("fuse_at = 100", "fuse_at = 300"))
    assert any("measured along the cable" in f.rule and "300 mm" in f.found for f in far.sentences)
    near = make(tmp_path, HULL + HOLE, JOB)
    assert not any("measured along the cable" in f.rule for f in near.sentences)
    sheathed = make(
        tmp_path, HULL + HOLE, JOB.replace("fuse_at = 100", "fuse_at = 1500\nsheathed = true")
    )
    assert not any("measured along the cable" in f.rule for f in sheathed.sentences)


def test_a_shunt_sees_every_return(tmp_path: Path) -> None:
    shunt = (
        '[pieces.shunt]\ntype = "shunt"\nspace = "a"\nat = [300, 700, 100]\nfixed_already = true\n'
    )
    w = make(tmp_path, HULL + HOLE, JOB + 'returns_to = "battery.minus"\n' + shunt)
    assert any("load side of the shunt" in f.rule for f in w.sentences)


def test_the_network_agrees_with_ohms_law_by_hand(tmp_path: Path) -> None:
    w = make(tmp_path, HULL + HOLE, JOB)
    feed, lamp = w.wiring.cabling.cables
    assert feed.conductor is not None
    assert feed.length is not None
    assert lamp.conductor is not None
    assert lamp.length is not None
    fuses = 0.08 / (feed.fuse_amp or 1) + 0.08 / (lamp.fuse_amp or 1)
    ohm = (
        feed.conductor.ohm(2 * feed.length.cut_mm, 60)
        + lamp.conductor.ohm(2 * lamp.length.cut_mm, 60)
        + fuses
    )
    assert w.circuit("2").hot_percent == pytest.approx(100 * 2 * ohm / 12, abs=0.01)
    assert w.wiring.fed["1"].amp == pytest.approx(2.0)


def test_more_current_than_the_cable_carries_must_be_put_right(tmp_path: Path) -> None:
    w = make(
        tmp_path,
        HULL + HOLE,
        JOB.replace("amps = 20", 'amps = 50\ncable = "2.5 mm²"\nfuse_amp = 50'),
    )
    assert any(f.rule == "cable carries" and f.urgency == "must" for f in w.result.findings)
    assert not w.circuit("1").in_order


def test_another_hazard_does_not_silence_the_petrol_rule(tmp_path: Path) -> None:
    petrol = HULL.replace("to = [1000, 1000, 800]", "to = [1000, 1000, 800]\npetrol = true", 1)
    water = (
        '[hazards.bilge]\nkind = "bilge water"\nspace = "a"\n'
        "from = [0, 0, 0]\nto = [100, 100, 20]\n"
    )
    for hull in (petrol, petrol + water):
        assert any("petrol space" in f.rule for f in make(tmp_path, hull + HOLE, JOB).sentences)


def test_a_battery_under_a_tank_is_told_how_far_to_go(tmp_path: Path) -> None:
    tank = (
        '[hazards.tank]\nlabel = "fuel tank"\nkind = "fuel"\nspace = "a"\n'
        "from = [0, 0, 500]\nto = [1000, 1000, 700]\n"
    )
    (f,) = [
        f
        for f in make(tmp_path, HULL + HOLE + tank, JOB).sentences
        if "straight above or below fuel" in f.rule
    ]
    # the battery's box runs 213.5 to 386.5 across and 135 to 465 along: 386.5 + 10 is the
    # shortest way out
    assert "Move it 396 mm" in f.remedy or "Move it 397 mm" in f.remedy


@pytest.mark.parametrize(
    "line",
    [
        'tail_load = "-9 m"',
        'fuse_at = "-9 m"',
        'bend_radius = "-9 mm"',
        'signal = true\nlead_lengths = ["-9 m"]',
        'plug = "-9 mm"',
    ],
)
def test_lengths_below_nothing_are_refused(tmp_path: Path, line: str) -> None:
    with pytest.raises(JobError) as e:
        make(tmp_path, HULL + HOLE, JOB + line + "\n")
    assert "at least" in e.value.findings[0].expected


def test_stock_and_leads_that_make_no_sense_are_told_together(tmp_path: Path) -> None:
    extra = 'lead_lengths = ["9 m"]\n[[stock]]\ncable = "2.5mm2"\nlength = "50 m"\n'
    with pytest.raises(JobError) as e:
        make(tmp_path, HULL + HOLE, JOB + extra)
    keys = {f.key: f for f in e.value.findings}
    assert "did you mean '2.5 mm²'" in keys["stock[1].cable"].hint
    assert "circuits.2.lead_lengths" in keys


def test_avoiding_the_only_way_is_told_as_that(tmp_path: Path) -> None:
    assert "leave 'avoid' out" in light(make(tmp_path, HULL + HOLE, JOB + 'avoid = ["h"]\n'))


def test_a_load_on_the_starters_stud_does_not_carry_the_starters_drop(tmp_path: Path) -> None:
    starter = (
        '[pieces.engine]\ntype = "starter_motor"\nspace = "a"\n'
        "at = [600, 200, 100]\nfixed_already = true\n[circuits.S]\n"
        'label = "Start"\nfeed = "battery.plus"\nload = "engine.plus"\n'
        "amps = 150\nstarter = true\n"
    )
    w = make(
        tmp_path, HULL + HOLE, JOB.replace('feed = "panel.out"', 'feed = "engine.plus"') + starter
    )
    lamp = w.circuit("2")
    assert lamp.drop_percent is not None
    assert lamp.drop_percent < 3
    assert lamp.hot_percent is not None


def test_batteries_on_one_board_are_counted_together(tmp_path: Path) -> None:
    board = (
        '[boards.main]\nplate = [400, 200, 12]\nspace = "a"\n'
        'at = [500, 970, 500]\nfront = "starboard"\nalong = "forward"\n'
        'parts.bus = { type = "bus_bar", at = [200, 100] }\n'
    )
    second = (
        '[pieces.other]\ntype = "battery_31"\nspace = "a"\n'
        "at = [300, 600, 0]\nfixed_already = true\n"
    )
    feeds = "".join(
        (
            f'[circuits.B{k}]\nlabel = "B{k}"\nfeed = "{b}.plus"\n'
            'load = "main.bus.feed"\namps = 60\nfuse_at = 100\n'
        )
        for k, b in enumerate(("battery", "other"))
    )
    w = make(
        tmp_path,
        HULL + HOLE,
        JOB.replace('feed = "battery.plus"', 'feed = "main.bus.out"') + board + second + feeds,
    )
    # two of 650 A cold cranking: ABYC E-11 asks 5000 A of main devices above 1100
    assert {p.stops_amp for p in w.result.fuses if p.number in ("B0", "B1")} == {5000.0}


def test_a_plug_shut_out_by_what_is_pulled_before_it_is_told_as_that(tmp_path: Path) -> None:
    # a bore of 40 takes either 24 mm plug (26 with its room), but not a plug beside the
    # other's 20 mm lead
    gear = (
        '[pieces.s{k}]\ntype = "aerial"\nspace = "b"\nat = [1500, {y}, 400]\nfixed_already = true\n'
    )
    lead = gear + (
        '[circuits.P{k}]\nlabel = "P{k}"\nfeed = "panel.minus"\n'
        'load = "s{k}.lead"\namps = 1\nsignal = true\nplug = "24 mm"\n'
        'outside_diameter = "20 mm"\n'
    )
    w = make(tmp_path, HULL + HOLE, JOB + lead.format(k=1, y=200) + lead.format(k=2, y=600))
    (shut,) = [c for c in w.result.circuits if c.number.startswith("P") and c.out is None]
    assert "plug of 24 mm does not pass H1" in w.no_way(shut.number)


def test_a_days_draw_is_amps_times_hours(tmp_path: Path) -> None:
    w = make(tmp_path, HULL + HOLE, JOB + "duty = 0.25\n")
    (d,) = w.result.draws
    assert d.amp_hour == pytest.approx(2 * 6)
    assert w.result.bank_amp_hour == 105


def test_a_plug_that_does_not_pass_where_it_is_sent_has_no_way(tmp_path: Path) -> None:
    # it is sent through a hole of 40 mm that holds two cables of 18: a plug of 38 does not pass
    job = JOB.replace("amps = 2\n", 'amps = 2\nplug = "38 mm"\nvia = ["h"]\n')
    w = make(tmp_path, HULL + HOLE + "holds = [18, 18]\n", job)
    assert w.circuit("2").no_way is not None
