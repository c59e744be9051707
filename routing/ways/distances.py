"""How far cable keeps from what, and how far apart its supports may be."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.boat.parts import Boat, Hazard, Hole, Pipe, Tray
from layout.geometry.frames import Array

REACH_OFF_FACE_MM: Final = 30.0  # what stands nearer to a face than this is in a cable's way there
CLEAR_MM: Final = 2.0  # between a cable's skin and what it passes
SUPPORT_MM: Final = 450.0  # ISO 10133:2012 7.3: individual supports no farther apart
BATTERY_SUPPORT_MM: Final = 300.0  # ISO 10133:2012 7.4: battery cables
FIRST_BATTERY_MM: Final = 1000.0  # the same: the first support from a battery's terminal
LONGEST_FREE_LEG_MM: Final = SUPPORT_MM  # a cable hangs free no longer than its supports are apart
# where no face is that near: the nearest within this, with a support of its own
FARTHEST_FACE_MM: Final = 900.0
ENGINE_OFF_MM: Final = 50.0  # from an engine, which is hot and shakes: memory
ENGINE: Final = "engine"
OPENING_OFF_MM: Final = 15.0  # cable keeps this far from an opening's edge
# hazards whose distance reaches through a wall
THROUGH_WALLS: Final = frozenset({"hot", "compass", "heading sensor", "radio aerial"})
NEARER_MM: Final = 0.1
SENSORS: Final = frozenset({"compass", "heading sensor"})  # magnetic: told in degrees
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


@dataclass(frozen=True, slots=True)
class NearMouth:
    """A mouth of a hole, pipe or tray that stands nearer to a hazard than it asks."""

    joint: str
    hazard: str
    has_mm: float
    asks_mm: float


def near_mouths(boat: Boat) -> list[NearMouth]:
    """Every mouth inside a hazard's distance, in the order of the file."""
    joints: dict[str, Hole | Pipe | Tray] = {**boat.holes, **boat.pipes, **boat.trays}
    out = []
    for hazard in boat.hazards.values():
        asks = keep_off_mm(hazard)
        for key, joint in joints.items():
            ends = (joint.at, joint.at if isinstance(joint, Hole) else joint.to)
            for space, at in zip(joint.spaces, ends, strict=True):
                if space == hazard.space or hazard.kind in THROUGH_WALLS:
                    gap = _gap_mm(boat, hazard, space, at)
                    if gap < asks:
                        out.append(NearMouth(key, hazard.key, max(0.0, gap), asks))
    return out


def _gap_mm(boat: Boat, hazard: Hazard, space: str, at: Array) -> float:
    """How far cable at a mouth is kept from a hazard: over its face, or off it."""
    away = np.maximum(hazard.low - at, at - hazard.high)
    if space not in boat.spaces:
        return float(away.max())
    s = boat.spaces[space]
    axis = int(np.argmin(np.minimum(np.abs(at - s.low), np.abs(at - s.high))))
    over = max(float(away[k]) for k in range(3) if k != axis)
    return max(over, float(away[axis]) - REACH_OFF_FACE_MM)


def kept_off(boat: Boat, radius_mm: float) -> dict[str, float]:
    """How far cable keeps from each hazard: as it asks.

    From a compass or heading sensor it is as near as the nearest mouth of a hole stands, for what
    cable does to it is worked out and told in degrees; nothing hot, moving, wet or sharp is come
    nearer to because a hole is there.
    """
    out = {key: keep_off_mm(hazard) for key, hazard in boat.hazards.items()}
    for near in near_mouths(boat):
        if boat.hazards[near.hazard].kind in SENSORS:
            out[near.hazard] = min(out[near.hazard], max(0.0, near.has_mm - radius_mm - NEARER_MM))
    return out
