"""Voltages while an engine starts, by Ohm's law."""

from pathlib import Path

import pytest

from tests.whole_job.test_wiring import HOLE, HULL, make

JOB = """
[job]
name = "j"
hull = "h.hull.toml"
[pieces.battery]
type = "battery_31"
space = "a"
at = [300, 300, 0]
fixed_already = true
[pieces.isolator]
type = "isolator"
space = "a"
at = [600, 300, 0]
fixed_already = true
[pieces.engine]
type = "starter_motor"
space = "b"
at = [900, 500, 0]
fixed_already = true
[circuits.1]
label = "To the isolator"
feed = "battery.plus"
load = "isolator.in"
amps = AMPS
starter = true
cable = "SIZE"
[circuits.2]
label = "To the starter"
feed = "isolator.out"
load = "engine.plus"
amps = AMPS
starter = true
cable = "SIZE"
"""


def job(amps: float, size: str) -> str:
    return JOB.replace("AMPS", f"{amps:g}").replace("SIZE", size)


def test_the_starters_volts_are_ohms_law(tmp_path: Path) -> None:
    w = make(tmp_path, HULL + HOLE, job(300, "16 mm²"))
    (f,) = [x for x in w.result.findings if x.rule == "starter volts"]
    inner = (12.6 - 7.2) / 650  # its cold cranking current leaves 7.2 V
    ohm = sum(
        c.conductor.ohm(c.sized_mm, 20.0)
        for c in w.wiring.cabling.cables
        if c.conductor is not None and c.sized_mm is not None
    )
    assert f.values["battery_volt"] == pytest.approx(12.6 - 300 * inner, abs=1e-6)
    assert f.values["starter_volt"] == pytest.approx(12.6 - 300 * (inner + ohm), abs=1e-6)


def test_thick_cables_are_not_told(tmp_path: Path) -> None:
    w = make(tmp_path, HULL + HOLE, job(150, "70 mm²"))
    assert not [x for x in w.result.findings if x.rule == "starter volts"]


def test_a_radio_on_the_battery_that_starts_the_engine_is_told(tmp_path: Path) -> None:
    radio = (
        '[pieces.vhf]\ntype = "vhf_radio"\nspace = "b"\nat = [400, 400, 0]\nfixed_already = true\n'
        '[circuits.3]\nlabel = "Radio"\nfeed = "isolator.out"\nload = "vhf.lead"\namps = 5\n'
    )
    for amps, told in ((400, True), (100, False)):
        w = make(tmp_path, HULL + HOLE, job(amps, "70 mm²") + radio)
        found = [x for x in w.result.findings if x.rule == "dips while starting"]
        assert bool(found) == told
