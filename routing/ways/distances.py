"""How far cable keeps from what, and how far apart its supports may be."""

from typing import Final

from layout.boat.parts import Hazard

REACH_OFF_FACE_MM: Final = 30.0  # what stands nearer to a face than this is in a cable's way there
CLEAR_MM: Final = 2.0  # between a cable's skin and what it passes
SUPPORT_MM: Final = 450.0  # ISO 10133:2012 7.3: individual supports no farther apart
BATTERY_SUPPORT_MM: Final = 300.0  # ISO 10133:2012 7.4: battery cables
FIRST_BATTERY_MM: Final = 1000.0  # the same: the first support from a battery's terminal
LONGEST_FREE_LEG_MM: Final = SUPPORT_MM  # a cable hangs free no longer than its supports are apart
# where no face is that near: the nearest within this, with a support of its own
FARTHEST_FACE_MM: Final = 900.0
OPENING_OFF_MM: Final = 15.0  # cable keeps this far from an opening's edge
# hazards whose distance reaches through a wall
THROUGH_WALLS: Final = frozenset({"hot", "compass", "heading sensor", "radio aerial"})
# Distances to keep from hazards where the hull file gives none: common practice, but for petrol
# (33 CFR 183.410(b)(3): 2 ft), see trade notes; every one can be set per hazard.
KEEP_OFF_MM: Final = {
    "hot": 300.0,
    "moving": 50.0,
    "steering sweep": 50.0,
    "hose": 20.0,
    "limber": 0.0,
    "sharp edge": 20.0,
    "fuel": 50.0,
    "petrol vent": 0.0,
    "petrol tank": 50.0,
    "petrol source": 0.0,
    "bilge water": 0.0,
    "compass": 300.0,
    "heading sensor": 300.0,
    "radio aerial": 300.0,
}


def keep_off_mm(hazard: Hazard) -> float:
    """The distance cable keeps from a hazard: its own, or the usual one for its kind."""
    return KEEP_OFF_MM[hazard.kind] if hazard.keep_off_mm is None else hazard.keep_off_mm
