"""The book as a PDF, A4, for black and white printing."""

import io
from html import escape
from importlib import resources
from typing import Any, Final

from PIL import Image as Opened
from reportlab.lib import colors
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle, getSampleStyleSheet
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.platypus import (
    Image,
    KeepTogether,
    PageBreak,
    Paragraph,
    SimpleDocTemplate,
    Spacer,
    TableStyle,
)
from reportlab.platypus import Table as Grid

from viewer.sheets.book import Book, Picture
from viewer.words.table import Table

MARGIN: Final = 15 * mm
WIDTH: Final = A4[0] - 2 * MARGIN
STRIP_COLUMNS: Final = 3
LONGEST_TEXT: Final = 900
# DejaVu Sans covers Latin, Greek, Cyrillic and more; free licence beside the files
FONT, BOLD = "coaming-sans", "coaming-sans-bold"
FOOT: Final = "coaming: a plan, not a certificate; local codes and licensed practice decide"


def load_fonts() -> None:
    """Load the fonts that go along with coaming, once."""
    if FONT in pdfmetrics.getRegisteredFontNames():
        return
    folder = resources.files("viewer.sheets").joinpath("fonts")
    for name, file in ((FONT, "DejaVuSans.ttf"), (BOLD, "DejaVuSans-Bold.ttf")):
        with resources.as_file(folder.joinpath(file)) as path:
            pdfmetrics.registerFont(TTFont(name, str(path)))
    pdfmetrics.registerFontFamily(FONT, normal=FONT, bold=BOLD, italic=FONT, boldItalic=BOLD)


_base = getSampleStyleSheet()
BODY: Final = ParagraphStyle(
    "body", parent=_base["BodyText"], fontName=FONT, fontSize=8.4, leading=11
)
SMALL: Final = ParagraphStyle("small", parent=BODY, fontSize=7, leading=8.8)
SMALL_BOLD: Final = ParagraphStyle("th", parent=SMALL, fontName=BOLD)
NOTE: Final = ParagraphStyle("note", parent=SMALL, keepWithNext=1)
HEAD: Final = ParagraphStyle(
    "head", parent=BODY, fontName=BOLD, fontSize=13, leading=17, spaceBefore=8, spaceAfter=4
)
TITLE: Final = ParagraphStyle("title", parent=HEAD, fontSize=19, leading=23)
SUB: Final = ParagraphStyle("sub", parent=HEAD, fontSize=10.5, leading=14, keepWithNext=1)


def paragraph(value: object, style: ParagraphStyle = BODY) -> Paragraph:
    """Words as they are set, escaped."""
    return Paragraph(escape(str(value)[:LONGEST_TEXT]), style)


def table(t: Table) -> Grid:
    """A table as a grid over the width of the page."""
    data = [[paragraph(h, SMALL_BOLD) for h in t.head]]
    data += [[paragraph(c, SMALL) for c in row] for row in t.rows]
    total = sum(t.widths)
    grid = Grid(data, colWidths=[WIDTH * w / total for w in t.widths], repeatRows=1)
    grid.setStyle(
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
    return grid


def image(png: bytes, width: float) -> Image:
    """A picture as wide as that."""
    w, h = Opened.open(io.BytesIO(png)).size
    return Image(io.BytesIO(png), width=width, height=width * h / w)


def _strip(pictures: tuple[Picture, ...]) -> list[Any]:
    """The pictures of a way in, three to a row, each with its words."""
    out: list[Any] = []
    w = WIDTH / STRIP_COLUMNS
    for k in range(0, len(pictures), STRIP_COLUMNS):
        row = pictures[k : k + STRIP_COLUMNS]
        cells = [
            [image(p.png, w - 6), paragraph(p.words, SMALL), paragraph(p.note, SMALL)] for p in row
        ]
        cells += [[] for _ in range(STRIP_COLUMNS - len(row))]
        grid = Grid([cells], colWidths=[w] * STRIP_COLUMNS)
        grid.setStyle(
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
        out.append(grid)
    return out


def _kinds(book: Book) -> list[Any]:
    """What each kind of move is called, with a small picture."""
    w = WIDTH / len(book.kinds)
    cells = [[image(p.png, w - 6), paragraph(p.words, SMALL)] for p in book.kinds]
    grid = Grid([cells], colWidths=[w] * len(cells))
    grid.setStyle(TableStyle([("VALIGN", (0, 0), (-1, -1), "TOP")]))
    return [
        KeepTogether(
            [paragraph(book.kinds_title, SUB), paragraph(book.kinds_note, NOTE), grid, Spacer(1, 6)]
        )
    ]


def _pieces(book: Book) -> list[Any]:
    flow: list[Any] = []
    for n, page in enumerate(book.pieces, start=1):
        first: list[Any] = [paragraph(f"{n}. {page.title}", SUB)]
        first += [paragraph(f"{k}: {v}", SMALL) for k, v in page.facts]
        if page.doubts is not None:
            first.append(table(page.doubts))
        first.append(Spacer(1, 3))
        strips = _strip(page.pictures)
        flow += [KeepTogether(first + strips[:1]), *strips[1:], Spacer(1, 8)]
    return flow


def _tables(book: Book) -> list[Any]:
    flow: list[Any] = [paragraph("Circuits", HEAD), table(book.circuits)]
    for t in (book.lengths, book.fills, *book.wiring):
        flow.append(paragraph(t.title, SUB))
        if t.note:
            flow.append(paragraph(t.note, NOTE))
        flow += [table(t), Spacer(1, 6)]
    return [*flow, paragraph(book.cuts.title, HEAD), table(book.cuts)]


def document(out: io.BytesIO, title: str) -> SimpleDocTemplate:
    """An empty A4 sheet with the margins of every sheet; the same flow gives the same bytes."""
    return SimpleDocTemplate(
        out,
        pagesize=A4,
        leftMargin=MARGIN,
        rightMargin=MARGIN,
        topMargin=MARGIN,
        bottomMargin=MARGIN,
        title=title,
        author="coaming",
        invariant=1,
    )


def as_pdf(book: Book) -> bytes:
    """The whole document; the same book gives the same bytes."""
    load_fonts()
    out = io.BytesIO()
    doc = document(out, book.title)
    flow: list[Any] = [
        paragraph(book.title, TITLE),
        paragraph(f"{book.hull}: what goes in, how, and how it is wired"),
        Spacer(1, 4),
        image(book.boat.png, WIDTH),
        paragraph("What to do next", HEAD),
    ]
    flow += [paragraph(f"{n}. {s}") for n, s in enumerate(book.steps, start=1)] or [
        paragraph(book.in_order)
    ]
    flow += [Spacer(1, 6), table(book.summary), PageBreak()]
    flow += [
        paragraph("Boards and pieces, in the order of fitting", HEAD),
        *_kinds(book),
        *_pieces(book),
    ]
    flow += [paragraph("Inside each space", HEAD)]
    flow += [
        KeepTogether([paragraph(p.words, SUB), image(p.png, WIDTH * 0.72)]) for p in book.spaces
    ]
    flow += [PageBreak(), *_tables(book), Spacer(1, 8)]
    flow.append(KeepTogether([paragraph("Caution", SUB), *[paragraph(c) for c in book.cautions]]))
    flow.append(paragraph(book.made_by, SMALL))
    doc.build(flow, onFirstPage=foot, onLaterPages=foot)
    return out.getvalue()


def foot(canvas: Any, doc: Any) -> None:
    """The line at the foot of every page."""
    canvas.saveState()
    canvas.setFont(FONT, 6.5)
    canvas.drawString(MARGIN, 8 * mm, FOOT)
    canvas.drawRightString(A4[0] - MARGIN, 8 * mm, f"page {doc.page}")
    canvas.restoreState()
