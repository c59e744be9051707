"""A board's sheets as a PDF: drawn, then every list the bench works from."""

import io
from typing import Any, Final

from reportlab.lib import colors
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import CondPageBreak, KeepTogether, Spacer, TableStyle
from reportlab.platypus import Table as Grid

from viewer.sheets.bench.views import front_view, side_view
from viewer.sheets.drawing.model import Drawing, Layer
from viewer.sheets.drawing.paint import Shown
from viewer.sheets.pdf import (
    BODY,
    HEAD,
    SMALL,
    SMALL_BOLD,
    SUB,
    TITLE,
    WIDTH,
    document,
    foot,
    load_fonts,
    paragraph,
    table,
)
from viewer.words import bench_ends
from viewer.words.bench import WEIGHT_NOTE, BenchWords
from viewer.words.bench_boat import nesting_table
from viewer.words.bench_small import minded, small_parts, where_fixed
from viewer.words.names import Names
from viewer.words.steps import CAUTIONS
from viewer.words.table import Table
from viewer.work.bench_rows import NestingRow, SheetRow

FRONT_HIGH: Final = 430.0
SIDE_HIGH: Final = 250.0
FILL_ROW: Final = 19.0
LEAST_ROOM: Final = 110.0  # pt: a heading and a few rows stay together
TOPIC: Final = ParagraphStyle("topic", parent=SUB, keepWithNext=0)
PLUS_MINUS: Final = "● plus stud or blade, ○ the others; numbers as in the parts list"


def board_pdf(words: BenchWords) -> bytes:
    """The sheets of one board; the same board gives the same bytes."""
    load_fonts()
    out = io.BytesIO()
    doc = document(out, f"Bench sheets: {words.label}")
    flow: list[Any] = [
        paragraph(f"Bench sheets: {words.label}", TITLE),
        paragraph(words.looks()),
        paragraph(f"Result {words.result.inputs.fingerprint}.", SMALL),
        Spacer(1, 4),
        Shown(front_view(words), WIDTH, FRONT_HIGH),
        paragraph(PLUS_MINUS, SMALL),
        Spacer(1, 4),
        _facts(words),
        *[paragraph(f"Mind: {t}.", SMALL_BOLD) for t in minded(words)],
        *_listed(words.parts()),
        KeepTogether(
            [
                paragraph("From its left edge", SUB),
                Shown(side_view(words), WIDTH, SIDE_HIGH),
                paragraph("Broken: the room each part needs in the boat.", SMALL),
            ]
        ),
        *_listed(words.holes()),
    ]
    if words.row.stand_offs:
        flow += _listed(where_fixed(words))
    if words.row.cut_outs:
        flow += _listed(words.cut_outs())
    flow += _listed(small_parts(words))
    flow += [paragraph("In this order", HEAD)]
    flow += [paragraph(f"{n}. {s}", BODY) for n, s in enumerate(words.order(), start=1)]
    for t in (bench_ends.links(words), bench_ends.arrives(words), bench_ends.legend(words)):
        if t.rows:
            flow += _listed(t)
    flow += _listed(bench_ends.torque(words), FILL_ROW)
    flow += _listed(bench_ends.tests(words), FILL_ROW)
    flow += [
        Spacer(1, 6),
        KeepTogether([paragraph("Caution", SUB), *[paragraph(c, SMALL) for c in CAUTIONS[:5]]]),
        paragraph(WEIGHT_NOTE, SMALL),
    ]
    doc.build(flow, onFirstPage=foot, onLaterPages=foot)
    return out.getvalue()


def _facts(words: BenchWords) -> Grid:
    data = [[paragraph(k, SMALL_BOLD), paragraph(v, SMALL)] for k, v in words.facts()]
    grid = Grid(data, colWidths=[WIDTH * 0.16, WIDTH * 0.84])
    grid.setStyle(TableStyle([("VALIGN", (0, 0), (-1, -1), "TOP")]))
    return grid


def _listed(t: Table, row_high: float | None = None) -> list[Any]:
    head: list[Any] = [CondPageBreak(LEAST_ROOM), paragraph(t.title, TOPIC)]
    if t.note:
        head.append(paragraph(t.note, SMALL))
    grid = table(t)
    if row_high is not None:  # rows a person writes in
        widths = [WIDTH * w / sum(t.widths) for w in t.widths]
        data = [[paragraph(h, SMALL_BOLD) for h in t.head]]
        data += [[paragraph(c, SMALL) for c in row] for row in t.rows]
        grid = Grid(data, colWidths=widths, repeatRows=1)
        grid.setStyle(
            TableStyle(
                [
                    ("GRID", (0, 0), (-1, -1), 0.4, colors.black),
                    ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
                    ("BOTTOMPADDING", (0, 1), (-1, -1), 5),
                ]
            )
        )
    return [*head, grid, Spacer(1, 6)]


def table_pdf(t: Table) -> bytes:
    """One table by itself."""
    load_fonts()
    out = io.BytesIO()
    doc = document(out, t.title)
    flow: list[Any] = [paragraph(t.title, TITLE), paragraph(t.note, SMALL), Spacer(1, 4), table(t)]
    doc.build(flow, onFirstPage=foot, onLaterPages=foot)
    return out.getvalue()


def sheets_pdf(nesting: NestingRow, names: Names) -> bytes:
    """The plates on their sheets of stock."""
    load_fonts()
    out = io.BytesIO()
    doc = document(out, "Plates from sheet")
    flow: list[Any] = [
        paragraph("Plates from sheet", TITLE),
        *_listed(nesting_table(nesting, names)),
    ]
    for s in nesting.sheets:
        title = f"Sheet {s.number}: {s.label}, {s.material}, {s.thickness_mm:g} mm"
        flow.append(
            KeepTogether([paragraph(title, SUB), Shown(_sheet(nesting, s, names), WIDTH, 300.0)])
        )
    doc.build(flow, onFirstPage=foot, onLaterPages=foot)
    return out.getvalue()


def _sheet(nesting: NestingRow, s: SheetRow, names: Names) -> Drawing:
    d = Drawing(f"Sheet {s.number}")
    d.box(0, 0, s.length_mm, s.height_mm, Layer.OUTLINE, wide=True)
    size = s.length_mm / 40
    for x, y, w, h in s.offcuts:
        d.box(x, y, x + w, y + h, Layer.ROOMS, dash=True)
        if min(w, h) > 2.5 * size:
            d.words(x + w / 2, y + h / 2, f"left {w:.0f} x {h:.0f}", size=size * 0.7)
    for c in nesting.cuts:
        if c.sheet == s.number:
            d.box(c.x_mm, c.y_mm, c.x_mm + c.length_mm, c.y_mm + c.height_mm, Layer.CUT_OUTS)
            middle = (c.x_mm + c.length_mm / 2, c.y_mm + c.height_mm / 2)
            name = names.piece(c.board)
            letter = min(size, 1.4 * c.length_mm / max(len(name), 12), c.height_mm / 5)
            d.words(*middle, name, size=letter, bold=True)
            d.words(middle[0], middle[1] - 1.6 * letter, f"{c.length_mm:g} x {c.height_mm:g}",
                    size=letter * 0.8)  # fmt: skip
    return d
