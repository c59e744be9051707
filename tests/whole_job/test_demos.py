"""The demo jobs from file to answer."""

import json

from layout.verdict.answers import Answer
from tests.worked import DEMOS, Worked, demo_worked
from viewer.words.names import Names
from viewer.words.pieces import PieceWords
from viewer.words.steps import next_steps
from viewer.work.rows import Result
from viewer.work.saved import json_text

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
    "Electric trip boat, 8.5 m": {
        "drive_4": Answer.GOES_IN,
        "drive_board": Answer.GOES_IN,
        "speed_display": Answer.GOES_IN,
    },
}
IN_ORDER = "Electric trip boat, 8.5 m"


def test_the_demo_answers(demo: Worked) -> None:
    found = {p.key: p.verdict for p in demo.result.pieces}
    for key, answer in EXPECTED[demo.boat.name].items():
        assert found[key] == answer, key
    assert demo.result.in_order == (demo.boat.name == IN_ORDER)


def test_no_demo_has_a_must_about_its_wiring(demo: Worked) -> None:
    assert [f for f in demo.result.findings if f.urgency == "must"] == []
    assert all(c.in_order for c in demo.result.circuits)
    assert not any(b.too_full or b.needs_edging for b in demo.result.holes_and_pipes)


def test_every_source_and_device_of_the_demos_is_wired(demo: Worked) -> None:
    assert not [f for f in demo.result.findings if f.rule == "wired to nothing"]


def test_every_demo_has_enough_in_it(demo: Worked) -> None:
    assert 12 <= len(demo.cables) <= 40
    assert sum(p.kind == "battery" for p in demo.boat.pieces.values()) >= 2
    assert sum(p.is_board for p in demo.boat.pieces.values()) >= 2


def test_every_cable_ends_where_its_circuit_says(demo: Worked) -> None:
    circuits = demo.wiring.cabling.circuits
    for c in demo.cables:
        assert c.route is not None, c.no_way
        line = c.route.polyline
        for end, name in ((line[0], c.feed), (line[-1], c.load)):
            piece, _, terminal = name.partition(".")
            row = demo.boat.pieces[piece].terminals[terminal]
            studs = [row.of_row(k).at for k in range(1, row.studs + 1)]
            ends = studs if c.link or circuits.on_board(c.number) else [row.at]
            assert min(abs(end - at).max() for at in ends) < 1e-6
        assert abs(sum(leg.length_mm for leg in c.route.legs) - c.route.length_mm) < 1e-6
        assert c.length is not None
        assert c.length.cut_mm >= c.route.length_mm


def test_mains_is_never_sized(demo: Worked) -> None:
    for c in demo.result.circuits:
        if c.mains:
            assert c.size is None
            assert c.fuse_amp is None
            assert c.drop_volt is None
            steps = next_steps(demo.result, Names(demo.result))
            assert any("licensed person" in s for s in steps)


def test_a_measured_size_decides_where_one_should(demo: Worked) -> None:
    names = Names(demo.result)
    for p in demo.result.pieces:
        if p.verdict == "measure again":
            assert p.deciding_sizes
            words = PieceWords(demo.result, p, names)
            assert "measure" in words.advice.lower()
            assert abs(sum(d.share for d in p.deciding_sizes) - 1) < 0.01


def test_troubles_the_demos_are_there_to_show() -> None:
    results = [demo_worked(n).result for n in DEMOS]
    assert any(
        (c.area_mm2 or 0.0) > (c.straight_area_mm2 or 0.0) > 0.0
        for r in results
        for c in r.circuits
    )
    tilted = [p for r in results for p in r.pieces if p.key == "battery_board"]
    assert any(m.end.quat[3] < 0.999 for p in tilted for m in p.moves)


def test_the_result_is_plain_data_read_back_the_same(demo: Worked) -> None:
    text = json_text(demo.result)
    data = json.loads(text)
    assert data["schema"] == 6
    assert json_text(Result.model_validate_json(text)) == text
    assert {c["number"] for c in data["circuits"]} == {c.number for c in demo.cables}
    assert {p["key"] for p in data["pieces"]} == {f.key for f in demo.fits}
