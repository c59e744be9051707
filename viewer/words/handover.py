"""The hand-over in tables: schedule, settings, legends, maps, spares, sheets to fill."""

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from typing import Final

from viewer.words.bench import BenchWords
from viewer.words.bench_ends import legend, torque
from viewer.words.circuits import fuse_words, size_words
from viewer.words.names import Names, joined, metres
from viewer.words.pieces import PieceWords
from viewer.words.rule_values import RuleWords
from viewer.words.rules import rule_words
from viewer.words.steps import parted_steps
from viewer.words.table import Table
from viewer.words.tables import fuse_place
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
        self.fuses = {f.number: f for f in result.fuses}

    def schedule(self) -> Table:
        """Every circuit: fuse, cable, length and drop as planned and as found."""
        rows = []
        for c in (c for c in self.result.circuits if not c.mains):
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
            f"Drop: predicted over the whole path at full load. What is measured {OVER:g} times as "
            "much or more is explained below."
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
        """Where each fuse sits."""
        rows = tuple(
            (f.number, self.names.circuit(f.number), fuse_words(f.amp, f.breaker),
             fuse_place(f, self.names), f"{f.along_mm:.0f} mm" if f.at == "in cable" else "-")
            for f in self.result.fuses
        )  # fmt: skip
        head = ("No.", "Circuit", "Fuse", "Where it sits", "Along its cable")
        return Table("fuses", "Fuses", "", head, rows, (6, 28, 9, 44, 12))

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
                told = f"{bank.takes_amp:g} A by its maker" if what == "most charge A" and (
                    bank.takes_amp) else TO_FILL  # fmt: skip
                rows.append((f"{name}, {bank.volts:g} V {bank.amp_hour:g} Ah, {kind}", what, told))
        for s in self._chargers():
            rows += [(s, what, TO_FILL) for what in ("kind of battery set", "charge volts set")]
        head = ("What", "Setting", "Set to")
        note = "From the makers' papers of what was fitted: coaming gives none."
        return Table("settings", "Battery and charger settings", note, head, tuple(rows),
                     (50, 30, 20))  # fmt: skip

    def _chargers(self) -> list[str]:
        out = [self.names.piece(s.key) for s in self.result.boat.stands
               if s.kind in CHARGER_KINDS]  # fmt: skip
        for b in self.result.benches:
            out += [
                f"{self.names.part(f'{b.key}.{p.key}')} on {self.names.piece(b.key)}"
                for p in b.parts
                if p.kind in CHARGER_KINDS
            ]
        return out

    def lockers(self) -> Table:
        """What is in each space, how one gets at it, and what comes out first."""
        rows = []
        order = {p.key: p for p in self.result.pieces}
        for s in self.result.boat.spaces:
            gear = [x for x in self.result.boat.stands if x.space == s.key]
            access = next((a for a in self.result.estimate.access if a.space == s.key), None)
            through = (
                self.names.opening(access.opening) if access is not None and access.opening
                else "no opening of its own"
            )  # fmt: skip
            for x in gear:
                row = order.get(x.key)
                first = joined([self.names.piece(k) for k in row.out_first]) if row else ""
                rows.append(
                    (self.names.space(s.key), through, self.names.piece(x.key), first or "-")
                )
            if not gear:
                rows.append((self.names.space(s.key), through, "cable only", "-"))
        head = ("Space", "Through", "What is there", "To reach it take out")
        return Table("lockers", "What is where", "", head, tuple(rows), (26, 26, 32, 32))

    def marked(self) -> Table:
        """What was done otherwise, hidden joints, strings left in, photos."""
        rows = tuple(
            (self.names.of(b.about) if b.about else "the boat", b.kind,
             " ".join(x for x in (b.words, b.value) if x) or "-", b.photo or "-", b.on)
            for b in self.result.built
            if b.kind not in ("serial", "volt drop", "done as planned")
        )  # fmt: skip
        head = ("About", "What", "Told", "Photo", "On")
        note = "" if rows else "Nothing is marked: the page's As built tab, or JOB.as_built.toml."
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
            (c.number, c.label, "", "" if c.drop_volt is None else f"{c.drop_volt:.2f} V", "", "",
             "", "")
            for c in self.result.circuits if not c.mains
        )  # fmt: skip
        head = ("No.", "Circuit", "Polarity", "Drop told", "Drop found", "Fuse", "Labels", "By")
        note = (
            "Drop under full load from the battery's posts and back. Insulation with all "
            "electronics joined off. Then: sleep current of the whole boat, the bilge pump's "
            "float, alarms, compass looked at with each load on and off."
        )
        return Table("tests", "Tests", note, head, rows, (6, 30, 11, 10, 11, 9, 9, 8))

    def spares(self) -> Table:
        """Fuses to carry: one of each rating, two where many are used."""
        count = Counter(f.amp for f in self.result.fuses if f.amp is not None and not f.breaker)
        rows = tuple(
            (f"{amp:g} A", str(n), str(2 if n > 3 else 1)) for amp, n in sorted(count.items())
        )
        head = ("Fuse", "In the boat", "Carry")
        note = "Tie a spare of each main fuse to its cable."
        return Table("spares", "Spare fuses", note, head, rows, (20, 20, 20))

    def shut_off(self) -> str:
        """How the boat is made dead, and what stays live even so."""
        isolators = [
            f"{self.names.piece(s.key)} ({self.names.space(s.space)})"
            for s in self.result.boat.stands if s.kind == "isolator"
        ]  # fmt: skip
        for b in self.result.benches:
            isolators += [
                f"{p.number} {self.names.part(f'{b.key}.{p.key}')} on {self.names.piece(b.key)}"
                for p in b.parts if p.kind == "isolator"
            ]  # fmt: skip
        where = joined(isolators) or "no isolator is told"
        return (
            f"{where}. Even so stay live: every cable from a battery to its fuse and isolator, "
            "what is taken before an isolator (a bilge pump), and what chargers, solar panels and "
            "an engine give. Take the battery's own cables off before work on those."
        )

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
            rows.append((f"{rule} ({sources})", at, remedies))
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
