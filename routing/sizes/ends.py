"""What goes on a terminal: the largest cable whose lug or push-on end fits its stud or blade."""

from types import MappingProxyType
from typing import Final

from layout.boat.parts import LUG_MM, Terminal

# Largest cable in mm2 whose tubular lug is made with a hole for that stud, and whose push-on end is
# made for that blade: ranges of DIN 46235 lugs and DIN 46245 ends, from memory: check the lug.
STUD_MOST_MM2: Final = MappingProxyType(
    {
        "M4": 6.0,
        "M5": 16.0,
        "M6": 50.0,
        "M8": 120.0,
        "M10": 150.0,
        "M12": 240.0,
        "taper post": 120.0,  # by its clamp
    }
)
BLADE_MOST_MM2: Final = MappingProxyType({"2.8": 1.0, "4.8": 2.5, "6.3": 6.0, "9.5": 10.0})


def largest_mm2(terminal: Terminal) -> float:
    """The largest cable that goes on a terminal; infinite where nothing limits it.

    A lead that a piece comes with is joined in line and limits nothing.
    """
    if terminal.largest_mm2 is not None:
        return terminal.largest_mm2
    if terminal.lead_mm > 0:
        return float("inf")
    if terminal.stud is not None:
        return STUD_MOST_MM2[terminal.stud]
    return BLADE_MOST_MM2[terminal.blade] if terminal.blade is not None else float("inf")


# The barrel of a tubular lug by its cable, mm: about those of DIN 46235, from memory; the strip is
# that and a millimetre. Measure the barrel of the lug that was bought.
BARREL_MM: Final = (
    (2.5, 7.0),
    (6.0, 10.0),
    (10.0, 12.0),
    (16.0, 14.0),
    (25.0, 16.0),
    (35.0, 18.0),
    (50.0, 22.0),
    (70.0, 24.0),
    (95.0, 28.0),
    (120.0, 30.0),
)
STRIP_MORE_MM: Final = 1.0
SLEEVE_RATIO: Final = 3.0  # of adhesive-lined sleeve before to after: common practice
SLEEVES_MM: Final = ((3.0, 1.0), (6.0, 2.0), (9.0, 3.0), (12.0, 4.0), (19.0, 6.0), (24.0, 8.0),
                     (40.0, 13.0))  # fmt: skip


def strip_mm(area_mm2: float) -> float:
    """How far to strip a conductor for its lug."""
    fits = [barrel for area, barrel in BARREL_MM if area_mm2 <= area + 1e-9]
    return (fits[0] if fits else BARREL_MM[-1][1]) + STRIP_MORE_MM


PALM_MM: Final = 10.0  # of a lug, from the stud's middle to its barrel: memory
BARREL_OF_OD: Final = 1.9  # a barrel's length beside the diameter of its cable, from BARREL_MM


def lug_need_mm(od_mm: float) -> float:
    """How far a lug reaches straight out of its stud, by its cable's diameter."""
    return max(LUG_MM, PALM_MM + BARREL_OF_OD * od_mm)


def sleeve_for(od_mm: float) -> tuple[float, float] | None:
    """The shrink sleeve for a cable, as sold (before, after) in mm; None where none is in the
    table. It goes over the lug's barrel, about a fifth thicker than the cable, and grips the cable.
    """
    over = od_mm * 1.2 + 0.5
    return next(((a, b) for a, b in SLEEVES_MM if a >= over and b <= od_mm), None)
