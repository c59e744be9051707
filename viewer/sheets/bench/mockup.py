"""Card mock-ups: a box's six faces as one pattern to cut, score, fold and glue, at its true size.

The pattern is the usual cross of a closed box: bottom in the middle, four sides round it, the top
beyond one of them, with tabs to glue.
"""

from dataclasses import dataclass
from typing import Final

from viewer.sheets.drawing.model import Drawing, Layer
from viewer.words.bench import LOOKS
from viewer.work.rows import Result

SIDES: Final = ("BOTTOM", "FRONT side", "BACK side", "LEFT end", "RIGHT end", "TOP")
ON_PLATE: Final = (
    "ON THE PLATE", "to the LOWER edge", "to the UPPER edge", "to the LEFT edge",
    "to the RIGHT edge", "FRONT, away from the plate",
)  # fmt: skip
TAB: Final = 15.0
SLANT: Final = 6.0
THIN_MM: Final = 25.0


@dataclass(frozen=True, slots=True)
class Card:
    """A box to be made of card: its name, length, breadth and height, where to try it.

    `sides` names its six faces; `edges` where a thin one's look, `glued` what is glued on it.
    """

    name: str
    length_mm: float
    breadth_mm: float
    height_mm: float
    place: str
    sides: tuple[str, str, str, str, str, str] = SIDES
    edges: tuple[str, str] = ("", "")  # along its upper and its right edge
    glued: tuple[float, float, float, float] | None = None


def pattern(card: Card) -> Drawing:
    """The pattern of one box; of a thin one its face alone, to be made up in layers."""
    length, breadth, h = card.length_mm, card.breadth_mm, card.height_mm
    d = Drawing(f"Card mock-up: {card.name}")
    if h < THIN_MM:
        d.box(0, 0, length, breadth, Layer.OUTLINE)
        d.words(length / 2, breadth / 2, f"{card.name}: {length:g} x {breadth:g} mm", size=4.0)
        d.words(length / 2, breadth / 2 - 9, f"glue layers of card to {h:g} mm", size=3.2)
        d.words(length / 2, breadth / 2 - 16, card.place, size=2.6)
        if card.glued is not None:
            _on_plate(d, card, card.glued)
        return d
    bottom, lower, upper, left, right, top = card.sides
    faces = {
        bottom: (0.0, 0.0, length, breadth),
        lower: (0.0, -h, length, 0.0),
        upper: (0.0, breadth, length, breadth + h),
        left: (-h, 0.0, 0.0, breadth),
        right: (length, 0.0, length + h, breadth),
        top: (0.0, breadth + h, length, 2 * breadth + h),
    }
    for x0, y0, x1, y1 in faces.values():
        d.box(x0, y0, x1, y1, Layer.FOLDS, dash=True)
    _cut_line(d, length, breadth, h)
    for name, (x0, y0, x1, y1) in faces.items():
        middle = (y0 + y1) / 2
        d.words((x0 + x1) / 2, middle, name, size=_letters(x1 - x0, y1 - y0), bold=True)
    d.words(length / 2, breadth / 2 - 8, card.name, size=3.2)
    size = f"{length:g} x {breadth:g} x {h:g} mm"
    d.words(length / 2, breadth / 2 - 14, size, size=3.0)
    d.words(length / 2, breadth / 2 - 20, card.place, size=2.6)
    d.words(length / 2, breadth / 2 + 10, "cut the full lines, score and fold the broken ones",
            size=2.4)  # fmt: skip
    return d


def _on_plate(d: Drawing, card: Card, glued: tuple[float, float, float, float]) -> None:
    """FRONT, UP and the datum of a plate, and where the gear's box is glued."""
    d.box(*glued, Layer.FOLDS, dash=True)
    d.words(glued[0] + 2, glued[3] - 6, "glue the gear's box here", size=2.6, anchor="start")
    upper, right = card.edges
    d.circle(0, 0, 2.5, Layer.DIMENSIONS, filled=True)
    d.words(4, 4, "DATUM", size=2.4, anchor="start", bold=True)
    d.words(card.length_mm / 2, card.breadth_mm - 8, f"FRONT; this edge {upper}", size=3.4,
            bold=True)  # fmt: skip
    d.words(card.length_mm - 3, card.breadth_mm / 2, f"this edge {right}", size=2.6, turn_deg=90)


def _letters(wide: float, high: float) -> float:
    """Letters that stay inside a face."""
    return min(5.0, max(min(high / 6, wide / 12), 1.5))


def _cut_line(d: Drawing, length: float, breadth: float, h: float) -> None:
    """The outline with tabs on the ends and on the top."""

    def tab(ax: float, ay: float, bx: float, by: float, ox: float, oy: float) -> None:
        sx, sy = (SLANT if ox == 0 else 0.0), (SLANT if oy == 0 else 0.0)
        sx, sy = min(sx, abs(bx - ax) / 3), min(sy, abs(by - ay) / 3)
        ux, uy = (1.0 if bx >= ax else -1.0), (1.0 if by >= ay else -1.0)
        d.line(
            (ax, ay), (ax + ux * sx + ox, ay + uy * sy + oy),
            (bx - ux * sx + ox, by - uy * sy + oy), (bx, by), layer=Layer.OUTLINE,
        )  # fmt: skip

    t = min(TAB, h * 0.8)
    whole = (
        ((0, -h), (length, -h)),  # the front side's free edge
        ((-h, 0), (-h, breadth)),
        ((length + h, 0), (length + h, breadth)),
    )
    for a, b in whole:
        d.line(a, b, layer=Layer.OUTLINE)
    for x, out in ((0.0, -t), (length, t)):  # the sides' tabs go behind the ends
        tab(x, 0, x, -h, out, 0)
        tab(x, breadth, x, breadth + h, out, 0)
    for x, far in ((0.0, -h), (length, h)):
        d.line((x, 0), (x + far, 0), layer=Layer.OUTLINE)
        d.line((x, breadth), (x + far, breadth), layer=Layer.OUTLINE)
    top, end = breadth + h, 2 * breadth + h
    tab(0, top, 0, end, -t, 0)
    tab(length, top, length, end, t, 0)
    tab(0, end, length, end, 0, t)


def board_cards(result: Result, key: str, label: str, place: str) -> list[Card]:
    """A board's outer boxes: its plate, and all that stands on it."""
    r = result.bench(key)
    tall = max((b.high[2] for p in r.parts for b in p.boxes), default=0.0)
    edges = (LOOKS[r.top], LOOKS[r.right])
    plate = (f"{label}: plate", r.length_mm, r.height_mm, r.thickness_mm, place, SIDES, edges)
    if not r.parts:
        return [Card(*plate)]
    low = [min(b.low[k] for p in r.parts for b in p.boxes) for k in (0, 1)]
    high = [max(b.high[k] for p in r.parts for b in p.boxes) for k in (0, 1)]
    where = f"on the plate at {low[0]:.1f}, {low[1]:.1f} mm from its lower left corner"
    gear = (f"{label}: gear", high[0] - low[0], high[1] - low[1], tall, where, ON_PLATE)
    return [Card(*plate, (low[0], low[1], high[0], high[1])), Card(*gear)]


def piece_card(result: Result, key: str, label: str, place: str) -> Card:
    """A single piece's outer box."""
    s = result.stand(key).size_mm
    return Card(label, s[0], s[1], s[2], place)
