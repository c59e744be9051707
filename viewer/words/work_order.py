"""Job cards by where one lies, in an order that works: what is done there, with what, how long."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from layout.boat.parts import OUTSIDE
from viewer.words.circuits import size_words
from viewer.words.estimate import TASKS, EstimateWords
from viewer.words.handover_more import by_number
from viewer.words.names import joined
from viewer.words.pieces import PLAINLY, PieceWords
from viewer.words.standing import standing
from viewer.words.table import Table
from viewer.work.estimate.rows import TaskRow
from viewer.work.rows import Result
from viewer.work.way_rows import PoleRow

BENCH: Final = "bench"
ABOARD: Final = "aboard"
DECK: Final = "outside"
# what is done first in one place: rough work, then cable, gear, ends, tests
STEPS: Final = (
    ("strip_little", "strip_usual", "strip_much", "linings", "lid"),
    ("plate", "board_hole", "board_part", "end_bench", "board_test"),
    ("hole", "cut_out", "edge", "stand_off"),
    ("pull_set_up", "pull_metre", "pull_bend", "through_hole", "through_pipe", "no_string", "plug",
     "clip"),
    ("carry", "carry_step"),
    ("fix_board", "fix_battery", "fix_gear", "fix_through_hull", "fix_large"),
    ("end_small", "end_medium", "end_heavy"),
    ("test_base", "test_circuit", "test_instrument"),
    ("papers_base", "papers_circuit", "travel"),
)  # fmt: skip
TOOLS: Final = {
    "strip": "cutters, bags for what comes out, camera",
    "hole": "drill, hole saw, file, vacuum; eye protection",
    "cut_out": "jigsaw, drill, file, tape; eye protection",
    "pull": "draw tape or rod, tape, string left in behind, torch",
    "clip": "driver, clips, ties",
    "edge": "edging, knife",
    "carry": "strap, gloves; terminals covered",
    "stand_off": "the bare board or its template, pencil, glue or drill, wedges",
    "fix": "driver, spanners, sealant",
    "end": "stripper, crimping tool for the size, heat gun, labels",
    "test": "meter, clamp meter, test sheet",
}
ENOUGH: Final = 6
CLOSED: Final = (
    "Nobody reaches in: tell the opening there is, or cut one; else draw the cables through as "
    "through a pipe, hold them at both ends and leave the clips out."
)
TESTED: Final = (
    "Fuses go in when their circuit has been tested for polarity; batteries are joined last, the "
    "minus last of all."
)


@dataclass(frozen=True, slots=True)
class Card:
    """One card: where, how one gets there, the lines in their order, hours."""

    key: str
    title: str
    reached: str
    lines: Table
    standing: Table
    clips: Table
    cables: Table
    tools: str
    papers: str
    hours: float


class WorkWords:
    """The cards of one job."""

    def __init__(self, result: Result, words: EstimateWords) -> None:
        self.result, self.words, self.names = result, words, words.names
        self.order = {p.key: k for k, p in enumerate(result.pieces)}
        self.stuck = {p.key: PLAINLY[p.verdict] for p in result.pieces if p.verdict in PLAINLY}

    def cards(self) -> list[Card]:
        """Bench first, then the places in the order of what is fitted there, then the whole."""
        by_place: dict[str, list[TaskRow]] = {}
        for t in self.words.e.tasks:
            by_place.setdefault(self._place(t), []).append(t)
        keys = sorted(by_place, key=self._when)
        return [self._card(n, k, by_place[k]) for n, k in enumerate(keys, start=1)]

    @staticmethod
    def _place(t: TaskRow) -> str:
        if t.task.startswith("test_") and t.place == DECK:
            return "test"
        if t.task in (*STEPS[0], "carry"):
            return ABOARD
        return t.place

    def _when(self, place: str) -> tuple[int, int, str]:
        """Ways for cable before the gear that stands in them; deck, tests and papers last."""
        if place in (BENCH, ABOARD):
            return 0, int(place == ABOARD), ""
        late = {DECK: 2, "test": 3, "office": 4, "road": 5}
        if place in late:
            return late[place], 0, place
        mine = [self.order[s.key] for s in self.result.boat.stands
                if s.space == place and s.key in self.order]  # fmt: skip
        return 1, min(mine) + 1 if mine else 0, place

    def _card(self, number: int, place: str, tasks: list[TaskRow]) -> Card:
        names = {BENCH: "On the bench", ABOARD: "Coming aboard: lids, old wiring, what is carried",
                  DECK: "On deck", "test": "Commissioning",
                 "office": "Papers", "road": "On the road"}  # fmt: skip
        where = names.get(place) or self.names.space(place)
        lines = self._lines(place, tasks)
        return Card(
            place,
            f"{number}. {where}",
            self._reached(place),
            lines,
            standing(self.result, OUTSIDE if place == DECK else place, self.names),
            self._clips(place),
            self._cables(place),
            joined(self._tools(tasks)),
            self._papers(place),
            round(sum(t.mean for t in tasks), 2),
        )

    def _lines(self, place: str, tasks: list[TaskRow]) -> Table:
        sums: dict[tuple[int, str, str], list[TaskRow]] = {}
        for t in sorted(tasks, key=self._turn):
            step = self._step(t)
            about = t.about if step not in (3,) else "circuit:" if "circuit" in t.about else t.about
            sums.setdefault((step, t.task, about), []).append(t)
        rows = []
        for (_, task, about), same in sums.items():
            count, hours = sum(t.count for t in same), sum(t.mean for t in same)
            on = self._on(about, same)
            rows.append(
                (
                    "☐",
                    TASKS.get(task, task),
                    on,
                    f"{round(count, 1):g}",
                    f"{hours:.2f}",
                    "",
                )
            )
        head = ("", "What", "On", "Count", "Planned h", "Took h")
        return Table(f"card_{place}", "", "", head, tuple(rows), (4, 30, 46, 9, 10, 10))

    def _clips(self, place: str) -> Table:
        """Clips of a place: which cables lie in one, how far apart they are, how thick it is."""
        where = OUTSIDE if place == DECK else place
        mains = {c.number for c in self.result.circuits if c.mains}
        count: Counter[tuple[str, str, str]] = Counter()
        for x in (x for x in self.result.supports if x.where == where):
            numbers = ", ".join(sorted(x.circuits, key=by_number))
            if mains & set(x.circuits):
                numbers += " (mains: licensed person)"
            count[numbers, f"{x.spacing_mm:.0f} mm", f"{x.bundle_mm:.0f} mm"] += 1
        rows = tuple((str(n), *told) for told, n in count.items())
        head = ("Clips", "Circuits in each", "Apart, at most", "Bundle")
        return Table(f"clips_{place}", "Clips", "", head, rows, (8, 60, 18, 14))

    def _cables(self, place: str) -> Table:
        """The cables that go through a place, those with plugs first as they are pulled."""
        where = OUTSIDE if place == DECK else place
        first = {p.number: k for k, p in enumerate(self.result.pulls)}
        mine = [p for p in self.result.poles if p.pole == "out" and self._legs(p, where)]
        mine.sort(key=lambda p: (first.get(p.number, len(first)), by_number(p.number)))
        cut = {c.number: c for c in self.result.circuits}
        rows = []
        for p in mine:
            c = cut[p.number]
            if c.mains:
                continue
            here = [w for leg, w in ((p.legs[0], "starts"), (p.legs[-1], "ends"))
                    if leg.place == where]  # fmt: skip
            holes = [self.names.joint(j) for j in c.joints if self._touches(p, j, where)]
            metres = f"{c.out.cut_mm / 1000:.2f} m" if c.out is not None else "-"
            ends = f"{self.names.terminal(c.feed)} to {self.names.terminal(c.load)}"
            rows.append((p.number, " and ".join(here) or "passes", ends, size_words(c), metres,
                         ", ".join(holes) or "-"))  # fmt: skip
        head = ("No.", "Here it", "From and to", "Cable", "Cut, each pole", "Through")
        note = "Pulled from where it starts, in this order; both poles together."
        return Table(f"cables_{place}", "Cables", note if rows else "", head, tuple(rows),
                     (6, 13, 43, 11, 11, 16))  # fmt: skip

    def _legs(self, p: PoleRow, where: str) -> bool:
        return any(leg.kind != "board" and leg.place == where for leg in p.legs)

    def _touches(self, p: PoleRow, joint: str, where: str) -> bool:
        """True where a way comes from a place into a joint, or out of it into the place."""
        legs = p.legs
        return any(
            leg.where == joint and where in (a.place, b.place)
            for a, leg, b in zip(legs, legs[1:], legs[2:], strict=False)
        )

    def _on(self, about: str, same: list[TaskRow]) -> str:
        if about == "circuit:":
            numbers = sorted({t.about.partition(":")[2] for t in same}, key=by_number)
            return f"circuit{'s' if len(numbers) > 1 else ''} " + ", ".join(numbers)
        key = about.partition(":")[2]
        return self.words.about(about) + (f": {self.stuck[key]}" if key in self.stuck else "")

    @staticmethod
    def _step(t: TaskRow) -> int:
        if t.task.startswith("end_") and t.place == BENCH:
            return 1
        return next((k for k, step in enumerate(STEPS) if t.task in step), len(STEPS))

    def _turn(self, t: TaskRow) -> tuple[int, int, tuple[int, int, str]]:
        """By step, then in the order of fitting."""
        key = t.about.partition(":")[2]
        return self._step(t), self.order.get(key, 10_000), by_number(key)

    def _tools(self, tasks: Iterable[TaskRow]) -> list[str]:
        out: dict[str, None] = {}
        for t in tasks:
            tool = next((w for k, w in TOOLS.items() if t.task.startswith(k)), None)
            if tool is not None:
                out[tool] = None
        return list(out)[:ENOUGH]

    def _reached(self, place: str) -> str:
        access = next((a for a in self.words.e.access if a.space == place), None)
        if access is None:
            return TESTED if place == "test" else ""
        through = self.names.opening(access.opening) if access.opening else "no opening of its own"
        gear = [s.key for s in self.result.boat.stands if s.space == place and s.key in self.order]
        inside = sorted(gear, key=lambda k: self.order[k])
        factor = access.factor
        longer = f"{factor:g} times as long as" if factor > 1 else "as long as"
        words = f"Through {through}; work takes {longer} on open ground."
        if not access.opening:
            words += " " + CLOSED
        if inside:
            words += f" In this order: {joined([self.names.piece(k) for k in inside], 'then')}."
        first = [self._out(k) for k in inside]
        return " ".join([words, *(f for f in first if f)])

    def _out(self, key: str) -> str:
        row = self.result.piece(key)
        if not row.out_first:
            return ""
        return (
            f"{PieceWords(self.result, row, self.names).label}: out again only after "
            + joined([self.names.piece(k) for k in row.out_first])
            + "."
        )

    def _papers(self, place: str) -> str:
        if place == ABOARD:
            return "the book: each thing's way in; batteries are joined last of all"
        if place == BENCH:
            return "the bench papers of each board (coaming bench)"
        if place in ("test", "office"):
            return "the hand-over papers (coaming handover)"
        if place == "road":
            return ""
        boards = [s.key for s in self.result.boat.stands if s.space == place and s.is_board]
        sheets = [f"bench sheets of {self.names.piece(k)}" for k in boards]
        return joined(["the book's pages of this space", *sheets])
