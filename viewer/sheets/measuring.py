"""The measuring sheet: every size of a boat blank, those that matter most first, with sketches."""

import io
from dataclasses import dataclass
from typing import Any, Final

from reportlab.graphics.shapes import Circle, Drawing, Line, Rect, String
from reportlab.lib import colors
from reportlab.platypus import KeepTogether, Spacer, TableStyle
from reportlab.platypus import Table as Grid

from viewer.sheets.pdf import (
    BOLD,
    FONT,
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
)

Triple = tuple[float, float, float]
# words, the hull axis across the paper and its sign (seen from aft, port is to the left), and up
VIEWS: Final = (
    ("from above, forward to the right", 0, 1.0, 1),
    ("from starboard, forward to the right", 0, 1.0, 2),
    ("from aft, port to the left", 1, -1.0, 2),
)
HEIGHT_PT: Final = 150.0
HOW: Final = (
    "Write each size in mm (or inches) with how it was taken: tape, tape in a corner, stick, "
    "template, mirror. Of an opening the least clear size counts: look at top, middle, bottom and "
    "both ends. Two sticks slid apart are better than a bent tape. Edges may be sharp and petrol "
    "or battery gas may lie in a closed space: air it first, no sparks."
)


@dataclass(frozen=True, slots=True)
class SheetSize:
    """One size to be taken: what it is, of what, and where it runs."""

    words: str
    of: str
    axis: int | None
    from_mm: Triple
    to_mm: Triple


@dataclass(frozen=True, slots=True)
class SheetBox:
    """Something drawn in a sketch."""

    key: str
    label: str
    space: str
    low_mm: Triple
    high_mm: Triple


@dataclass(frozen=True, slots=True)
class Sheet:
    """A boat to be measured: sizes in the order they are to be taken, spaces, what is in them."""

    title: str
    sizes: tuple[SheetSize, ...]
    spaces: tuple[SheetBox, ...]
    things: tuple[SheetBox, ...]


def measuring_pdf(sheet: Sheet) -> bytes:
    """The sheet as a PDF for black and white print; the same sheet gives the same bytes."""
    load_fonts()
    out = io.BytesIO()
    doc = document(out, f"Measuring sheet: {sheet.title}")
    flow: list[Any] = [
        paragraph(f"Measuring sheet: {sheet.title}", TITLE),
        paragraph("Taken by ____________________   on ____________________"),
        paragraph(HOW, SMALL),
        Spacer(1, 6),
        paragraph("Sizes, those that matter most first", HEAD),
        _grid(sheet),
        paragraph("Where each size is", HEAD),
    ]
    for space in sheet.spaces:
        drawings = [_sketch(sheet, space, *view) for view in VIEWS]
        flow.append(KeepTogether([paragraph(space.label, SUB), *drawings, Spacer(1, 6)]))
    flow.append(paragraph("What else is there (struts, brackets, hoses, cables, bolts):", SUB))
    flow += [paragraph("_" * 88) for _ in range(5)]
    doc.build(flow, onFirstPage=foot, onLaterPages=foot)
    return out.getvalue()


def _grid(sheet: Sheet) -> Grid:
    head = ("No.", "Size", "mm or inches", "±", "How taken", "Seen twice")
    data = [[paragraph(h, SMALL_BOLD) for h in head]]
    for n, size in enumerate(sheet.sizes, start=1):
        data.append([paragraph(n, SMALL), paragraph(size.words, SMALL), "", "", "", ""])
    shares = (6, 46, 18, 8, 14, 8)
    widths = [WIDTH * s / sum(shares) for s in shares]
    grid = Grid(data, colWidths=widths, repeatRows=1, rowHeights=[16] + [20] * len(sheet.sizes))
    style = [
        ("GRID", (0, 0), (-1, -1), 0.4, colors.black),
        ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
    ]
    grid.setStyle(TableStyle(style))
    return grid


class _Frame:
    """A view of a space on paper: two hull axes, fitted into the width."""

    def __init__(self, space: SheetBox, u: int, sign: float, v: int) -> None:
        self.u, self.sign, self.v = u, sign, v
        wide, high = space.high_mm[u] - space.low_mm[u], space.high_mm[v] - space.low_mm[v]
        self.scale = min((WIDTH - 60) / max(wide, 1.0), (HEIGHT_PT - 36) / max(high, 1.0))
        self.x0 = space.low_mm[u] if sign > 0 else space.high_mm[u]
        self.y0 = space.low_mm[v]

    def at(self, p: Triple) -> tuple[float, float]:
        """A point on the paper."""
        x = 30 + self.sign * (p[self.u] - self.x0) * self.scale
        return x, 16 + (p[self.v] - self.y0) * self.scale


def _sketch(sheet: Sheet, space: SheetBox, words: str, u: int, sign: float, v: int) -> Drawing:
    """One view of a space with what is in it, and the numbers of its sizes."""
    f = _Frame(space, u, sign, v)
    d = Drawing(WIDTH, HEIGHT_PT)
    d.add(String(0, HEIGHT_PT - 9, f"{space.label}, {words}", fontName=BOLD, fontSize=7))
    _box(d, f, space, 1.2, None)
    for thing in sheet.things:
        if thing.space == space.key:
            _box(d, f, thing, 0.6, colors.Color(0.86, 0.86, 0.86))
    mine = {space.key, *(t.key for t in sheet.things if t.space == space.key)}
    used: list[tuple[float, float]] = []
    for n, size in enumerate(sheet.sizes, start=1):
        if size.of in mine and size.axis in (u, v):
            _number(d, f, size, n, used)
    return d


def _box(d: Drawing, f: _Frame, box: SheetBox, width: float, fill: Any) -> None:
    (x, y), (x2, y2) = f.at(box.low_mm), f.at(box.high_mm)
    x, x2 = min(x, x2), max(x, x2)
    d.add(
        Rect(
            x,
            y,
            max(x2 - x, 0.8),
            max(y2 - y, 0.8),
            strokeWidth=width,
            strokeColor=colors.black,
            fillColor=fill,
        )
    )


def _number(
    d: Drawing, f: _Frame, size: SheetSize, n: int, used: list[tuple[float, float]]
) -> None:
    """A size's line with its number beside the middle, off the numbers drawn before."""
    (x, y), (x2, y2) = f.at(size.from_mm), f.at(size.to_mm)
    if abs(x2 - x) + abs(y2 - y) < 1.0:
        return
    d.add(Line(x, y, x2, y2, strokeWidth=0.5, strokeDashArray=(2, 2)))
    mx, my = (x + x2) / 2, (y + y2) / 2
    while any(abs(mx - a) < 13 and abs(my - b) < 11 for a, b in used):
        mx, my = (mx + 13, my) if abs(x2 - x) < abs(y2 - y) else (mx, my + 11)
    used.append((mx, my))
    d.add(Circle(mx, my, 6, strokeWidth=0.5, fillColor=colors.white))
    d.add(String(mx, my - 2.2, str(n), fontName=FONT, fontSize=6.5, textAnchor="middle"))
