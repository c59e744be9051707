"""The bench's papers written into a folder, as a whole: a set for each board."""

from collections.abc import Callable, Sequence
from pathlib import Path

from viewer.files import csv_bytes, write_folder
from viewer.sheets.bench.labels import labels_pdf
from viewer.sheets.bench.mockup import board_cards, pattern, piece_card
from viewer.sheets.bench.pages import board_pdf, sheets_pdf, table_pdf
from viewer.sheets.bench.views import template
from viewer.sheets.drawing.dxf import as_dxf
from viewer.sheets.drawing.svg import as_svg
from viewer.sheets.drawing.tiles import PAPERS, as_tiles
from viewer.words.bench import BenchWords
from viewer.words.bench_boat import boat_holes_table
from viewer.words.bench_ends import BAR_MORE_MM, bar_words
from viewer.words.lists import CAUTION
from viewer.words.names import Names
from viewer.work.bench_rows import NestingRow
from viewer.work.rows import Result


def write_bench(
    result: Result, out: Path, told: Callable[[str], None] = lambda _: None
) -> list[Path]:
    """Write every board's papers, all files or none; the paths written. Raises CoamingError."""
    names = Names(result)
    files: dict[str, bytes] = {}
    for row in result.benches:
        words = BenchWords(result, row, names)
        told(f"the sheets of {words.label}")
        files |= _board(result, words)
    told("the card mock-ups")
    files |= _batteries(result, names)
    if result.boat_holes:
        holes = boat_holes_table(result, names)
        files["holes_in_the_boat.pdf"] = table_pdf(holes)
        files["holes_in_the_boat.csv"] = csv_bytes([holes.head, *holes.rows, [CAUTION]])
    if result.nesting is not None:
        files["plates_from_sheet.pdf"] = sheets_pdf(result.nesting, names)
        files["offcuts.csv"] = csv_bytes(_offcuts(result.nesting))
    write_folder(out, files)
    return [out / name for name in files]


def _board(result: Result, words: BenchWords) -> dict[str, bytes]:
    key = words.row.key
    drawn = template(words)
    place = f"try it where it goes: {words.names.space(words.row.space)}"
    cards = [pattern(c) for c in board_cards(result, key, words.label, place)]
    files = {f"{key}.pdf": board_pdf(words)}
    files |= {f"{key}_template_{p}.pdf": as_tiles([drawn], p) for p in PAPERS}
    files[f"{key}_template.dxf"] = as_dxf(drawn)
    files[f"{key}_template.svg"] = as_svg(drawn)
    files |= {f"{key}_mockup_{p}.pdf": as_tiles(cards, p) for p in PAPERS}
    files[f"{key}_labels.pdf"] = labels_pdf(words)
    files[f"{key}_holes.csv"] = csv_bytes(_holes(words))
    files[f"{key}_links.csv"] = csv_bytes(_links(words))
    return files


def _batteries(result: Result, names: Names) -> dict[str, bytes]:
    """A mock-up of every kind of battery that is to be carried in."""
    out: dict[str, bytes] = {}
    seen: set[tuple[float, ...]] = set()
    for s in result.boat.stands:
        size = tuple(round(x) for x in s.size_mm)
        if s.kind == "battery" and not s.fixed_already and tuple(sorted(size)) not in seen:
            seen.add(tuple(sorted(size)))
            place = f"try it where it goes: {names.space(s.space)}"
            card = pattern(piece_card(result, s.key, names.piece(s.key), place))
            out |= {f"{s.key}_mockup_{p}.pdf": as_tiles([card], p) for p in PAPERS}
    return out


def _offcuts(nesting: NestingRow) -> Sequence[Sequence[object]]:
    """What is left of each sheet, to be kept: as [[sheets]] with a count they serve again."""
    rows: list[list[object]] = [["sheet", "material", "thickness_mm", "length_mm", "height_mm"]]
    for s in nesting.sheets:
        rows += [
            [s.number, s.material, s.thickness_mm, round(w, 1), round(h, 1)]
            for _, _, w, h in s.offcuts
        ]
    return rows


def _holes(words: BenchWords) -> Sequence[Sequence[object]]:
    head = ["number", "x_mm", "y_mm", "drill_mm", "for", "part", "screw"]
    rows: list[list[object]] = [list(head)]
    for h in words.row.holes:
        part = words.part(h.part) if h.part else h.circuit
        at = (round(h.x_mm, 2), round(h.y_mm, 2), h.diameter_mm)
        rows.append([h.number, *at, words.purpose(h), part, h.screw or None])
    for c in words.row.cut_outs:
        size = f"{c.length_mm:g} x {c.height_mm:g} R{c.radius_mm:g}"
        x, y = round(c.x_mm, 2), round(c.y_mm, 2)
        rows.append([chr(64 + c.number), x, y, None, f"saw {size}", words.part(c.part), None])
    return [*rows, [CAUTION]]


def _links(words: BenchWords) -> Sequence[Sequence[object]]:
    head = [
        "mark_both_ends", "from", "from_on", "from_stud", "to", "to_on", "to_stud", "size",
        "cut_mm", "strip_mm", "sleeve_mm", "colour", "ties", "holes_apart_mm", "fuse_a",
        "label_at_start", "label_at_end",
    ]  # fmt: skip
    rows: list[list[object]] = [list(head)]
    for w in words.row.links:
        a, b = words.both(w)
        strip = round(w.strip_mm)
        cut: tuple[object, ...] = (w.size, round(w.cut_mm), strip, w.sleeve or None, w.colour)
        if w.bar_mm:
            cut = (bar_words(w), round(w.bar_mm + BAR_MORE_MM), None, None, w.colour)
        apart = round(w.bar_mm) or None
        more = (w.ties, apart, None if w.fuse is None else w.fuse.amp)
        rows.append(
            [w.mark, a, w.start_on, w.start_stud or None, b, w.goal_on, w.goal_stud or None, *cut,
             *more, f"{w.mark} {a} > {b}", f"{w.mark} {b} > {a}"]
        )  # fmt: skip
    return [*rows, [CAUTION]]
