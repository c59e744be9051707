"""Dimensions of a boat: what the page shows is what the files say, and what is typed comes back.

Truth: the demo hull's own figures, added up by hand; and writing a figure, reading it back through
the engine's own reader.
"""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.errors import CoamingError
from layout.job.sizes import PLUS_MINUS_MM, parse_measure
from tests.page.test_edits import NAMES, desk_on
from viewer.page.dimensions import written_measure
from viewer.page.panels.measure.commands import (
    AddPart,
    SetDimension,
    Verify,
    add,
    set_dimension,
    verify,
)
from viewer.page.wire import DeskRow


def by_key(row: DeskRow) -> dict[str, tuple[float, float, str]]:
    return {d.key: (d.mm, d.plus_minus_mm, d.how) for d in row.dimensions}


def test_the_launchs_port_hatch_by_hand(tmp_path: Path) -> None:
    d = by_key(desk_on(tmp_path).state())
    assert d["opening:port_hatch:length"] == (430, 2, "tape")
    assert d["opening:port_hatch:throat"] == (55, 1, "stick")
    assert d["opening:port_hatch:corner_radius"] == (40, 2, "template")
    assert d["opening:port_hatch:from_aft"] == (520 - 430 / 2, 1, "tape")
    assert d["space:port_locker:length"] == (1310, 2, "tape")
    assert d["space:starboard_locker:breadth"] == (560, 5, "tape in a corner")
    assert d["solid:bench_frame:from_aft"] == (930, 3, "tape")
    assert d["solid:topside:breadth"] == (100, 0, "")  # both its sides follow one size
    assert d["joint:locker_forward:bore"] == (60, 0, "")
    assert d["joint:locker_forward:from_bottom"] == (260, 0, "")
    assert "joint:locker_forward:from_aft" not in d  # it is in the forward side: nothing to measure
    assert d["hull:boat:beam"] == (2300, 0, "")


@pytest.mark.parametrize("name", NAMES)
def test_every_dimension_typed_comes_back_and_can_be_taken_back(tmp_path: Path, name: str) -> None:
    desk = desk_on(tmp_path, name)
    before = desk.texts()
    known = list(by_key(desk.state()).items())
    for key, (mm, _, _) in known[:: max(1, len(known) // 40)]:
        if mm <= 4:
            continue
        wanted = round(mm, 1) - 1
        try:
            row = set_dimension(desk, SetDimension(key=key, value=f"{wanted}", how="stick", by="K"))
        except CoamingError:
            assert desk.texts() == before  # refused as a whole: the boat would make no sense
            continue
        told = by_key(row)[key]
        assert told[0] == pytest.approx(wanted, abs=1e-6), key
        assert told[1] == pytest.approx(1.0) or told[1] >= 1.0, key
        desk.undo()
        assert desk.texts() == before, key


def test_an_edge_typed_stays_while_the_hatch_grows(tmp_path: Path) -> None:
    """The edge was measured: making the hatch longer moves its other edge only."""
    desk = desk_on(tmp_path)
    edge = "opening:port_hatch:from_aft"
    set_dimension(desk, SetDimension(key=edge, value="300", how="tape"))
    row = set_dimension(
        desk, SetDimension(key="opening:port_hatch:length", value="440", how="tape")
    )
    assert by_key(row)[edge][0] == pytest.approx(300)
    opening = next(o for o in row.openings if o.key == "port_hatch")
    assert opening.centre_mm[0] == pytest.approx(-1700 + 300 + 220)


def test_a_size_that_makes_up_two_distances_says_so(tmp_path: Path) -> None:
    desk = desk_on(tmp_path)
    row = set_dimension(
        desk, SetDimension(key="space:port_locker:length", value="1300", how="tape")
    )
    assert "starboard bench locker, length" in row.note
    assert by_key(row)["space:starboard_locker:length"][0] == 1300


def test_who_took_it_and_when_stands_in_the_file(tmp_path: Path) -> None:
    desk = desk_on(tmp_path)
    key = "opening:port_hatch:throat"
    row = set_dimension(desk, SetDimension(key=key, value="56", how="stick", by="K", verified=True))
    d = next(x for x in row.dimensions if x.key == key)
    assert (d.by, d.verified) == ("K", True) and d.on
    assert desk.tables()[1]["measured"]["hatch_throat"]["by"] == "K"
    row = verify(desk, Verify(keys=(key,), verified=False))
    assert not next(x for x in row.dimensions if x.key == key).verified


@given(
    value=st.one_of(
        st.integers(1, 90_000).map(str),
        st.floats(0.1, 90_000).map(lambda x: f"{x:.1f}"),
        st.tuples(st.integers(1, 400), st.integers(1, 15)).map(lambda t: f"{t[0]} {t[1]}/16 in"),
        st.integers(1, 20).map(lambda x: f"{x} ft 3 in"),
    ),
    wide=st.sampled_from(["", "2", "±3", "1/8 in"]),
    how=st.sampled_from(["", *PLUS_MINUS_MM]),
)
def test_what_is_typed_is_read_as_it_was_meant(value: str, wide: str, how: str) -> None:
    m = parse_measure(written_measure(value, wide, how, PLUS_MINUS_MM))
    plain = parse_measure(value if value[-1] == "n" else f"{value} mm")
    assert m.value_mm == plain.value_mm and m.how == how
    asked = {"": PLUS_MINUS_MM.get(how, 0.0), "2": 2.0, "±3": 3.0, "1/8 in": 3.175}[wide]
    assert m.plus_minus_mm == pytest.approx(asked)


@pytest.mark.parametrize("bad", ["", "a lot", "12 furlongs", "1/0 in", "9" * 60])
def test_what_is_no_length_is_told_in_words(tmp_path: Path, bad: str) -> None:
    desk = desk_on(tmp_path)
    with pytest.raises(CoamingError) as e:
        set_dimension(desk, SetDimension(key="opening:port_hatch:throat", value=bad[:60]))
    assert str(e.value) and "Traceback" not in str(e.value)


PARTS: dict[str, dict[str, str]] = {
    "space": {
        "length": "600",
        "breadth": "400",
        "height": "300",
        "beside": "port_locker",
        "side": "aft",
    },
    "opening": {
        "space": "side_duct",
        "face": "port",
        "size_first": "200",
        "size_second": "100",
        "throat": "20",
    },
    "solid": {
        "space": "fore_peak",
        "what": "tank",
        "from_aft": "10",
        "from_starboard": "10",
        "from_floor": "0",
        "length": "200",
        "breadth": "300",
        "height": "100",
        "removable_minutes": "12",
    },
    "hazard": {
        "space": "fore_peak",
        "what": "hot",
        "from_aft": "10",
        "from_starboard": "10",
        "from_floor": "0",
        "length": "50",
        "breadth": "50",
        "height": "50",
        "keep_off": "100",
    },
    "hole": {
        "space": "fore_peak",
        "face": "top",
        "to": "outside",
        "from_aft": "100",
        "from_starboard": "100",
        "bore": "25",
        "edge": "gland",
        "ways": "3",
    },
    "pipe": {
        "space": "port_locker",
        "from_aft": "1310",
        "from_starboard": "200",
        "from_floor": "200",
        "to": "pedestal",
        "to_from_aft": "100",
        "to_from_starboard": "660",
        "to_from_floor": "60",
        "bore": "32",
        "bends": "1",
    },
    "tray": {
        "space": "port_locker",
        "from_aft": "10",
        "from_starboard": "10",
        "from_floor": "400",
        "to": "port_locker",
        "to_from_aft": "1200",
        "to_from_starboard": "10",
        "to_from_floor": "400",
    },
}


@pytest.mark.parametrize("kind", PARTS)
def test_every_kind_of_part_can_be_added_and_taken_back(tmp_path: Path, kind: str) -> None:
    desk = desk_on(tmp_path)
    before = desk.texts()
    told = {"kind": kind, "label": "A new one", "fields": PARTS[kind], "how": "tape", "by": "K"}
    ask = AddPart.model_validate(told)
    row = add(desk, ask)
    assert not row.problems and "A new one" in row.labels.values()
    desk.undo()
    assert desk.texts() == before


def test_a_part_with_a_slip_is_refused_in_words(tmp_path: Path) -> None:
    desk = desk_on(tmp_path)
    before = desk.texts()
    for fields, word in (
        ({**PARTS["solid"], "length": "x"}, "length"),
        ({**PARTS["solid"], "space": "nowhere"}, "space"),
        ({**PARTS["solid"], "removable_minutes": "soon"}, "minutes"),
    ):
        with pytest.raises(CoamingError):
            add(desk, AddPart(kind="solid", label="x", fields=fields, how="tape"))
        assert desk.texts() == before, word
