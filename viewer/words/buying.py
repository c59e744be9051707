"""What is to be bought, by who sells it, what takes longest first; and what comes off the shelf."""

from collections import Counter
from typing import Final

from layout.job.reading import SHELF_LABEL
from viewer.words.cut_tables import cable_words
from viewer.words.estimate import BASES, EstimateWords
from viewer.words.names import joined
from viewer.words.table import Table
from viewer.work.estimate.rows import GoodsRow
from viewer.work.rows import Result

TIGHT_SHARE: Final = 0.01  # of a drum: less left over is told
ORDERED: Final = "cut to order"
LONG_WEEKS: Final = 2.0  # from here a line is ordered first
GROUPS: Final = {
    "gear": "Gear",
    "plate": "Sheet",
    "cable": "Cable",
    "signal cable": "Cable",
    "ready-made lead": "Ready-made leads",
    "lug": "Ends, sleeve and labels",
    "sleeve": "Ends, sleeve and labels",
    "label": "Ends, sleeve and labels",
    "butt joint": "Ends, sleeve and labels",
    "battery clamp with stud": "Ends, sleeve and labels",
    "fuse": "Fuses and holders",
    "holder in line": "Fuses and holders",
    "charge": "Others' bills",
}
REST: Final = "Fixings and small things"


class BuyingWords:
    """The pick lists of one job."""

    def __init__(self, result: Result, words: EstimateWords) -> None:
        self.result, self.words = result, words

    def groups(self) -> dict[str, list[GoodsRow]]:
        """Lines by supplier, or by what they are where none is told; long lead times first."""
        out: dict[str, list[GoodsRow]] = {}
        for g in self.words.e.goods:
            if g.kind in ("cable", "charge") or (g.kind == "plate" and self.result.nesting):
                continue  # cable is bought by the drum, plates by the sheet
            out.setdefault(g.supplier or GROUPS.get(g.kind, REST), []).append(g)
        return dict(sorted(out.items(), key=lambda x: (-max(g.weeks for g in x[1]), x[0])))

    def pick(self, name: str, lines: list[GoodsRow]) -> Table:
        """One group's list: what, how many, for what."""
        sums: dict[tuple[str, str], list[GoodsRow]] = {}
        for g in lines:
            sums.setdefault((self.words.goods(g), g.unit), []).append(g)
        rows = []
        for (what, unit), same in sorted(sums.items(), key=lambda x: (-x[1][0].weeks, x[0])):
            count = sum(g.count for g in same)
            totals = [g.total for g in same]
            money = sum(t for t in totals if t is not None)
            about = list(dict.fromkeys(self.words.about(g.about) for g in same if g.about))
            rows.append(
                (
                    "☐",
                    what,
                    f"{count:g} {unit}",
                    joined(about[:4]) + (f" and {len(about) - 4} more" if len(about) > 4 else ""),
                    f"{same[0].weeks:g} weeks" if same[0].weeks else "-",
                    "to price" if None in totals else f"{money:.2f}",
                    BASES[same[0].basis],
                )
            )
        head = ("", "What", "How many", "For", "Takes", self.words.e.currency, "Whose price")
        return Table(f"pick_{name}", name, "", head, tuple(rows), (4, 32, 12, 34, 10, 10, 18))

    def long_lead(self) -> Table:
        """What takes longest, to be ordered first."""
        slow = [g for g in self.words.e.goods if g.weeks >= LONG_WEEKS]
        rows = tuple(
            (self.words.goods(g), f"{g.count:g}", g.supplier or "-", f"{g.weeks:g} weeks")
            for g in sorted(slow, key=lambda g: -g.weeks)
        )
        head = ("What", "How many", "From", "Takes")
        return Table(
            "long",
            "Order first",
            "Each stands in its own list as well.",
            head,
            rows,
            (44, 12, 24, 12),
        )

    def drums(self) -> Table:
        """Drums and lengths of cable to buy, remnants to take from the shelf."""
        counts: Counter[tuple[str, str, str, float, float]] = Counter()
        plans: dict[str, bool] = {}
        tight: dict[str, None] = {}
        for c in self.result.cuts:
            counts[c.cable, c.colour, c.stock, c.stock_mm, c.price] += 1
            plans[cable_words(c)] = c.proven_cheapest
            if c.left_mm < TIGHT_SHARE * c.stock_mm and c.stock != ORDERED:
                tight[f"{cable_words(c)} from {c.stock_mm / 1000:g} m"] = None
        rows = tuple(
            ("☐", f"{cable} {colour}".strip(), _from(stock), f"{n} x {mm / 1000:.2f} m",
             f"{n * price:.2f}")
            for (cable, colour, stock, mm, price), n in sorted(counts.items())
        )  # fmt: skip
        head = ("", "Cable", "From", "How much", self.words.e.currency)
        proven = joined([k for k, yes in plans.items() if yes]) or "none"
        note = f"Cable is never jointed. Proven cheapest: {proven}; the others within their bound."
        if tight:
            note += f" Hardly any to spare, so measure before it is cut: {joined(list(tight))}."
        return Table("drums_to_buy", "Cable", note, head, rows, (4, 16, 30, 18, 12))

    def breakers(self) -> Table:
        """Breakers that come with their panels: which ratings to ask for."""
        counts = Counter((f.place, f.amp) for f in self.result.fuses if f.breaker and f.amp)
        rows = tuple(
            ("☐", self.words.names.place(place), f"{n} x {amp:g} A")
            for (place, amp), n in sorted(counts.items(), key=lambda x: (x[0][0], x[0][1] or 0.0))
        )
        head = ("", "Panel", "Breakers")
        return Table("breakers", "Breakers to be in their panels", "", head, rows, (4, 60, 30))

    def leads(self) -> Table:
        """Ready-made leads, with what is left over of each."""
        rows = tuple(
            (
                x.number,
                self.words.names.circuit(x.number),
                "none long enough" if x.length_mm is None else f"{x.length_mm / 1000:g} m",
                f"{x.needs_mm / 1000:.2f} m",
                f"{x.surplus_mm / 1000:.2f} m",
            )
            for x in self.result.leads
        )
        head = ("No.", "Lead", "Buy", "Needs", "Left over")
        return Table("ready_made", "Ready-made leads", "", head, rows, (6, 44, 14, 12, 12))

    def sheets(self) -> Table:
        """Sheet to buy or take."""
        nesting = self.result.nesting
        rows = []
        for s in nesting.sheets if nesting is not None else ():
            size = f"{s.length_mm:g} x {s.height_mm:g} x {s.thickness_mm:g} mm"
            rows.append(
                ("☐", f"{s.material}, {size}", _from(s.label),
                 f"{s.price:.2f}" if s.price else "to price")
            )  # fmt: skip
        head = ("", "Sheet", "From", self.words.e.currency)
        return Table("sheets_to_buy", "Sheet", "", head, tuple(rows), (4, 44, 30, 12))


def _from(stock: str) -> str:
    """Where a length or a sheet comes from: the shop's own shelf, or who sells it."""
    return "take off the shelf" if stock.startswith(SHELF_LABEL) else f"buy: {stock}"
