"""Rules about where things stand: batteries and fuel, chargers, petrol, bilge water, magnets."""

from collections.abc import Callable
from types import MappingProxyType
from typing import Final

import numpy as np

from layout.boat.parts import OUTSIDE, Boat, Hazard, Piece
from layout.geometry.frames import Array
from layout.verdict.rules import RuleFinding, Urgency, Values

FUEL_ABOVE_MM: Final = 300.0
PETROL_MM: Final = 610.0  # 2 ft, and only in the open: 33 CFR 183.410
PETROL: Final = frozenset({"petrol vent", "petrol tank", "petrol source"})
FUELS: Final = PETROL | {"fuel"}
MAGNET_MM: Final = MappingProxyType({"compass": 1000.0, "heading sensor": 1800.0})
SENSOR_FROM_COMPASS_MM: Final = 600.0
SPARKS: Final = frozenset(
    {
        "isolator",
        "switch",
        "motor",
        "blower",
        "starter",
        "pump",
        "charger",
        "alternator",
        "mains charger",
        "converter",
        "socket",
        "fuse panel",
        "fuse",
        "battery",
    }
)
MAGNETS: Final = frozenset({"motor", "blower", "starter", "radio"})
CHARGERS: Final = frozenset({"charger", "mains charger", "converter"})
IN_WATER: Final = ("pump", "sensor")  # made to stand in it
ASIDE_MM: Final = 10.0  # moved this much beyond an overlap
Box = tuple[Array, Array]
Rule = Callable[[Boat, Piece], list[RuleFinding]]


def standing_rules(
    boat: Boat,
    protected: frozenset[str] = frozenset(),
    magnetic: frozenset[str] = frozenset(),
) -> list[RuleFinding]:
    """Findings about every piece in its place.

    `protected` and `magnetic` are the keys of ignition-protected and of magnetic pieces.
    """
    out: list[RuleFinding] = []
    for piece in boat.pieces.values():
        out += _battery_and_fuel(boat, piece) + _charger_over_battery(boat, piece)
        out += [] if piece.key in protected else _petrol(boat, piece)
        out += _water(boat, piece)
        if piece.kinds & MAGNETS or piece.key in magnetic:
            out += _magnets(boat, piece)
    return out + _sensor_near_compass(boat)


def plan_overlap(p: Box, q: Box) -> float:
    """How far two boxes overlap in plan, mm; 0 when they do not."""
    return max(0.0, float(min(min(p[1][k], q[1][k]) - max(p[0][k], q[0][k]) for k in (0, 1))))


def box_gap(p: Box, q: Box) -> float:
    """Distance of two boxes that stand square, mm; 0 when they touch or overlap."""
    return float(np.linalg.norm(np.maximum(np.maximum(q[0] - p[1], p[0] - q[1]), 0.0)))


def _about(piece: Piece) -> tuple[str, ...]:
    return (f"piece:{piece.key}",)


def _zone(hazard: Hazard) -> Box:
    return hazard.low, hazard.high


def _battery_and_fuel(boat: Boat, piece: Piece) -> list[RuleFinding]:
    if piece.kind != "battery":
        return []
    out = []
    low, high = piece.extent()
    for hazard in boat.hazards.values():
        if hazard.kind not in FUELS:
            continue
        over = plan_overlap((low, high), _zone(hazard))
        gap = box_gap((low, high), _zone(hazard))
        if over > 0:
            apart = max(float(hazard.low[2] - high[2]), float(low[2] - hazard.high[2]), 0.0)
            ends = [
                min(float(high[k] - hazard.low[k]), float(hazard.high[k] - low[k])) for k in (0, 1)
            ]
            values: Values = {
                "hazard": f"hazard:{hazard.key}",
                "side": "below" if hazard.low[2] >= high[2] else "above",
                "overlap_mm": over,
                "apart_mm": apart,
                "aside_mm": min(ends) + ASIDE_MM,
            }
            out.append(RuleFinding("battery and fuel", Urgency.MUST, _about(piece), values))
        elif gap < FUEL_ABOVE_MM and hazard.high[2] > high[2]:
            values = {
                "hazard": f"hazard:{hazard.key}",
                "gap_mm": gap,
                "asked_mm": FUEL_ABOVE_MM,
                "off_mm": FUEL_ABOVE_MM - gap,
            }
            out.append(RuleFinding("fuel shielded", Urgency.MUST, _about(piece), values))
    return out


def _charger_over_battery(boat: Boat, p: Piece) -> list[RuleFinding]:
    parts: list[str | None] = [k for k, part in p.parts.items() if part.kind in CHARGERS]
    if p.kind in CHARGERS:
        parts = [None]
    out = []
    for part in parts:
        mine = p.extent(part)
        for piece in boat.pieces.values():
            if piece.kind != "battery" or piece.space != p.space:
                continue
            theirs = piece.extent()
            if mine[0][2] >= theirs[1][2] - 1 and plan_overlap(mine, theirs) > 0:
                values: Values = {
                    "part": f"piece:{p.key}.{part}" if part else f"piece:{p.key}",
                    "battery": f"piece:{piece.key}",
                    "over_mm": float(mine[0][2] - theirs[1][2]),
                }
                out.append(RuleFinding("charger over battery", Urgency.MUST, _about(p), values))
    return out


def _petrol(boat: Boat, piece: Piece) -> list[RuleFinding]:
    """Every electrical component counts. Two feet of air keep it from a petrol source only where
    the space is open to the atmosphere; in a closed space nothing but a bulkhead does, and a space
    that holds a source is a petrol space whether or not the hull file says so.
    """
    if piece.space == OUTSIDE or not (piece.terminals or piece.kinds & SPARKS):
        return []
    space = boat.spaces[piece.space]
    here = [
        hazard
        for hazard in boat.hazards.values()
        if hazard.space == piece.space and _is_petrol(boat, hazard)
    ]
    if not here and not space.petrol:
        return []
    if space.site != "open":
        values: Values = {"space": f"space:{piece.space}"}
        return [RuleFinding("petrol space", Urgency.MUST, _about(piece), values)]
    out = []
    for z in here:
        gap = box_gap(piece.extent(), _zone(z))
        if gap < PETROL_MM:
            values = {
                "hazard": f"hazard:{z.key}",
                "gap_mm": gap,
                "asked_mm": PETROL_MM,
                "off_mm": PETROL_MM - gap,
            }
            out.append(RuleFinding("petrol distance", Urgency.MUST, _about(piece), values))
    return out


def _is_petrol(boat: Boat, hazard: Hazard) -> bool:
    """True for a source of petrol; fuel in a space that is said to be petrol's is one."""
    if hazard.kind in PETROL:
        return True
    return (
        hazard.kind == "fuel" and hazard.space in boat.spaces and boat.spaces[hazard.space].petrol
    )


def _water(boat: Boat, piece: Piece) -> list[RuleFinding]:
    if piece.kind in IN_WATER:
        return []
    low, high = piece.extent()
    out = []
    for hazard in boat.hazards.values():
        if hazard.kind != "bilge water" or hazard.space != piece.space or low[2] >= hazard.high[2]:
            continue
        if plan_overlap((low, high), _zone(hazard)) > 0:
            values: Values = {
                "hazard": f"hazard:{hazard.key}",
                "under_mm": float(hazard.high[2] - low[2]),
            }
            out.append(RuleFinding("bilge water", Urgency.MUST, _about(piece), values))
    return out


def _magnets(boat: Boat, piece: Piece) -> list[RuleFinding]:
    out = []
    for hazard in boat.hazards.values():
        asked = MAGNET_MM.get(hazard.kind)
        gap = box_gap(piece.extent(), _zone(hazard))
        if asked is not None and gap < asked:
            values: Values = {
                "hazard": f"hazard:{hazard.key}",
                "what": hazard.kind,
                "gap_mm": gap,
                "asked_mm": asked,
                "off_mm": asked - gap,
            }
            out.append(RuleFinding("magnets", Urgency.SHOULD, _about(piece), values))
    return out


def _sensor_near_compass(boat: Boat) -> list[RuleFinding]:
    sensors = [z for z in boat.hazards.values() if z.kind == "heading sensor"]
    compasses = [hazard for hazard in boat.hazards.values() if hazard.kind == "compass"]
    out = []
    for s in sensors:
        for c in compasses:
            gap = box_gap(_zone(s), _zone(c))
            if gap < SENSOR_FROM_COMPASS_MM:
                values: Values = {
                    "hazard": f"hazard:{c.key}",
                    "gap_mm": gap,
                    "asked_mm": SENSOR_FROM_COMPASS_MM,
                    "off_mm": SENSOR_FROM_COMPASS_MM - gap,
                }
                about = (f"hazard:{s.key}",)
                out.append(RuleFinding("sensor and compass", Urgency.SHOULD, about, values))
    return out
