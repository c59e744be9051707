"""The bench's tables that are not of one board: holes made in the boat, plates cut from sheet."""

from viewer.words.names import SIDES, Names, joined
from viewer.words.table import Table
from viewer.work.bench_rows import HoleSideRow, NestingRow
from viewer.work.rows import Result


def boat_holes_table(result: Result, names: Names) -> Table:
    """Every hole made in the boat, and what is behind it."""
    rows = tuple(
        (
            names.joint(h.key) if h.what == "cable" else names.place(h.key),
            f"ø{h.size_mm[0]:g}"
            if h.what == "cable"
            else f"{h.size_mm[0]:g} x {h.size_mm[1]:g} R{h.radius_mm:g}",
            f"{names.face(f'{h.space}.{h.face}')}: "
            + ", ".join(f"{mm_:.0f} from {SIDES[side]}" for side, mm_ in h.from_edges),
            "; ".join(_side(s, names) for s in h.sides),
            joined([names.of(k) for k in h.blade_meets]) or "-",
            "" if h.can_drill else "no room for a drill in line: angle drive",
        )
        for h in result.boat_holes
    )
    head = ("Hole", "Size mm", "Where", "In line with it", "A blade would meet", "Mind")
    note = (
        "From both sides: a drill with its bit wants 250 mm in line, a saw's blade reaches 70 mm "
        "behind the face and its foot 30 mm beside the line (from memory). Look behind before "
        "every cut; edges are sharp until dressed; no sparks where petrol or gas may lie."
    )
    widths = (22, 16, 28, 30, 24, 14)
    return Table("boat_holes", "Holes made in the boat", note, head, rows, widths)


def _side(s: HoleSideRow, names: Names) -> str:
    if s.free_mm is None:
        return "outside"
    what = names.of(s.next) if s.next else "the far side"
    return f"{s.free_mm:.0f} mm to {what} in {names.space(s.space)}"


def nesting_table(nesting: NestingRow, names: Names) -> Table:
    """Which plate is cut from which sheet."""
    rows = tuple(
        (
            str(c.sheet),
            names.piece(c.board),
            f"{c.length_mm:g} x {c.height_mm:g}",
            f"{c.x_mm:g}, {c.y_mm:g}",
            "turned" if c.turned else "",
        )
        for c in nesting.cuts
    )
    gap = nesting.cost - nesting.bound
    proof = "no cutting takes less sheet" if gap < 1e-6 else f"at best {nesting.bound:.2f}"
    note = (
        f"Saw cut {nesting.kerf_mm:g} mm. Sheets count {nesting.cost:.2f} (price, else m²); "
        f"{proof}. x and y: the plate's corner from the sheet's lower left."
    )
    if nesting.too_large:
        boards = joined([names.piece(k) for k in nesting.too_large])
        note += f" No sheet at hand holds {boards}: add one to [[sheets]] in the job."
    head = ("Sheet", "Plate", "Size mm", "At mm", "")
    return Table("sheets", "Plates from sheet", note, head, rows, (8, 40, 18, 18, 10))
