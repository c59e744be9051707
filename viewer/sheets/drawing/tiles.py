"""A drawing at its true size over several pages, to be joined by crosses.

Sheets can be off by a millimetre or two in the printer, so pages are not joined by their edges:
neighbours share a strip, and in it stand crosses with the drawing's own coordinates. Every page
carries a bar of 100 mm both ways.
"""

import io
from dataclasses import dataclass
from typing import Any, Final

from reportlab.lib.pagesizes import A4, letter
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from shapely import LineString, Polygon, box

from viewer.sheets.drawing.model import Circle, Drawing, Line, Words, reach
from viewer.sheets.drawing.paint import paint
from viewer.sheets.pdf import BOLD, FONT, load_fonts

PAPERS: Final = {"A4": A4, "Letter": letter}
LEFT: Final = 16.0  # mm of paper for the upright bar
FOOT: Final = 20.0  # mm for the level bar and the words
EDGE: Final = 8.0
SHARED: Final = 15.0  # mm two neighbours share
BAR: Final = 100.0
CROSS: Final = 5.0
SAFE: Final = (
    "Print at 100 % (no fit to page). Both bars must measure 100 mm; if not, do not drill from it."
)


@dataclass(frozen=True, slots=True)
class Tiling:
    """How a drawing is cut into pages: its lower left corner, a page's room, how many, and
    whether the paper lies on its side.
    """

    x0: float
    y0: float
    wide: float
    high: float
    columns: int
    rows: int
    lying: bool = False
    drilled: tuple[tuple[float, float, float], ...] = ()  # x, y and reach of every ring

    def corner(self, column: int, row: int) -> tuple[float, float]:
        """The drawing's coordinates at a page's lower left corner."""
        return (
            self.x0 + column * (self.wide - SHARED),
            self.y0 + row * (self.high - SHARED),
        )

    def crosses(self, column: int, row: int) -> list[tuple[float, float]]:
        """The crosses on a page: in every strip it shares with a neighbour, two."""
        x, y = self.corner(column, row)
        out = []
        for beside, at in ((-1, x + SHARED / 2), (1, x + self.wide - SHARED / 2)):
            if 0 <= column + beside < self.columns:
                out += [self._clear((at, y + self.high * s), 1) for s in (0.25, 0.75)]
        for beside, at in ((-1, y + SHARED / 2), (1, y + self.high - SHARED / 2)):
            if 0 <= row + beside < self.rows:
                out += [self._clear((x + self.wide * s, at), 0) for s in (0.25, 0.75)]
        return out

    def _clear(self, spot: tuple[float, float], axis: int) -> tuple[float, float]:
        """A cross moved along its strip until it is off every ring: the same on both pages."""
        for off in (0.0, 12.0, -12.0, 24.0, -24.0, 36.0, -36.0):
            x, y = (spot[0] + off, spot[1]) if axis == 0 else (spot[0], spot[1] + off)
            if all(max(abs(x - a), abs(y - b)) > r + 2 * CROSS for a, b, r in self.drilled):
                return x, y
        return spot


def tiling(drawing: Drawing, paper: str = "A4") -> Tiling:
    """How a drawing is cut for a paper, the fewest pages with it upright or lying."""
    x0, y0, x1, y1 = drawing.extent()
    rings = tuple((s.x, s.y, s.radius) for s in drawing.shapes if isinstance(s, Circle))
    both = []
    for lying in (False, True):
        width, height = (v / mm for v in _size(paper, lying))
        wide, high = width - LEFT - EDGE, height - FOOT - EDGE
        columns, rows = (
            max(1, -int(-(size - SHARED) // (room - SHARED)))
            for size, room in ((x1 - x0, wide), (y1 - y0, high))
        )
        # what is over is shared by both sides, so that no page is nearly empty
        off = [
            (size - count * (room - SHARED) - SHARED) / 2
            for size, count, room in ((x1 - x0, columns, wide), (y1 - y0, rows, high))
        ]
        both.append(Tiling(x0 + off[0], y0 + off[1], wide, high, columns, rows, lying, rings))
    return min(both, key=lambda t: t.columns * t.rows)


def _size(paper: str, lying: bool) -> tuple[float, float]:
    width, height = PAPERS[paper]
    return (height, width) if lying else (width, height)


def as_tiles(drawings: list[Drawing], paper: str = "A4") -> bytes:
    """The pages of some drawings, one after the other; the same drawings give the same bytes."""
    load_fonts()
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=PAPERS[paper], invariant=1)
    canvas.setTitle(drawings[0].title if drawings else "")
    canvas.setAuthor("coaming")
    for drawing in drawings:
        t = tiling(drawing, paper)
        for row in range(t.rows - 1, -1, -1):
            for column in range(t.columns):
                if t.columns * t.rows > 1 and not _drawn(drawing, t, column, row):
                    continue  # nothing to cut or drill is on it
                _page(canvas, drawing, t, column, row, paper)
    canvas.save()
    return out.getvalue()


def _drawn(drawing: Drawing, t: Tiling, column: int, row: int) -> bool:
    """True where a line comes into the part of a page that is its own."""
    x, y = t.corner(column, row)
    inner = SHARED / 2  # an outermost page has the drawing's edge to itself
    x0 = x + inner if column > 0 else x - 1
    y0 = y + inner if row > 0 else y - 1
    x1 = x + t.wide - inner if column < t.columns - 1 else x + t.wide + 1
    y1 = y + t.high - inner if row < t.rows - 1 else y + t.high + 1
    for s in drawing.shapes:
        a, b, c, d = reach(s)
        if isinstance(s, Words) or c < x0 or a > x1 or d < y0 or b > y1:
            continue
        if not isinstance(s, Line) or _comes_in(s, box(x0, y0, x1, y1)):
            return True
    return False


def _comes_in(line: Line, own: Polygon) -> bool:
    """True where a line itself, not only the rectangle round it, comes into a page."""
    points = [*line.points, line.points[0]] if line.closed else list(line.points)
    return bool(LineString(points).intersects(own))


def _page(canvas: Any, drawing: Drawing, t: Tiling, column: int, row: int, paper: str) -> None:
    canvas.setPageSize(_size(paper, t.lying))
    cx, cy = t.corner(column, row)
    canvas.saveState()
    path = canvas.beginPath()
    path.rect(LEFT * mm, FOOT * mm, t.wide * mm, t.high * mm)
    canvas.clipPath(path, stroke=0, fill=0)
    paint(canvas, drawing, (LEFT - cx) * mm, (FOOT - cy) * mm)
    canvas.restoreState()
    for x, y in t.crosses(column, row):
        right = x - cx > t.wide - 30.0  # its figures stay on the page
        _cross(
            canvas,
            (LEFT + x - cx) * mm,
            (FOOT + y - cy) * mm,
            f"{x + 1e-6:.1f} | {y + 1e-6:.1f}",
            right,
        )
    _bars(canvas)
    name = f"{chr(65 + column)}{t.rows - row}"
    canvas.setFont(BOLD, 9)
    canvas.drawString(LEFT * mm, 5.5 * mm, f"{drawing.title}"[:80])
    canvas.setFont(FONT, 6.5)
    canvas.drawString(LEFT * mm, 2.5 * mm, SAFE)
    page = f"page {name} of {t.columns} x {t.rows}"
    canvas.setFont(BOLD, 9)
    canvas.drawRightString((LEFT + t.wide) * mm, 5.5 * mm, page)
    canvas.setFont(FONT, 6.5)
    joins = "join by the crosses: same figures on the same cross" if t.columns * t.rows > 1 else ""
    canvas.drawRightString((LEFT + t.wide) * mm, 2.5 * mm, f"{paper}. {joins}")
    canvas.showPage()


def _cross(canvas: Any, x: float, y: float, words: str, before: bool) -> None:
    """A slanting cross in a square: nothing that is drilled looks like it."""
    canvas.setLineWidth(0.15 * mm)
    r = CROSS * 0.7 * mm
    canvas.line(x - r, y - r, x + r, y + r)
    canvas.line(x - r, y + r, x + r, y - r)
    canvas.rect(x - r, y - r, 2 * r, 2 * r, stroke=1, fill=0)
    canvas.setFont(FONT, 5)
    if before:
        canvas.drawRightString(x - r - 0.8 * mm, y + 1.2 * mm, f"join {words}")
    else:
        canvas.drawString(x + r + 0.8 * mm, y + 1.2 * mm, f"join {words}")


def _bars(canvas: Any) -> None:
    """100 mm both ways, with a tick each 10 mm."""
    canvas.setLineWidth(0.2 * mm)
    x, y = LEFT * mm, 12 * mm
    canvas.line(x, y, x + BAR * mm, y)
    for k in range(11):
        tick = 3.0 if k in (0, 10) else 1.5
        canvas.line(x + 10 * k * mm, y, x + 10 * k * mm, y + tick * mm)
    canvas.setFont(FONT, 6)
    canvas.drawString(x + (BAR + 2) * mm, y, "100 mm")
    x, y = 10 * mm, FOOT * mm
    canvas.line(x, y, x, y + BAR * mm)
    for k in range(11):
        tick = 3.0 if k in (0, 10) else 1.5
        canvas.line(x, y + 10 * k * mm, x + tick * mm, y + 10 * k * mm)
    canvas.saveState()
    canvas.translate(x + 1.5 * mm, y + (BAR + 2) * mm)
    canvas.rotate(90)
    canvas.drawString(0, -1.5 * mm, "100 mm")
    canvas.restoreState()
