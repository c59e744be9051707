"""What is wanted of a board, and its boxes once it is arranged."""

from dataclasses import dataclass, replace

import numpy as np

from layout.bench.arrange.door import Arrangement
from layout.bench.arrange.kit import Kit, KitPart, turned_box
from layout.bench.frontier import Goes, Site
from layout.boat.parts import PLATE
from layout.geometry.shapes import BoxSet


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is wanted of a board: its kit (without a plate's size), plate thickness, aim, the most
    it may measure.
    """

    kit: Kit
    plate_mm: float
    aim: str
    most_mm: tuple[float, float]

    def tall_mm(self, without: frozenset[str] = frozenset()) -> float:
        """How far its tallest part stands off, with the plate."""
        tops = [b.z1 for p in self.kit.parts if p.key not in without for b in p.boxes]
        return self.plate_mm + max(tops, default=0.0)

    def of(self, keys: set[str]) -> "Wanted":
        """The same with some of the parts, and the links among them."""
        index = {i: n for n, i in enumerate(
            i for i, p in enumerate(self.kit.parts) if p.key in keys
        )}  # fmt: skip
        parts = tuple(_renumbered(self.kit.parts[i], index) for i in index)
        links = tuple(
            replace(k, a=index[k.a], b=index[k.b])
            for k in self.kit.links
            if k.a in index and k.b in index
        )
        leads = tuple(replace(x, part=index[x.part]) for x in self.kit.leads if x.part in index)
        return replace(self, kit=replace(self.kit, parts=parts, links=links, leads=leads))


def _renumbered(part: KitPart, index: dict[int, int]) -> KitPart:
    leads = tuple(replace(x, partner=index.get(x.partner, -1)) for x in part.leads)
    return replace(part, leads=leads)


def half_turns(part: KitPart) -> list[int]:
    """A turn and its half turn pass alike: one of each."""
    return sorted({t // 90 % 2 for t in part.turns})


def footprint_mm2(part: KitPart) -> float:
    """The area of a part's largest box on the plate."""
    return max((b.x1 - b.x0) * (b.y1 - b.y0) for b in part.boxes)


def volume_mm3(part: KitPart) -> float:
    """The volume of a part's boxes."""
    return sum((b.x1 - b.x0) * (b.y1 - b.y0) * (b.z1 - b.z0) for b in part.boxes)


def alone(
    part: KitPart, quarter: int, plate_mm: float
) -> tuple[BoxSet, tuple[float, float, float]]:
    """A part on a plate of its own outline, no larger than any board that carries it: its boxes in
    the mounting frame (the back's middle at nought), and its length, height and depth.
    """
    rows = np.array([turned_box(b, quarter) for b in part.boxes])
    low, high = rows[:, :2].min(axis=0), rows[:, 2:4].max(axis=0)
    middle, size = (low + high) / 2, high - low
    centre = [[0.0, 0.0, plate_mm / 2]]
    half = [[size[0] / 2, size[1] / 2, plate_mm / 2]]
    for x0, y0, x1, y1, z0, z1 in rows:
        at = [(x0 + x1) / 2 - middle[0], (y0 + y1) / 2 - middle[1], plate_mm + (z0 + z1) / 2]
        centre.append(at)
        half.append([(x1 - x0) / 2, (y1 - y0) / 2, (z1 - z0) / 2])
    names = (PLATE, *(part.key for _ in rows))
    deep = plate_mm + float(rows[:, 5].max())
    return BoxSet.checked(centre, half, None, names), (float(size[0]), float(size[1]), deep)


def board_boxes(wanted: Wanted, found: Arrangement, without: frozenset[str]) -> BoxSet:
    """A board's boxes in its mounting frame: the back's middle at nought, z to the front."""
    wide, high = found.plate_mm
    thick = wanted.plate_mm
    centre = [[0.0, 0.0, thick / 2]]
    half = [[wide / 2, high / 2, thick / 2]]
    names = [PLATE]
    at = {p.key: p for p in found.places}
    for part in wanted.kit.parts:
        if part.key in without or part.key not in at:
            continue
        p = at[part.key]
        for b in part.boxes:
            x0, y0, x1, y1, z0, z1 = turned_box(b, p.turn_deg // 90)
            centre.append(
                [
                    p.x + (x0 + x1) / 2 - wide / 2,
                    p.y + (y0 + y1) / 2 - high / 2,
                    thick + (z0 + z1) / 2,
                ]
            )
            half.append([(x1 - x0) / 2, (y1 - y0) / 2, (z1 - z0) / 2])
            names.append(part.key)
    return BoxSet.checked(centre, half, None, tuple(names))


def nearest_inside(site: Site, g: Goes, found: Arrangement, spot: np.ndarray) -> np.ndarray:
    """Where a smaller board's back goes inside the solid: as near as may be to what is wanted."""
    out = spot.copy()
    sizes = ((0, g.length_mm, found.plate_mm[0]), (1, g.height_mm, found.plate_mm[1]))
    for k, large, small in sizes:
        along = site.like.turn[:, k]
        room = max((large - small) / 2, 0.0)
        want = float((site.middle - spot) @ along)
        out = out + along * min(max(want, -room), room)
    return out
