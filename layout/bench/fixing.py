"""Where a board is fixed, how each of those places is held, and how far a screw may reach.

Stand-offs go to the corners and between, no farther apart than a plate of its thickness carries,
off every part and link so that a driver reaches them from the front, and where something behind
holds them. Each has the length that its own place asks.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.bench.backing import LEFT_MM, Backing, Behind, backing
from layout.bench.handling import Rectangle
from layout.bench.plate import Plate, Spot
from layout.boat.parts import Boat

INSET_MM: Final = 20.0  # of a stand-off from the plate's edges: common practice
FOOT_MM: Final = 12.0  # a stand-off's radius with its washer: common practice
APART_MM: Final = 300.0  # between stand-offs of a 12 mm plate: common practice
DRIVER_MM: Final = 8.0  # a driver's shaft beside a part: common practice
PAD_HALF_MM: Final = 20.0  # of a pad of 40 mm: common practice
NUT_MM: Final = 6.0
STEP_MM: Final = 10.0
BARE_MM: Final = 110.0  # a corner with no stand-off so near is told


@dataclass(frozen=True, slots=True)
class StandOff:
    """A place a board is fixed: on the plate, its bore, and what it stands on there."""

    x: float
    y: float
    bore_mm: float
    given: bool
    behind: Backing


def stand_offs(
    boat: Boat, plate: Plate, given: list[Spot] | None, bore_mm: float, taken: list[Rectangle]
) -> list[StandOff]:
    """Where the board is fixed; those given are told as they are, the others are looked for."""
    nothing = Backing("", 0.0, "bracket", 0.0, 0.0)
    if given is not None:
        return [
            StandOff(x, y, bore_mm, True, backing(boat, plate, x, y) or nothing) for x, y in given
        ]
    free = _Free(boat, plate, taken)
    out: list[StandOff] = []
    for x, y in _wanted(plate):
        found = free.near(x, y, [(s.x, s.y) for s in out])
        if found is not None:
            spot, held = found
            out.append(StandOff(*spot, bore_mm, False, held))
    return out


def bare_corners(plate: Plate, held: list[StandOff]) -> list[str]:
    """The corners of a plate that no stand-off is near."""
    corners = {
        "lower left": (0.0, 0.0),
        "lower right": (plate.length_mm, 0.0),
        "upper left": (0.0, plate.height_mm),
        "upper right": (plate.length_mm, plate.height_mm),
    }
    near = min(BARE_MM, 0.6 * float(np.hypot(plate.length_mm, plate.height_mm)))
    return [
        name
        for name, (x, y) in corners.items()
        if all(np.hypot(s.x - x, s.y - y) > near for s in held)
    ]


def _wanted(plate: Plate) -> list[Spot]:
    """Corners first, then as many between as keep them near enough."""

    def along(size: float) -> list[float]:
        room = size - 2 * INSET_MM
        n = max(2, int(np.ceil(room / APART_MM)) + 1) if room > 2 * INSET_MM else 1
        return [size / 2] if n == 1 else [INSET_MM + room * k / (n - 1) for k in range(n)]

    xs, ys = along(plate.length_mm), along(plate.height_mm)
    edge = [(x, y) for x in xs for y in ys if x in (xs[0], xs[-1]) or y in (ys[0], ys[-1])]
    middle = [(x, y) for x in xs for y in ys if (x, y) not in edge]
    corner = [(x, y) for x, y in edge if x in (xs[0], xs[-1]) and y in (ys[0], ys[-1])]
    return [*corner, *(s for s in edge if s not in corner), *middle]


class _Free:
    """Places on a plate where a stand-off may go."""

    def __init__(self, boat: Boat, plate: Plate, taken: list[Rectangle]) -> None:
        self.boat, self.plate = boat, plate
        grow = max(FOOT_MM, DRIVER_MM)
        self.screws = [(d.x, d.y) for p in plate.parts for d in p.drills]
        every = [*(p.outline for p in plate.parts), *taken]
        self.taken = [(a - grow, b - grow, c + grow, d + grow) for a, b, c, d in every]

    def _open(self, x: float, y: float, others: list[Spot]) -> bool:
        p = self.plate
        inside = FOOT_MM <= x <= p.length_mm - FOOT_MM and FOOT_MM <= y <= p.height_mm - FOOT_MM
        clear = not any(a < x < c and b < y < d for a, b, c, d in self.taken)
        apart = all(abs(x - u) + abs(y - v) > 4 * FOOT_MM for u, v in others)
        return inside and clear and apart

    def _on_screws(self, x: float, y: float) -> bool:
        """True where a pad comes on a part's screws."""
        return any(max(abs(x - u), abs(y - v)) < PAD_HALF_MM + NUT_MM for u, v in self.screws)

    def near(self, x: float, y: float, others: list[Spot]) -> tuple[Spot, Backing] | None:
        """The free place nearest to one wanted, no farther off than half their distance: one with
        something behind it before one that hangs free.
        """
        reach = int(APART_MM / 2 / STEP_MM)
        spots = sorted(
            ((i * STEP_MM, j * STEP_MM) for i in range(-reach, reach + 1)
             for j in range(-reach, reach + 1)),
            key=lambda s: (abs(s[0]) + abs(s[1]), s),
        )  # fmt: skip
        hanging = None
        for dx, dy in spots:
            if not self._open(x + dx, y + dy, others):
                continue
            held = backing(self.boat, self.plate, x + dx, y + dy)
            if held is not None and held.hold == "pad" and self._on_screws(x + dx, y + dy):
                continue  # the pad would stand on the nuts behind the plate
            if held is not None and held.on:
                return (x + dx, y + dy), held
            if held is not None and hanging is None:
                hanging = (x + dx, y + dy), held
        return hanging


def reach_most_mm(plate: Plate, b: Behind) -> float:
    """How far a part's screw may reach beyond its foot: through the plate, off what is behind."""
    return plate.thickness_mm + max(b.gap_mm - LEFT_MM, 0.0)
