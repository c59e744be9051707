"""Broken files: a plain message that names file and key, exit 2, and nothing left behind."""

import shutil
from pathlib import Path

import pytest

from viewer.command import BAD_INPUT, main

ROOT = Path(__file__).parent.parent.parent
JOB, HULL = "harbour_launch.job.toml", "harbour_launch.hull.toml"


@pytest.fixture
def job(tmp_path: Path) -> Path:
    for name in (JOB, HULL):
        shutil.copy(ROOT / "demo_hulls" / name, tmp_path / name)
    return tmp_path / JOB


def edit(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text, f"the demo file no longer holds {old!r}"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def refused(capsys: pytest.CaptureFixture[str], path: Path, *words: str) -> str:
    before = sorted(p.name for p in path.parent.iterdir()) if path.parent.is_dir() else []
    assert main(["book", str(path), "-o", str(path.parent / "out")]) == BAD_INPUT
    said = capsys.readouterr().err
    assert "Traceback" not in said
    for w in words:
        assert w in said, f"{w!r} is not in: {said}"
    assert sorted(p.name for p in path.parent.iterdir()) == before
    return said


HULL_EDITS = {
    "wrong type": ('throat = "hatch_throat"', "throat = true", ("openings.port_hatch.throat",)),
    "missing key": (
        'size = ["hatch_length", "hatch_width"]\n',
        "",
        ("openings.port_hatch.size", "to be there"),
    ),
    "unknown unit": ('"430 mm ±2 tape"', '"430 parsec"', ("sizes.hatch_length", "parsec")),
    "unknown way of measuring": (
        '"430 mm ±2 tape"',
        '"430 mm ±2 laser"',
        ("sizes.hatch_length", "laser"),
    ),
    "negative size": ('"330 mm ±2 tape"', '"-330 mm ±2 tape"', ("openings.port_hatch.size[2]",)),
    "opening larger than its wall": (
        '"430 mm ±2 tape"',
        '"4300 mm ±2 tape"',
        ("openings.port_hatch.size", "inside its wall"),
    ),
    "circular expression": (
        'hatch_throat = "55 mm ±1 stick"',
        'hatch_throat = "locker_twist"\nlocker_twist = "hatch_throat + 1"',
        ("circle",),
    ),
    "division by zero": (
        'hatch_throat = "55 mm ±1 stick"',
        'hatch_throat = "55 / (hatch_width - hatch_width)"',
        ("divides by zero",),
    ),
    "not a number": (
        "corner_radius = 40\nthroat = 55",
        "corner_radius = nan\nthroat = 55",
        ("openings.starboard_hatch.corner_radius", "nan"),
    ),
    "infinite": (
        "corner_radius = 40\nthroat = 55",
        "corner_radius = inf\nthroat = 55",
        ("openings.starboard_hatch.corner_radius",),
    ),
    "misspelt key": (
        "corner_radius = 30",
        "corner_radus = 30",
        ("corner_radus", "did you mean 'corner_radius'"),
    ),
    "unknown size": ('throat = "hatch_throat"', 'throat = "hatch_throt"', ("hatch_throt",)),
    "unknown space": (
        'between = ["fore_peak", "outside"]\nface',
        'between = ["fore_peek", "outside"]\nface',
        ("fore_peek", "did you mean 'fore_peak'"),
    ),
    "inside out space": (
        "to = [2900, 520, 620]",
        "to = [1900, 520, 620]",
        ("spaces.fore_peak.to",),
    ),
    "attribute access": (
        'throat = "hatch_throat"',
        'throat = "hatch_throat.__class__"',
        ("openings.port_hatch.throat",),
    ),
    "a call": ('throat = "hatch_throat"', 'throat = "open(1)"', ("openings.port_hatch.throat",)),
    "radius too large": (
        "corner_radius = 30",
        "corner_radius = 300",
        ("openings.peak_door.corner_radius",),
    ),
    "bad face": (
        'face = "aft"\ncentre = [520, 300]',
        'face = "left"\ncentre = [520, 300]',
        ("openings.peak_door.face", "'aft'"),
    ),
    "bad kind of hazard": ('kind = "compass"', 'kind = "magnet"', ("hazards.compass.kind",)),
    "pipe shorter than its ends are apart": (
        'length = "1250 mm ±20"',
        'length = "200 mm"',
        ("pipes.sole_pipe.length",),
    ),
    "huge length": (
        "corner_radius = 30",
        'corner_radius = "1000000000 m"',
        ("openings.peak_door.corner_radius",),
    ),
    "two numbers for three": (
        "from = [2050, -520, 0]",
        "from = [2050, -520]",
        ("spaces.fore_peak.from",),
    ),
    "name with capitals": ("[openings.peak_door]", "[openings.PeakDoor]", ("openings",)),
    "hole nowhere near its second space": (
        "at = [2418, 45, 70]",
        "at = [2418, 700, 70]",
        ("holes.duct_forward.at", "from fore-peak"),
    ),
    "space larger than the boat": (
        "to = [2900, 520, 620]",
        "to = [29000, 520, 620]",
        ("spaces.fore_peak.to",),
    ),
}
JOB_EDITS = {
    "type nobody has": (
        'type = "isolator"',
        'type = "isolatr"',
        ("isolatr", "did you mean 'isolator'"),
    ),
    "piece larger than the boat": (
        "plate = [392, 270, 9]",
        "plate = [39200, 260, 9]",
        ("boards.helm_board",),
    ),
    "part off its plate": (
        "at = [110, 190]",
        "at = [1100, 190]",
        ("boards.helm_board.parts.fuses.at", "overhangs"),
    ),
    "clash of directions": (
        'front = "up"\nalong = "starboard"',
        'front = "up"\nalong = "down"',
        ("boards.battery_board.along",),
    ),
    "terminal that is not there": (
        'load = "windlass.plus"',
        'load = "windlass.positive"',
        ("circuits.1.load (Windlass)", "a terminal of windlass: plus, minus"),
    ),
    "circuit with no source": (
        'feed = "battery_board.bus.out"\nload = "windlass.plus"',
        'feed = "peak_board.bus.out"\nload = "windlass.plus"',
        ("circuits.1.feed", "a battery"),
    ),
    "no current": ("amps = 45", "amps = 0", ("circuits.1.amps",)),
    "text for a number": ("amps = 45", 'amps = "lots"', ("circuits.1.amps",)),
    "unknown catalogue": ('catalogue = "mm2"', 'catalogue = "inch"', ("job.catalogue",)),
    "hull outside the folder": (
        'hull = "harbour_launch.hull.toml"',
        'hull = "../harbour_launch.hull.toml"',
        ("job.hull", "beside the job file"),
    ),
    "absolute hull": ('hull = "harbour_launch.hull.toml"', 'hull = "/etc/passwd"', ("job.hull",)),
    "hull that is not there": (
        'hull = "harbour_launch.hull.toml"',
        'hull = "harbour_lunch.hull.toml"',
        ("did you mean harbour_launch.hull.toml",),
    ),
    "hole that is not there": (
        'via = ["sole_pipe_2"]',
        'via = ["sole_pip"]',
        ("circuits.2.via[1]", "did you mean"),
    ),
    "unknown cable": ("amps = 45", 'amps = 45\ncable = "26 mm²"', ("circuits.1.cable",)),
    "order of pieces unknown": ("[sizes]", 'order = ["helm_bord"]\n[sizes]', ("order",)),
    "name that is markup": ("[pieces.horn]", '[pieces."<script>alert(1)</script>"]', ("pieces",)),
    "way that is not there": (
        'space = "fore_peak"\nat = [840',
        'way = ["hatch_9"]\nspace = "fore_peak"\nat = [840',
        ("boards.peak_board.way[1]",),
    ),
    "a second table of the same name": ("[circuits.14]", "[circuits.13]", ("not TOML",)),
    "feeds in a circle": (
        'feed = "house_battery.plus"',
        'feed = "helm_board.fuses.out"',
        ("circle",),
    ),
}


@pytest.mark.parametrize("name", HULL_EDITS)
def test_broken_hull(name: str, job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    old, new, words = HULL_EDITS[name]
    edit(job.parent / HULL, old, new)
    refused(capsys, job, HULL, *words)


@pytest.mark.parametrize("name", JOB_EDITS)
def test_broken_job(name: str, job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    old, new, words = JOB_EDITS[name]
    edit(job, old, new)
    refused(capsys, job, *words)


def test_not_utf8(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job.write_bytes(b'[job]\nname = "\xff\xfe"\n')
    refused(capsys, job, JOB, "UTF-8")


def test_folder(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = job.parent / "a.toml"
    folder.mkdir()
    refused(capsys, folder, "a folder")


def test_empty(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job.write_text(" \n", encoding="utf-8")
    refused(capsys, job, JOB, "an empty file")


def test_missing(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    refused(capsys, job.parent / "harbour_lunch.job.toml", "did you mean harbour_launch.job.toml")


def test_deep_nesting(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job.write_text("x = " + "[" * 5000 + "]" * 5000, encoding="utf-8")
    refused(capsys, job, JOB)


def test_huge_file(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job.write_text("# " + "x" * 2_100_000, encoding="utf-8")
    refused(capsys, job, JOB, "bytes")


def test_far_too_many_pieces_are_refused_by_count(
    job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    extra = "".join(
        f'[pieces.pump_{n}]\ntype = "bilge_pump"\nspace = "stern_well"\nat = [0, 0, 0]\n'
        for n in range(700)
    )
    job.write_text(job.read_text(encoding="utf-8") + extra, encoding="utf-8")
    refused(capsys, job, "pieces", "at most 600")


def test_all_problems_at_once(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    edit(job, "amps = 45", "amps = -1")
    edit(job, 'catalogue = "mm2"', 'catalogue = "inch"')
    edit(job.parent / HULL, "corner_radius = 30", "corner_radus = 30")
    said = refused(capsys, job, "circuits.1.amps", "job.catalogue", "corner_radus")
    assert "3 things to put right" in said


def test_an_older_book_survives_a_refusal(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = job.parent / "out"
    out.mkdir()
    (out / "book.html").write_text("the old one", encoding="utf-8")
    edit(job, "amps = 45", "amps = -1")
    refused(capsys, job, "circuits.1.amps")
    assert (out / "book.html").read_text(encoding="utf-8") == "the old one"
