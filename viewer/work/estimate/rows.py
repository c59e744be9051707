"""Rows of the result about what the job takes and costs.

Money is in the shop's currency, rounded to hundredths in every row, so that sums agree wherever
they are shown. Hours are three-point: least, likely, most; sums carry the range that holds 8 of 10.
"""

from viewer.work.row import Fine, Mm, Row

FITTING = ("fix_", "board_", "cut_out")  # tasks of what is put in


class SpreadRow(Row):
    """A sum of hours: its mean, and the ends of the range that holds 8 of 10."""

    mean: Fine
    low: Fine
    high: Fine


class AccessRow(Row):
    """How much longer work takes in a space, and what that rests on."""

    space: str
    site: str
    opening: str
    """The opening one works through; empty where none leads there."""
    below_mm: Mm
    from_opening_mm: Mm
    aperture_mm: Mm | None
    factor: Fine


class TaskRow(Row):
    """One task: what, where, on what, how many, and the hours that takes with its factor."""

    section: str
    task: str
    place: str
    """A space, or `bench`, `office` or `road`."""
    about: str
    """Key with its kind; empty for the job as a whole."""
    count: Fine
    factor: Fine
    least: Fine
    likely: Fine
    most: Fine
    mean: Fine
    labour: Fine
    """The mean at the shop's hour."""


class GoodsRow(Row):
    """One line of what is bought: `each` and `total` are null where no price is told."""

    section: str
    kind: str
    what: str
    """The key of a type, a size of cable, or what it is like `25 mm² M8`."""
    about: str
    count: Fine
    unit: str
    each: Fine | None
    total: Fine | None
    basis: str
    """Whose price it is: `shop`, `type`, `job`, `usual` or `none`."""
    supplier: str
    weeks: Fine


class SectionRow(Row):
    """A part of the job that a customer can take or leave; `all` is what every part leans on."""

    key: str
    goods: Fine
    hours: Fine
    labour: Fine
    total: Fine
    """Goods with margin and sundries, labour with what is put by: all of them come to the net."""
    unpriced: int


class UsualRow(Row):
    """A usual value the estimate rests on."""

    task: str
    least: Fine
    likely: Fine
    most: Fine
    per: str
    basis: str


class GroupRow(Row):
    """Hours of one kind of work, and their share."""

    group: str
    hours: Fine
    share: Fine


class EstimateRow(Row):
    """What the job takes and costs."""

    shop: str
    customer: str = ""
    currency: str
    hours_in_day: Fine = 7.5
    hour: Fine
    margin_percent: Fine
    sundries_percent: Fine
    contingency_percent: Fine
    tax_percent: Fine
    access: tuple[AccessRow, ...]
    usual: tuple[UsualRow, ...]
    tasks: tuple[TaskRow, ...]
    goods: tuple[GoodsRow, ...]
    sections: tuple[SectionRow, ...]
    groups: tuple[GroupRow, ...]
    hours: SpreadRow
    pulling_share: Fine
    """Of the hours of wiring in the boat: ways found, cables pulled, clipped, holes passed."""
    goods_total: Fine
    """At the shop's prices, before margin."""
    margin: Fine
    sundries: Fine
    labour: Fine
    labour_low: Fine
    labour_high: Fine
    contingency: Fine
    net: Fine
    tax: Fine
    gross: Fine
    gross_low: Fine
    gross_high: Fine
    unpriced: int
    """Lines of goods that no price is told for: they are not in any sum."""

    @property
    def fitted(self) -> frozenset[str]:
        """What the job fits, by key with its kind; all else was there, or is wired only."""
        return frozenset(t.about for t in self.tasks if t.task.startswith(FITTING))
