"""Where a board is fixed, what is behind each of those places, and how far a screw may reach.

Stand-offs go to the corners and between, no farther apart than a plate of its thickness carries,
off every part so that a driver reaches them from the front, and off what is behind: an opening,
a hole, something in the gap. The screw goes through the stand-off into what the board hangs on.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.bench.plate import Drill, Plate, Spot
from layout.boat.faces import FACE_OF, FACES
from layout.boat.parts import Boat, Space
from layout.geometry.frames import is_square

INSET_MM: Final = 20.0  # of a stand-off from the plate's edges: common practice
FOOT_MM: Final = 12.0  # a stand-off's radius with its washer: common practice
APART_MM: Final = 300.0  # between stand-offs of a 12 mm plate: common practice
DRIVER_MM: Final = 8.0  # a driver's shaft beside a part: common practice
STEP_MM: Final = 10.0
LEFT_MM: Final = 3.0  # of material kept behind a screw's point: common practice
GAP_MOST_MM: Final = 120.0  # farther behind than this the board hangs on something of its own


@dataclass(frozen=True, slots=True)
class Behind:
    """What the back of a board looks at: the face, how far off, and what is beyond it."""

    face: str  # SPACE.FACE; empty where nothing is near
    solid: str  # a solid nearer than the face; empty where there is none
    gap_mm: float
    wall_mm: float
    beyond: tuple[str, ...]  # keys of what lies beyond the face
    hull_skin: bool  # outside is beyond it


@dataclass(frozen=True, slots=True)
class StandOff:
    """A place a board is fixed: on the plate, how long the stand-off, what to mind."""

    x: float
    y: float
    bore_mm: float
    length_mm: float
    screw_most_mm: float  # into what is behind the stand-off; 0 where it is not known
    on: str  # the key of what it stands on
    given: bool


def behind(boat: Boat, plate: Plate) -> Behind:
    """What is behind a board; of one that leans only that it does is told."""
    if not is_square(plate.turn):
        return Behind("", "", 0.0, 0.0, (), False)
    space = boat.spaces[plate.space]
    back = -plate.turn[:, 2]
    axis = int(np.argmax(np.abs(back)))
    sign = 1 if back[axis] > 0 else -1
    low, high = _back(plate)
    plane = float(high[axis] if sign > 0 else low[axis])
    side = float(space.high[axis] if sign > 0 else space.low[axis])
    gap, solid = abs(side - plane), ""
    for s in boat.solids.values():
        near, far = s.extent()
        beside = (near < high) & (far > low)
        beside[axis] = True
        off = float(near[axis]) - plane if sign > 0 else plane - float(far[axis])
        if s.space == plate.space and beside.all() and -1.0 <= off < gap:
            gap, solid = max(off, 0.0), s.key
    face = f"{space.key}.{FACE_OF[axis, sign]}"
    if gap > GAP_MOST_MM:
        return Behind("", "", gap, 0.0, (), False)
    beyond, skin = ((), False) if solid else _beyond(boat, space, axis, sign, low, high)
    return Behind(face, solid, gap, space.wall_mm, beyond, skin)


def _back(plate: Plate) -> tuple[np.ndarray, np.ndarray]:
    """Lowest and highest corner of the plate in the hull."""
    ends = [
        plate.whole((x, y, z))
        for x in (0.0, plate.length_mm)
        for y in (0.0, plate.height_mm)
        for z in (-plate.thickness_mm, 0.0)
    ]
    return np.min(ends, axis=0), np.max(ends, axis=0)


def _beyond(
    boat: Boat, space: Space, axis: int, sign: int, low: np.ndarray, high: np.ndarray
) -> tuple[tuple[str, ...], bool]:
    """What lies beyond a face behind a board: spaces, and what stands against it there."""
    plane = float(space.high[axis] if sign > 0 else space.low[axis])
    far = plane + sign * (space.wall_mm + STEP_MM)
    out, covered = [], False
    for other in boat.spaces.values():
        beside = (other.low < high) & (other.high > low)
        inside = other.low[axis] - STEP_MM <= far <= other.high[axis] + STEP_MM
        beside[axis] = inside
        if other.key == space.key or not beside.all():
            continue
        out.append(f"space:{other.key}")
        across = [k for k in range(3) if k != axis]
        covered |= bool(
            np.all(other.low[across] <= low[across] + 1)
            and np.all(other.high[across] >= high[across] - 1)
        )
        for key, a, b in boat.stands_in((other.key,)):
            near = (a < high) & (b > low)
            near[axis] = min(abs(float(a[axis]) - plane), abs(float(b[axis]) - plane)) < 60.0
            if near.all():
                out.append(key)
    return tuple(out), not covered


def stand_offs(
    boat: Boat, plate: Plate, given: list[Spot] | None, bore_mm: float, cables: list[Drill]
) -> list[StandOff]:
    """Where the board is fixed; those given are told as they are, the others are looked for."""
    b = behind(boat, plate)
    on = f"solid:{b.solid}" if b.solid else f"wall:{b.face}" if b.face else ""
    most = 0.0 if not b.face or b.solid or b.hull_skin else max(b.wall_mm - LEFT_MM, 0.0)
    if given is not None:
        return [StandOff(x, y, bore_mm, b.gap_mm, most, on, True) for x, y in given]
    free = _Free(boat, plate, b, cables)
    out: list[StandOff] = []
    for x, y in _wanted(plate):
        spot = free.near(x, y, [(s.x, s.y) for s in out])
        if spot is not None:
            out.append(StandOff(*spot, bore_mm, b.gap_mm, most, on, False))
    return out


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

    def __init__(self, boat: Boat, plate: Plate, b: Behind, cables: list[Drill]) -> None:
        self.plate = plate
        grow = max(FOOT_MM, DRIVER_MM)
        self.taken = [
            (p.outline[0] - grow, p.outline[1] - grow, p.outline[2] + grow, p.outline[3] + grow)
            for p in plate.parts
        ]
        self.taken += [(d.x - 25, d.y - 25, d.x + 25, d.y + 25) for d in cables]
        self.taken += [_square(plate, *box) for box in _holes_behind(boat, b)]

    def _open(self, x: float, y: float, others: list[Spot]) -> bool:
        p = self.plate
        inside = FOOT_MM <= x <= p.length_mm - FOOT_MM and FOOT_MM <= y <= p.height_mm - FOOT_MM
        clear = not any(a < x < c and b < y < d for a, b, c, d in self.taken)
        apart = all(abs(x - u) + abs(y - v) > 4 * FOOT_MM for u, v in others)
        return inside and clear and apart

    def near(self, x: float, y: float, others: list[Spot]) -> Spot | None:
        """The free place nearest to one wanted, no farther off than half their distance."""
        reach = int(APART_MM / 2 / STEP_MM)
        spots = sorted(
            ((i * STEP_MM, j * STEP_MM) for i in range(-reach, reach + 1)
             for j in range(-reach, reach + 1)),
            key=lambda s: (abs(s[0]) + abs(s[1]), s),
        )  # fmt: skip
        for dx, dy in spots:
            if self._open(x + dx, y + dy, others):
                return x + dx, y + dy
        return None


def _holes_behind(boat: Boat, b: Behind) -> list[tuple[np.ndarray, np.ndarray]]:
    """Openings and cable holes in the face behind, as boxes in the hull."""
    if not b.face or b.solid:
        return []
    space_key, _, face = b.face.rpartition(".")
    axis, sign = FACES[face]
    space = boat.spaces[space_key]
    plane = float(space.high[axis] if sign > 0 else space.low[axis])
    out = []
    for o in boat.openings.values():
        if space_key in (o.inner, o.outer) and o.axis == axis:
            half = np.zeros(3)
            half[list(o.others)] = o.size / 2
            if abs(float(o.centre[axis]) - plane) < o.throat_mm + STEP_MM:
                out.append((o.centre - half, o.centre + half))
    for h in boat.holes.values():
        if space_key in h.spaces and abs(float(h.at[axis]) - plane) < 60.0:
            out.append((h.at - h.bore_mm / 2, h.at + h.bore_mm / 2))
    return out


def _square(plate: Plate, low: np.ndarray, high: np.ndarray) -> tuple[float, float, float, float]:
    """A box of the hull as a grown square on the plate."""
    a, b = plate.flat(low), plate.flat(high)
    xs, ys = sorted((a[0], b[0])), sorted((a[1], b[1]))
    return xs[0] - FOOT_MM, ys[0] - FOOT_MM, xs[1] + FOOT_MM, ys[1] + FOOT_MM


def reach_most_mm(plate: Plate, b: Behind) -> float:
    """How far a part's screw may reach beyond its foot: through the plate, off what is behind."""
    return plate.thickness_mm + max(b.gap_mm - LEFT_MM, 0.0)
