"""How much longer work takes where one lies: one number for a place.

Common practice from memory: open hull 1.0, a normal locker 1.4, behind a lining 1.8, a bilge or
engine space 2.0 to 2.5. Depth below the opening, distance from it, and an opening too small for
both arms come on top. A finer check of reach can take this function's place.
"""

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

SITES: Final = MappingProxyType(
    {"open": 1.0, "locker": 1.4, "lining": 1.8, "duct": 1.6, "bilge": 2.0, "engine": 2.2}
)
USUAL_SITE: Final = 1.4
ARM_MM: Final = 600.0  # what an arm reaches from an opening: memory
EASY_DEPTH_MM: Final = 400.0  # so far below a rim one still works kneeling
STEP_MM: Final = 300.0
EACH_STEP: Final = 0.1
BOTH_ARMS_MM: Final = 400.0  # an opening's lesser side that lets both arms and a head in
ONE_ARM_MM: Final = 250.0
NARROW, ONE_ARM = 0.15, 0.4
NO_OPENING: Final = 0.4  # where no opening leads: from a neighbour, or with a lining off
MOST: Final = 2.5


@dataclass(frozen=True, slots=True)
class Lying:
    """How one lies to work somewhere. Lengths in mm; `aperture_mm` is the lesser side of the
    opening one works through, None where no opening leads there.
    """

    site: str
    below_mm: float
    from_opening_mm: float
    aperture_mm: float | None


def access_factor(where: Lying) -> float:
    """How many times as long work takes there as on the open floor, 1 to 2.5."""
    factor = SITES.get(where.site, USUAL_SITE)
    if where.site == "open":
        return factor
    if where.aperture_mm is None:
        return min(factor + NO_OPENING, MOST)
    factor += EACH_STEP * max(where.below_mm - EASY_DEPTH_MM, 0.0) / STEP_MM
    factor += EACH_STEP * max(where.from_opening_mm - ARM_MM, 0.0) / STEP_MM
    if where.aperture_mm < ONE_ARM_MM:
        factor += ONE_ARM
    elif where.aperture_mm < BOTH_ARMS_MM:
        factor += NARROW
    return min(factor, MOST)
