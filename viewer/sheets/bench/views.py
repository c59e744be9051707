"""A board drawn: from its front with every size from one corner, from its side, and its template.

FRONT, the upper edge, the datum corner and which way it looks in the boat stand on every one, so
that nothing is built mirrored.
"""

from typing import Final

from viewer.sheets.drawing.model import Drawing, Layer, Rounded, dimension
from viewer.words.bench import LOOKS, BenchWords
from viewer.work.bench_rows import BenchRow, BoardPartRow

NUMBER_MM: Final = 5.0  # the radius of a part's number
FIRST_OFF: Final = 14.0
NEXT_OFF: Final = 7.0
ASIDE_OFF: Final = 17.0  # beside the plate figures stand side by side
NEAR_MM: Final = 4.0  # figures nearer than this are set a row apart
TAG: Final = 2.6
DATUM: Final = 6.0


def front_view(words: BenchWords) -> Drawing:
    """The board from its front: parts by number, links with their marks, sizes from the datum."""
    r = words.row
    d = Drawing(f"{words.label}: FRONT", letters=max(1.0, r.length_mm / 260, r.height_mm / 190))
    _plate(d, r)
    for c in r.cut_outs:
        d.box(
            c.x_mm - c.length_mm / 2, c.y_mm - c.height_mm / 2,
            c.x_mm + c.length_mm / 2, c.y_mm + c.height_mm / 2, Layer.CUT_OUTS, dash=True,
        )  # fmt: skip
    for w in r.links:
        if len(w.line) > 1:
            d.line(*w.line, layer=Layer.LINKS)
    for p in r.parts:
        _part(d, p)
    _drilled(d, r)
    _marks(d, r)
    for p in r.parts:
        _number(d, p)
    _baseline(d, r)
    _looks(d, r)
    return d


def _plate(d: Drawing, r: BenchRow) -> None:
    d.box(0, 0, r.length_mm, r.height_mm, Layer.OUTLINE, wide=True)


def _outline(p: BoardPartRow) -> tuple[float, float, float, float]:
    return (
        min(b.low[0] for b in p.boxes),
        min(b.low[1] for b in p.boxes),
        max(b.high[0] for b in p.boxes),
        max(b.high[1] for b in p.boxes),
    )


def _part(d: Drawing, p: BoardPartRow) -> None:
    for b in p.boxes:
        d.box(b.low[0], b.low[1], b.high[0], b.high[1], Layer.PARTS)
    for e in p.ends:
        d.circle(e.at[0], e.at[1], 1.6, Layer.PARTS, filled=e.pole == "plus")
        sign = {"plus": "+", "minus": "−", "mains": "~"}.get(e.pole, "")
        name = e.name.rpartition(".")[2].replace("_", " ")
        x, y = e.at[0] - 4.0 * e.out[0], e.at[1] - 4.0 * e.out[1]
        anchor = "start" if e.out[0] < -0.5 else "end" if e.out[0] > 0.5 else "middle"
        d.words(x, y - TAG / 2, f"{sign} {name}".strip(), size=TAG * 0.8, anchor=anchor)
        for k, (u, v) in enumerate(e.studs, start=1):
            d.circle(u, v, 1.2, Layer.PARTS, filled=e.pole == "plus")
            d.words(u + 1.6, v + 0.4, str(k), size=TAG * 0.6, anchor="start")


HOLE_MARKS: Final = {"stand-off": "S", "cable": "K", "strap": "L"}


def _drilled(d: Drawing, r: BenchRow) -> None:
    """Every hole; those of the board itself with their numbers, a part's own plain."""
    for h in r.holes:
        layer = Layer.STAND_OFFS if h.purpose == "stand-off" else Layer.HOLES
        d.circle(h.x_mm, h.y_mm, h.diameter_mm / 2, layer)
        if h.purpose in HOLE_MARKS:
            d.cross(h.x_mm, h.y_mm, h.diameter_mm / 2 + 1.5, layer)
            text = f"{HOLE_MARKS[h.purpose]}{h.number}"
            right = h.x_mm < r.length_mm / 2
            x = h.x_mm + (h.diameter_mm / 2 + 2.0) * (1 if right else -1)
            d.words(x, h.y_mm - TAG * 0.4, text, size=TAG * 0.8, plain=True,
                    anchor="start" if right else "end")  # fmt: skip


def _number(d: Drawing, p: BoardPartRow) -> None:
    x0, y0, x1, y1 = _outline(p)
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    d.words(x, y - 1.9 * d.letters, str(p.number), size=3.8, bold=True, plain=True)
    d.circle(x, y, NUMBER_MM * d.letters, Layer.WORDS)


def _marks(d: Drawing, r: BenchRow) -> None:
    """Each link's mark beside its longest stretch, off the marks before."""
    used: list[tuple[float, float]] = []
    for w in r.links:
        if len(w.line) < 2:
            continue
        stretches = [
            (abs(b[0] - a[0]) + abs(b[1] - a[1]), a, b)
            for a, b in zip(w.line, w.line[1:], strict=False)
        ]
        _, a, b = max(stretches, key=lambda s: s[0])
        for share in (0.5, 0.25, 0.75, 0.1, 0.9):
            x, y = a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])
            if all(abs(x - u) > 14 or abs(y - v) > 5 for u, v in used):
                break
        used.append((x, y))
        d.words(x, y - 1.2, w.mark, size=2.4, bold=True, plain=True)


def _baseline(d: Drawing, r: BenchRow) -> None:
    """Where each part's foot is, and the plate's own size, all from the lower left corner.

    Figures that would run into one another stand in rows of their own.
    """
    for flat, size in ((True, r.length_mm), (False, r.height_mm)):
        k = 0 if flat else 1
        near, step = (15.0, NEXT_OFF) if flat else (NEAR_MM, ASIDE_OFF)
        rows: list[list[float]] = []
        spots: dict[float, list[str]] = {}
        for p in r.parts:
            spots.setdefault(round(p.foot[k], 1), []).append(str(p.number))
        for at in sorted(spots):
            row = next(
                (n for n, used in enumerate(rows)
                 if all(abs(at - u) > near * d.letters for u in used)),
                len(rows),
            )  # fmt: skip
            if row == len(rows):
                rows.append([])
            rows[row].append(at)
            _ordinate(d, at, -(FIRST_OFF + step * row) * d.letters, spots[at], flat)
        last = -(FIRST_OFF + step * (len(rows) + 0.6)) * d.letters
        dimension(d, 0, size, last, (0, 0), flat, f"{size:g}")


def _ordinate(d: Drawing, at: float, off: float, numbers: list[str], flat: bool) -> None:
    """One figure from the datum, with the numbers of the parts it is of."""
    text = f"{at:g}" + f" ({','.join(numbers)})"
    if flat:
        d.line((at, 0.0), (at, off + 3.2 * d.letters), layer=Layer.DIMENSIONS)
        d.words(at, off, text, size=2.3)
    else:
        d.line((0.0, at), (off + 1.0, at), layer=Layer.DIMENSIONS)
        d.words(off, at - 1.1 * d.letters, text, size=2.3, anchor="end")


def _looks(d: Drawing, r: BenchRow) -> None:
    """The datum, FRONT and where each edge looks in the boat."""
    d.line((-DATUM, 0), (DATUM, 0), layer=Layer.DIMENSIONS, wide=True)
    d.line((0, -DATUM), (0, DATUM), layer=Layer.DIMENSIONS, wide=True)
    d.circle(0, 0, 2.5, Layer.DIMENSIONS, filled=True)
    d.words(-8, -8 * d.letters, "DATUM", size=2.4, anchor="end", bold=True)
    top = r.height_mm + 8
    d.words(
        r.length_mm / 2, top, f"FRONT (looks {LOOKS[r.front]})   this edge {LOOKS[r.top]}",
        size=4.0, bold=True,
    )  # fmt: skip
    arrow_up(d, r.length_mm + 16 * d.letters, r.height_mm / 2 + 20, LOOKS[r.top])
    d.words(
        r.length_mm + 6 * d.letters,
        r.height_mm / 2 - 40,
        f"this edge {LOOKS[r.right]}",
        size=3.0,
        turn_deg=90,
    )


def arrow_up(d: Drawing, x: float, y: float, words: str) -> None:
    """An arrow to the upper edge."""
    d.line((x, y - 26), (x, y), layer=Layer.DIMENSIONS, wide=True)
    d.line((x - 4, y - 7), (x, y), (x + 4, y - 7), layer=Layer.DIMENSIONS, wide=True)
    d.words(x, y + 3, words, size=3.0, bold=True)


def side_view(words: BenchWords) -> Drawing:
    """The board from its left edge: how far parts and their rooms stand off."""
    r = words.row
    d = Drawing(f"{words.label}: from its left edge", letters=max(1.0, r.height_mm / 190))
    d.box(-r.thickness_mm, 0, 0, r.height_mm, Layer.OUTLINE, wide=True)
    for p in r.parts:
        for b in p.boxes:
            d.box(b.low[2], b.low[1], b.high[2], b.high[1], Layer.PARTS)
        for room in p.rooms:
            d.box(room.low[2], room.low[1], room.high[2], room.high[1], Layer.ROOMS, dash=True)
    _side_numbers(d, r)
    stands = [s for s in r.stand_offs if s.on]
    for s in stands:
        back = -r.thickness_mm - s.length_mm
        d.box(back, s.y_mm - 5, -r.thickness_mm, s.y_mm + 5, Layer.STAND_OFFS)
    if stands and (longest := max(s.length_mm for s in stands)) > 0:
        dimension(d, -r.thickness_mm - longest, -r.thickness_mm, -10, (0, 0), True,
                  f"{longest:.0f}")  # fmt: skip
    tall = max((b.high[2] for p in r.parts for b in p.boxes), default=0.0)
    rooms = max((b.high[2] for p in r.parts for b in p.rooms), default=0.0)
    dimension(d, -r.thickness_mm, 0, -20, (0, 0), True, f"{r.thickness_mm:g}")
    dimension(d, 0, tall, -10, (0, 0), True, f"{tall:g}")
    if rooms > tall:
        dimension(d, 0, rooms, -20, (0, 0), True, f"{rooms:g} with its rooms")
    dimension(d, 0, r.height_mm, max(tall, rooms) + 14, (0, 0), False, f"{r.height_mm:g}")
    d.words(-r.thickness_mm, r.height_mm + 10, "BACK", size=3.0, anchor="end", bold=True)
    d.words(2, r.height_mm + 10, f"FRONT, this edge {LOOKS[r.top]}", size=3.0, anchor="start",
            bold=True)  # fmt: skip
    return d


def _side_numbers(d: Drawing, r: BenchRow) -> None:
    """The parts' numbers beside the board, the tall ones first, off those before."""
    far = max((b.high[2] for p in r.parts for b in (*p.boxes, *p.rooms)), default=0.0)
    used: list[float] = []
    for p in sorted(r.parts, key=lambda p: p.number):
        _, y0, _, y1 = _outline(p)
        out = max(b.high[2] for b in p.boxes)
        middle = (y0 + y1) / 2
        shares = [0.0, 7.0, -7.0, 14.0, -14.0, 21.0, -21.0, 28.0, -28.0]
        y = next(
            (middle + s * d.letters for s in shares
             if all(abs(middle + s * d.letters - u) > 5.5 * d.letters for u in used)),
            middle,
        )  # fmt: skip
        used.append(y)
        d.line((out - 2.0, min(max(y, y0), y1)), (far + 26 * d.letters, y), layer=Layer.DIMENSIONS)
        d.words(far + 30 * d.letters, y - 1.6 * d.letters, str(p.number), size=3.2, bold=True,
                plain=True)  # fmt: skip


def template(words: BenchWords) -> Drawing:
    """What is drilled and sawn, at its true size: to be glued to the front of the plate."""
    r = words.row
    d = Drawing(f"{words.label}: drilling template, FRONT")
    _plate(d, r)
    for p in r.parts:
        x0, y0, x1, y1 = _outline(p)
        d.box(x0, y0, x1, y1, Layer.PARTS, dash=True)
        d.words((x0 + x1) / 2, (y0 + y1) / 2 + 4, f"{p.number} {p.key.replace('_', ' ')}", size=2.6)
    for h in r.holes:
        layer = Layer.STAND_OFFS if h.purpose == "stand-off" else Layer.HOLES
        d.circle(h.x_mm, h.y_mm, h.diameter_mm / 2, layer)
        d.cross(h.x_mm, h.y_mm, max(h.diameter_mm / 2 + 2.5, 4.0), layer)
        d.words(h.x_mm + h.diameter_mm / 2 + 1.2, h.y_mm + 1.2,
                f"{HOLE_MARKS.get(h.purpose, '')}{h.number} ø{h.diameter_mm:g}", size=1.9,
                anchor="start")  # fmt: skip
    for c in r.cut_outs:
        d.shapes.append(
            Rounded(c.x_mm, c.y_mm, c.length_mm, c.height_mm, c.radius_mm, Layer.CUT_OUTS)
        )
        size = f"{chr(64 + c.number)}: saw {c.length_mm:g} x {c.height_mm:g} R{c.radius_mm:g}"
        d.words(c.x_mm, c.y_mm, size, size=3.0)
    _looks(d, r)
    d.words(
        r.length_mm / 2, 3.0,
        "; ".join([f"{r.length_mm:g} x {r.height_mm:g} x {r.thickness_mm:g} mm", *_kinds(r)]),
        size=2.4,
    )  # fmt: skip
    return d


def _kinds(r: BenchRow) -> list[str]:
    """What the letters before holes' numbers mean, of those that are there."""
    words = {"stand-off": "S stand-off", "cable": "K cable", "strap": "L lifting strap"}
    there = {h.purpose for h in r.holes}
    return [text for purpose, text in words.items() if purpose in there]
