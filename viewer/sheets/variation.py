"""A change as a sheet to be agreed: what, why, hours, goods, money, what else moved."""

import io
from pathlib import Path
from typing import Any

from reportlab.platypus import KeepTogether, Spacer, TableStyle
from reportlab.platypus import Table as Grid

from viewer.files import csv_bytes, write_folder
from viewer.sheets.pdf import (
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
from viewer.words.steps import CAUTIONS
from viewer.words.variation import VariationWords, state_table
from viewer.work.states import State

NOTHING = "Nothing else moved: verdicts, lengths and sizes are as they were."


def variation_pdf(words: VariationWords, states: list[State]) -> bytes:
    """The sheet; the same states give the same bytes."""
    load_fonts()
    out = io.BytesIO()
    doc = document(out, words.title())
    facts = [[paragraph(k, SMALL_BOLD), paragraph(v, SMALL)] for k, v in words.facts()]
    grid = Grid(facts, colWidths=[WIDTH * 0.18, WIDTH * 0.82])
    grid.setStyle(TableStyle([("VALIGN", (0, 0), (-1, -1), "TOP")]))
    flow: list[Any] = [paragraph(words.title(), TITLE), grid]
    flow.append(paragraph("What moved", HEAD))
    flow += [paragraph(f"{t}.", SMALL) for t in words.moved()] or [paragraph(NOTHING, SMALL)]
    for t in (words.hours(), words.goods()):
        if t.rows:
            flow += [paragraph(t.title, SUB), table(t), Spacer(1, 4)]
    every = state_table(states)
    flow += [KeepTogether([paragraph(every.title, SUB), table(every)])]
    flow += [Spacer(1, 8), *(paragraph(c, SMALL) for c in CAUTIONS[2:3])]
    flow += [
        Spacer(1, 18),
        paragraph("Agreed before it is done: " + "_" * 30 + "   " + "_" * 30, SMALL),
    ]
    doc.build(flow, onFirstPage=foot, onLaterPages=foot)
    return out.getvalue()


def write_variation(words: VariationWords, states: list[State], out: Path) -> list[Path]:
    """Write the sheet and its lists, all files or none. Raises CoamingError."""
    n = words.after.head.number - 1
    hours, goods = words.hours(), words.goods()
    files = {
        f"change_{n}.pdf": variation_pdf(words, states),
        f"change_{n}.csv": csv_bytes(
            [[k, v] for k, v in words.facts()]
            + [["moved", t] for t in words.moved()]
            + [list(hours.head), *(list(r) for r in hours.rows)]
            + [list(goods.head), *(list(r) for r in goods.rows)]
        ),
    }
    write_folder(out, files)
    return [out / name for name in files]
