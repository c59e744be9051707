"""The job cards as a PDF, and the hours to write in as a list."""

import io
from pathlib import Path
from typing import Any

from reportlab.lib import colors
from reportlab.platypus import CondPageBreak, Spacer, TableStyle
from reportlab.platypus import Table as Grid

from viewer.files import csv_bytes, write_folder
from viewer.sheets.pdf import (
    HEAD,
    SMALL,
    SMALL_BOLD,
    TITLE,
    WIDTH,
    document,
    foot,
    load_fonts,
    paragraph,
    table,
)
from viewer.words.steps import CAUTIONS
from viewer.words.work_order import Card, WorkWords

ROOM = 140.0
NOTE = (
    "A card for each place, so that one gets in and out once. Tick, and write the hours a line "
    "took: they make the next estimate better (coaming learn)."
)


def cards_pdf(words: WorkWords) -> bytes:
    """The cards; the same result gives the same bytes."""
    load_fonts()
    out = io.BytesIO()
    title = f"Job cards: {words.result.job}"
    doc = document(out, title)
    flow: list[Any] = [paragraph(title, TITLE), paragraph(NOTE, SMALL)]
    made = (
        f"Result {words.result.inputs.fingerprint}: papers of another result do not go with these."
    )
    flow.append(paragraph(made, SMALL))
    stuck = words.words.stuck()
    if stuck:
        told = "; ".join(stuck)
        flow.append(paragraph(f"Not settled yet, so do not begin on it: {told}.", SMALL_BOLD))
    flow += [paragraph(c, SMALL) for c in CAUTIONS[:5]]
    for card in words.cards():
        flow += [CondPageBreak(ROOM), *_card(card)]
    doc.build(flow, onFirstPage=foot, onLaterPages=foot)
    return out.getvalue()


def _card(card: Card) -> list[Any]:
    t = card.lines
    data = [[paragraph(h, SMALL_BOLD) for h in t.head]]
    data += [[paragraph(c, SMALL) for c in row] for row in t.rows]
    total = sum(t.widths)
    grid = Grid(data, colWidths=[WIDTH * w / total for w in t.widths], repeatRows=1)
    grid.setStyle(TableStyle([("GRID", (0, 0), (-1, -1), 0.4, colors.grey),
                              ("VALIGN", (0, 0), (-1, -1), "MIDDLE")]))  # fmt: skip
    out: list[Any] = [paragraph(f"{card.title}: {card.hours:.1f} h", HEAD)]
    for head, text in (("", card.reached), ("Tools: ", card.tools), ("Papers: ", card.papers)):
        if text:
            out.append(paragraph(head + text, SMALL))
    out += [Spacer(1, 3), grid]
    for more in (card.cables, card.standing, card.clips):
        if more.rows:
            out += [CondPageBreak(60), paragraph(more.title, SMALL_BOLD)]
            out += [paragraph(more.note, SMALL)] if more.note else []
            out.append(table(more))
    return [*out, Spacer(1, 8)]


def write_cards(words: WorkWords, out: Path) -> list[Path]:
    """Write the cards and the list of hours, all files or none. Raises CoamingError."""
    rows: list[list[object]] = [
        ["job", "task", "where", "on", "count", "planned_h", "took_h", "remark"]
    ]
    for t in words.words.e.tasks:
        rows.append([words.result.job, t.task, words.words.place(t.place),
                     words.words.about(t.about), t.count, t.mean, None, None])  # fmt: skip
    files = {"job_cards.pdf": cards_pdf(words), "hours.csv": csv_bytes(rows)}
    write_folder(out, files)
    return [out / name for name in files]
