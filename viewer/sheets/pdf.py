"""What every sheet is set with: fonts, styles, tables, the page; A4, for black and white print."""

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
from reportlab.pdfbase.cidfonts import UnicodeCIDFont
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.platypus import (
    Image,
    Paragraph,
    SimpleDocTemplate,
    TableStyle,
)
from reportlab.platypus import Table as Grid

from viewer.words.table import Table

MARGIN: Final = 15 * mm
WIDTH: Final = A4[0] - 2 * MARGIN
LONGEST_TEXT: Final = 900
# DejaVu Sans covers Latin, Greek, Cyrillic and more; free licence beside the files
FONT, BOLD = "coaming-sans", "coaming-sans-bold"
# the fonts Adobe names for Chinese, Japanese and Korean: not embedded, readers have them
EASTERN: Final = ("STSong-Light", "HeiseiKakuGo-W5", "HYGothic-Medium")
FOOT: Final = "coaming: a plan, not a certificate; local codes and licensed practice decide"


def load_fonts() -> None:
    """Load the fonts that go along with coaming, once."""
    if FONT in pdfmetrics.getRegisteredFontNames():
        return
    folder = resources.files("viewer.sheets").joinpath("fonts")
    for name, file in ((FONT, "DejaVuSans.ttf"), (BOLD, "DejaVuSans-Bold.ttf")):
        with resources.as_file(folder.joinpath(file)) as path:
            pdfmetrics.registerFont(TTFont(name, str(path)))
    for name in EASTERN:
        pdfmetrics.registerFont(UnicodeCIDFont(name))
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
    return Paragraph(_lettered(str(value)[:LONGEST_TEXT]), style)


def _lettered(text: str) -> str:
    """Text escaped, with letters our font has not in one of those every PDF reader brings along."""
    load_fonts()
    glyphs = pdfmetrics.getFont(FONT).face.charToGlyph
    if all(ord(c) in glyphs or c.isspace() for c in text):
        return escape(text)
    out, apart = [], ""
    for c in text:
        if ord(c) in glyphs or c.isspace():
            out.append(_apart(apart) + escape(c))
            apart = ""
        else:
            apart += c
    return "".join(out) + _apart(apart)


def _apart(text: str) -> str:
    """Letters of the far east in the readers' own font: Japanese, Korean or Chinese."""
    if not text:
        return ""
    kana = any("\u3040" <= c <= "\u30ff" for c in text)
    hangul = any("\uac00" <= c <= "\ud7af" for c in text)
    name = EASTERN[1] if kana else EASTERN[2] if hangul else EASTERN[0]
    return f'<font name="{name}">{escape(text)}</font>'


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


def foot(canvas: Any, doc: Any) -> None:
    """The line at the foot of every page."""
    canvas.saveState()
    canvas.setFont(FONT, 6.5)
    canvas.drawString(MARGIN, 8 * mm, FOOT)
    canvas.drawRightString(A4[0] - MARGIN, 8 * mm, f"page {doc.page}")
    canvas.restoreState()
