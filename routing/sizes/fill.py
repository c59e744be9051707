"""Do the cables fit the holes and pipes: fill by area, and bundles through bores."""

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

import numpy as np

from routing.ways.pulling import jam_ratio

# Fill by number of cables: NEC chapter 9 table 1.
FILL: Final = MappingProxyType({1: 0.53, 2: 0.31})
FILL_MANY: Final = 0.40
FILL_SHORT: Final = 0.60  # NEC chapter 9 note 4: no more than 600 mm long, whatever the number
SHORT_MM: Final = 600.0
JAM: Final = (2.8, 3.2)  # NEC handbook: raceway over cable diameter at which three cables jam


@dataclass(frozen=True, slots=True)
class Bore:
    """A hole or pipe: what it holds already, and whether its edge is bare."""

    key: str
    kind: str  # "hole" or "pipe"
    bore_mm: float
    holds_mm: tuple[float, ...]
    bare: bool
    length_mm: float = 0.0
    gland: bool = False
    ways: int | None = None  # how many cables a gland seals


@dataclass(frozen=True, slots=True)
class Filled:
    """How full a hole or pipe is. `least_bore_mm` would take what is in it."""

    key: str
    kind: str
    bore_mm: float
    cables: int
    fill: float
    limit: float
    needs_edging: bool
    least_bore_mm: float
    jam_ratio: float | None
    circuits: tuple[str, ...]
    gland: bool = False
    ways: int | None = None
    round_mm: float = 0.0  # the least bore its three thickest cables pass side by side

    @property
    def may_jam(self) -> bool:
        """True where three like cables may wedge in a bend: bore 2.8 to 3.2 times one cable."""
        return self.jam_ratio is not None and JAM[0] <= self.jam_ratio <= JAM[1]

    @property
    def too_full(self) -> bool:
        """True when the cables take more than the rule allows, or do not pass side by side; a gland
        is counted by its ways.
        """
        over = not self.gland and self.fill > self.limit + 1e-9
        return over or self.bore_mm < self.round_mm - 1e-9


def limit_for(count: int, length_mm: float = 0.0) -> float:
    """The share of a bore of a length that `count` cables may take: a hole is no pipe."""
    if length_mm <= SHORT_MM:
        return FILL_SHORT
    return FILL.get(count, FILL_MANY)


def round_mm(diameters: list[float]) -> float:
    """The least bore that the three thickest of some cables pass side by side.

    Two lie across it; three that touch each other lie in the outer circle of Descartes' theorem
    (1643), where that is larger. More of them are held by the share of the area.
    """
    one, two, three = [*sorted(diameters, reverse=True), 0.0, 0.0][:3]
    if three <= 0.0:
        return one + two
    k = [2.0 / d for d in (one, two, three)]
    if k[2] >= k[0] + k[1] - 2.0 / (one + two):  # it lies in the gap beside the other two
        return one + two
    outer = sum(k) - 2.0 * float(np.sqrt(k[0] * k[1] + k[1] * k[2] + k[2] * k[0]))
    return -2.0 / outer


def filled(bore: Bore, passing: list[tuple[str, float]]) -> Filled | None:
    """A hole or pipe with its fill; None when nothing is in it.

    `passing` are (circuit, outside diameter in mm), once for each conductor.
    """
    diameters = [*bore.holds_mm, *(od for _, od in passing)]
    if not diameters:
        return None
    area = float(np.sum(np.square(diameters)))
    limit = limit_for(len(diameters), bore.length_mm)
    side_by_side = round_mm(diameters)
    jam = jam_ratio(bore.bore_mm, diameters) if bore.kind == "pipe" and passing else None
    return Filled(
        bore.key,
        bore.kind,
        bore.bore_mm,
        len(diameters),
        area / bore.bore_mm**2,
        limit,
        bore.bare and bool(passing),
        max(float(np.sqrt(area / limit)), side_by_side),
        jam,
        tuple(dict.fromkeys(n for n, _ in passing)),
        bore.gland,
        bore.ways,
        side_by_side,
    )
