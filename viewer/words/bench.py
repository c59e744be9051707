"""The bench's tables: parts, holes, cut-outs, links, what arrives, tests, in the order of use."""

from fractions import Fraction
from math import ceil
from typing import Final

from viewer.words.names import Names, joined, mm, short
from viewer.words.table import Table
from viewer.work.bench_rows import (
    BenchRow,
    BoardHoleRow,
    BoardPartRow,
)
from viewer.work.rows import Result

PURPOSES: Final = {
    "stand-off": "stand-off",
    "strap": "strap, to carry it by",
    "cable": "cable through the plate",
}
EDGES: Final = {"left": "left", "right": "right", "upper": "upper", "lower": "lower"}
LOOKS: Final = {
    "up": "UP",
    "down": "DOWN",
    "forward": "FORWARD",
    "aft": "AFT",
    "port": "TO PORT",
    "starboard": "TO STARBOARD",
}
HOLES_NOTE: Final = (
    "From the lower left corner of the plate, seen from its FRONT: x to the right, y up. Holes a "
    "part is fixed by are of its type: offer the part itself up before drilling. Edges of holes "
    "are sharp until dressed."
)
LINKS_NOTE: Final = (
    "Cut lengths are whole conductors, lug to lug, with their bends. Strip: about the barrel of a "
    "lug of that size, from memory: measure the lug. Sleeve: before/after in mm, adhesive lined. "
    "The mark goes on both ends, 40 to 60 mm back from the lug."
)
TORQUE_NOTE: Final = (
    "Torque is the maker's figure for each stud: write it in from the data sheet, tighten, mark "
    "with a line of paint. None is given here."
)
TEST_NOTE: Final = (
    "On the bench, with no battery joined. Pull: a steady hand's pull on each end; a crimp that "
    "moves is made again (a figure is its tool maker's, or that of your standard)."
)
WEIGHT_NOTE: Final = (
    "Guideline weights for a low, bent lift at arm's length, from memory of the British lifting "
    "filter: 10 kg for one, two thirds of the sum for two. Guidance, not a limit in law."
)


SIXTY_FOURTH_MM: Final = 25.4 / 64
SAME_DRILL_MM: Final = 0.1


def drill_inch(diameter_mm: float) -> str:
    """The inch drill for a hole: the nearest sixty-fourth that is not smaller by a tenth."""
    share = Fraction(ceil((diameter_mm - SAME_DRILL_MM) / SIXTY_FOURTH_MM), 64)
    whole, part = divmod(share, 1)
    words = [str(whole)] if whole else []
    return " ".join([*words, str(part)] if part else words) + " in"


class BenchWords:
    """The words of one board."""

    def __init__(self, result: Result, row: BenchRow, names: Names) -> None:
        self.result, self.row, self.names = result, row, names
        self.numbers = {p.key: p.number for p in row.parts}
        self.label = names.piece(row.key)

    def part(self, key: str) -> str:
        """A part with its number."""
        return f"{self.numbers[key]} {short(self.names.part(f'{self.row.key}.{key}'))}"

    def end(self, name: str) -> str:
        """A terminal on this board by its part's number, another by its name."""
        own = name.removeprefix(f"{self.row.key}.")
        part, _, terminal = own.rpartition(".")
        if own == name or part not in self.numbers:
            return self.names.terminal(name)
        return f"{self.part(part)}, {terminal.replace('_', ' ')}"

    def side(self, name: str, minus: bool) -> str:
        """A terminal, and that its minus is meant where one is told for both."""
        poles = {e.name: e.pole for p in self.row.parts for e in p.ends}
        both = minus and poles.get(name) == "plus"
        return self.end(name) + (", its minus" if both else "")

    def looks(self) -> str:
        """Where its front and its edges look in the boat."""
        r = self.row
        return (
            f"FRONT looks {LOOKS[r.front]} in the boat; its upper edge is {LOOKS[r.top]}, "
            f"its right edge {LOOKS[r.right]}."
        )

    def facts(self) -> list[tuple[str, str]]:
        """What it is, where it goes, how it is carried."""
        r = self.row
        size = " x ".join(mm(v) for v in (r.length_mm, r.height_mm, r.thickness_mm))
        x, y, z = r.balance
        out = [
            ("Plate", f"{size}, {r.material}"),
            ("Goes to", self.names.space(r.space)),
            ("In the boat", self.looks()),
            ("Mass", f"{r.mass_kg:.1f} kg with its parts"),
            ("Balance", f"{x:.0f} mm from the left edge, {y:.0f} up, {z:.0f} off the front"),
            ("Carry", "" if r.panel else self._carry()),
            ("Behind it", self._behind()),
            ("Screws", self._screws()),
        ]
        return [(k, v) for k, v in out if v]

    def _carry(self) -> str:
        r = self.row
        people = {1: "one person", 2: "two people, or a strap"}.get(r.people, "too heavy for two")
        grips = joined([f"{EDGES[g.edge]} edge" for g in r.grips])
        words = [people]
        if r.people == 0:
            parts = joined([self.part(k) for k in r.afterwards])
            words.append(f"fit {parts} once it is in place" if parts else "use a hoist")
        words.append(f"grips: {grips}" if grips else "no free edge for a hand: use the straps")
        if r.straps:
            words.append(f"by its strap holes it hangs {r.lean_deg:.0f}° out of level")
        else:
            words.append("parts leave no place for strap holes")
        return "; ".join(words)

    def _behind(self) -> str:
        r = self.row
        if not r.behind and r.gap_mm == 0:
            return "a sloping face: measure its stand-offs there"
        if not r.behind:
            return f"nothing within {r.gap_mm:.0f} mm: it hangs on brackets or a frame of its own"
        on = {s.on for s in r.stand_offs}
        what = joined([self.names.of(k) for k in sorted(on)]) or self.names.face(r.behind)
        words = f"{what}, {r.gap_mm:.0f} mm behind the plate"
        if r.hull_skin:
            words += "; beyond it is the outside: no screw into a hull's skin, bond pads instead"
        if r.beyond:
            words += f"; beyond it: {joined([self.names.of(k) for k in r.beyond])}"
        return words

    def _screws(self) -> str:
        r = self.row
        most = max((s.screw_most_mm for s in r.stand_offs), default=0.0)
        words = f"a part's screws reach at most {r.reach_most_mm:.0f} mm beyond its foot"
        if most > 0:
            words += f"; those of the stand-offs at most {most:.0f} mm into what is behind"
        elif r.stand_offs:
            words += "; measure what the stand-offs are screwed into before choosing theirs"
        return words

    # -- tables ------------------------------------------------------------------------------------

    def parts(self) -> Table:
        """The parts by their numbers."""
        rows = tuple(
            (
                str(p.number),
                self.names.part(f"{self.row.key}.{p.key}"),
                f"{p.foot[0]:.1f}",
                f"{p.foot[1]:.1f}",
                f"{p.turn_deg}°",
                _size(p),
                f"{max(b.high[2] for b in p.boxes):.0f}",
                f"{p.mass_kg:.2f}",
            )
            for p in self.row.parts
        )
        plate = self.row.mass_kg - sum(p.mass_kg for p in self.row.parts)
        plain = ("", f"plate, {self.row.material}", "", "", "", "", "", f"{plate:.2f}")
        rows += (plain,)
        head = ("No.", "Part", "x mm", "y mm", "Turned", "Size mm", "Off plate mm", "kg")
        note = (
            "x and y: the middle of its foot from the plate's lower left corner. Turned: to the "
            "left, seen from the front. Size: along and up the plate, as it stands there."
        )
        return Table("parts", "Parts", note, head, rows, (5, 36, 9, 9, 9, 14, 12, 8))

    def purpose(self, h: BoardHoleRow) -> str:
        """What a hole is for."""
        if h.purpose == "fixing":
            return f"fixes {self.part(h.part)}" + (f" ({h.screw})" if h.screw else "")
        if h.purpose == "cable":
            return f"{PURPOSES['cable']}: circuit {h.circuit}, edged"
        return PURPOSES[h.purpose]

    def holes(self) -> Table:
        """Every hole to drill."""
        rows = tuple(
            (
                str(h.number),
                f"{h.x_mm:.1f}",
                f"{h.y_mm:.1f}",
                f"{h.diameter_mm:g}",
                drill_inch(h.diameter_mm),
                self.purpose(h),
            )
            for h in self.row.holes
        )
        bare = [self.part(p.key) for p in self.row.parts if not p.fixings_known]
        note = HOLES_NOTE
        if bare:
            note += f" No holes are told of {joined(bare)}: take them from the part itself."
        head = ("No.", "x mm", "y mm", "Drill mm", "inch", "For")
        return Table("holes", "Holes to drill", note, head, rows, (6, 10, 10, 10, 12, 46))

    def cut_outs(self) -> Table:
        """Every hole to saw."""
        rows = tuple(
            (
                chr(64 + c.number),
                f"{c.x_mm:.1f}",
                f"{c.y_mm:.1f}",
                f"{c.length_mm:g} x {c.height_mm:g}",
                f"{c.radius_mm:g}",
                self.part(c.part),
            )
            for c in self.row.cut_outs
        )
        head = ("", "x mm", "y mm", "Size mm", "Corners R", "For")
        note = "x and y: the middle of the hole. Drill the corners first; edges are sharp."
        return Table("cut_outs", "Holes to saw", note, head, rows, (5, 10, 10, 20, 12, 40))

    def links(self) -> Table:
        """The board's own links."""
        rows = tuple(
            (
                w.mark,
                self.side(w.start, w.pole == "minus"),
                w.start_on or "-",
                self.side(w.goal, w.pole == "minus"),
                w.goal_on or "-",
                w.size,
                f"{w.cut_mm:.0f}",
                f"{w.strip_mm:.0f}",
                w.sleeve or "-",
                w.colour,
            )
            for w in self.row.links
        )
        head = ("Mark", "From", "On", "To", "On", "Size", "Cut mm", "Strip", "Sleeve", "Colour")
        note = LINKS_NOTE + f" Insulation {self.result.size_plan.insulation_degc} °C."
        widths = (6, 20, 8, 20, 8, 10, 8, 6, 8, 10)
        return Table("links", "Links made on the bench", note, head, rows, widths)

    def arrives(self) -> Table:
        """What comes to the board in the boat."""
        rows = tuple(
            (
                a.number,
                self.side(a.end, a.number.endswith("-")),
                a.on or "-",
                a.size,
                "-" if a.fuse_amp is None else f"{a.fuse_amp:g} A",
                self.names.terminal(a.other),
            )
            for a in self.row.arrives
        )
        head = ("Mark", "Ends on", "On", "Size", "Fuse", "Comes from")
        note = "Left free on the bench: joined in the boat."
        return Table("arrives", "Cables that come to it in the boat", note, head, rows,
                     (8, 28, 10, 12, 10, 40))  # fmt: skip

    def legend(self) -> Table:
        """What every way of its fuse panels feeds."""
        rows = tuple(
            (
                self.part(x.part),
                str(x.way),
                x.number or "-",
                self.names.circuit(x.number) if x.number else "spare",
                "" if x.amp is None else f"{x.amp:g} A",
            )
            for x in self.row.legend
        )
        head = ("Panel", "Way", "Circuit", "Feeds", "Fuse")
        note = "To stick in the cover."
        return Table("legend", "Fuse legend", note, head, rows, (24, 8, 10, 40, 12))

    def torque(self) -> Table:
        """A line for every stud, to be filled in."""
        marks: dict[tuple[str, bool], list[str]] = {}
        ends = [(e, w.mark) for w in self.row.links for e in (w.start, w.goal)]
        for end, mark in [*ends, *((a.end, a.number) for a in self.row.arrives)]:
            marks.setdefault((end, mark.endswith("-")), []).append(mark)
        rows = []
        for e in (e for p in self.row.parts for e in p.ends if e.on.startswith("M")):
            both = e.pole == "plus" and (e.name, True) in marks
            mine = marks.get((e.name, e.pole == "minus"), [])
            rows.append((self.end(e.name), e.on, ", ".join(mine) or "-", "", "", ""))
            if both:
                lugs = ", ".join(marks[e.name, True])
                rows.append((self.side(e.name, True), e.on, lugs, "", "", ""))
        head = ("Stud", "Size", "Lugs", "Maker's Nm", "Tightened", "By")
        return Table("torque", "Torque", TORQUE_NOTE, head, tuple(rows), (30, 8, 30, 12, 12, 8))

    def tests(self) -> Table:
        """What is tested before it leaves the bench, to be ticked."""
        own = [
            (f"{w.mark}: {self.end(w.start)} to {self.end(w.goal)}", "continuity", "below 1 Ω")
            for w in self.row.links
        ]
        own += [(f"{w.mark}, both ends", "pull", "nothing moves") for w in self.row.links]
        live = [e for p in self.row.parts for e in p.ends if e.on.startswith("M")]
        plus = [e for e in live if e.pole == "plus"]
        minus = [e for e in live if e.pole == "minus"]
        if plus and minus:
            what = "each plus stud to each minus stud, fuses in, switches on"
            own.append((what, "no continuity", "open"))
        if plus:
            own.append(("every plus link: red end to end", "polarity", "as the link list"))
        rows = tuple((*row, "", "") for row in own)
        head = ("What", "Test", "Good when", "Found", "By")
        return Table("tests", "Tests on the bench", TEST_NOTE, head, rows, (46, 14, 16, 14, 10))

    def order(self) -> list[str]:
        """Sentences, in the order of the work."""
        r = self.row
        out = [
            "In the boat: look behind the face first, at every place (the list of holes in the "
            "boat tells what is near); mark the lower left corner and UP."
            if r.panel
            else f"Cut the plate {r.length_mm:g} x {r.height_mm:g} mm from {r.thickness_mm:g} mm "
            f"{r.material}; mark FRONT, the upper edge and the lower left corner at once."
        ]
        if r.cut_outs:
            out.append("Saw the large holes (letters), corners drilled first.")
        kinds = joined(sorted({f"{h.diameter_mm:g} mm" for h in r.holes}))
        out.append(f"Print the template at 100 %, check both bars, join it, drill ({kinds}).")
        out.append("Round every edge and seal all of it, holes too.")
        out.append(f"Fit the parts: {joined([self.part(k) for k in r.order], 'then')}.")
        thick = sorted(r.links, key=lambda w: (-w.area_mm2, w.mark))
        if thick:
            marks = joined([w.mark for w in thick], "then")
            out.append(f"Make and lay the links, the stiffest first: {marks}.")
        out.append("Tighten to the makers' figures, paint a line, write them in the torque column.")
        out.append("Test, and keep the sheet with the board. Covers and legends on.")
        return out


def _size(p: BoardPartRow) -> str:
    """A part's outline on the plate."""
    low = [min(b.low[k] for b in p.boxes) for k in (0, 1)]
    high = [max(b.high[k] for b in p.boxes) for k in (0, 1)]
    return f"{high[0] - low[0]:g} x {high[1] - low[1]:g}"
