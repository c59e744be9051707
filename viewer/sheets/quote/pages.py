"""The quote as the customer gets it: sections to take or strike out, sums, what is not in it."""

import io
from typing import Any, Final

from reportlab.lib import colors
from reportlab.platypus import KeepTogether, Spacer, TableStyle
from reportlab.platypus import Table as Grid

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
from viewer.words.estimate import METHOD, EstimateWords
from viewer.words.steps import CAUTIONS

TAKE: Final = (
    "Tick what you want and strike out the rest; the office prices what stays anew. The last line "
    "is part of all of them, and what a part hangs on (its battery, board or feeder) stays with "
    "it. Changes are told, with their price, before they are done. Every price has its share of "
    "what the shop puts on goods, of small things, and of what is put by for what turns up."
)
MAINS: Final = (
    "Mains (AC) is not in this quote: its space and route are kept free, the work is a licensed "
    "person's."
)


def quote_pdf(words: EstimateWords, valid_days: int, address: str, terms: str, made: str) -> bytes:
    """The customer's sheet; the same estimate gives the same bytes."""
    load_fonts()
    out = io.BytesIO()
    result, e = words.result, words.e
    doc = document(out, f"Quote: {result.job}")
    flow: list[Any] = [paragraph("Quote", TITLE)]
    if e.shop:
        flow.append(paragraph(e.shop, SUB))
        flow += [paragraph(line.strip(), SMALL) for line in address.split(",") if line.strip()]
    flow += [
        Spacer(1, 4),
        *([paragraph(f"For {e.customer}")] if e.customer else []),
        paragraph(f"{result.job}. {result.hull}."),
        paragraph(
            f"{made + '. ' if made else ''}Result {result.inputs.fingerprint}. "
            f"Stands for {valid_days} days.",
            SMALL,
        ),
        paragraph("What is in it", HEAD),
        paragraph(TAKE, SMALL),
        _sections(words),
        Spacer(1, 6),
        KeepTogether([paragraph("What it comes to", HEAD), _sums(words)]),
        paragraph(f"{words.spread()}.", SMALL),
    ]
    if words.waits():
        flow.append(paragraph(f"{words.waits()}.", SMALL))
    stuck = words.stuck()
    if stuck:
        told = "; ".join(stuck)
        flow.append(
            paragraph(f"Not settled yet, so not to be fitted as it stands: {told}.", SMALL_BOLD)
        )
    if words.no_way():
        told = "; ".join(words.no_way())
        flow.append(paragraph(f"No way found yet, so no cable in any sum: {told}.", SMALL_BOLD))
    missing = words.unpriced()
    if missing:
        flow += [
            paragraph("Not priced yet, and not in any sum", SUB),
            paragraph("; ".join(missing), SMALL),
        ]
    flow += [paragraph("Where the hours go", SUB), table(words.groups())]
    flow += [paragraph(words.groups().note, SMALL), paragraph(METHOD, SMALL)]
    tail = [paragraph("On these terms", SUB)]
    if terms:
        tail.append(paragraph(terms, SMALL))
    bare = [f for f in result.findings if f.rule == "no switch"]
    if bare:
        about = words.names.about(bare[0].about)
        tail.append(paragraph(f"No switch, relay or control is told, so none is in it: {about}.",
                              SMALL))  # fmt: skip
    if any(c.mains for c in result.circuits):
        tail.append(paragraph(MAINS, SMALL))
    tail += [paragraph(c, SMALL) for c in CAUTIONS[2:4]]
    tail += [Spacer(1, 14), paragraph("Agreed, with the sections struck out as above:", SMALL)]
    tail += [Spacer(1, 16), paragraph("_" * 34 + "      " + "_" * 34, SMALL)]
    tail.append(paragraph("date, customer" + "\u00a0" * 46 + "date, shop", SMALL))
    flow.append(KeepTogether(tail))
    doc.build(flow, onFirstPage=foot, onLaterPages=foot)
    return out.getvalue()


def _sections(words: EstimateWords) -> Grid:
    head = ("Take", "Section", "What it holds", f"{words.e.currency}, net")
    data = [[paragraph(h, SMALL_BOLD) for h in head]]
    for s in words.e.sections:
        box = "all" if s.key == "all" else "☐"
        price = f"{s.total:,.2f}".replace(",", " ")
        if s.unpriced:
            price += f" + {s.unpriced} to price"
        cells = (box, words.section(s.key), words.included(s), price)
        data.append([paragraph(c, SMALL) for c in cells])
    grid = Grid(data, colWidths=[WIDTH * w for w in (0.08, 0.24, 0.48, 0.2)], repeatRows=1)
    grid.setStyle(
        TableStyle(
            [
                ("GRID", (0, 0), (-1, -1), 0.4, colors.grey),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ]
        )
    )
    return grid


def _sums(words: EstimateWords) -> Grid:
    rows = words.sums()
    data = [[paragraph(k, SMALL), paragraph(v, SMALL)] for k, v in rows]
    if words.e.unpriced:
        more = f"{words.e.unpriced} lines of goods that have no price yet, listed below"
        data.append([paragraph("To come on top", SMALL_BOLD), paragraph(more, SMALL_BOLD)])
    for k in (5, len(rows) - 1):
        data[k] = [paragraph(x, SMALL_BOLD) for x in rows[k]]
    grid = Grid(data, colWidths=[WIDTH * 0.6, WIDTH * 0.4])
    grid.setStyle(TableStyle([("LINEBELOW", (0, 0), (-1, -1), 0.3, colors.grey)]))
    return grid
