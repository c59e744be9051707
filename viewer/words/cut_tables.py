"""What cable is bought, how it is cut, what it and its clips come to, in tables."""

from typing import Final

from viewer.words.names import Names, metres
from viewer.words.table import Table, Words
from viewer.work.rows import Result
from viewer.work.wiring_rows import CutRow


def cable_words(x: CutRow) -> str:
    """A size of cable, and its colour where it is bought by that."""
    return f"{x.cable} {x.colour}".strip()


def stock_words(x: CutRow) -> str:
    """What a piece is cut from."""
    length = f"{x.stock_mm / 1000:g} m"
    usual = {"drum": f"{length} drum", "cut to order": f"{length} cut to order"}
    return usual.get(x.stock, f"{x.stock}, {length}")


def cuts(r: Result, names: Names) -> Table:
    """What is bought of each cable, and what is cut from it."""
    del names
    rows = []
    for x in r.cuts:
        pole = {"+": "plus", "-": "minus"}
        words = [f"{p.number} {pole[p.pole]} {p.length_mm / 1000:.2f} m" for p in x.pieces]
        least = f"cannot cost under {x.plan_bound:.2f}"
        proof = "cheapest, proven" if x.proven_cheapest else least
        rows.append(
            (
                cable_words(x),
                stock_words(x),
                f"{x.price:.2f}",
                "; ".join(words),
                metres(x.left_mm),
                proof,
            )
        )
    head = ("Cable", "From", "Price", "Cut", "Left over", "Plan")
    title = "What to buy and how to cut it"
    return Table(
        "drums", title, "Cable is never jointed.", head, tuple(rows), (11, 18, 9, 42, 10, 14)
    )


COSTS: Final = {
    "cable": "cable",
    "signal cable": "data and aerial leads by the metre",
    "clips": "clips",
    "edging": "edging and grommets",
}


def costs(r: Result, names: Names) -> Table:
    """What cable and clips come to by the job's rates."""
    del names
    rows: list[Words] = []
    for c in r.costs:
        what = f"{COSTS[c.kind]} {c.cable}".strip()
        many = f"{c.count:.1f} {c.unit}" if c.unit in ("m", "h") else f"{c.count:.0f}"
        rows.append((what, many, "-" if not c.each else f"{c.each:.2f}", f"{c.total:.2f}"))
    if rows:
        rows.append(("in all", "", "", f"{sum(c.total for c in r.costs):.2f}"))
    note = (
        "By the job's rates; usual values are from memory, ±40 %: put in your own. Work and the "
        "rest of the goods stand in the estimate (coaming quote)."
    )
    head = ("What", "How much", "Each", "Together")
    return Table("costs", "What cable and clips come to", note, head, tuple(rows), (34, 36, 12, 14))
