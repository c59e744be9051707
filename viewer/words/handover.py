"""The hand-over in tables: schedule, settings, legends, maps, spares, sheets to fill."""

from collections.abc import Callable
from dataclasses import replace
from typing import Final

from viewer.words.bench import BenchWords
from viewer.words.bench_ends import legend, torque
from viewer.words.circuits import fuse_words, size_words
from viewer.words.handover_more import by_number
from viewer.words.names import Names, joined, metres
from viewer.words.pieces import PLAINLY, PieceWords
from viewer.words.rule_values import RuleWords
from viewer.words.rules import rule_words
from viewer.words.standing import stands_words
from viewer.words.steps import parted_steps
from viewer.words.table import Table
from viewer.words.tables import fuse_place
from viewer.work.piece_rows import StandRow
from viewer.work.rows import Result
from viewer.work.wiring_rows import CircuitRow

OVER: Final = 1.2  # a drop measured so many times what was predicted is explained
TO_FILL: Final = ""
LITHIUM_SETTINGS: Final = ("charge volts", "float or storage volts", "most charge A",
                           "least temperature to charge", "management cuts off at")  # fmt: skip
LEAD_SETTINGS: Final = ("absorption volts", "float volts", "most charge A",
                        "temperature compensation", "equalise, if its maker says so")  # fmt: skip
CHARGER_KINDS: Final = frozenset(
    {"charger", "mains charger", "converter", "alternator", "solar panel"}
)
TESTS: Final = ("polarity", "volts at load", "drop under load", "fuse as told", "label both ends")


class HandoverWords:
    """The tables of one hand-over."""

    def __init__(self, result: Result, names: Names) -> None:
        self.result, self.names = result, names

    def schedule(self) -> Table:
        """Every circuit: fuse, cable, length and drop as planned and as found."""
        rows = []
        mine = sorted(self.result.circuits, key=lambda c: by_number(c.number))
        for c in (c for c in mine if not c.mains):
            planned = metres(c.out.cut_mm) if c.out else "no way"
            cut_m, volts = self.figure(c, "measured"), self.figure(c, "volt drop")
            cut = TO_FILL if cut_m is None else f"{cut_m:.2f} m"
            drop = "-" if c.drop_volt is None else f"{c.drop_volt:.2f} V"
            most = "-" if c.drop_volt is None else f"{c.drop_limit_percent:g} %"
            found = TO_FILL if volts is None else f"{volts:.2f} V"
            rows.append(
                (c.number, c.label, fuse_words(c.fuse_amp), size_words(c), planned, cut, drop, most,
                 found, "explain" if self.is_over(c) else "")
            )  # fmt: skip
        head = (
            "No.",
            "Circuit",
            "Fuse",
            "Cable",
            "Length",
            "As cut",
            "Drop",
            "Limit",
            "Measured",
            "",
        )
        note = (
            "Length: what is cut, each pole. Drop: predicted from the battery and back with all on "
            "that is reckoned to be on at once; what runs briefly, like a windlass, counts in its "
            "own line alone, a link of the minus by itself. What is measured "
            f"{OVER:g} times as much or more is explained."
        )
        return Table("schedule", "Circuits", note, head, tuple(rows),
                     (6, 26, 9, 11, 10, 10, 9, 7, 10, 9))  # fmt: skip

    def figure(self, c: CircuitRow, kind: str) -> float | None:
        """The last figure marked for a circuit; None where none is."""
        mine = [b for b in self.result.built if b.about == f"circuit:{c.number}" and b.kind == kind]
        return mine[-1].figure if mine else None

    def is_over(self, c: CircuitRow) -> bool:
        """True where the drop measured is over what was predicted by a fifth."""
        volts = self.figure(c, "volt drop")
        return volts is not None and c.drop_volt is not None and volts > OVER * c.drop_volt

    def over(self) -> list[str]:
        """What is to be explained."""
        out = []
        for c in (c for c in self.result.circuits if self.is_over(c)):
            mine = [b for b in self.result.built if b.about == f"circuit:{c.number}"]
            told = "; ".join(b.words for b in mine if b.words)
            volts = self.figure(c, "volt drop") or 0.0
            out.append(
                f"Circuit {c.number}, {c.label}: {volts:.2f} V measured, {c.drop_volt or 0:.2f} V "
                f"predicted: {told or 'look at its ends and joints'}"
            )
        return out

    def fuse_list(self) -> Table:
        """Where each fuse sits, and those of single holders beside the one in their cable."""
        rows = [
            (f.number, self.names.circuit(f.number), fuse_words(f.amp, f.breaker),
             fuse_place(f, self.names), f"{f.along_mm:.0f} mm" if f.at == "in cable" else "-")
            for f in sorted(self.result.fuses, key=lambda f: by_number(f.number))
        ]  # fmt: skip
        inside = {f.place for f in self.result.fuses if f.at in ("fuse way", "far end")}
        for b in self.result.benches:
            for p in b.parts:
                place = f"{b.key}.{p.key}"
                if p.fuse_amp is not None and not p.breaker and place not in inside:
                    at = f"in {self.names.place(place)}, beside the one in the cable"
                    name = self.names.circuit(p.fuse_of)
                    rows.append((p.fuse_of, name, fuse_words(p.fuse_amp), at, "-"))
        for x in (x for x in self.result.backbones if x.fuse_amp):
            name, at = self.names.of(f"backbone:{x.key}"), self.names.terminal(x.feed)
            rows.append(("-", name, fuse_words(x.fuse_amp), f"a way of {at}", "-"))
        head = ("No.", "Circuit", "Fuse", "Where it sits", "Along its cable")
        note = (
            "When something is dead: find its line here, then its fuse. Find why it blew before a "
            "new one of the same rating and kind goes in. A breaker is reset once."
        )
        return Table("fuses", "Fuses", note, head, tuple(rows), (6, 28, 11, 44, 11))

    def legends(self) -> list[Table]:
        """The legend of every fuse panel, to stick in its lid."""
        return self._of_boards(legend, "legend", "Fuse legend")

    def settings(self) -> Table:
        """Battery and charger settings, to fill from the makers' papers."""
        rows = []
        for bank in self.result.banks:
            kind = "lithium" if bank.lithium else "lead-acid or as its case says"
            name = self.names.of(f"bank:{bank.key}")
            for what in LITHIUM_SETTINGS if bank.lithium else LEAD_SETTINGS:
                told = f"{bank.takes_amp:g} A reckoned: a quarter of its Ah, or as told" if (
                    what == "most charge A" and bank.takes_amp) else TO_FILL  # fmt: skip
                rows.append((f"{name}, {bank.volts:g} V {bank.amp_hour:g} Ah, {kind}", what, told))
        for key, s in self._chargers().items():
            rows += [(s, what, TO_FILL) for what in ("kind of battery set", "charge volts set")]
            rows.append((s, "most current set", self._output(key)))
        head = ("What", "Setting", "Set to")
        note = "From the makers' papers of what was fitted: coaming gives none."
        return Table("settings", "Battery and charger settings", note, head, tuple(rows),
                     (50, 30, 20))  # fmt: skip

    def _chargers(self) -> dict[str, str]:
        out = {s.key: self.names.piece(s.key) for s in self.result.boat.stands
               if s.kind in CHARGER_KINDS}  # fmt: skip
        for b in self.result.benches:
            for p in (p for p in b.parts if p.kind in CHARGER_KINDS):
                out[f"{b.key}.{p.key}"] = self.names.place(f"{b.key}.{p.key}")
        return out

    def _output(self, place: str) -> str:
        """The most its cable and fuse are made for."""
        mine = [c.amps for c in self.result.circuits
                if c.feed.rpartition(".")[0] == place and not c.signal]  # fmt: skip
        return f"{max(mine):g} A at most: its cable and fuse are for that" if mine else TO_FILL

    def lockers(self) -> Table:
        """What is in each space, how one gets at it, where it stands, what comes out first."""
        rows = []
        order = {p.key: p for p in self.result.pieces}
        lids = {s.key: self._lids(s.key) for s in self.result.boat.spaces}
        for s in self.result.boat.spaces:
            gear = [x for x in self.result.boat.stands if x.space == s.key]
            for x in gear:
                row = order.get(x.key)
                first = [
                    *lids[s.key],
                    *(self.names.piece(k) for k in (row.out_first if row else ())),
                ]
                what = self.names.piece(x.key) + self._state(x)
                at = stands_words(self.result, x, self.names)
                rows.append((self.names.space(s.key), what, at, joined(first) or "-"))
            if not gear:
                lids_of = joined(lids[s.key]) or "no opening of its own"
                rows.append((self.names.space(s.key), "cable only", "-", lids_of))
        known = {s.key for s in self.result.boat.spaces}
        rows += [
            ("on deck", self.names.piece(x.key) + self._state(x),
             stands_words(self.result, x, self.names), "-")
            for x in self.result.boat.stands if x.space not in known
        ]  # fmt: skip
        head = ("Space", "What is there", "Where", "Open or take out first")
        return Table("lockers", "What is where", "", head, tuple(rows), (20, 24, 34, 22))

    def _state(self, x: StandRow) -> str:
        """Whether a thing was there, or does not go in as planned."""
        row = next((p for p in self.result.pieces if p.key == x.key), None)
        if f"piece:{x.key}" in self.result.estimate.fitted:
            stuck = row is not None and not row.in_order
            return f" ({PLAINLY.get(row.verdict, row.verdict)})" if stuck and row else ""
        return " (was there)"

    def _lids(self, space: str) -> list[str]:
        """What is opened or lifted off to get into a space."""
        access = next((a for a in self.result.estimate.access if a.space == space), None)
        out = [self.names.opening(access.opening)] if access is not None and access.opening else []
        off = {t.about.partition(":")[2] for t in self.result.estimate.tasks
               if t.task == "lid" and t.about.startswith("solid:")}  # fmt: skip
        out += [self.names.of(f"solid:{x.key}") for x in self.result.boat.solids
                if x.space == space and x.key in off]  # fmt: skip
        return out

    def marked(self) -> Table:
        """What was done otherwise, hidden joints, strings left in, photos."""
        rows = tuple(
            (self.names.of(b.about) if b.about else "the boat", b.kind,
             " ".join(x for x in (b.words, b.value) if x) or "-", b.photo or "-", b.on)
            for b in self.result.built
            if b.kind not in ("serial", "volt drop", "done as planned")
        )  # fmt: skip
        head = ("About", "What", "Told", "Photo", "On")
        note = "" if rows else "Nothing was marked when this was printed: ask the shop, or look."
        title = "Done otherwise, hidden joints, strings left in"
        return Table("marked", title, note, head, rows, (28, 16, 36, 16, 10))

    def serials(self) -> Table:
        """Makers' numbers, to fill where the job does not tell them."""
        told = {b.about: b.value or b.words for b in self.result.built if b.kind == "serial"}
        rows = tuple(
            (self.names.piece(s.key), self.names.space(s.space),
             told.get(f"piece:{s.key}", TO_FILL))
            for s in self.result.boat.stands if not s.is_board
        )  # fmt: skip
        rows += tuple(
            (self.names.part(f"{b.key}.{p.key}"), self.names.piece(b.key), TO_FILL)
            for b in self.result.benches
            for p in b.parts
        )
        head = ("Gear", "Where", "Maker's number")
        return Table("serials", "Gear fitted", "", head, rows, (40, 30, 30))

    def torques(self) -> list[Table]:
        """A line for every stud of every board, to be filled in."""
        return self._of_boards(torque, "torque", "Torque")

    def _of_boards(self, sheet: Callable[[BenchWords], Table], key: str, title: str) -> list[Table]:
        """A bench sheet of every board that has lines on it, under the board's own name."""
        sheets = ((b, sheet(BenchWords(self.result, b, self.names))) for b in self.result.benches)
        return [
            replace(t, key=f"{key}_{b.key}", title=f"{title}: {self.names.piece(b.key)}")
            for b, t in sheets
            if t.rows
        ]

    def tests(self) -> Table:
        """What is tested on each circuit, to be filled in."""
        rows = tuple(
            (c.number, c.label, f"{c.amps:g}", "",
             "" if c.drop_volt is None else f"{c.drop_volt:.2f}",
             "" if c.drop_volt is None else f"{c.drop_limit_percent * c.volts / 100:.2f}", "", "",
             "", "")
            for c in sorted(self.result.circuits, key=lambda c: by_number(c.number))
            if not (c.mains or c.signal or c.link)
        )  # fmt: skip
        head = ("No.", "Circuit", "A", "Polarity", "Drop told V", "Most V", "Found V", "Fuse",
                "Labels", "By")  # fmt: skip
        note = (
            "Drop: volts at the battery's posts less volts at the load while it runs, all else on "
            "that is used with it. Alone it is less than told; more than the most is looked into."
        )
        return Table("tests", "Tests of each circuit", note, head, rows,
                     (6, 26, 7, 9, 9, 9, 9, 7, 8, 7))  # fmt: skip

    def must(self) -> list[str]:
        """What does not go in, what must be put right."""
        return list(parted_steps(self.result, self.names).must)

    def should(self) -> Table:
        """What is worth improving, a line for each rule with all it is found at."""
        found: dict[str, list[RuleWords]] = {}
        for f in (f for f in self.result.findings if f.urgency == "should"):
            words = rule_words(f, self.names)
            found.setdefault(words.rule, []).append(words)
        rows = [(p.label, "fits closely", p.advice) for p in self._close()]
        for rule, mine in found.items():
            at = "; ".join(f"{w.about}: {w.found}{_asked(w.asks)}" for w in mine)
            sources = joined(list(dict.fromkeys(w.source for w in mine)))
            remedies = " Or: ".join(dict.fromkeys(f"{w.remedy}." for w in mine))
            rows.append((f"{rule} ({sources})" if sources else rule, at, remedies))
        head = ("Asked", "Where it is not so", "What would mend it")
        note = "Less than a rule or good practice asks, and nothing that must be put right first."
        return Table("should", "Worth improving", note, head, tuple(rows), (26, 48, 26))

    def _close(self) -> list[PieceWords]:
        """Pieces in order that still ask for something."""
        pieces = (PieceWords(self.result, p, self.names) for p in self.result.pieces)
        return [p for p in pieces if p.advice and p.row.in_order]

    def not_covered(self) -> list[str]:
        """What a licensed person does, and what has no way."""
        out = [
            f"Circuit {c.number}, {c.label}: mains (AC). Licensed person: not covered here."
            for c in self.result.circuits
            if c.mains
        ]
        return out + [
            f"Circuit {c.number}, {c.label}: no way was found; not wired by this plan."
            for c in self.result.circuits
            if c.no_way is not None
        ]


def _asked(asks: str) -> str:
    """What a rule asks, behind what is found."""
    return f" (asked: {asks.removeprefix('needs ').removesuffix(' is asked')})" if asks else ""
