"""The boards of the demo boats: balance, holes, poles, and each number a builder needs told."""

import csv
import shutil
from pathlib import Path

import numpy as np
import pypdf
import pytest
import trimesh

from layout.bench.handling import people_for
from layout.bench.plate import turned
from tests.worked import DEMOS, ROOT, demo_worked
from viewer.command import main
from viewer.work.session import Session


@pytest.mark.parametrize("name", DEMOS)
def test_the_balance_of_a_board_is_that_of_a_mesh_library(name: str) -> None:
    worked = demo_worked(name)
    for row in worked.result.benches:
        meshes, masses = [], []
        plate = row.mass_kg - sum(p.mass_kg for p in row.parts)
        low, high = (0, 0, -row.thickness_mm), (row.length_mm, row.height_mm, 0)
        boxes = [(low, high, plate)]
        for p in row.parts:
            boxes.append(
                (
                    np.min([b.low for b in p.boxes], axis=0),
                    np.max([b.high for b in p.boxes], axis=0),
                    p.mass_kg,
                )
            )
        for a, b, kg in boxes:
            mesh = trimesh.creation.box(bounds=[a, b])
            mesh.density = kg / mesh.volume
            meshes.append(mesh.center_mass)
            masses.append(mesh.mass)
        assert np.allclose(np.average(meshes, axis=0, weights=masses), row.balance, atol=0.01)
        assert sum(masses) == pytest.approx(row.mass_kg)


def test_holes_are_where_the_part_has_them_seen_from_the_front() -> None:
    """By hand, on the launch's battery board: a bus bar is fixed at 70 left and 15 down and at 70
    right and 15 up of its foot; a quarter turn to the left takes (x, y) to (-y, x).
    """
    row = demo_worked("harbour_launch").result.bench("battery_board")
    spots = {k: [(h.x_mm, h.y_mm) for h in row.holes if h.part == k] for k in ("bus", "shunt")}
    assert spots["bus"] == [(370 - 70, 230 - 15), (370 + 70, 230 + 15)]
    assert spots["shunt"] == [(110 + 25, 150), (110 - 25, 150)]  # upside down
    assert turned((-70, -15), 90) == (15, -70) and turned((70, 15), 270) == (15, -70)
    assert (row.front, row.right, row.top) == ("up", "starboard", "forward")


def test_no_minus_ends_on_a_fuse_or_an_isolator_of_a_board() -> None:
    """A minus on a part that has plus on both sides would be a dead short over the battery."""
    for name in DEMOS:
        result = demo_worked(name).result
        kinds = {f"{b.key}.{p.key}": p.kind for b in result.benches for p in b.parts}
        for w in result.wires:
            if w.pole == "minus":
                ends = {kinds.get(e.rpartition(".")[0]) for e in (w.start, w.goal)}
                assert not ends & {"fuse", "isolator", "switch"}, (name, w.mark, w.start, w.goal)


def test_hands_are_those_of_the_guideline() -> None:
    """One lifts 10 kg low at arm's length; two carry two thirds of the sum, 13.3 kg (HSE L23)."""
    assert [people_for(kg) for kg in (9.9, 10.0, 10.1, 13.3, 13.4)] == [1, 1, 2, 2, 0]


@pytest.mark.parametrize("name", DEMOS)
def test_every_number_a_bench_builder_needs_stands_in_the_papers(name: str, tmp_path: Path) -> None:
    for file in (ROOT / "demo_hulls").glob(f"{name}.*.toml"):
        shutil.copy(file, tmp_path)
    out = tmp_path / "out"
    assert main(["bench", str(tmp_path / f"{name}.job.toml"), "-o", str(out)]) in (0, 1)
    result = Session(tmp_path / f"{name}.job.toml").answer()
    for row in result.benches:
        text = " ".join(
            page.extract_text() for page in pypdf.PdfReader(out / f"{row.key}.pdf").pages
        )
        for p in row.parts:
            assert p.fixings_known, (row.key, p.key)  # no demo board leaves holes to be guessed
            assert f"{p.foot[0]:.1f}" in text and f"{p.foot[1]:.1f}" in text
        for w in row.links:
            assert w.mark in text and f"{w.cut_mm:.0f}" in text and w.size in text
        assert "FRONT" in text and "DATUM" in text and f"{row.mass_kg:.1f} kg" in text
        with open(out / f"{row.key}_holes.csv", encoding="utf-8-sig") as f:
            holes = [r for r in csv.reader(f) if r[0].isdigit()]
        assert len(holes) == len(row.holes)
        for told, h in zip(holes, row.holes, strict=True):
            assert np.allclose([float(v) for v in told[1:4]], (h.x_mm, h.y_mm, h.diameter_mm),
                               atol=0.006)  # fmt: skip
        for part in row.parts:  # a stand-off's screw is reached from the front
            low = np.min([b.low[:2] for b in part.boxes], axis=0)
            high = np.max([b.high[:2] for b in part.boxes], axis=0)
            for s in row.stand_offs:
                at = np.array([s.x_mm, s.y_mm])
                assert not np.all((at > low - 7) & (at < high + 7)), (row.key, s)
        assert (out / f"{row.key}_template_A4.pdf").stat().st_size > 1000
        assert (out / f"{row.key}_mockup_Letter.pdf").is_file()
        for a in row.stand_offs:  # and no strap's hole runs into it
            assert all(abs(a.x_mm - x) + abs(a.y_mm - y) > 19 for x, y in row.straps)
