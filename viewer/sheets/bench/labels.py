"""Label strips to print and cut at their true size: one for each end of every wire of a board."""

import io
from typing import Final

from reportlab.lib.pagesizes import A4
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from viewer.sheets.pdf import BOLD, FONT, load_fonts
from viewer.words.bench import BenchWords
from viewer.words.bench_ends import SHORT_MM

LABEL: Final = (60.0, 9.0)  # mm: wraps a cable and laps itself
MARGIN: Final = 12.0
SIZE: Final = 8.0
TITLE_MM: Final = 14.0


def labels_of(words: BenchWords) -> list[tuple[str, str]]:
    """(mark, words) for every label: both ends of each link (one of a short one), and the board's
    end of what arrives; then one for each part.
    """
    out = []
    for w in words.row.links:
        start, goal = words.both(w)
        ends = ((start, goal), (goal, start))
        for here, there in ends[:1] if w.cut_mm < SHORT_MM else ends:
            out.append((w.mark, f"{here} > {there}"))
    for a in words.row.arrives:
        here = words.side(a.end, a.number.endswith("-"))
        out.append((a.number, f"{here} < {words.names.terminal(a.other)}"))
    out += [(str(p.number), words.names.part(f"{words.row.key}.{p.key}")) for p in words.row.parts]
    return out


def labels_pdf(words: BenchWords) -> bytes:
    """The strips; the same board gives the same bytes."""
    load_fonts()
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=A4, invariant=1)
    canvas.setTitle(f"Labels: {words.label}")
    wide, high = LABEL
    columns = int((A4[0] / mm - 2 * MARGIN) // wide)
    rows = int((A4[1] / mm - 2 * MARGIN - TITLE_MM) // high)
    every = labels_of(words)
    for first in range(0, max(len(every), 1), columns * rows):
        canvas.setFont(BOLD, 10)
        canvas.drawString(MARGIN * mm, A4[1] - (MARGIN + 4) * mm, f"Labels: {words.label}")
        canvas.setFont(FONT, 7)
        note = "Print at 100 %, cut, wrap 40 to 60 mm back from the lug under clear sleeve."
        canvas.drawString(MARGIN * mm, A4[1] - (MARGIN + 8) * mm, note)
        for k, (mark, text) in enumerate(every[first : first + columns * rows]):
            x = (MARGIN + wide * (k % columns)) * mm
            y = A4[1] - (MARGIN + TITLE_MM + high * (k // columns + 1)) * mm
            canvas.setLineWidth(0.3)
            canvas.rect(x, y, wide * mm, high * mm)
            canvas.setFont(BOLD, SIZE + 2)
            canvas.drawString(x + 1.5 * mm, y + 3 * mm, mark)
            left = x + max(12.0 * mm, canvas.stringWidth(mark, BOLD, SIZE + 2) + 3 * mm)
            _fitted(canvas, text, left, y + 3.2 * mm, x + wide * mm - left - 1.5 * mm)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def _fitted(canvas: Canvas, text: str, x: float, y: float, room: float) -> None:
    """Words set as large as their room lets them, on two lines where they are long."""
    size = SIZE
    while canvas.stringWidth(text, FONT, size) > room and size > 5.5:
        size -= 0.25
    if canvas.stringWidth(text, FONT, size) <= room:
        canvas.setFont(FONT, size)
        canvas.drawString(x, y, text)
        return
    words, first = text.split(" "), ""
    while words and canvas.stringWidth(f"{first} {words[0]}".strip(), FONT, size) <= room:
        first = f"{first} {words.pop(0)}".strip()
    rest = " ".join(words)
    while rest and canvas.stringWidth(rest, FONT, size) > room:
        rest = rest[:-2] + "…"
    canvas.setFont(FONT, size)
    canvas.drawString(x, y + 1.1 * mm, first)
    canvas.drawString(x, y - 1.2 * mm, rest)
