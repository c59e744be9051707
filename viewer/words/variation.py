"""A change in words: what, why, what it costs, and what else it moves."""

from viewer.words.compare import changes
from viewer.words.estimate import PLACES, TASKS, EstimateWords
from viewer.words.names import Names, joined
from viewer.words.table import Table
from viewer.work.rows import Result
from viewer.work.states import State
from viewer.work.variation import VariationRow, variation

SMALL_H = 0.05  # of one task: less is one line for all of them
SAFE_FIRST = ("new must", "new: ", "goes in ->", "-> cannot", "-> place not free", "fuse ")


class VariationWords:
    """The words of one change; `first` is the state everything is counted from."""

    def __init__(self, before: State, first: State, after: State) -> None:
        self.before, self.first, self.after = before, first, after
        self.names = Names(after.result)
        self.estimate = EstimateWords(after.result, self.names)
        self.old = EstimateWords(before.result, Names(before.result))
        self.row: VariationRow = variation(before.result.estimate, after.result.estimate)
        self.in_all: VariationRow = variation(first.result.estimate, after.result.estimate)

    def title(self) -> str:
        """What the sheet is called."""
        return f"Change {self.after.head.number - 1}: {self.after.result.job}"

    def facts(self) -> list[tuple[str, str]]:
        """Why, from when, what it comes to."""
        head, r = self.after.head, self.row
        money, missing = self.estimate.money, self.estimate.no_way()
        day_h = self.after.result.estimate.hours_in_day
        out = [
            ("For", self.after.result.estimate.customer),
            ("Why", head.why or "-"),
            ("Photo", head.photo),
            ("From", f"{self.before.head.state}, {self.before.head.on or 'no date'}"),
            ("To", f"{head.state}, {head.on or 'no date'}"),
            ("Hours", f"{r.hours_before:.2f} -> {r.hours_after:.2f} ({r.more_hours:+.2f})"),
            ("Net", f"{money(r.net_before)} -> {money(r.net_after)} ({r.more_net:+.2f})"),
            ("With tax", f"{money(r.gross_before)} -> {money(r.gross_after)} "
                         f"({r.more_gross:+.2f})"),
            ("Since quoted", f"{self.in_all.more_hours:+.1f} h, {self.in_all.more_net:+.2f} net"),
            ("To come on top", f"no price yet: {joined(self._unpriced())}"
                               if self._unpriced() else ""),
            ("Not in it", f"no way yet, so no cable in the sums: {joined(missing)}"
                          if missing else ""),
            ("Days more", f"{r.more_hours / day_h:+.1f} of {day_h:g} h, one person"),
        ]  # fmt: skip
        return [(k, v) for k, v in out if v]

    def _unpriced(self) -> list[str]:
        """What the change brings that no price is told for."""
        more = (g for g in self.row.goods if g.total_after is None and g.after > g.before)
        return [f"{g.after - g.before:g} x {self._what(g.kind, g.what)}" for g in more]

    def _what(self, kind: str, what: str) -> str:
        label = self.names.labels.get(f"type:{what}") if kind == "gear" else None
        return label or (what if kind == "gear" else f"{kind} {what}".strip())

    def moved(self) -> list[str]:
        """What changed in what the model answers, what matters for safety and fit first."""
        told = changes(self.before.result, self.after.result)
        told = [t for t in told if not t.startswith(("hours:", "estimate, net:"))]
        return sorted(told, key=lambda t: not any(s in t for s in SAFE_FIRST))

    def hours(self) -> Table:
        """Hours that changed."""
        rows = [
            (
                TASKS.get(h.task, h.task),
                PLACES.get(h.place) or self.names.space(h.place),
                self._about(h.about),
                *_hours(h.before, h.after),
            )
            for h in self.row.hours
            if abs(h.after - h.before) >= SMALL_H
        ]
        small = [h for h in self.row.hours if abs(h.after - h.before) < SMALL_H]
        if small:
            both = (sum(h.before for h in small), sum(h.after for h in small))
            label = f"{len(small)} tasks that move by less than {SMALL_H * 60:.0f} minutes"
            rows.append((label, "", "", *_hours(*both)))
        head = ("Task", "Where", "On", "Before h", "Now h", "More")
        return Table("hours", "Hours", "", head, tuple(rows), (24, 18, 32, 9, 9, 9))

    def goods(self) -> Table:
        """Goods that changed."""
        rows = []
        for g in self.row.goods:
            totals = [
                "no price" if t is None else f"{t:.2f}" for t in (g.total_before, g.total_after)
            ]
            what = self._what(g.kind, g.what)
            shares = g.kind == "cable" and not g.about
            about = "other lengths: their share of the drums" if shares else self._about(g.about)
            rows.append((what, about, f"{g.before:g} -> {g.after:g} {g.unit}", *totals))
        head = ("What", "For", "How much", "Before", "Now")
        return Table("goods", "Goods", "", head, tuple(rows), (30, 32, 18, 10, 10))

    def _about(self, key: str) -> str:
        if not key:
            return ""
        label = self.names.of(key)
        return label if label != key.partition(":")[2] else self.old.names.of(key)


def _hours(before: float, after: float) -> tuple[str, str, str]:
    """Hours before, now and more of them, as they are written."""
    return f"{before:.2f}", f"{after:.2f}", f"{after - before:+.2f}"


def state_table(states: list[State]) -> Table:
    """The states of a job, one line each."""
    rows = []
    for s in states:
        e = s.result.estimate
        rows.append(
            (str(s.head.number), s.head.state, s.head.on or "-", s.head.why or "-",
             f"{e.hours.mean:.1f}", f"{e.net:.2f}", _in_order(s.result))
        )  # fmt: skip
    head = ("No.", "State", "On", "Why", "Hours", "Net", "In order")
    return Table("states", "States of this job", "", head, tuple(rows), (5, 12, 12, 36, 9, 12, 10))


def agreed_table(states: list[State]) -> Table:
    """What was agreed and why, for who owns the boat."""
    rows = tuple((str(s.head.number), s.head.state, s.head.on or "-", s.head.why or "-",
                  s.head.photo or "-") for s in states)  # fmt: skip
    head = ("No.", "State", "On", "Why", "Photo")
    return Table("agreed", "", "", head, rows, (6, 14, 14, 52, 14))


def _in_order(result: Result) -> str:
    return "yes" if result.in_order else "no"
