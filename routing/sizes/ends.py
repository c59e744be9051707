"""What goes on a terminal: the largest cable whose lug or push-on end fits its stud or blade."""

from types import MappingProxyType
from typing import Final

from layout.boat.parts import Terminal

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
