"""The demo jobs from file to answer."""

import json

from layout.verdict.fit import Answer
from viewer.work.result import JobResult, as_json

EXPECTED = {
    "Harbour launch, 6.6 m": {
        "battery_board": Answer.GOES_IN,
        "peak_board": Answer.CANNOT,
        "helm_board": Answer.GOES_IN,
    },
    "Sailing yacht, 9.5 m": {
        "inverter_board": Answer.CANNOT,
        "locker_board": Answer.GOES_IN,
        "chart_panel": Answer.GOES_IN,
    },
    "Survey catamaran, 8 m": {
        "house_2": Answer.MEASURE_AGAIN,
        "power_board": Answer.GOES_IN,
        "console_board": Answer.GOES_IN,
    },
}


def test_the_demo_answers(demo: JobResult) -> None:
    found = {f.name: f.answer for f in demo.fits}
    for name, answer in EXPECTED[demo.boat.name].items():
        assert found[name] is answer, name
    assert not demo.well


def test_every_demo_has_enough_in_it(demo: JobResult) -> None:
    assert 12 <= len(demo.cables) <= 25
    assert sum(t.kind == "battery" for t in demo.boat.things.values()) >= 2
    assert sum(t.kind == "board" for t in demo.boat.things.values()) >= 2


def test_every_cable_ends_where_its_circuit_says(demo: JobResult) -> None:
    for c in demo.cables:
        assert c.route is not None, c.why
        line = c.route.polyline
        for end, name in ((line[0], c.feed), (line[-1], c.load)):
            thing, _, terminal = name.partition(".")
            assert abs(end - demo.boat.things[thing].terminals[terminal].at).max() < 1e-6
        assert abs(sum(leg.length_mm for leg in c.route.legs) - c.route.length_mm) < 1e-6
        assert c.length is not None
        assert c.length.cut_mm >= c.route.length_mm


def test_mains_is_never_sized(demo: JobResult) -> None:
    for c in demo.cables:
        if c.mains:
            assert c.conductor is None
            assert c.fuse_amp is None
            assert any("licensed person" in s for s in demo.next_steps)


def test_a_measured_size_decides_where_one_should(demo: JobResult) -> None:
    for f in demo.fits:
        if f.answer is Answer.MEASURE_AGAIN:
            assert f.deciding
            assert f.deciding[0].label in f.advice
            assert abs(sum(d.share for d in f.deciding) - 1) < 1e-9


def test_troubles_the_demos_are_there_to_show() -> None:
    from tests.conftest import DEMOS, ROOT, _worked
    from viewer.work.result import work_out

    for name in DEMOS:
        if name not in _worked:
            _worked[name] = work_out(ROOT / "demo_hulls" / f"{name}.job.toml", seconds=40.0)
    results = [_worked[n] for n in DEMOS]
    assert any(f.needs_edging for r in results for f in r.fills)
    assert any(f.too_full for r in results for f in r.fills)
    assert any(
        c.conductor
        and c.straight_conductor
        and c.conductor.area_mm2 > c.straight_conductor.area_mm2
        for r in results
        for c in r.cables
    )
    tilted = [f for r in results for f in r.fits if f.name == "battery_board"]
    assert any(m.end.quat[3] < 0.999 for f in tilted for m in f.moves)


def test_json_is_plain_data_with_the_documented_keys(demo: JobResult) -> None:
    data = json.loads(json.dumps(as_json(demo)))
    assert set(data) == {
        "schema",
        "job",
        "hull",
        "well",
        "things",
        "circuits",
        "holes_and_pipes",
        "wiring",
        "next",
    }
    assert set(data["things"][0]) == {
        "name",
        "label",
        "verdict",
        "least_clearance_mm",
        "nearly_touching",
        "evidence",
        "way",
        "worst_end",
        "best_end",
        "deciding_sizes",
        "moves",
        "path",
        "clashes",
        "rooms_taken",
        "out_again",
        "out_first",
        "mass_kg",
        "shortfall_mm",
        "advice",
        "remedies",
    }
    assert {c["number"] for c in data["circuits"]} == {c.number for c in demo.cables}
