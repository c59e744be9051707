"""Measuring sheets for a boat never seen: the kinds of space one chooses, with what to measure."""

from typing import Final

from viewer.sheets.measuring import Sheet, SheetBox, SheetSize

TRAPS: Final = (
    "clear width at the top", "clear width in the middle", "clear width at the bottom",
    "clear length at one end", "clear length at the other end", "one diagonal",
    "the other diagonal", "radius of each corner", "depth of the rim (deck, coaming, lip)",
    "taper of the rim, top less bottom", "inward lip, gutter or catch plate, how far in",
    "lid: hinge side, greatest angle; strut, where its body sits when open",
    "headroom above the opening (tiller, table, hood)",
    "what comes off (lid, strut, handle, trim) and in how many minutes",
)  # fmt: skip
INSIDE: Final = (
    "length at the floor", "length at the top", "breadth at the floor, each end",
    "breadth at the top, each end", "height at each corner", "half breadth at three heights, "
    "where a side slopes", "stringers, frames, fillets: how far in, how high",
    "what is in it: tanks, hoses, seacocks, bolts, old cable", "opening's edge from each side",
    "farthest corner from the opening, along the arm",
)  # fmt: skip
KINDS: Final = {
    "locker": ("locker under a seat or deck, from above", True, ()),
    "door": ("locker or bay behind a door", True, ()),
    "pedestal": ("console or pedestal", True, ("compass, wheel and cables of the steering",)),
    "dash": ("dash or panel", False, (
        "free width and height of the face", "depth behind it, at its least",
        "what is behind: beams, steering, looms, each from one corner", "thickness of the face",
        "slope of the face, degrees")),
    "duct": ("duct, pipe or tube for cable", False, (
        "clear bore or width and height at each end", "length along its way",
        "bends and how sharp", "what lies in it, each cable's thickness", "a pull string in it?")),
    "engine": ("engine space", True, ("hot parts, how near", "belts and what moves")),
    "bilge": ("bilge or well", True, ("highest water seen", "float switch and pump")),
    "mast": ("mast and its foot", False, (
        "clear bore at the foot", "length to each thing on it", "exits and their bore",
        "what lies in it already")),
}  # fmt: skip


def blank_sheet(kinds: list[str]) -> Sheet:
    """A sheet of so many spaces, each with a plain sketch to write on."""
    sizes: list[SheetSize] = []
    spaces: list[SheetBox] = []
    nought = (0.0, 0.0, 0.0)
    for n, kind in enumerate(kinds, start=1):
        title, opening, more = KINDS[kind]
        key, label = f"space:{n}", f"{n}. {title}"
        wanted = ([f"its opening: {t}" for t in TRAPS] if opening else []) + list(more)
        wanted += list(INSIDE) if opening else []
        sizes += [SheetSize(f"{label}: {t}", key, None, nought, nought) for t in wanted]
        spaces.append(SheetBox(key, label, key, nought, (1000.0, 600.0, 500.0)))
    return Sheet("a boat not seen yet", tuple(sizes), tuple(spaces), ())
