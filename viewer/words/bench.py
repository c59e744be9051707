"""The bench's tables: parts, holes, cut-outs, links, what arrives, tests, in the order of use."""

from fractions import Fraction
from math import ceil
from typing import Final

from layout.job.sizes import inches
from viewer.words.names import SIDES, Names, joined, short
from viewer.words.table import Table
from viewer.work.bench_rows import (
    BenchRow,
    BoardHoleRow,
    BoardLinkRow,
    BoardPartRow,
)
from viewer.work.rows import Result

PURPOSES: Final = {
    "stand-off": "stand-off",
    "strap": "strap, to carry it by",
    "cable": "cable through the plate",
}
EDGES: Final = {"left": "left", "right": "right", "upper": "upper", "lower": "lower"}
CHARGED: Final = 1.25  # volts of a battery on charge beside its nominal: common practice
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

    def both(self, w: BoardLinkRow) -> tuple[str, str]:
        """Both ends of a link, as every list of it tells them."""
        minus = w.pole == "minus"
        return self.side(w.start, minus), self.side(w.goal, minus)

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
        size = " x ".join(
            f"{v:g} mm ({inches(v)})" for v in (r.length_mm, r.height_mm, r.thickness_mm)
        )
        x, y, z = r.balance
        out = [
            ("Plate", f"{size}, {r.material}"),
            ("Goes to", self._goes_to()),
            ("Volts", self._volts()),
            ("In the boat", self.looks()),
            ("Mass", self._mass()),
            ("Balance", f"{x:.0f} mm from the left edge, {y:.0f} up, {z:.0f} off the front"),
            ("Carry", "" if r.panel else self._carry()),
            ("Behind it", self._behind()),
            ("Screws", self._screws()),
        ]
        return [(k, v) for k, v in out if v]

    def _goes_to(self) -> str:
        r = self.row
        sides = [f"{mm_:.0f} mm from its {SIDES[face]}" for face, mm_ in r.from_sides]
        corner = f"; the plate's lower left corner is {joined(sides)}" if sides else ""
        return self.names.space(r.space) + corner

    def _volts(self) -> str:
        if not self.row.volts:
            return ""
        nominal = joined([f"{v:g} V" for v in self.row.volts])
        most = max(self.row.volts) * CHARGED
        return (
            f"{nominal} DC: fuses, holders and switches on it are rated for {most:.0f} V DC or more"
        )

    def _mass(self) -> str:
        links = sum(w.mass_kg for w in self.row.links)
        words = f"{self.row.mass_kg:.1f} kg with its parts"
        return words + (f", its links {links:.1f} kg more" if links >= 0.05 else "")

    def _carry(self) -> str:
        r = self.row
        people = {1: "one person", 2: "two people, or a strap"}.get(r.people, "too heavy for two")
        grips = joined([f"{EDGES[g.edge]} edge" for g in r.grips])
        words = [people]
        if r.people == 0:
            parts = joined([self.part(k) for k in r.afterwards])
            words.append(f"fit {parts} once it is in place" if parts else "use a hoist")
        words.append(f"grips: {grips}" if grips else "no free edge for a hand")
        if r.straps:
            words.append(f"by its strap holes it hangs {r.lean_deg:.0f}° out of level")
        else:
            at = joined([f"S{n}" for n in r.carry_by])
            words.append(
                "parts leave no place for strap holes"
                + (f": by a line through the stand-off holes {at} it hangs {r.lean_deg:.0f}° out "
                   "of level" if at else ": carry it flat on both hands")
            )  # fmt: skip
        return "; ".join(words)

    def _behind(self) -> str:
        r = self.row
        if not r.behind:
            return f"nothing within {r.gap_mm:.0f} mm: it hangs on brackets or a frame of its own"
        on = {s.on for s in r.stand_offs}
        what = joined([self.names.of(k) for k in sorted(on - {""})]) or self.names.of(r.behind)
        words = f"{what}; what is nearest is {r.gap_mm:.0f} mm behind the plate"
        if r.hull_skin:
            words += "; beyond it is the outside: no screw into a hull's skin, bond pads instead"
        if r.beyond:
            words += f"; beyond it: {joined([self.names.of(k) for k in r.beyond])}"
        return words

    def _screws(self) -> str:
        r = self.row
        return f"a part's screws reach at most {r.reach_most_mm:.0f} mm beyond its foot"

    # -- tables ------------------------------------------------------------------------------------

    def parts(self) -> Table:
        """The parts by their numbers."""
        rows = tuple(
            (
                str(p.number),
                self.names.part(f"{self.row.key}.{p.key}") + takes_words(p),
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
        out.append(
            "Print the template at 100 %, check both bars, join it. Offer each part up to its "
            f"marks, then drill ({kinds})."
        )
        out.append("Round every edge and seal all of it, holes too.")
        if r.stand_offs:
            holds = joined([f"S{s.number}" for s in r.stand_offs])
            out.append(f"Offer the bare plate up in the boat: make {holds} good there, then go on.")
        out.append(f"Fit the parts: {joined([self.part(k) for k in r.order], 'then')}.")
        thick = sorted(r.links, key=lambda w: (-w.area_mm2, w.mark))
        if thick:
            marks = joined([w.mark for w in thick], "then")
            out.append(f"Make and lay the links, the stiffest first: {marks}.")
        out.append("Test, before anything is tightened for good; keep the sheet with the board.")
        out.append("Tighten to the makers' figures, paint a line, write them in the torque column.")
        out.append("Covers and legends on.")
        return out


def takes_words(p: BoardPartRow) -> str:
    """What a fuse holder takes."""
    if not p.fuse_amp:
        return ""
    stops = f", able to stop {p.fuse_stops_amp / 1000:.1f} kA" if p.fuse_stops_amp else ""
    if p.breaker:
        return f"; a breaker of {p.fuse_amp:g} A{stops}"
    return f"; takes {p.fuse_amp:g} A{stops} (beside any fuse in line)"


def _size(p: BoardPartRow) -> str:
    """A part's outline on the plate."""
    low = [min(b.low[k] for b in p.boxes) for k in (0, 1)]
    high = [max(b.high[k] for b in p.boxes) for k in (0, 1)]
    return f"{high[0] - low[0]:g} x {high[1] - low[1]:g}"
