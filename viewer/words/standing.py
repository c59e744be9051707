"""Where a thing stands, as one measures in a boat: from the nearer sides of its space."""

from typing import Final

import numpy as np

from layout.boat.parts import OUTSIDE
from viewer.words.names import EDGES, SIDES, Names, joined
from viewer.words.pieces import held_words
from viewer.words.table import Table
from viewer.work.piece_rows import SpaceRow, StandRow
from viewer.work.rows import Result

FACES: Final = (("aft", "forward"), ("starboard", "port"), ("bottom", "top"))
TOWARDS: Final = (
    ("aft of", "forward of"),
    ("to starboard of", "to port of"),
    ("below", "above"),
)
TOUCHING_MM: Final = 2.0


def stands_words(result: Result, stand: StandRow, names: Names) -> str:
    """How far its body is from the sides of its space; on deck, from those of the nearest space."""
    spaces = {s.key: s for s in result.boat.spaces}
    low, high = _box(stand)
    if stand.space in spaces:
        return _inside(spaces[stand.space], low, high)
    if not spaces:
        return "-"
    nearest = min(spaces.values(), key=lambda s: (_off(s, low, high), s.key))
    return _beside(nearest, low, high, names.space(nearest.key))


def standing(result: Result, place: str, names: Names) -> Table:
    """What is fitted in a space, or on deck: where it stands and what holds it."""
    order = {p.key: k for k, p in enumerate(result.pieces)}
    fitted = result.estimate.fitted
    known = {s.key for s in result.boat.spaces}
    mine = [
        s
        for s in result.boat.stands
        if f"piece:{s.key}" in fitted and (s.space if s.space in known else OUTSIDE) == place
    ]
    mine.sort(key=lambda s: order.get(s.key, len(order)))
    rows = tuple(
        (names.piece(s.key), stands_words(result, s, names), held_words(s, names) or "not told")
        for s in mine
    )
    head = ("What", "Stands", "Held by")
    return Table(f"standing_{place}", "Where things stand", "Measured to its body, by the nearer "
                 "sides of the space.", head, rows, (24, 46, 30))  # fmt: skip


def _box(stand: StandRow) -> tuple[np.ndarray, np.ndarray]:
    """The low and high corners of a body, along the hull's axes."""
    reach = [np.abs(np.array(b.rotation)) @ np.array(b.half_mm) for b in stand.body]
    middles = [np.array(stand.at_mm) + np.array(b.centre_mm) for b in stand.body]
    low = np.min([m - r for m, r in zip(middles, reach, strict=True)], axis=0)
    return low, np.max([m + r for m, r in zip(middles, reach, strict=True)], axis=0)


def _off(s: SpaceRow, low: np.ndarray, high: np.ndarray) -> float:
    """How far a body is from a space."""
    gap = np.maximum(np.maximum(np.array(s.low_mm) - high, low - np.array(s.high_mm)), 0.0)
    return float(np.linalg.norm(gap))


def _inside(s: SpaceRow, low: np.ndarray, high: np.ndarray) -> str:
    against, apart = [], []
    for k, faces in enumerate(FACES):
        gaps = (float(low[k] - s.low_mm[k]), float(s.high_mm[k] - high[k]))
        side = int(gaps[1] < gaps[0])
        name = SIDES[faces[side]]
        if abs(gaps[side]) < TOUCHING_MM:
            against.append(name)
        else:
            how = "from" if gaps[side] > 0 else "beyond"
            apart.append(f"{abs(gaps[side]):.0f} mm {how} its {name}")
    touching = [f"against its {joined(against)}"] if against else []
    return joined([*touching, *apart])


def _beside(s: SpaceRow, low: np.ndarray, high: np.ndarray, name: str) -> str:
    """From the middle of the body along and across, from its low side up."""
    at = (low + high) / 2
    at[2] = low[2]
    out = []
    for k, faces in enumerate(FACES):
        off = (float(at[k] - s.low_mm[k]), float(at[k] - s.high_mm[k]))
        side = int(abs(off[1]) < abs(off[0]))
        word = TOWARDS[k][int(off[side] > 0)]
        edge = EDGES[faces[side]] if k < 2 else ("floor", "top")[side]
        what = f"the {edge} side" if k < 2 else f"the {edge}"
        out.append(f"{abs(off[side]):.0f} mm {word} {what}")
    return f"by {name}: its middle {out[0]} and {out[1]}, its underside {out[2]}"
