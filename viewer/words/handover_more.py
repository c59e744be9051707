"""More of the hand-over: ways, backbones, studs in the boat, what is tested on the whole boat."""

from viewer.words.made_dead import MadeDead
from viewer.words.names import Names, joined, metres
from viewer.words.table import Table
from viewer.work.estimate.rows import GoodsRow
from viewer.work.rows import Result

TO_FILL = ""


def by_number(number: str) -> tuple[int, int, str]:
    """Circuits in the order people count: 2 before 10, links last."""
    digits = "".join(c for c in number if c.isdigit())
    return int(not number[:1].isdigit()), int(digits or 0), number


class MoreWords:
    """Further tables of one hand-over."""

    def __init__(self, result: Result, names: Names) -> None:
        self.result, self.names = result, names

    def ways(self) -> Table:
        """The holes and pipes each cable goes through, from its feed."""
        mine = sorted(
            (c for c in self.result.circuits if c.joints), key=lambda c: by_number(c.number)
        )
        rows = tuple(
            (c.number, c.label, ", ".join(self.names.joint(j) for j in c.joints)) for c in mine
        )
        head = ("No.", "Circuit", "Through, from its feed")
        note = "What is not listed stays in one space."
        return Table("ways", "Ways through the boat", note, head, rows, (7, 33, 60))

    def backbones(self) -> list[Table]:
        """Each instrument backbone: its tees, what hangs on them, where its power comes from."""
        out = []
        for b in self.result.backbones:
            name = self.names.of(f"backbone:{b.key}")
            fuse = f", {b.fuse_amp:g} A" if b.fuse_amp else ""
            feed = (
                f"Power at tee {b.feed_tee} from {self.names.terminal(b.feed)}{fuse}. "
                if b.feed
                else ""
            )
            through = joined([self.names.joint(j) for j in b.joints])
            way = f"Through {through}. " if through else ""
            rows = []
            for t in b.tees:
                on = [d for d in b.devices if d.tee == t.key]
                space = next((s for s in self.result.boat.spaces if s.key == t.space), None)
                at = "-"
                if space is not None:
                    off = [x - low for x, low in zip(t.at_mm, space.low_mm, strict=True)]
                    at = f"{off[0]:.0f} mm from aft, {off[1]:.0f} from starboard, {off[2]:.0f} up"
                hang = joined([f"{self.names.of(d.on)} ({metres(d.drop_lead_mm)})" for d in on])
                rows.append((t.key, self.names.space(t.space), at, hang or "-"))
            head = ("Tee", "In", "Where", "What hangs on it, by drop lead")
            note = f"{feed}{way}{metres(b.length_mm)} from end to end."
            out.append(Table(f"backbone_{b.key}", name, note, head, tuple(rows), (12, 26, 30, 32)))
        return out

    def studs(self) -> Table:
        """A line for every stud of loose gear, to be filled in: boards have their own."""
        boards = {b.key for b in self.result.benches}
        on: dict[tuple[str, str], list[str]] = {}
        for w in self.result.wires:
            for end, kind in ((w.start, w.start_on), (w.goal, w.goal_on)):
                if end.partition(".")[0] not in boards and kind not in ("lead", ""):
                    on.setdefault((end, kind), []).append(w.mark)
        rows = tuple(
            (self.names.terminal(end), "its stud" if kind == "-" else kind, ", ".join(marks),
             TO_FILL, TO_FILL)
            for (end, kind), marks in on.items()
        )  # fmt: skip
        head = ("Terminal", "Stud", "Carries", "Maker's Nm", "Done by")
        note = (
            "The figure is its maker's: coaming gives none. A taper post takes a clamp with a stud."
        )
        return Table("studs", "Torque: gear in the boat", note, head, rows, (40, 12, 24, 12, 12))

    def whole_boat(self) -> Table:
        """What is tested on the boat as a whole, with what is expected where that is known."""
        rows = [
            ("Insulation, electronics joined off, each pole to the other and to metal",
             "as your standard asks"),
            ("Current with everything switched off", "only what stays on by its maker"),
        ]  # fmt: skip
        if any(s.kind == "pump" for s in self.result.boat.stands):
            rows.append(("Bilge pump: its float lifted by hand, with isolators off", "runs, stops"))
        for k in MadeDead(self.result, self.names).isolators:
            rows.append((f"{self.names.place(k)} turned off", "what it takes is dead"))
        for s in self.result.sensors:
            told = f"within {s.degrees:.1f}° by the plan"
            rows.append((f"{self.names.of(f'hazard:{s.hazard}')}: each load on and off", told))
        rows += [(f"Circuit {c.number}, {c.label}", "picture, reception or data")
                 for c in self.result.circuits if c.signal]  # fmt: skip
        rows += [(self.names.of(f"backbone:{b.key}"), "every instrument is seen by the others")
                 for b in self.result.backbones]  # fmt: skip
        head = ("Test", "Expected", "Found", "By")
        filled = tuple((what, expected, TO_FILL, TO_FILL) for what, expected in rows)
        return Table("whole", "Tests of the whole boat", "", head, filled, (50, 26, 14, 10))

    def spares(self) -> Table:
        """Fuses to carry, by kind and rating: one of each, two where many are used."""
        lines: dict[str, list[GoodsRow]] = {}
        for g in (g for g in self.result.estimate.goods if g.kind == "fuse"):
            lines.setdefault(g.what, []).append(g)
        rows = []
        for what, same in sorted(lines.items(), key=lambda x: (_amp(x[0]), x[0])):
            n = int(sum(g.count for g in same))
            of = ", ".join(dict.fromkeys(g.about.partition(":")[2] for g in same))
            rows.append((what, str(n), str(2 if n > 3 else 1), of))
        head = ("Fuse", "In the boat", "Carry", "Of circuits")
        note = "Tie a spare of each main fuse to its cable. Breakers are reset, once."
        return Table("spares", "Spare fuses", note, head, tuple(rows), (34, 14, 10, 42))


def _amp(what: str) -> float:
    try:
        return float(what.partition(" ")[0])
    except ValueError:
        return 0.0
