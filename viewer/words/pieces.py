"""Boards and pieces in words: what goes in, what decides, what to do next."""

from typing import Final

from viewer.words.moves import whole_words
from viewer.words.names import Names, joined, mm, size_label, times
from viewer.work.piece_rows import ClashRow, PieceRow, RemedyRow, StandRow
from viewer.work.rows import Result

FINE: Final = ("goes in", "there already")
PLAINLY: Final = {
    "cannot": "does not go in as it is",
    "place not free": "its place is taken",
    "measure again": "a size is to be measured again first",
    "not settled": "not known yet whether it goes in",
}
ROOMY_MM: Final = 60.0
LEAST_TOLD_MM: Final = 0.5  # of a move along one axis
AXES: Final = ("fore and aft", "athwart", "in height")
WAYS: Final = (("forward", "aft"), ("to port", "to starboard"), ("up", "down"))
LOWER: Final = ("shorter fore and aft", "narrower athwart", "lower")
EVIDENCE: Final = {
    "way": "Checked: nothing touches at any point of the way",
    "place not free": "Proven: its place is taken",
    "tipped at its place": "Proven: it stands tipped beyond its limit",
    "out of its space": "Proven: its place is not inside its space",
    "start not free": "No free place outside to hold it was found",
    "thinner than the body": "Proven: the opening is thinner than the piece at its thinnest",
    "no turn fits": "Proven: too big for the opening whichever way you turn it",
    "turns never join": "Proven: turned to pass the opening, it cannot be turned to its place",
    "none": "Neither a way nor a proof was found",
}


class PieceWords:
    """The words for one board or piece."""

    def __init__(self, result: Result, row: PieceRow, names: Names) -> None:
        self.result, self.row, self.names = result, row, names
        self.label = names.piece(row.key)

    @property
    def gap(self) -> str:
        """The smallest gap on the way in."""
        least = self.row.least_clearance_mm
        if least is None:
            return "-"
        if least < 0:
            return f"{-least:.0f} mm short"
        return f"{least:.1f} mm"

    @property
    def decides(self) -> str:
        """The size that decides, or what is nearly touching."""
        if self.row.deciding_sizes:
            d = self.row.deciding_sizes[0]
            return f"{size_label(d.key)} ±{d.plus_minus_mm:g} ({d.share:.0%})"
        near = self.row.nearly_touching
        return self.names.box(near) if near else "-"

    @property
    def at_rest(self) -> str:
        """How it stands in its place."""
        if self.row.clashes:
            return f"clash: {self.names.box(self.row.clashes[0].other)}"
        if self.row.rooms_taken:
            c = self.row.rooms_taken[0]
            return f"{c.room} room: {c.depth_mm:.0f} mm short"
        return "clear"

    @property
    def held(self) -> str:
        """What holds it: found, else as a person says; empty where neither is known."""
        return held_words(self.result.stand(self.row.key), self.names)

    @property
    def way(self) -> str:
        """The openings it goes in by."""
        by = " then ".join(self.names.opening(o) for o in self.row.way)
        if not self.row.also_open:
            return by
        others = joined([self.names.opening(o) for o in self.row.also_open])
        return f"{by}, with {others} open: an end is poked through"

    @property
    def evidence(self) -> str:
        """What the verdict rests on."""
        kept = " (its way of the boat before, checked again on this one)" if self.row.kept else ""
        return EVIDENCE[self.row.evidence] + kept

    def clash(self, c: ClashRow) -> str:
        """One clash as a sentence part."""
        if c.room:
            room = f"the {c.room} room of {self.names.box(c.what)}"
            return f"{room} is taken by {self.names.box(c.other)}, {c.depth_mm:.0f} mm"
        return f"{self.names.box(c.what)} with {self.names.box(c.other)}, {c.depth_mm:.0f} mm"

    @property
    def out_again(self) -> str:
        """Whether it comes out again; empty where that was not asked."""
        if self.row.out_again is None:
            return ""
        if self.row.out_again == "goes in":
            return "yes, with all else in place"
        if not self.row.out_first:
            return "no way out past all else was found"
        return "only after " + joined([self.names.piece(k) for k in self.row.out_first])

    @property
    def take_out(self) -> str:
        """The moves that take it out, in one line; empty where none are known."""
        steps = [whole_words(m, self.names) for m in self.row.out_moves]
        return "; ".join(f"{n}. {s}" for n, s in enumerate(steps, start=1))

    @property
    def advice(self) -> str:
        """What to do next, as sentences; empty when nothing is to be done."""
        row = self.row
        if row.no_opening:
            space = self.names.space(self.result.stand(row.key).space)
            return f"No opening leads from outside to {space}: add a hatch, door or port to it."
        first = self._verdict_advice()
        if first:
            return first
        if row.clashes:
            c = row.clashes[0]
            return f"Move it clear: {self.clash(c)}."
        if row.rooms_taken:
            c = row.rooms_taken[0]
            return f"Free a place: {self.clash(c)} short."
        if row.out_again is not None and row.out_again != "goes in":
            if row.out_first:
                first = joined([self.names.piece(k) for k in row.out_first])
                return f"Comes out only after {first}."
            return "No way out past all else was found: keep that in mind when fitting the rest."
        return ""

    def _verdict_advice(self) -> str:
        row, verdict = self.row, self.row.verdict
        if verdict == "measure again" and row.deciding_sizes:
            d = row.deciding_sizes[0]
            much = (
                "This size alone decides"
                if d.share > 0.995
                else f"It is {d.share:.0%} of the doubt"
            )
            size = f"{size_label(d.key)} ({d.value_mm:.0f} ±{d.plus_minus_mm:g} mm)"
            return f"Measure {size} again. {much}."
        if verdict == "place not free":
            return self._place_advice()
        if verdict == "cannot":
            there = joined([self.names.of(k) for k in row.in_place])
            place = f" with {there} in place" if there else ""
            return f"It cannot go through {self.way}{place}, turned any way."
        if verdict != "not settled":
            return ""
        if row.evidence == "start not free":
            near = self.names.box(row.nearly_touching)
            return f"No free place outside {self.way} to hold it was found: {near} is in the way."
        if row.evidence == "place not free":
            near = self.names.box(row.nearly_touching)
            return (
                f"Whether {near} leaves its place free is too close to tell: measure there again."
            )
        more = "Try a card mock-up, or more work: --work 4"
        if row.shortfall_mm is None:
            return f"Neither a way nor a proof was found. {more}."
        return (
            "Neither a way nor a proof was found; "
            f"{row.shortfall_mm:.0f} mm less on its longest side and it goes. {more}."
        )

    def _place_advice(self) -> str:
        """Why its place is not one it can have, and the shortest move that frees it."""
        row = self.row
        if row.evidence == "tipped at its place":
            return "It stands tipped beyond its limit: stand it upright, whatever the way in."
        depth = -(row.least_clearance_mm or 0.0)
        near = self.names.box(row.nearly_touching)
        if row.evidence == "out of its space":
            space = self.names.space(self.result.stand(row.key).space)
            why = f"It reaches {mm(depth)} out of {space}: check where it is put"
        else:
            why = f"Its place is taken by {near}, {depth:.0f} mm deep"
        if row.free_by_mm is None:
            return f"{why}. No straight move within a metre frees it: choose another place."
        return f"{why}; moved {move_words(row.free_by_mm)} it stands free (checked)."

    def remedy(self, r: RemedyRow) -> str:
        """One remedy as a sentence part."""
        if r.kind == "take off":
            off = joined([self.names.box(k) for k in r.keys])
            return f"take off {off} ({r.minutes:g} min)"
        if r.kind == "fit afterwards":
            return "fit afterwards: " + joined([self.names.part(k) for k in r.keys])
        if r.kind == "smaller" and r.axis is not None and r.less_mm is not None:
            return f"{r.less_mm:.0f} mm {LOWER[r.axis]}: {r.sizes_mm[0]:.0f} mm {AXES[r.axis]}"
        if r.kind == "larger" and r.axis is not None:
            to = f"{mm(r.sizes_mm[0])} {AXES[r.axis]}"
            if r.at_limit:
                return f"{to}, as large as was asked, with the rest as drawn"
            more = -(r.less_mm or 0.0)
            grown = f"{more:.0f} mm more than drawn" if more >= 1 else "as drawn"
            return f"at most {to}, {grown}, with the rest as drawn"
        a, b, thick = r.sizes_mm
        return f"largest board that still goes in: {times(a, b)}, {thick:.0f} mm thick over all"


def move_words(by_mm: tuple[float, float, float]) -> str:
    """A straight move: how far and which way, along each axis it goes along."""
    told = [k for k in range(3) if abs(by_mm[k]) >= LEAST_TOLD_MM]
    told = told or [max(range(3), key=lambda i: abs(by_mm[i]))]
    return joined([f"{mm(abs(by_mm[k]))} {WAYS[k][0 if by_mm[k] > 0 else 1]}" for k in told])


def note_words(least_mm: float, near: str, names: Names, step: str) -> str:
    """How near a move comes, in words."""
    if least_mm > ROOMY_MM:
        return "plenty of room"
    if step == "seat":
        return "down on to its place"
    if not near:
        return ""
    return f"at least {max(0.0, least_mm):.1f} mm from {names.box(near)}"


def held_words(stand: StandRow, names: Names) -> str:
    """What holds a thing: found, else as a person says; empty where neither is known."""
    if stand.held_by:
        return joined([names.box(k) for k in stand.held_by])
    return f"{stand.said_held_by} (as the job says; not drawn)" if stand.said_held_by else ""
