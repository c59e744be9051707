"""Do the cables fit the holes and pipes: fill by area, and bundles through bores."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.boat.parts import Boat
from routing.circuits.cables import Cable
from routing.ways.pulling import jam_ratio

# Fill by number of cables: NEC chapter 9 table 1.
FILL: Final = {1: 0.53, 2: 0.31}
FILL_MANY: Final = 0.40
JAM: Final = (2.8, 3.2)  # NEC handbook: raceway over cable diameter at which three cables jam


@dataclass(frozen=True, slots=True)
class Filled:
    """How full a hole or pipe is. `least_bore_mm` would take what is in it."""

    name: str
    label: str
    kind: str
    bore_mm: float
    cables: int
    fill: float
    limit: float
    needs_edging: bool
    least_bore_mm: float
    jam_ratio: float | None
    circuits: tuple[str, ...]

    @property
    def may_jam(self) -> bool:
        """True where three like cables may wedge side by side in a bend: bore 2.8 to 3.2 times one cable."""
        return self.jam_ratio is not None and JAM[0] <= self.jam_ratio <= JAM[1]

    @property
    def too_full(self) -> bool:
        """True when the cables take more than the rule allows."""
        return self.fill > self.limit + 1e-9


def limit_for(count: int) -> float:
    """The share of a bore that `count` cables may take."""
    return FILL.get(count, FILL_MANY)


def filled(boat: Boat, cables: list[Cable]) -> list[Filled]:
    """Every hole and pipe that holds a cable, with its fill."""
    out = []
    places = [
        (h.name, h.label, "hole", h.bore_mm, h.holds_mm, h.edge == "bare")
        for h in boat.holes.values()
    ]
    places += [(p.name, p.label, "pipe", p.bore_mm, p.holds_mm, False) for p in boat.pipes.values()]
    for name, label, kind, bore, holds, bare in places:
        mine = [
            c for c in cables for r in c.poles if name in r.joints
        ]  # a circuit stands here once for each conductor
        diameters = list(holds) + [c.od_mm for c in mine]
        if not diameters:
            continue
        area = float(np.sum(np.square(diameters)))
        limit = limit_for(len(diameters))
        jam = jam_ratio(bore, diameters) if kind == "pipe" and mine else None
        out.append(
            Filled(
                name,
                label,
                kind,
                bore,
                len(diameters),
                area / bore**2,
                limit,
                bare and bool(mine),
                float(np.sqrt(area / limit)),
                jam,
                tuple(dict.fromkeys(c.number for c in mine)),
            )
        )
    return out
