"""The estimate in words: sections, tasks, goods, what it rests on."""

from collections import Counter
from typing import Final

from viewer.words.names import Names, joined, mm, short
from viewer.words.pieces import PLAINLY
from viewer.words.table import Table
from viewer.work.estimate.rows import EstimateRow, GoodsRow, SectionRow, TaskRow
from viewer.work.rows import Result

SECTIONS: Final = {
    "power": "Batteries, charging, boards and feeders",
    "instruments": "Instruments, radio and data",
    "lights": "Lights",
    "gear": "Pumps, motors and other gear",
    "all": "What every part leans on",
}
TASKS: Final = {
    "strip_little": "old wiring out, little of it",
    "strip_usual": "old wiring out",
    "strip_much": "old wiring out, much of it",
    "linings": "linings and berth items off and on, as told",
    "lid": "off and on",
    "hole": "cable hole cut",
    "cut_out": "cut-outs in a panel",
    "plate": "plate cut, rounded, sealed, marked",
    "board_hole": "holes drilled",
    "board_part": "parts fixed",
    "board_test": "board tested and labelled",
    "end_small": "ends up to 6 mm²",
    "end_medium": "ends over 6 to 25 mm²",
    "end_heavy": "ends over 25 mm²",
    "carry": "brought aboard",
    "carry_step": "steps of its way in",
    "stand_off": "stand-offs made, the bare board offered up",
    "fix_board": "board fixed",
    "fix_battery": "battery set and strapped",
    "fix_gear": "gear fixed",
    "fix_through_hull": "fitted through the hull",
    "fix_large": "large gear fixed",
    "pull_set_up": "cable made ready to pull",
    "pull_metre": "metres pulled",
    "pull_bend": "bends",
    "through_hole": "holes gone through",
    "through_pipe": "pipes gone through",
    "no_string": "pipe without a string",
    "plug": "plug through a hole",
    "clip": "clips fixed",
    "edge": "hole edged",
    "test_base": "commissioned as a whole",
    "test_circuit": "circuit tested",
    "test_instrument": "instrument set up",
    "papers_base": "papers of the job",
    "papers_circuit": "measured values written in",
    "travel": "hours on the road",
}
GROUPS: Final = {
    "access": "Lids, linings, old wiring",
    "holes": "Holes cut and edged",
    "boards": "Boards on the bench",
    "carrying": "Carrying in",
    "fixing": "Fixing gear",
    "pulling": "Ways found, cables pulled and clipped",
    "ends": "Ends made in the boat",
    "testing": "Testing and commissioning",
    "papers": "Papers",
    "travel": "On the road",
}
PLACES: Final = {"bench": "bench", "office": "office", "road": "road", "outside": "on deck"}
BASES: Final = {
    "shop": "the shop's price",
    "type": "told with its type",
    "job": "the job's rates",
    "usual": "usual price, from memory ±40 %",
    "told": "as told",
    "none": "no price told: to fill",
}
METHOD: Final = (
    "Hours are three-point: least, likely, most of each task, mean (a + 4m + b) / 6 and standard "
    "deviation (b - a) / 6 (Malcolm and others, 1959). Tasks of one kind are long or short "
    "together, kinds do not depend on each other; the range holds 8 of 10 such jobs. Usual values "
    "are from memory until the shop puts in its own."
)


class EstimateWords:
    """The words of one estimate."""

    def __init__(self, result: Result, names: Names) -> None:
        self.result, self.names = result, names
        self.e: EstimateRow = result.estimate

    def money(self, value: float) -> str:
        """Money with its currency."""
        return f"{value:,.2f} {self.e.currency}".replace(",", " ").replace(" ", "\u00a0")

    def section(self, key: str) -> str:
        """A section's name; a shop's own as it is."""
        return SECTIONS.get(key, key)

    def place(self, key: str) -> str:
        """Where a task is done."""
        return PLACES.get(key) or self.names.space(key)

    def about(self, key: str) -> str:
        """What a task or a line is about."""
        return self.names.of(key) if key else ""

    def goods(self, g: GoodsRow) -> str:
        """A line of goods."""
        if g.kind == "gear":
            label = self.result.labels.get(f"type:{g.what}")
            return label or g.what
        if g.kind == "lug" and "blade" in g.what:
            return f"push-on end {g.what.replace('blade ', '')} mm"
        if g.kind == "lug" and "taper post" in g.what:
            return f"battery clamp, {g.what.replace(' taper post', '')}"
        return f"{g.kind} {g.what}".strip()

    def task(self, t: TaskRow) -> str:
        """A task."""
        return TASKS.get(t.task, t.task)

    # -- tables ------------------------------------------------------------------------------------

    def sums(self) -> list[tuple[str, str]]:
        """The sums, from goods to the price with tax."""
        e = self.e
        return [
            ("Goods", self.money(e.goods_total)),
            (f"Margin on goods, {e.margin_percent:g} %", self.money(e.margin)),
            (f"Sundries, {e.sundries_percent:g} % of goods", self.money(e.sundries)),
            (f"Work, {e.hours.mean:.1f} h at {self.money(e.hour)}", self.money(e.labour)),
            (
                f"Put by for what turns up, {e.contingency_percent:g} % of work",
                self.money(e.contingency),
            ),
            ("Net", self.money(e.net)),
            (f"Tax, {e.tax_percent:g} %", self.money(e.tax)),
            (f"In all{self._without()}", self.money(e.gross)),
        ]

    def _without(self) -> str:
        n = self.e.unpriced
        return f", without {n} line{'s' if n > 1 else ''} of goods to price" if n else ""

    def stuck(self) -> list[str]:
        """Boards and pieces that do not simply go in: nothing of them is fitted as it stands."""
        return [
            f"{self.names.piece(p.key)}: {PLAINLY.get(p.verdict, p.verdict)}"
            for p in self.result.pieces
            if p.verdict not in ("goes in", "there already")
        ]

    def spread(self) -> str:
        """The range of the whole."""
        e = self.e
        return (
            f"{e.hours.low:.0f} to {e.hours.high:.0f} h ({self.days()}) and "
            f"{self.money(e.gross_low)} to {self.money(e.gross_high)} hold 8 of 10 such jobs"
        )

    def days(self) -> str:
        """The same hours as one person's days."""
        e = self.e
        low, high = (h / e.hours_in_day for h in (e.hours.low, e.hours.high))
        return f"{low:.1f} to {high:.1f} days of one person, {e.hours_in_day:g} h each"

    def waits(self) -> str:
        """What has to be waited for longest; empty where no supplier's time is told."""
        slow = max((g.weeks for g in self.e.goods), default=0.0)
        if not slow:
            return ""
        what = dict.fromkeys(self.goods(g) for g in self.e.goods if g.weeks == slow)
        return f"To be waited for longest: {joined(list(what)[:3])}, {slow:g} weeks"

    def no_way(self) -> list[str]:
        """Circuits that have no way: no cable of theirs is in any sum."""
        return [f"{c.number}, {c.label}" for c in self.result.circuits if c.no_way is not None]

    def unpriced(self) -> list[str]:
        """Goods no price is told for."""
        counts: dict[tuple[str, str], float] = {}
        for g in self.e.goods:
            if g.total is None:
                kind = (self.goods(g), g.unit)
                counts[kind] = counts.get(kind, 0.0) + g.count
        return [
            f"{n:.1f} {unit} of {what}"
            if unit != "piece"
            else f"{n:g} x {what}"
            if n != 1
            else what
            for (what, unit), n in counts.items()
        ]

    def sections(self) -> Table:
        """What each section comes to."""
        rows = tuple(
            (
                self.section(s.key),
                f"{s.hours:.1f}",
                f"{s.labour:.2f}",
                f"{s.goods:.2f}",
                f"{s.total:.2f}",
                str(s.unpriced) if s.unpriced else "-",
            )
            for s in self.e.sections
        )
        head = ("Section", "Hours", "Work", "Goods", "Price", "Lines without a price")
        note = (
            f"In {self.e.currency}, before tax; the price holds its share of margin, sundries and "
            "what is put by."
        )
        return Table("sections", "Sections", note, head, rows, (40, 10, 12, 12, 14, 12))

    def groups(self) -> Table:
        """Hours by kind of work."""
        rows = tuple((GROUPS[g.group], f"{g.hours:.1f}", f"{g.share:.0%}") for g in self.e.groups)
        note = (
            f"Of the wiring in the boat alone, finding ways, pulling and clipping is "
            f"{self.e.pulling_share:.0%}; working installers say at least half."
        )
        head = ("Kind of work", "Hours", "Share")
        return Table("groups", "Where the hours go", note, head, rows, (50, 12, 12))

    def access(self) -> Table:
        """How much longer work takes in each space, and why."""
        rows = tuple(
            (
                self.names.space(a.space),
                a.site,
                self.names.opening(a.opening) if a.opening else "none leads there",
                "-" if a.aperture_mm is None else mm(a.aperture_mm),
                f"{a.below_mm:.0f}",
                f"{a.from_opening_mm:.0f}",
                f"x {a.factor:g}",
            )
            for a in self.e.access
        )
        head = ("Space", "Site", "Through", "Its lesser side", "Below mm", "From it mm", "Takes")
        note = "From memory: open 1, locker 1.4, lining 1.8, bilge or engine space 2 to 2.5; then "
        note += "depth below the opening, distance from it, and how small it is."
        return Table("access", "Where one lies to work", note, head, rows,
                     (24, 10, 24, 18, 10, 12, 8))  # fmt: skip

    def included(self, s: SectionRow) -> str:
        """What a section holds, in a line for the customer."""
        gear: Counter[str] = Counter()
        for g in (g for g in self.e.goods if g.section == s.key and g.kind == "gear"):
            gear[short(self.goods(g)) if len(self.goods(g)) > 40 else self.goods(g)] += int(g.count)
        words = [f"{what} x {n}" if n > 1 else what for what, n in gear.items()]
        own = {
            t.about.partition(":")[2]
            for t in self.e.tasks
            if t.section == s.key and t.about.startswith("circuit:")
        }
        mine = [c for c in self.result.circuits if c.number in own and not c.link]
        if mine:
            words.append(f"{len(mine)} circuit{'s' if len(mine) > 1 else ''} wired")
        there = [self.names.piece(k) for k in dict.fromkeys(c.load.partition(".")[0] for c in mine)
                 if f"piece:{k}" not in self.e.fitted]  # fmt: skip
        if there:
            words.append(f"wired only, not supplied: {joined(there)}")
        if s.key == "all":
            words.append("access, clips and edging, commissioning, papers")
        return ", ".join(words)
