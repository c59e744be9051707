"""What arranging a board found, in sentences."""

from typing import Final

from viewer.words.bench import LOOKS
from viewer.words.names import joined, mm, short, size_label
from viewer.work.arranged_rows import ArrangedBoardRow, ArrangedRow

AIMS: Final = {"plate": "the plate", "cable": "the links", "both": "plate and links together"}
MOST_PLATES: Final = 6
WHY_NOT: Final = {
    "thinner than the body": "a ball inside it is thicker than an opening lets by",
    "no turn fits": "no way of turning it fits the opening",
}


class ArrangedWords:
    """The words of one answer. `labels` are what people call the parts, `openings` the openings."""

    def __init__(self, row: ArrangedRow, labels: dict[str, str], openings: dict[str, str]) -> None:
        self.row, self.labels, self.openings = row, labels, openings

    def part(self, key: str) -> str:
        """A part of the board."""
        return short(self.labels.get(key, key))

    def plates(self) -> list[str]:
        """The plates that go whatever stands on them."""
        r = self.row
        if not r.plates:
            return [f"No plain plate {r.thick_mm:.0f} mm thick over all was found to go in."]
        sizes = [f"{p.length_mm:.0f} x {p.height_mm:.0f} mm" for p in r.plates[:MOST_PLATES]]
        return [
            f"Plates that go in whatever stands on them, up to {r.thick_mm:.0f} mm thick over all "
            f"({r.asked} ways looked for): {joined(sizes, 'or')}."
        ]

    def lines(self) -> list[str]:
        """Everything, a sentence a line."""
        r = self.row
        if r.no_room:
            return [
                f"No plate there may be holds {joined([self.part(k) for k in r.no_room])}: give it "
                "more room ([boards." + r.board + ".arrange] most), fewer parts or smaller ones, "
                "free a pin, a row or a forbidden place.",
            ]
        if r.impossible is not None:
            key, why = r.impossible
            return [
                f"No board that carries {self.part(key)} can go in: alone on a plate of its own "
                f"size it cannot pass ({WHY_NOT.get(why, why)}). Choose another opening or part, "
                "or fit it by itself."
            ]
        out = self.plates() if r.asked else []
        if not r.boards:
            out.append(
                "No arrangement was found that goes in, and none is ruled out. What would work: a "
                "plate of one of those sizes with fewer parts, or the tallest fitted by itself."
            )
        for n, b in enumerate(r.boards, start=1):
            head = f"Board {n} of {len(r.boards)}: " if len(r.boards) > 1 else ""
            out += self._board(b, head)
        out += self._ends()
        if r.joined:
            out.append(f"Joined in the boat by: {joined(list(r.joined))}.")
        return out

    def _ends(self) -> list[str]:
        """Whether it goes with every size at the worst end of its ±."""
        r = self.row
        if r.worst_end == "goes in":
            more = ", arranged with more room for that" if r.roomier else ""
            return [f"It goes in with every size at the worst end of its ±, too{more}."]
        if r.worst_end is not None and r.decides:
            size = size_label(r.decides)
            return [f"With every size at its worst end: {r.worst_end}. Measure {size} again first."]
        return []

    def _board(self, b: ArrangedBoardRow, head: str) -> list[str]:
        if not b.way and b.aim == "cable":
            out = [f"Let into {b.plate_mm[0]:g} x {b.plate_mm[1]:g} mm, off what is behind it:"]
            return out + self._parts(b)
        way = joined([self.openings.get(k, k) for k in b.way], "then")
        gap = b.least_clearance_mm
        room = f", {gap:.1f} mm clear at the tightest" if gap is not None and gap > 0.05 else ""
        out = [
            f"{head}{b.plate_mm[0]:g} x {b.plate_mm[1]:g} mm "
            f"({mm(b.plate_mm[0])} by {mm(b.plate_mm[1])}): goes in through {way}{room}."
        ]
        if b.afterwards:
            parts = joined([self.part(k) for k in b.afterwards])
            out.append(
                f"  Given up: {parts} to be fitted once it is in (as pieces of their own, their "
                "places on the plate kept free)."
            )
        if b.solid_mm is not None:
            out.append(
                f"  It has the proven way of a plain solid {b.solid_mm[0]:.0f} x "
                f"{b.solid_mm[1]:.0f} mm that holds it."
            )
        share = 0.0 if b.cost <= 0 else max(0.0, b.cost - b.bound) / b.cost
        proof = (
            "nothing better exists"
            if b.proven_best
            else "how much better can exist is not proven"
            if b.bound <= 0
            else f"at most {share:.0%} better can exist; how much really is not known"
        )
        out.append(f"  Least of {AIMS[b.aim]} inside that: {proof}. Links {b.link_mm:.0f} mm.")
        return out + self._parts(b)

    def _parts(self, b: ArrangedBoardRow) -> list[str]:
        """Where each part goes."""
        out = []
        for p in b.parts:
            turned = f", turned {p.turn_deg}°" if p.turn_deg else ""
            out.append(f"  {self.part(p.key)}: {p.foot[0]:g}, {p.foot[1]:g}{turned}")
        return out

    def heading(self) -> str:
        """Which board, and how it looks."""
        r = self.row
        return (
            f"{r.label}: FRONT looks {LOOKS[r.front]}, upper edge {LOOKS[r.top]}; places are the "
            "middle of each foot from the lower left corner, seen from the front."
        )
