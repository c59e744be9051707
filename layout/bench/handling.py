"""How a board is carried: its mass, where it balances, grips, straps and hands.

Hands: in a locker a load is held low and at arm's length. The guideline weights of the British
Health and Safety Executive's lifting filter (L23, from memory) are then 5 to 10 kg for one person;
two carry two thirds of what each could carry alone. They are guidance, not a limit in law.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.bench.plate import Plate, Spot

ONE_PERSON_KG: Final = 10.0
TWO_SHARE: Final = 2.0 * 2.0 / 3.0
GRIP_MM: Final = (110.0, 35.0)  # a hand's width with room, and how deep: common practice
STRAP_INSET_MM: Final = 25.0
STRAP_APART_MM: Final = 80.0
CORNER_MM: Final = 50.0
STEP_MM: Final = 5.0

Rectangle = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Handling:
    """How a board is carried. `straps` are where a strap is made fast, none where parts leave no
    place; `grips` where a hand finds free edge: the middles of those stretches, with its name.
    """

    mass_kg: float
    balance: tuple[float, float, float]
    people: int  # 0: a hoist, or parts fitted afterwards
    grips: tuple[tuple[float, float, str], ...]
    straps: tuple[Spot, ...]
    lean_deg: float  # how far it hangs out of square by its straps
    afterwards: tuple[str, ...]  # parts that, fitted in place, bring it within two people


def handling(plate: Plate, taken: Sequence[Rectangle] = ()) -> Handling:
    """How a board is carried; strap holes keep off parts and what else is taken."""
    people = people_for(plate.mass_kg)
    every = [*(p.outline for p in plate.parts), *taken]
    straps = _straps(plate, every)
    middle = sum(x for x, _ in straps) / len(straps) if straps else plate.balance[0]
    drop = max(plate.height_mm - STRAP_INSET_MM - plate.balance[1], 1.0)
    lean = float(np.degrees(np.arctan2(abs(plate.balance[0] - middle), drop)))
    return Handling(
        plate.mass_kg, plate.balance, people, _grips(plate, every), straps, lean, _afterwards(plate)
    )


def people_for(mass_kg: float) -> int:
    """One, two, or 0 where it is too heavy for two in a locker."""
    if mass_kg <= ONE_PERSON_KG:
        return 1
    return 2 if mass_kg <= ONE_PERSON_KG * TWO_SHARE else 0


def _afterwards(plate: Plate) -> tuple[str, ...]:
    """The fewest parts, heaviest first, that leave a board two people can carry."""
    left, out = plate.mass_kg, []
    for part in sorted(plate.parts, key=lambda p: (-p.mass_kg, p.key)):
        if people_for(left) != 0:
            break
        out.append(part.key)
        left -= part.mass_kg
    return tuple(out) if people_for(left) != 0 else ()


def _free_stretches(taken: list[tuple[float, float]], size: float) -> list[tuple[float, float]]:
    at, out = 0.0, []
    for a, b in sorted(taken):
        if a - at > 0:
            out.append((at, a))
        at = max(at, b)
    if size > at:
        out.append((at, size))
    return out


def _grips(plate: Plate, outlines: list[Rectangle]) -> tuple[tuple[float, float, str], ...]:
    """On each edge the free stretch nearest to the balance that takes a hand."""
    wide, deep = GRIP_MM
    out = []
    length, height = plate.length_mm, plate.height_mm
    edges = (
        ("left", 1, height, 0.0, [b for b in outlines if b[0] < deep]),
        ("right", 1, height, length, [b for b in outlines if b[2] > length - deep]),
        ("upper", 0, length, height, [b for b in outlines if b[3] > height - deep]),
        ("lower", 0, length, 0.0, [b for b in outlines if b[1] < deep]),
    )
    for name, axis, size, at, near in edges:
        taken = [(b[axis], b[axis + 2]) for b in near]
        rooms = [s for s in _free_stretches(taken, size) if s[1] - s[0] >= wide]
        if rooms:
            want = plate.balance[axis]
            spots = [min(max(want, a + wide / 2), b - wide / 2) for a, b in rooms]
            best = min(spots, key=lambda x: (abs(x - want), x))
            out.append((at, best, name) if axis == 1 else (best, at, name))
    return tuple(out)


def _straps(plate: Plate, taken: list[Rectangle]) -> tuple[Spot, ...]:
    """Two places near the upper edge, evenly about the balance where the plate lets them, off
    parts, off the corners (there it is fixed) and off its middle.
    """
    y = plate.height_mm - STRAP_INSET_MM
    x, length = plate.balance[0], plate.length_mm
    most = max(min(x, length - x) - CORNER_MM, STRAP_APART_MM / 2)
    for k in range(int(most // STEP_MM), 0, -1):
        left, right = x - k * STEP_MM, x + k * STEP_MM
        both = _open(plate, taken, left, y) and _open(plate, taken, right, y)
        if right - left >= STRAP_APART_MM and both:
            return (left, y), (right, y)
    spots = [STRAP_INSET_MM + k * STEP_MM for k in range(int(length // STEP_MM) - 4)]
    free = [u for u in spots if _open(plate, taken, u, y)]
    before = [u for u in free if u <= x - STRAP_APART_MM / 2]
    after = [u for u in free if u >= x + STRAP_APART_MM / 2]
    return ((before[-1], y), (after[0], y)) if before and after else ()


def _open(plate: Plate, taken: list[Rectangle], x: float, y: float) -> bool:
    """True where a strap's hole meets nothing, and no place the board is fixed at."""
    from_middle = abs(x - plate.length_mm / 2)
    off_fixing = CORNER_MM <= x <= plate.length_mm - CORNER_MM and from_middle >= STRAP_INSET_MM
    grow = STRAP_INSET_MM / 2
    return off_fixing and not any(
        a - grow < x < c + grow and b - grow < y < d + grow for a, b, c, d in taken
    )
