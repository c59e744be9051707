"""The bench's tables that are not of one board: holes made in the boat, plates cut from sheet."""

import re
from typing import Final

from layout.bench.boat_holes import DRILL_MM
from viewer.words.names import SIDES, Names, joined
from viewer.words.table import Table
from viewer.work.bench_rows import BoatHoleRow, HoleSideRow, NestingRow
from viewer.work.rows import Result

GLAND_ROOM_MM: Final = 50.0  # for a gland and a thin cable's bend behind it: common practice


def boat_holes_table(result: Result, names: Names) -> Table:
    """Every hole made in the boat, and what is behind it."""
    cut = {t.about for t in result.estimate.tasks if t.task == "hole"}
    rows = tuple(
        (
            names.joint(h.key) if h.what == "cable" else names.place(h.key),
            f"ø{h.size_mm[0]:g}"
            if h.what == "cable"
            else f"{h.size_mm[0]:g} x {h.size_mm[1]:g} R{h.radius_mm:g}",
            f"{names.face(f'{h.space}.{h.face}')}: "
            + ", ".join(f"{mm_:.0f} from {SIDES[side]}" for side, mm_ in h.from_edges),
            "; ".join(_side(s, names) for s in h.sides),
            joined([names.of(k) for k in h.blade_meets]),
            _passes(result, h),
            _there(h, cut) + _mind(h),
        )
        for h in sorted(result.boat_holes, key=lambda h: _in_order(h, names))
    )
    head = ("Hole", "Size mm", "Where", "In line with it", "A blade would meet", "Passes", "Mind")
    note = (
        "Which cable holes are to be cut is told by holes_to_cut. Pipes and trays are listed in "
        "the book. Where: to its middle. In line: to the nearest of what is there, its parts "
        "included. Every cable hole is edged or takes a bush or gland. From both sides: a drill "
        "with its bit wants 250 mm in line, a saw's blade reaches 70 mm behind the face and its "
        "foot 30 mm beside the line (from memory). Look behind before every cut; edges are sharp "
        "until dressed; no sparks where petrol or gas may lie."
    )
    widths = (18, 12, 26, 28, 20, 14, 22)
    return Table("boat_holes", "Holes made in the boat", note, head, rows, widths)


def _there(h: BoatHoleRow, cut: set[str]) -> str:
    """Whether a cable hole is to be cut, or taken as there already: the job tells."""
    if h.what != "cable":
        return ""
    return "to cut; " if f"joint:{h.key}" in cut else "there already, by the job; "


def _in_order(h: BoatHoleRow, names: Names) -> list[tuple[int, str]]:
    """By space, then by name as people count: 2 before 10."""
    name = names.joint(h.key) if h.what == "cable" else names.place(h.key)
    parts = re.split(r"(\d+)", f"{h.what} {name}")
    return [(int(p), "") if p.isdigit() else (0, p) for p in parts]


def _mind(h: BoatHoleRow) -> str:
    """From which side it is drilled, and what that asks."""
    out = []
    for (side, mm_), half in zip(h.from_edges, (h.size_mm[0] / 2, h.size_mm[1] / 2), strict=True):
        if mm_ < half:
            out.append(f"runs {half - mm_:.0f} mm into the {SIDES[side]}: move it")
    if not h.can_drill:
        out.append("no room for a drill in line: angle drive")
    tight = [s.free_mm for s in h.sides if s.free_mm is not None and s.free_mm < DRILL_MM]
    if tight and h.what == "cable":
        out.append(
            f"only {tight[0]:.0f} mm on one side: drill from the other, stop at the face"
            if h.can_drill
            else f"{tight[0]:.0f} mm on one side"
        )
        if min(tight) < GLAND_ROOM_MM:
            out.append(f"{min(tight):.0f} mm is no room for a gland and a bend: look for another")
    return "; ".join(out)


def _passes(result: Result, h: BoatHoleRow) -> str:
    """The circuits that go through a hole."""
    bores = [b for b in result.holes_and_pipes if b.key == h.key]
    if h.what != "cable":
        return "-"
    return (
        ", ".join(n for b in bores for n in b.circuits) or "nothing of this job but mains, if any"
    )


def _side(s: HoleSideRow, names: Names) -> str:
    if s.free_mm is None:
        return "outside"
    what = names.of(s.next) if s.next else "the far side"
    return f"{s.free_mm:.0f} mm to {what} in {names.space(s.space)}"


def nesting_table(nesting: NestingRow, names: Names) -> Table:
    """Which plate is cut from which sheet."""
    sheets = {s.number: s for s in nesting.sheets}
    rows = tuple(
        (
            f"{c.sheet}: {sheets[c.sheet].length_mm:g} x {sheets[c.sheet].height_mm:g} x "
            f"{sheets[c.sheet].thickness_mm:g}",
            names.piece(c.board),
            f"{c.length_mm:g} x {c.height_mm:g}",
            f"{c.x_mm:g}, {c.y_mm:g}",
            "its length up the sheet" if c.turned else "its length along the sheet",
        )
        for c in nesting.cuts
    )
    gap = nesting.cost - nesting.bound
    unit = "in price" if any(s.price > 0 for s in nesting.sheets) else "m² of sheet"
    proof = "proven least" if gap < 1e-6 else f"no cutting can take less than {nesting.bound:.2f}"
    note = (
        f"Saw cut {nesting.kerf_mm:g} mm. Sheets used: {len(nesting.sheets)}, {nesting.cost:.2f} "
        f"{unit}, {proof}. At: the plate's lower left corner from the sheet's. A sheet's grain is "
        "taken to run along its length."
    )
    if nesting.too_large:
        boards = joined([names.piece(k) for k in nesting.too_large])
        note += f" No sheet at hand holds {boards}: add one to [[sheets]] in the job."
    head = ("Sheet, mm", "Plate", "Size mm", "At mm", "How")
    return Table("sheets", "Plates from sheet", note, head, rows, (24, 36, 18, 16, 24))
