"""The pick lists as a PDF and a list."""

import io
from pathlib import Path
from typing import Any

from reportlab.platypus import CondPageBreak, Spacer

from viewer.files import csv_bytes, write_folder
from viewer.sheets.pdf import (
    SMALL,
    SMALL_BOLD,
    SUB,
    TITLE,
    document,
    foot,
    load_fonts,
    paragraph,
    table,
)
from viewer.words.buying import BuyingWords
from viewer.words.table import Table

ROOM = 90.0


def tables_of(words: BuyingWords) -> list[Table]:
    """Every list, what is ordered first at the top."""
    own = [words.long_lead(), words.drums(), words.leads(), words.sheets(), words.breakers()]
    own += [words.pick(name, lines) for name, lines in words.groups().items()]
    return [t for t in own if t.rows]


def buying_pdf(words: BuyingWords) -> bytes:
    """The pick lists; the same result gives the same bytes."""
    load_fonts()
    out = io.BytesIO()
    title = f"To buy: {words.result.job}"
    doc = document(out, title)
    flow: list[Any] = [paragraph(title, TITLE)]
    made = (
        f"Result {words.result.inputs.fingerprint}: papers of another result do not go with these."
    )
    flow.append(paragraph(made, SMALL))
    stuck = words.words.stuck()
    if stuck:
        flow.append(
            paragraph(f"Not settled yet: {'; '.join(stuck)}. Order for it last.", SMALL_BOLD)
        )
    for t in tables_of(words):
        flow += [CondPageBreak(ROOM), paragraph(t.title, SUB)]
        if t.note:
            flow.append(paragraph(t.note, SMALL))
        flow += [table(t), Spacer(1, 6)]
    doc.build(flow, onFirstPage=foot, onLaterPages=foot)
    return out.getvalue()


def write_buying(words: BuyingWords, out: Path) -> list[Path]:
    """Write the lists, all files or none. Raises CoamingError."""
    rows: list[list[object]] = []
    for t in tables_of(words):
        rows += [[t.title], [h for h in t.head if h]]
        rows += [[c for c in row if c != "☐"] for row in t.rows]
    files = {"to_buy.pdf": buying_pdf(words), "to_buy.csv": csv_bytes(rows)}
    write_folder(out, files)
    return [out / name for name in files]
