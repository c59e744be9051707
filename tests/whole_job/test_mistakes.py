"""A sound job of three voltages spoilt one way at a time: each mistake is refused or a must."""

import shutil
import tomllib
from pathlib import Path

import pytest

from layout.errors import JobError
from routing.circuits.laying import CableEffort
from routing.wiring import wire
from tests.whole_job.test_poles import MISTAKES
from tests.worked import ROOT, circuits_of

NAME = "trip_boat"
REFUSED = "refused"
Edit = tuple[str, str]  # what stands there, what stands there instead; "" adds at the end
SPOILT = tomllib.loads((Path(__file__).parent / "mistakes.toml").read_text(encoding="utf-8"))
LITHIUM = {"lithium in the engine's heat", "a charger that does not suit lithium"}
TWICE = {"lithium in the engine's heat": ('site = "locker"\nclosed', "closed")}


def spoil(folder: Path, edits: list[Edit]) -> Path:
    for end in ("job", "hull"):
        shutil.copy(ROOT / "demo_hulls" / f"{NAME}.{end}.toml", folder)
    path = folder / f"{NAME}.job.toml"
    for old, by in edits:
        for file in (path, folder / f"{NAME}.hull.toml"):
            text = file.read_text(encoding="utf-8")
            if not old and file == path:
                file.write_text(text + by, encoding="utf-8")
            elif old and old in text:
                file.write_text(text.replace(old, by, 1), encoding="utf-8")
                break
        else:
            assert not old, f"nothing to spoil: {old}"
    return path


def musts(path: Path) -> set[str]:
    try:
        circuits = circuits_of(path)[2]
    except JobError:
        return {REFUSED}
    found = wire(circuits, effort=CableEffort(run_work=500, drum_work=20, tell_detours=False))
    out = {f.rule for f in found.findings if f.urgency == "must"}
    return out | {"no size"} if not all(c.in_order for c in found.cabling.cables) else out


def test_the_sound_job_has_no_must(tmp_path: Path) -> None:
    assert musts(spoil(tmp_path, [])) == set()


@pytest.mark.parametrize("name", SPOILT)
def test_a_spoilt_job_is_refused_or_told(tmp_path: Path, name: str) -> None:
    row = SPOILT[name]
    edits = [(row.get("old", ""), row["new"])]
    if name in LITHIUM:
        lithium = "[types.drive_battery]\nlithium = true\nmanagement = true\n"
        edits.append(("[types.drive_battery]\n", lithium))
    if name in TWICE:
        edits.insert(0, TWICE[name])
    found = musts(spoil(tmp_path, edits))
    assert row["rule"] in found, found


def test_there_are_enough_of_them() -> None:
    assert len(SPOILT) + len(MISTAKES) >= 60


def test_more_than_four_lugs_on_a_post_are_told(tmp_path: Path) -> None:
    # ABYC E-11: four ring terminals on one stud. Three end on each of the lamp battery's posts
    more = "".join(
        f'\n[circuits.9{k}]\nlabel = "New"\nfeed = "lamp_battery.plus"\nload = "bilge_pump.lead"\n'
        "amps = 4\nbypass = true\nfuse_at = 80\nfuse_interrupts_amps = 5000\n"
        for k in range(2)
    )
    for add, lugs in (("", []), (more, [5, 5])):
        circuits = circuits_of(spoil(tmp_path, [("", add)]))[2]
        effort = CableEffort(run_work=500, drum_work=20, tell_detours=False)
        rows = [f for f in wire(circuits, effort=effort).findings if f.rule == "lugs on a stud"]
        assert [f.values["lugs"] for f in rows] == lugs
