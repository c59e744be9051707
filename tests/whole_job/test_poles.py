"""Jobs spoilt one way at a time: each mistake is found as a must; the sound job is not."""

from pathlib import Path

import pytest

from layout.job.job_file import CircuitModel
from routing.network.poles import volts_class
from routing.sizes.sizing import DecidedBy, Lies, choose, fuse_for
from tests.whole_job.test_wiring import HOLE, HULL, make
from viewer.work.rows import Result

SOUND = """
[job]
name = "j"
hull = "h.hull.toml"
[types.toggle]
label = "Toggle switch"
kind = "switch"
mass_kg = 0.1
boxes = [{ size = [20, 30, 20] }]
terminals = { in = { at = [0, 0, 20], out = "top" }, out = { at = [0, 5, 20], out = "top" } }
[types.big_battery]
label = "24 V battery"
kind = "battery"
mass_kg = 30
volts = 24
boxes = [{ size = [200, 150, 200] }]
terminals = { plus = { at = [0, 0, 200], out = "top" }, minus = { at = [50, 0, 200], out = "top" } }
[types.big_motor]
label = "36 V motor"
kind = "motor"
mass_kg = 3
volts = 36
boxes = [{ size = [100, 100, 100] }]
terminals = { lead = { at = [0, 0, 100], out = "top" } }
[pieces.battery]
type = "battery_31"
space = "a"
at = [180, 150, 0]
fixed_already = true
[pieces.second]
type = "battery_31"
space = "a"
at = [180, 400, 0]
fixed_already = true
[pieces.lithium]
type = "lithium_100"
space = "a"
at = [180, 800, 0]
fixed_already = true
[pieces.large]
type = "big_battery"
space = "a"
at = [480, 800, 0]
fixed_already = true
[pieces.isolator]
type = "isolator"
space = "a"
at = [600, 300, 0]
fixed_already = true
[pieces.shunt]
type = "shunt"
space = "a"
at = [800, 300, 0]
fixed_already = true
[pieces.link]
type = "main_fuse"
space = "a"
at = [600, 480, 0]
fixed_already = true
[pieces.toggle]
type = "toggle"
space = "a"
at = [900, 500, 0]
fixed_already = true
[pieces.panel]
type = "fuse_panel_6"
space = "a"
at = [800, 800, 0]
fixed_already = true
[pieces.light]
type = "cabin_light"
space = "b"
at = [1500, 500, 0]
fixed_already = true
[pieces.lamp]
type = "cabin_light"
space = "b"
at = [1200, 500, 0]
fixed_already = true
[pieces.pump]
type = "bilge_pump"
space = "b"
at = [800, 200, 0]
fixed_already = true
[pieces.motor]
type = "big_motor"
space = "b"
at = [500, 200, 0]
fixed_already = true
[pieces.windlass]
type = "windlass"
space = "b"
at = [300, 800, 0]
fixed_already = true
[circuits.1]
label = "Battery"
feed = "battery.plus"
load = "isolator.in"
amps = 20
fuse_at = 100
fuse_interrupts_amps = 5000
[circuits.2]
label = "Panel"
feed = "isolator.out"
load = "panel.feed"
amps = 20
fuse_at = 100
fuse_interrupts_amps = 5000
[circuits.3]
label = "Light"
feed = "panel.out"
load = "light.lead"
amps = 2
"""
NEW = '[circuits.9]\nlabel = "New"\nfeed = "{feed}"\nload = "{load}"\namps = {amps}\n{more}\n'
PLACES = {"held by nothing", "isolator reach"}  # where things stand is no part of these jobs
FUSED = "fuse_at = 100\nfuse_interrupts_amps = 5000"


def new(feed: str, load: str, amps: float = 2, more: str = "") -> str:
    return SOUND + NEW.format(feed=feed, load=load, amps=amps, more=more)


def musts(folder: Path, job: str) -> set[str]:
    r: Result = make(folder, HULL + HOLE, job).result
    return {f.rule for f in r.findings if f.urgency == "must"}


def test_the_sound_job_has_no_must_about_its_wiring(tmp_path: Path) -> None:
    assert musts(tmp_path, SOUND) <= PLACES


MISTAKES = {
    "plus to its own minus": (new("battery.plus", "battery.minus", more=FUSED), "plus to minus"),
    "plus to the shunt": (new("battery.plus", "shunt.battery", more=FUSED), "plus to minus"),
    "plus to the shunt's load side": (new("panel.out", "shunt.load"), "plus to minus"),
    "plus to a load's minus": (new("panel.out", "windlass.minus"), "plus to minus"),
    "plus to the panel's minus": (new("isolator.out", "panel.minus"), "plus to minus"),
    "a series link": (new("battery.plus", "second.minus", more=FUSED), "series link"),
    "a series link from the minus": (
        new("second.minus", "battery.plus", more=FUSED),
        "series link",
    ),
    "fed from a minus": (new("battery.minus", "windlass.minus", more=FUSED), "fed from minus"),
    "the boat fed from a minus": (
        SOUND.replace('feed = "battery.plus"', 'feed = "battery.minus"'),
        "plus to minus",
    ),
    "a lamp fed from a lamp": (new("light.lead", "lamp.lead", 0.2), "fed by a load"),
    "a return to a plus": (
        new("panel.out", "lamp.lead", more='returns_to = "battery.plus"'),
        "returns to plus",
    ),
    "a 24 V battery": (new("large.plus", "isolator.in", 5, FUSED), "other voltage"),
    "a 24 V battery beside": (new("large.plus", "battery.plus", 5, FUSED), "other voltage"),
    "a 36 V motor": (new("panel.out", "motor.lead"), "other voltage"),
    "24 V on one circuit": (new("panel.out", "lamp.lead", more="volts = 24"), "other voltage"),
    "lithium beside lead-acid": (new("lithium.plus", "battery.plus", 5, FUSED), "mixed batteries"),
    "a windlass as a starter": (
        new("isolator.out", "windlass.plus", 80, "starter = true"),
        "not a starter",
    ),
    "a light as a starter": (new("panel.out", "lamp.lead", 1, "starter = true"), "not a starter"),
    "a 60 A signal": (new("panel.out", "windlass.plus", 60, "signal = true"), "not a signal"),
    "a light as a signal": (new("panel.out", "lamp.lead", 0.5, "signal = true"), "not a signal"),
    "a bypass behind the isolator": (
        new("panel.out", "pump.lead", 4, "bypass = true"),
        "no bypass",
    ),
    "a bypass at the isolator's far side": (
        new("isolator.out", "pump.lead", 4, f"bypass = true\n{FUSED}"),
        "no bypass",
    ),
    "a bypass for a windlass": (
        new("battery.plus", "windlass.plus", 80, f"bypass = true\n{FUSED}"),
        "bypass for what",
    ),
    "a battery of no isolator": (
        new("second.plus", "lamp.lead", 1, FUSED),
        "path without isolator",
    ),
    "everything bypassed and no isolator": (
        new("battery.plus", "panel.feed", 20, f"bypass = true\n{FUSED}")
        .replace('type = "isolator"', 'type = "bus_bar"')
        .replace("isolator.in", "isolator.feed"),
        "no isolator",
    ),
    "48 V through blade fuses": (
        SOUND.replace('name = "j"', 'name = "j"\nvolts = 48'),
        "device volts",
    ),
    "390 A through a 300 A isolator": (
        SOUND.replace("amps = 20\n", "amps = 390\n", 1),
        "over rating",
    ),
    "a link from a battery with no fuse before it": (
        new("second.plus", "isolator.in", 80, "link = true"),
        "unfused link",
    ),
    "lithium whose fuse may stop too little": (
        new("lithium.plus", "isolator.in", 5, "fuse_at = 100"),
        "stops unknown",
    ),
    "seven circuits on six ways": (
        SOUND
        + "".join(
            NEW.replace("circuits.9", f"circuits.{k}").format(
                feed="panel.out", load="lamp.lead", amps=1, more=""
            )
            for k in range(10, 16)
        ),
        "too few ways",
    ),
    "a lamp behind a 150 A link": (
        SOUND
        + NEW.replace("circuits.9", "circuits.8").format(
            feed="isolator.out", load="link.in", amps=120, more=f"fuse_amp = 150\n{FUSED}"
        )
        + NEW.format(feed="link.out", load="lamp.lead", amps=1, more=""),
        "fuse over cable",
    ),
}


@pytest.mark.parametrize("name", list(MISTAKES))
def test_a_mistake_is_found(tmp_path: Path, name: str) -> None:
    job, rule = MISTAKES[name]
    assert rule in musts(tmp_path, job)


def test_a_plain_switch_holds_no_fuse(tmp_path: Path) -> None:
    job = new("panel.out", "toggle.in") + NEW.replace("circuits.9", "circuits.8").format(
        feed="toggle.out", load="lamp.lead", amps=1, more=""
    )
    fuses = {f.number: f for f in make(tmp_path, HULL + HOLE, job).result.fuses}
    assert fuses["9"].at == "fuse way"
    assert fuses["8"].at == "to fit"


def test_sound_things_of_their_kind_are_not_told(tmp_path: Path) -> None:
    for feed, load, amps, more in (
        ("second.plus", "battery.plus", 30, f"fuse_at_load = 100\n{FUSED}"),  # alike, side by side
        ("battery.plus", "pump.lead", 4, f"bypass = true\n{FUSED}"),  # stays live
    ):
        # two batteries give more than a blade fuse stops: that is told, and is true
        assert musts(tmp_path, new(feed, load, amps, more)) <= PLACES | {"stops too little"}


def test_a_link_without_a_fuse_is_not_told_that_no_fuse_is_made(tmp_path: Path) -> None:
    found = musts(tmp_path, new("second.plus", "isolator.in", 80, "link = true"))
    assert "unfused link" in found and "no fuse fits" not in found


def test_a_size_and_its_fuse_are_chosen_together(tmp_path: Path) -> None:
    # 120 A asks 150 A of fuse (a quarter over it), and so a cable that carries 150 A
    job = new("isolator.out", "windlass.plus", 120, FUSED)
    w = make(tmp_path, HULL + HOLE, job)
    row = w.circuit("9")
    assert row.fuse_amp == 150.0
    carried = next(f.carries_amp for f in w.result.fuses if f.number == "9")
    assert carried >= 150.0
    assert "no fuse fits" not in {f.rule for f in w.result.findings}


def test_the_fuse_steps_the_size_up() -> None:
    model = CircuitModel(label="x", feed="a.b", load="c.d", amps=120, drop_percent=20)
    alone, both = (
        choose(model, 12.0, 500.0, 0.0, "mm2", Lies(), fused=fused) for fused in (False, True)
    )
    assert 120.0 <= alone.carries_amp < 150.0 <= both.carries_amp
    assert both.decided_by is DecidedBy.FUSE
    assert fuse_for(model, both) == 150.0  # a quarter over 120 A


def test_a_fuse_lets_its_loads_first_moment_by() -> None:
    model = CircuitModel(
        label="x", feed="a.b", load="c.d", amps=10, inrush_amps=50, drop_percent=20
    )
    chosen = choose(model, 12.0, 500.0, 0.0, "mm2", Lies(), fused=True)
    assert fuse_for(model, chosen) == 25.0  # half of 50 A; a quarter over 10 A would be 15 A
    assert chosen.carries_amp >= 25.0


def test_a_charger_on_a_battery_sees_that_battery(tmp_path: Path) -> None:
    job = SOUND + '[pieces.regulator]\ntype = "solar_regulator"\nspace = "b"\nat = [900, 800, 0]\n'
    job += "fixed_already = true\n"
    job += NEW.format(feed="regulator.out", load="lithium.plus", amps=10, more=FUSED)
    fuses = {f.number: f for f in make(tmp_path, HULL + HOLE, job).result.fuses}
    assert fuses["9"].stops_amp >= 20_000  # a lithium battery's, where its maker gives none


def test_a_days_draw_over_the_bank_is_told(tmp_path: Path) -> None:
    heavy = SOUND.replace(
        'load = "light.lead"\namps = 2', 'load = "light.lead"\namps = 5\nduty = 1'
    )
    r = make(tmp_path, HULL + HOLE, heavy).result
    (f,) = [f for f in r.findings if f.rule == "bank draw"]
    assert f.values["day_ah"] == pytest.approx(120.0)  # 5 A for 24 h
    assert f.values["gives_ah"] == pytest.approx(52.5)  # half of 105 Ah


def test_a_link_between_batteries_asks_a_fuse_at_each_end(tmp_path: Path) -> None:
    r = make(tmp_path, HULL + HOLE, new("second.plus", "battery.plus", 30, FUSED)).result
    assert "link ends" in {f.rule for f in r.findings}


def test_gear_that_no_circuit_feeds_is_told(tmp_path: Path) -> None:
    r = make(tmp_path, HULL + HOLE, SOUND).result
    (f,) = [f for f in r.findings if f.rule == "wired to nothing"]
    assert "piece:pump" in f.about
    assert "piece:light" not in f.about


@pytest.mark.parametrize(
    ("volts", "nominal"), [(12.8, 12.0), (13.2, 12.0), (25.6, 24.0), (51.2, 48.0), (100.0, 100.0)]
)
def test_a_lithium_battery_is_of_its_nominal_class(volts: float, nominal: float) -> None:
    assert volts_class(volts) == nominal
