"""What placing things found, in sentences: a few plain answers, each with its reason and price."""

from typing import Final

from viewer.words.names import SIDES, Names, joined, metres, mm
from viewer.words.rules import rule_words
from viewer.work.placed_rows import PlacedRow, PlacingRow

ON: Final = {
    "bottom": "on the floor",
    "top": "upside down under the top",
}
AXIS_WORDS: Final = (("forward", "aft"), ("to port", "to starboard"), ("up", "down"))


class PlacedWords:
    """The words of one answer."""

    def __init__(self, row: PlacingRow) -> None:
        self.row = row

    def of(self, key: str) -> str:
        """A label by its key with its kind."""
        return self.row.labels.get(key, key.partition(":")[2] or key)

    def where(self, p: PlacedRow) -> str:
        """A place, said as a fitter would."""
        space = self.of(f"space:{p.space}")
        on = ON.get(p.face, f"on the {SIDES[p.face]}")
        return f"{space}, {on}"

    def reasons(self, p: PlacedRow) -> str:
        """Why it is good, and what to mind."""
        out = []
        way = joined([self.of(f"opening:{k}") for k in p.way], "then")
        room = p.least_clearance_mm
        tight = f", {room:.1f} mm clear" if room is not None and room > 0.05 else ""
        out.append(f"goes in and out through {way}{tight}")
        if p.first:
            out[-1] += ", but only before the other gear is in"
        if p.gap_mm < 9_999:
            out.append(f"{p.gap_mm:.0f} mm from what is nearest")
        far = f"{p.from_opening_mm:.0f} mm from the opening"
        out.append(far + (": beyond an arm's reach" if p.out_of_reach else ""))
        if p.cable_mm > 0:
            out.append(f"about {metres(p.cable_mm)} of cable")
        if p.price is not None and not self.row.together:
            dear = "cheapest in cable" if p.dearer < 0.005 else f"{p.dearer:.2f} dearer in cable"
            out.append(dear)
        if p.splash:
            out.append("mind: open to the weather, and its maker is not known to allow splash")
        names = Names(self.row)
        out += [f"mind: {rule_words(f, names).found}" for f in p.findings]
        return "; ".join(out)

    def lines(self) -> list[str]:
        """Everything, a sentence a line."""
        r = self.row
        out = []
        for n, p in enumerate(r.places, start=1):
            x, y, z = p.at_mm
            out.append(
                f"{n}. {p.label}: {self.where(p)}, at [{x:g}, {y:g}, {z:g}], length {p.along}, "
                f"top {p.top}."
            )
            out.append(f"   {self.reasons(p)[:1].upper()}{self.reasons(p)[1:]}.")
        return out + self.ends()

    def ends(self) -> list[str]:
        """What found no place, what would open one, and the order."""
        r, out = self.row, []
        spaces = joined([self.of(f"space:{s}") for s in r.spaces])
        if r.left:
            names = joined([self.of(f"piece:{k}") for k in r.left])
            if r.proven_none:
                out.append(
                    f"Not all can stand in {spaces}: proven, whatever goes in. Without a place: "
                    f"{names}. Leave one out, or give it another space."
                )
            else:
                out.append(f"No place was found for {names} in {spaces}.")
        for o in r.opens:
            word = AXIS_WORDS[o.axis][0 if o.by_mm > 0 else 1]
            on = ON.get(o.face, f"on the {SIDES[o.face]}")
            out.append(
                f"What would open one: move {self.of(f'piece:{o.moved}')} {mm(abs(o.by_mm))} "
                f"{word}; then it stands in {self.of(f'space:{o.space}')}, {on}."
            )
        if r.together and not r.left:
            out.append("Put in in that order, each past those before it; out in the other order.")
        return out
