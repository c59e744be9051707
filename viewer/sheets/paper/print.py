"""A paper as PDF: A4, bookmarks, text that can be searched, no more white than its order asks."""

import io
from typing import Any, Final

from reportlab.lib import colors
from reportlab.lib.units import mm
from reportlab.platypus import (
    CondPageBreak,
    Flowable,
    KeepTogether,
    PageBreak,
    Spacer,
    TableStyle,
)
from reportlab.platypus import Table as Cells

from viewer.sheets.drawing.paint import Shown
from viewer.sheets.paper.blocks import (
    Block,
    Facts,
    Figure,
    Grid,
    Heading,
    Paper,
    Photo,
    Photos,
    Text,
    Ticks,
)
from viewer.sheets.paper.blocks import Space as Room
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
    image,
    load_fonts,
    paragraph,
    table,
)

STYLES: Final = {"plain": BODY, "small": SMALL, "strong": SMALL_BOLD}
HEADS: Final = {1: HEAD, 2: SUB, 3: SMALL_BOLD}
TOGETHER: Final = 110.0  # points: a heading and a little of what follows
LYING: Final = 1.3  # drawings so many times as wide as a page are turned
FILL_PAD: Final = 6.0


class Bookmark(Flowable):  # type: ignore[misc]
    """An entry of the outline, where it stands."""

    def __init__(self, text: str, level: int, number: int) -> None:
        super().__init__()
        self.text, self.level, self.number = text, level, number

    def wrap(self, _wide: float, _high: float) -> tuple[float, float]:
        """It takes no room."""
        return 0.0, 0.0

    def draw(self) -> None:
        """Put it into the outline."""
        key = f"mark{self.number}"
        self.canv.bookmarkPage(key)
        self.canv.addOutlineEntry(self.text, key, self.level, closed=False)


def as_print(paper: Paper) -> bytes:
    """The paper as PDF; the same paper gives the same bytes."""
    load_fonts()
    out = io.BytesIO()
    doc = document(out, paper.title)
    flow: list[Any] = [paragraph(paper.title, TITLE)]
    if paper.sub:
        flow.append(paragraph(paper.sub))
    held: list[Any] = []  # a heading stays with the drawing it names
    for n, block in enumerate(paper.blocks):
        mine = _flow(block, n)
        after = paper.blocks[n + 1] if n + 1 < len(paper.blocks) else None
        if isinstance(block, Heading) and not block.new_page and isinstance(after, Figure):
            held = mine[1:]
        else:
            flow += [KeepTogether([*held, *mine])] if held else mine
            held = []
    doc.build(flow, onFirstPage=foot, onLaterPages=foot)
    return out.getvalue()


def _flow(block: Block, n: int) -> list[Any]:
    if isinstance(block, Heading):
        brk = PageBreak() if block.new_page else CondPageBreak(TOGETHER)
        level = min(block.level, 2) - 1
        return [brk, Bookmark(block.text, level, n), paragraph(block.text, HEADS[block.level])]
    if isinstance(block, Text):
        return [paragraph(block.text, STYLES[block.style])]
    if isinstance(block, Ticks):
        return [paragraph(_marked(block.kind, k, x), SMALL) for k, x in enumerate(block.items, 1)]
    if isinstance(block, Facts):
        data = [[paragraph(k, SMALL_BOLD), paragraph(v, SMALL)] for k, v in block.rows]
        grid = Cells(data, colWidths=[WIDTH * 0.18, WIDTH * 0.82])
        grid.setStyle(TableStyle([("VALIGN", (0, 0), (-1, -1), "TOP")]))
        return [grid] if data else []
    if isinstance(block, Grid):
        return _grid(block)
    if isinstance(block, Figure):
        x0, y0, x1, y1 = block.drawing.extent()
        wide = (x1 - x0) * mm > LYING * WIDTH and (x1 - x0) > (y1 - y0)
        return [Shown(block.drawing, WIDTH, block.most_high, wide), Spacer(1, 4)]
    if isinstance(block, Photos):
        return _photos(block)
    return [Spacer(1, block.points)] if isinstance(block, Room) else []


def _marked(kind: str, k: int, text: str) -> str:
    return {"box": f"☐ {text}", "number": f"{k}. {text}"}.get(kind, text)


def _grid(block: Grid) -> list[Any]:
    t = block.table
    head: list[Any] = []
    if t.title:
        head += [CondPageBreak(TOGETHER), paragraph(t.title, SUB)]
    if t.note:
        head.append(paragraph(t.note, SMALL))
    if not block.fill:
        return [*head, table(t), Spacer(1, 6)]
    total = sum(t.widths)
    data = [[paragraph(h, SMALL_BOLD) for h in t.head]]
    data += [[paragraph(c, SMALL) for c in row] for row in t.rows]
    grid = Cells(data, colWidths=[WIDTH * w / total for w in t.widths], repeatRows=1)
    grid.setStyle(
        TableStyle(
            [
                ("GRID", (0, 0), (-1, -1), 0.4, colors.grey),
                ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
                ("BOTTOMPADDING", (0, 1), (-1, -1), FILL_PAD),
            ]
        )
    )
    return [*head, grid, Spacer(1, 6)]


def _photos(block: Photos) -> list[Any]:
    out: list[Any] = []
    wide = WIDTH / block.columns
    for k in range(0, len(block.photos), block.columns):
        row = block.photos[k : k + block.columns]
        cells: list[Any] = [_cell(p, wide - 6) for p in row]
        cells += [[] for _ in range(block.columns - len(row))]
        grid = Cells([cells], colWidths=[wide] * block.columns)
        grid.setStyle(
            TableStyle(
                [
                    ("VALIGN", (0, 0), (-1, -1), "TOP"),
                    ("BOX", (0, 0), (len(row) - 1, -1), 0.4, colors.grey),
                    ("INNERGRID", (0, 0), (len(row) - 1, -1), 0.4, colors.grey),
                    ("LEFTPADDING", (0, 0), (-1, -1), 3),
                    ("RIGHTPADDING", (0, 0), (-1, -1), 3),
                ]
            )
        )
        out.append(KeepTogether([grid]))
    return [*out, Spacer(1, 4)]


def _cell(p: Photo, wide: float) -> list[Any]:
    cell: list[Any] = [image(p.png, wide), paragraph(p.words, SMALL)]
    return [*cell, paragraph(p.note, SMALL)] if p.note else cell
