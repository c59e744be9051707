"""The fixed boxes a piece meets on its way: walls with their holes, solids, gear already fitted."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from layout.boat.faces import FACE_OF, FACES, across
from layout.boat.openings import Cover, rim_key, span, throat_boxes
from layout.boat.parts import OUTSIDE, Boat, Opening, Piece, Space
from layout.geometry.frames import Array
from layout.geometry.shapes import BoxSet

OUTSIDE_REACH_MM: Final = 1500.0  # how far the deck round an outside opening is modelled
THINNEST_MM: Final = 1e-6


@dataclass(slots=True)
class _Rows:
    """Boxes being gathered, as low and high corners with keys."""

    low: list[Array] = field(default_factory=list)
    high: list[Array] = field(default_factory=list)
    keys: list[str] = field(default_factory=list)

    def add(self, low: Array, high: Array, key: str) -> None:
        if np.all(high - low > THINNEST_MM):
            self.low.append(low.copy())
            self.high.append(high.copy())
            self.keys.append(key)


def _wall_boxes(
    space: Space, holes: dict[tuple[int, int], list[Opening]], cover: Cover, rows: _Rows
) -> None:
    """The six sides of a space, each a slab with its openings cut out."""
    for axis, sign in FACES.values():
        here = holes.get((axis, sign), [])
        thick = max([space.wall_mm, *(o.throat_mm for o in here)])
        low, high = space.low.copy(), space.high.copy()
        spread = [k for k in range(3) if k < axis]
        for k in spread:  # z sides cover the edges of x and y sides, y sides those of x
            low[k] -= thick
            high[k] += thick
        if any(o.outer == OUTSIDE and o.inner == space.key for o in here):
            for k in across(axis):
                reach = OUTSIDE_REACH_MM if k in spread or axis == 2 else 0
                low[k] -= reach
                high[k] += reach
        if sign > 0:
            low[axis], high[axis] = space.high[axis], space.high[axis] + thick
        else:
            low[axis], high[axis] = space.low[axis] - thick, space.low[axis]
        _cut(low, high, axis, here, cover, f"wall:{space.key}.{FACE_OF[axis, sign]}", rows)


def _cut(
    low: Array,
    high: Array,
    axis: int,
    openings: list[Opening],
    cover: Cover,
    key: str,
    rows: _Rows,
) -> None:
    """Add a slab with holes: cut into strips at every hole's ends, each strip less its holes."""
    if not openings:
        rows.add(low, high, key)
        return
    u, v = across(axis)
    spans = [(opening, *span(opening, u), *span(opening, v)) for opening in openings]
    ends = [low[u], high[u], *(x for s in spans for x in s[1:3])]
    marks = np.unique(np.clip(ends, low[u], high[u]))
    for a, b in zip(marks, marks[1:], strict=False):
        here = sorted((s for s in spans if s[1] < (a + b) / 2 < s[2]), key=lambda s: float(s[3]))
        strip_low, strip_high = low.copy(), high.copy()
        strip_low[u], strip_high[u] = a, b
        if not here:
            o, first, last, _, _ = min(spans, key=lambda s: min(abs(s[1] - b), abs(s[2] - a)))
            del first
            rows.add(strip_low, strip_high, rim_key(o, u, 1 if a >= last - 1e-9 else -1))
            continue
        at = low[v]
        for o, _, _, v0, v1 in here:
            piece_low, piece_high = strip_low.copy(), strip_high.copy()
            piece_low[v], piece_high[v] = at, v0
            rows.add(piece_low, piece_high, rim_key(o, v, -1))
            at = max(at, v1)
        strip_low[v] = at
        rows.add(strip_low, strip_high, rim_key(here[-1][0], v, 1))
    for o in openings:
        for box in throat_boxes(o, low, high, cover):
            rows.add(*box)


def fixed_boxes(
    boat: Boat,
    chain: tuple[Opening, ...],
    spaces: Iterable[str],
    fitted: Iterable[Piece],
    cover: Cover = Cover.OUTER,
    without: frozenset[str] = frozenset(),
    beside: Iterable[Opening] = (),
) -> BoxSet:
    """Everything that stands still on a way through `chain` into `spaces`.

    Openings off the chain count as closed but for those `beside`, which stand open on to nothing.
    `without` names removable solids that were taken off.
    """
    rows = _Rows()
    inside = list(spaces)
    holes: dict[str, dict[tuple[int, int], list[Opening]]] = {s: {} for s in inside}
    for o in (*chain, *beside):
        if o.inner in holes:
            holes[o.inner].setdefault((o.axis, o.sign), []).append(o)
        if o.outer in holes:
            holes[o.outer].setdefault((o.axis, -o.sign), []).append(o)
    for s in inside:
        _wall_boxes(boat.spaces[s], holes[s], cover, rows)
    centre = [(a + b) / 2 for a, b in zip(rows.low, rows.high, strict=True)]
    half = [(b - a) / 2 for a, b in zip(rows.low, rows.high, strict=True)]
    turns = [np.eye(3) for _ in rows.keys]
    keys = list(rows.keys)
    for solid in boat.solids.values():
        if (solid.space in inside or solid.space == OUTSIDE) and solid.key not in without:
            centre.append(solid.centre)
            half.append(solid.half)
            turns.append(solid.rotation)
            keys.append(f"solid:{solid.key}")
    for t in fitted:
        if t.space in inside:
            here = t.at_rest()
            centre += list(here.centre_mm)
            half += list(here.half_mm)
            turns += list(here.rotation)
            keys += here.names
    return BoxSet.checked(centre, half, np.array(turns), tuple(keys))


def openings_beside(boat: Boat, chain: tuple[Opening, ...], spaces: Iterable[str]) -> list[Opening]:
    """The openings of some spaces that a chain does not lead by."""
    there, on = set(spaces), {o.key for o in chain}
    mine = [opening for opening in boat.openings.values() if {opening.inner, opening.outer} & there]
    return [o for o in mine if o.key not in on]
