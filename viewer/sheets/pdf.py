"""The book as a PDF, A4, for black and white printing."""

import io
from html import escape
from typing import Any, Final

from reportlab.lib import colors
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle, getSampleStyleSheet
from reportlab.lib.units import mm
from reportlab.platypus import (
    Image,
    KeepTogether,
    PageBreak,
    Paragraph,
    SimpleDocTemplate,
    Spacer,
    Table,
    TableStyle,
)

from viewer.sheets import book as words

MARGIN: Final = 15 * mm
WIDTH: Final = A4[0] - 2 * MARGIN
STRIP_COLUMNS: Final = 3
LONGEST_TEXT: Final = 600

_base = getSampleStyleSheet()
BODY: Final = ParagraphStyle(
    "body", parent=_base["BodyText"], fontName="Helvetica", fontSize=9, leading=11.5
)
SMALL: Final = ParagraphStyle("small", parent=BODY, fontSize=7.6, leading=9.4)
NOTE: Final = ParagraphStyle("note", parent=SMALL, keepWithNext=1)
HEAD: Final = ParagraphStyle(
    "head",
    parent=BODY,
    fontName="Helvetica-Bold",
    fontSize=14,
    leading=18,
    spaceBefore=8,
    spaceAfter=4,
)
TITLE: Final = ParagraphStyle("title", parent=HEAD, fontSize=20, leading=24)
SUB: Final = ParagraphStyle("sub", parent=HEAD, fontSize=11, leading=14, keepWithNext=1)


def _text(value: object, style: ParagraphStyle = BODY) -> Paragraph:
    return Paragraph(escape(str(value)[:LONGEST_TEXT]), style)


def _table(head: tuple[str, ...], rows: tuple[tuple[str, ...], ...], widths: list[float]) -> Table:
    bold = ParagraphStyle("th", parent=SMALL, fontName="Helvetica-Bold")
    data = [[_text(h, bold) for h in head]] + [[_text(c, SMALL) for c in row] for row in rows]
    total = sum(widths)
    table = Table(data, colWidths=[WIDTH * w / total for w in widths], repeatRows=1)
    table.setStyle(
        TableStyle(
            [
                ("LINEBELOW", (0, 0), (-1, 0), 1, colors.black),
                ("LINEBELOW", (0, 1), (-1, -1), 0.3, colors.grey),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("TOPPADDING", (0, 0), (-1, -1), 1.5),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
                ("LEFTPADDING", (0, 0), (-1, -1), 2),
                ("RIGHTPADDING", (0, 0), (-1, -1), 3),
            ]
        )
    )
    return table


def _image(png: bytes, width: float) -> Image:
    from PIL import Image as Opened

    w, h = Opened.open(io.BytesIO(png)).size
    return Image(io.BytesIO(png), width=width, height=width * h / w)


def _strip(pictures: tuple[Any, ...]) -> list[Any]:
    """The pictures of a way in, three to a row, each with its words."""
    out: list[Any] = []
    w = WIDTH / STRIP_COLUMNS
    for k in range(0, len(pictures), STRIP_COLUMNS):
        row = pictures[k : k + STRIP_COLUMNS]
        cells = [[_image(p.png, w - 6), _text(p.words, SMALL), _text(p.note, SMALL)] for p in row]
        cells += [[] for _ in range(STRIP_COLUMNS - len(row))]
        table = Table([cells], colWidths=[w] * STRIP_COLUMNS)
        table.setStyle(
            TableStyle(
                [
                    ("VALIGN", (0, 0), (-1, -1), "TOP"),
                    ("BOX", (0, 0), (-1, -1), 0.4, colors.grey),
                    ("INNERGRID", (0, 0), (-1, -1), 0.4, colors.grey),
                    ("LEFTPADDING", (0, 0), (-1, -1), 3),
                    ("RIGHTPADDING", (0, 0), (-1, -1), 3),
                ]
            )
        )
        out.append(table)
    return out


def as_pdf(book: "words.Book") -> bytes:
    """The whole document."""
    out = io.BytesIO()
    doc = SimpleDocTemplate(
        out,
        pagesize=A4,
        leftMargin=MARGIN,
        rightMargin=MARGIN,
        topMargin=MARGIN,
        bottomMargin=MARGIN,
        title=book.title,
        author="coaming",
        invariant=1,
    )
    flow: list[Any] = [
        _text(book.title, TITLE),
        _text(f"{book.hull}: what goes in, how, and how it is wired"),
        Spacer(1, 4),
        _image(book.boat.png, WIDTH),
        _text("What to do next", HEAD),
    ]
    flow += [_text(f"{n}. {s}") for n, s in enumerate(book.steps, start=1)] or [
        _text("All is well: everything goes in, stands clear and is fed.")
    ]
    flow += [
        Spacer(1, 6),
        _table(words.SUMMARY_HEAD, book.summary, [24, 12, 13, 26, 10, 9]),
        PageBreak(),
        _text("Boards and items, in the order of fitting", HEAD),
    ]
    for n, page in enumerate(book.things, start=1):
        first: list[Any] = [_text(f"{n}. {page.fit.label}: {page.fit.answer.value}", SUB)]
        first += [_text(f"{k}: {v}", SMALL) for k, v in page.facts]
        if page.doubts:
            first.append(
                _table(
                    (
                        "Size that decides",
                        "Measured",
                        "Moves the clearance by",
                        "Share of the doubt",
                    ),
                    page.doubts,
                    [30, 25, 20, 15],
                )
            )
        first.append(Spacer(1, 3))
        strips = _strip(page.pictures)
        flow += [KeepTogether(first + strips[:1]), *strips[1:], Spacer(1, 8)]
    flow += [PageBreak(), _text("Inside each space", HEAD)]
    flow += [KeepTogether([_text(p.words, SUB), _image(p.png, WIDTH * 0.72)]) for p in book.spaces]
    flow += [
        PageBreak(),
        _text("Circuits", HEAD),
        _table(words.CIRCUIT_HEAD, book.circuits, [6, 22, 7, 9, 9, 11, 14, 7, 8, 18]),
    ]
    flow += [
        _text("How each length is made up, metres", SUB),
        _table(words.LENGTH_HEAD, book.lengths, [6, 24, 9, 11, 11, 11, 9, 8, 9]),
    ]
    flow += [
        _text("Holes and pipes", SUB),
        _table(words.FILL_HEAD, book.fills, [28, 9, 8, 8, 9, 30]),
    ]
    for x in book.wiring:
        flow.append(_text(x.title, SUB))
        if x.note:
            flow.append(_text(x.note, NOTE))
        flow += [_table(x.head, x.rows, list(x.widths)), Spacer(1, 6)]
    flow += [_text("Cut list", HEAD), _table(words.CUT_HEAD, book.cuts, [34, 10, 22, 8, 12, 12])]
    flow += [
        Spacer(1, 8),
        KeepTogether([_text("Caution", SUB), *[_text(c) for c in book.cautions]]),
    ]
    doc.build(flow, onFirstPage=_foot, onLaterPages=_foot)
    return out.getvalue()


def _foot(canvas: Any, doc: Any) -> None:
    canvas.saveState()
    canvas.setFont("Helvetica", 7)
    canvas.drawString(
        MARGIN,
        8 * mm,
        "coaming: a plan, not a certificate; local codes and licensed practice decide",
    )
    canvas.drawRightString(A4[0] - MARGIN, 8 * mm, f"page {doc.page}")
    canvas.restoreState()
