"""A drawing painted on a PDF page at any scale, in black on white."""

from typing import Any

from reportlab.lib import colors
from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from viewer.sheets.drawing.model import Circle, Drawing, Layer, Line, Rounded, Words
from viewer.sheets.drawing.svg import CAPITAL, WIDTHS
from viewer.sheets.pdf import BOLD, FONT

GREYS = {Layer.ROOMS: 0.55, Layer.DIMENSIONS: 0.25}
LEAST_LETTER_PT = 4.5


def paint(canvas: Any, drawing: Drawing, x: float, y: float, scale: float = 1.0) -> None:
    """Paint a drawing with its nought at a point of the page (points), `scale` paper to life."""
    unit = mm * scale

    def at(px: float, py: float) -> tuple[float, float]:
        return x + px * unit, y + py * unit

    for s in drawing.shapes:
        if isinstance(s, Words):
            _words(canvas, s, at(s.x, s.y), unit)
            continue
        canvas.saveState()
        canvas.setStrokeGray(GREYS.get(s.layer, 0.0))
        wide = isinstance(s, Line) and s.wide
        canvas.setLineWidth(WIDTHS.get(s.layer, 0.2) * mm * (2.2 if wide else 1.0))
        if getattr(s, "dash", False):
            canvas.setDash(2 * mm * 0.8, 1.2 * mm * 0.8)
        if isinstance(s, Line):
            path = canvas.beginPath()
            path.moveTo(*at(*s.points[0]))
            for p in s.points[1:]:
                path.lineTo(*at(*p))
            if s.closed:
                path.close()
            canvas.drawPath(path, stroke=1, fill=0)
        elif isinstance(s, Circle):
            canvas.setFillGray(0.0)
            canvas.circle(*at(s.x, s.y), s.radius * unit, stroke=1, fill=int(s.filled))
        elif isinstance(s, Rounded):
            corner = at(s.x - s.length / 2, s.y - s.height / 2)
            canvas.roundRect(*corner, s.length * unit, s.height * unit, s.radius * unit)
        canvas.restoreState()


def _words(canvas: Any, s: Words, at: tuple[float, float], unit: float) -> None:
    size = max(s.size / CAPITAL * unit, LEAST_LETTER_PT)
    font = BOLD if s.bold else FONT
    canvas.saveState()
    canvas.translate(*at)
    if s.turn_deg:
        canvas.rotate(s.turn_deg)
    width = canvas.stringWidth(s.text, font, size)
    left = {"start": 0.0, "middle": -width / 2, "end": -width}[s.anchor]
    if s.plain:
        canvas.setFillColor(colors.white)
        canvas.rect(left - 0.6, -0.16 * size, width + 1.2, size * 0.98, stroke=0, fill=1)
    canvas.setFillColor(colors.black)
    canvas.setFont(font, size)
    canvas.drawString(left, 0, s.text)
    canvas.restoreState()


class Shown(Flowable):  # type: ignore[misc]
    """A drawing fitted into a sheet."""

    def __init__(
        self, drawing: Drawing, width: float, most_height: float, lying: bool = False
    ) -> None:
        super().__init__()
        self.drawing, self.lying = drawing, lying
        x0, y0, x1, y1 = drawing.extent()
        self.x0, self.y0 = x0, y0
        if lying:  # turned to the left: its length runs up the page
            long, high = (x1 - x0) * mm, (y1 - y0) * mm
            self.scale = min(most_height / long, width / high, 1.0)
            self.width, self.height = width, long * self.scale
            self.left = (width + high * self.scale) / 2
            return
        self.scale = min(width / ((x1 - x0) * mm), most_height / ((y1 - y0) * mm), 1.0)
        self.width, self.height = width, (y1 - y0) * mm * self.scale
        self.left = (width - (x1 - x0) * mm * self.scale) / 2

    def wrap(self, _wide: float, _high: float) -> tuple[float, float]:
        """The room it takes."""
        return self.width, self.height

    def draw(self) -> None:
        """Paint it."""
        unit = mm * self.scale
        if self.lying:
            self.canv.translate(self.left, 0)
            self.canv.rotate(90)
            paint(self.canv, self.drawing, -self.x0 * unit, -self.y0 * unit, self.scale)
            return
        x, y = self.left - self.x0 * unit, -self.y0 * unit
        paint(self.canv, self.drawing, x, y, self.scale)
