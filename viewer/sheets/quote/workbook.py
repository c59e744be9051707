"""The estimate as a workbook for the office: every sum a live formula, text always text."""

import datetime as dt
import io
from typing import Any, Final

import xlsxwriter

from viewer.words.estimate import BASES, METHOD, EstimateWords

LONG_AGO: Final = dt.datetime(1980, 1, 1)
SETTINGS: Final = (
    ("hour", "Price of an hour"),
    ("margin_percent", "Margin on goods, %"),
    ("sundries_percent", "Sundries on goods, %"),
    ("contingency_percent", "Put by on work, %"),
    ("tax_percent", "Tax, %"),
)
FIRST: Final = 2  # the first row of a list, under its head


class _Book:
    """The workbook as it is written."""

    def __init__(self, words: EstimateWords, out: io.BytesIO) -> None:
        self.words, self.e = words, words.e
        options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False,
                   "strings_to_numbers": False}  # fmt: skip
        self.book: Any = xlsxwriter.Workbook(out, options)
        self.book.set_properties({"created": LONG_AGO, "author": "coaming"})
        self.bold = self.book.add_format({"bold": True, "text_wrap": True, "bottom": 1})
        self.money = self.book.add_format({"num_format": "#,##0.00"})
        self.hours = self.book.add_format({"num_format": "0.00"})
        self.plain = self.book.add_format({"text_wrap": True})
        self.entry = self.book.add_format({"num_format": "0.00", "bg_color": "#EEEEEE"})
        self.settings: dict[str, str] = {}

    def sheet(self, name: str, head: tuple[str, ...], widths: tuple[float, ...]) -> Any:
        """A sheet with its head, ready to print."""
        s = self.book.add_worksheet(name)
        for k, (h, w) in enumerate(zip(head, widths, strict=True)):
            s.set_column(k, k, w)
            s.write_string(0, k, h, self.bold)
        s.freeze_panes(1, 0)
        s.set_landscape()
        s.set_paper(9)
        s.fit_to_pages(1, 0)
        s.repeat_rows(0)
        return s

    def put_settings(self) -> None:
        """The figures everything else refers to, to be changed in one place."""
        s = self.sheet("Settings", ("What", "Figure"), (36, 14))
        for k, (key, text) in enumerate(SETTINGS, start=1):
            s.write_string(k, 0, text)
            s.write_number(k, 1, getattr(self.e, key), self.entry)
            self.settings[key] = f"Settings!$B${k + 1}"
        s.write_string(len(SETTINGS) + 1, 0, "Currency")
        s.write_string(len(SETTINGS) + 1, 1, self.e.currency)

    def put_usual(self) -> None:
        """Usual values: minutes of one task."""
        head = ("Task", "Least min", "Likely min", "Most min", "For each", "Whose word")
        s = self.sheet("Usual values", head, (18, 10, 10, 10, 60, 44))
        for k, u in enumerate(self.e.usual, start=1):
            s.write_string(k, 0, u.task)
            for c, v in enumerate((u.least, u.likely, u.most), start=1):
                s.write_number(k, c, v, self.entry)
            s.write_string(k, 4, u.per, self.plain)
            s.write_string(k, 5, u.basis, self.plain)

    def put_work(self) -> int:
        """Every task; the last row."""
        head = ("Section", "Task", "Key", "Where", "On", "Count", "Factor", "Least h", "Likely h",
                "Most h", "Mean h", "Work")  # fmt: skip
        s = self.sheet("Work", head, (28, 28, 16, 18, 36, 8, 8, 9, 9, 9, 9, 11))
        known = {u.task for u in self.e.usual}
        for k, t in enumerate(self.e.tasks, start=1):
            row = k + 1
            texts = (t.section, self.words.task(t), t.task, self.words.place(t.place),
                     self.words.about(t.about))  # fmt: skip
            for c, text in enumerate(texts):
                s.write_string(k, c, text)
            s.write_number(k, 5, t.count)
            s.write_number(k, 6, t.factor)
            for c, (column, v) in enumerate(((2, t.least), (3, t.likely), (4, t.most)), start=7):
                look = f"VLOOKUP($C{row},'Usual values'!$A:$D,{column},FALSE)"
                if t.task in known:
                    formula = f"=ROUND($F{row}*$G{row}/60*{look}+1E-10,4)"
                    s.write_formula(k, c, formula, self.hours, v)
                else:
                    s.write_number(k, c, v, self.hours)
            mean = f"=ROUND((H{row}+4*I{row}+J{row})/6+1E-10,4)"
            s.write_formula(k, 10, mean, self.hours, t.mean)
            work = f"=ROUND(K{row}*{self.settings['hour']}+1E-9,2)"
            s.write_formula(k, 11, work, self.money, t.labour)
        return len(self.e.tasks) + 1

    def put_goods(self) -> int:
        """Every line of goods; the last row."""
        head = ("Section", "What", "For", "Count", "Unit", "Each", "Together", "Whose price",
                "From", "Weeks")  # fmt: skip
        s = self.sheet("Goods", head, (28, 36, 36, 9, 8, 10, 11, 26, 20, 8))
        for k, g in enumerate(self.e.goods, start=1):
            row = k + 1
            for c, text in enumerate((g.section, self.words.goods(g), self.words.about(g.about))):
                s.write_string(k, c, text)
            s.write_number(k, 3, g.count)
            s.write_string(k, 4, g.unit)
            shared = g.kind == "cable" and g.basis == "job"  # its share of a drum
            if g.each is not None:
                s.write_number(k, 5, g.each, self.entry)
            else:
                s.write_blank(k, 5, None, self.entry)
            if shared:
                s.write_number(k, 6, g.total or 0.0, self.money)
            else:
                formula = f'=IF(F{row}="",0,ROUND(D{row}*F{row}+1E-9,2))'
                s.write_formula(k, 6, formula, self.money, g.total or 0.0)
            whose = BASES[g.basis] + (", its share of the drum" if shared else "")
            s.write_string(k, 7, whose)
            s.write_string(k, 8, g.supplier)
            s.write_number(k, 9, g.weeks)
        return len(self.e.goods) + 1

    def put_quote(self, work: int, goods: int) -> None:
        """Sections to take or leave, and the sums."""
        head = ("Take (1 or 0)", "Section", "Name", "Hours", "Work", "Goods", "Together")
        s = self.sheet("Quote", head, (12, 14, 44, 10, 12, 12, 12))
        e = self.e
        for k, x in enumerate(e.sections, start=1):
            row = k + 1
            s.write_number(k, 0, 1, self.entry)
            s.write_string(k, 1, x.key)
            s.write_string(k, 2, self.words.section(x.key))
            for c, (name, last, column, v) in enumerate(
                (("Work", work, "K", x.hours), ("Work", work, "L", x.labour),
                 ("Goods", goods, "G", x.goods)), start=3,
            ):  # fmt: skip
                area = (
                    f"{name}!$A${FIRST}:$A${last},$B{row},{name}!${column}${FIRST}:${column}${last}"
                )
                s.write_formula(k, c, f"=ROUND(A{row}*SUMIF({area}),4)", self.money, v)
            p = self.settings
            on_goods = f"(1+({p['margin_percent']}+{p['sundries_percent']})/100)"
            on_work = f"(1+{p['contingency_percent']}/100)"
            formula = f"=ROUND(F{row}*{on_goods}+E{row}*{on_work}+1E-9,2)"
            s.write_formula(k, 6, formula, self.money, x.total)
        self._sums(s, len(e.sections) + 1)

    def _sums(self, s: Any, last: int) -> None:
        e, p = self.e, self.settings
        top = last + 2

        def line(k: int, text: str, formula: str, value: float) -> str:
            s.write_string(top + k - 1, 2, text)
            s.write_formula(top + k - 1, 6, formula, self.money, value)
            return f"G{top + k}"

        goods = line(0, "Goods", f"=SUM(F{FIRST}:F{last})", e.goods_total)
        margin = line(1, "Margin on goods", f"=ROUND({goods}*{p['margin_percent']}/100+1E-9,2)",
                      e.margin)  # fmt: skip
        sundries = line(2, "Sundries", f"=ROUND({goods}*{p['sundries_percent']}/100+1E-9,2)",
                        e.sundries)  # fmt: skip
        work = line(3, "Work", f"=SUM(E{FIRST}:E{last})", e.labour)
        share = f"=ROUND({work}*{p['contingency_percent']}/100+1E-9,2)"
        put_by = line(4, "Put by for what turns up", share, e.contingency)
        net = line(5, "Net", f"=ROUND({goods}+{margin}+{sundries}+{work}+{put_by},2)", e.net)
        tax = line(6, "Tax", f"=ROUND({net}*{p['tax_percent']}/100+1E-9,2)", e.tax)
        line(7, "In all", f"=ROUND({net}+{tax},2)", e.gross)
        s.write_string(top + 8, 2, f"{self.words.spread()}.", self.plain)
        s.write_string(top + 9, 2, METHOD, self.plain)
        lines = f"{e.unpriced} lines of goods have no price yet: they count nothing."
        s.write_string(top + 10, 2, lines, self.plain)


def workbook(words: EstimateWords) -> bytes:
    """The workbook; the same estimate gives the same bytes."""
    out = io.BytesIO()
    b = _Book(words, out)
    quote_first = b.book  # sheets stand in the order they are made
    b.put_settings()
    b.put_usual()
    work, goods = b.put_work(), b.put_goods()
    b.put_quote(work, goods)
    access = b.words.access()
    s = b.sheet("Where one lies", access.head, (26, 12, 26, 22, 12, 12, 10))
    for k, row in enumerate(access.rows, start=1):
        for c, text in enumerate(row):
            s.write_string(k, c, text)
    quote_first.get_worksheet_by_name("Quote").activate()
    quote_first.close()
    return out.getvalue()
