"""The quote's papers written into a folder, as a whole."""

from collections.abc import Callable, Sequence
from pathlib import Path

from layout.job.shop_models import ShopHead
from viewer.files import csv_bytes, write_folder
from viewer.sheets.quote.pages import quote_pdf
from viewer.sheets.quote.workbook import workbook
from viewer.words.estimate import BASES, EstimateWords
from viewer.words.names import Names
from viewer.work.rows import Result

Cells = Sequence[Sequence[object]]


def quote_files(result: Result, shop: ShopHead, made: str) -> dict[str, bytes]:
    """The papers by the names of their files."""
    words = EstimateWords(result, Names(result))
    return {
        "quote.pdf": quote_pdf(words, shop.valid_days, shop.address, shop.terms, made),
        "estimate.xlsx": workbook(words),
        "work.csv": csv_bytes(_work(words)),
        "goods.csv": csv_bytes(_goods(words)),
    }


def write_quote(
    result: Result, shop: ShopHead, made: str, out: Path,
    told: Callable[[str], None] = lambda _: None,
) -> list[Path]:  # fmt: skip
    """Write the quote, all files or none; the paths written. Raises CoamingError."""
    told("the quote")
    files = quote_files(result, shop, made)
    write_folder(out, files)
    return [out / name for name in files]


def _work(words: EstimateWords) -> Cells:
    head = ["section", "task", "where", "on", "count", "factor", "least_h", "likely_h", "most_h",
            "mean_h", f"work_{words.e.currency}"]  # fmt: skip
    rows: list[list[object]] = [list(head)]
    for t in words.e.tasks:
        rows.append(
            [words.section(t.section), words.task(t), words.place(t.place), words.about(t.about),
             t.count, t.factor, t.least, t.likely, t.most, t.mean, t.labour]
        )  # fmt: skip
    return rows


def _goods(words: EstimateWords) -> Cells:
    head = ["section", "what", "for", "count", "unit", "each", f"together_{words.e.currency}",
            "whose_price", "from", "weeks"]  # fmt: skip
    rows: list[list[object]] = [list(head)]
    for g in words.e.goods:
        rows.append(
            [words.section(g.section), words.goods(g), words.about(g.about), g.count, g.unit,
             g.each, g.total, BASES[g.basis], g.supplier or None, g.weeks or None]
        )  # fmt: skip
    return rows
