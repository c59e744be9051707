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
        "starter",
        "pump",
        "charger",
        "mains charger",
        "converter",
        "socket",
        "fuse panel",
        "fuse",
        "battery",
    }
)
MAGNETS: Final = frozenset({"motor", "starter", "radio"})
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
    for p in boat.pieces.values():
        out += _battery_and_fuel(boat, p) + _charger_over_battery(boat, p)
        out += [] if p.key in protected else _petrol(boat, p)
        out += _water(boat, p)
        if p.kinds & MAGNETS or p.key in magnetic:
            out += _magnets(boat, p)
    return out + _sensor_near_compass(boat)


def plan_overlap(p: Box, q: Box) -> float:
    """How far two boxes overlap in plan, mm; 0 when they do not."""
    return max(0.0, float(min(min(p[1][k], q[1][k]) - max(p[0][k], q[0][k]) for k in (0, 1))))


def box_gap(p: Box, q: Box) -> float:
    """Distance of two boxes that stand square, mm; 0 when they touch or overlap."""
    return float(np.linalg.norm(np.maximum(np.maximum(q[0] - p[1], p[0] - q[1]), 0.0)))


def _about(p: Piece) -> tuple[str, ...]:
    return (f"piece:{p.key}",)


def _zone(z: Hazard) -> Box:
    return z.low, z.high


def _battery_and_fuel(boat: Boat, p: Piece) -> list[RuleFinding]:
    if p.kind != "battery":
        return []
    out = []
    low, high = p.extent()
    for z in boat.hazards.values():
        if z.kind not in FUELS:
            continue
        over = plan_overlap((low, high), _zone(z))
        gap = box_gap((low, high), _zone(z))
        if over > 0:
            apart = max(float(z.low[2] - high[2]), float(low[2] - z.high[2]), 0.0)
            ends = [min(float(high[k] - z.low[k]), float(z.high[k] - low[k])) for k in (0, 1)]
            values: Values = {
                "hazard": f"hazard:{z.key}",
                "side": "below" if z.low[2] >= high[2] else "above",
                "overlap_mm": over,
                "apart_mm": apart,
                "aside_mm": min(ends) + ASIDE_MM,
            }
            out.append(RuleFinding("battery and fuel", Urgency.MUST, _about(p), values))
        elif gap < FUEL_ABOVE_MM and z.high[2] > high[2]:
            values = {
                "hazard": f"hazard:{z.key}",
                "gap_mm": gap,
                "asked_mm": FUEL_ABOVE_MM,
                "off_mm": FUEL_ABOVE_MM - gap,
            }
            out.append(RuleFinding("fuel shielded", Urgency.MUST, _about(p), values))
    return out


def _charger_over_battery(boat: Boat, p: Piece) -> list[RuleFinding]:
    parts: list[str | None] = [k for k, part in p.parts.items() if part.kind in CHARGERS]
    if p.kind in CHARGERS:
        parts = [None]
    out = []
    for part in parts:
        mine = p.extent(part)
        for b in boat.pieces.values():
            if b.kind != "battery" or b.space != p.space:
                continue
            theirs = b.extent()
            if mine[0][2] >= theirs[1][2] - 1 and plan_overlap(mine, theirs) > 0:
                values: Values = {
                    "part": f"piece:{p.key}.{part}" if part else f"piece:{p.key}",
                    "battery": f"piece:{b.key}",
                    "over_mm": float(mine[0][2] - theirs[1][2]),
                }
                out.append(RuleFinding("charger over battery", Urgency.MUST, _about(p), values))
    return out


def _petrol(boat: Boat, p: Piece) -> list[RuleFinding]:
    """Every electrical component counts. Two feet of air keep it from a petrol source only where
    the space is open to the atmosphere; in a closed space nothing but a bulkhead does, and a space
    that holds a source is a petrol space whether or not the hull file says so.
    """
    if p.space == OUTSIDE or not (p.terminals or p.kinds & SPARKS):
        return []
    space = boat.spaces[p.space]
    here = [z for z in boat.hazards.values() if z.space == p.space and _is_petrol(boat, z)]
    if not here and not space.petrol:
        return []
    if space.site != "open":
        values: Values = {"space": f"space:{p.space}"}
        return [RuleFinding("petrol space", Urgency.MUST, _about(p), values)]
    out = []
    for z in here:
        gap = box_gap(p.extent(), _zone(z))
        if gap < PETROL_MM:
            values = {
                "hazard": f"hazard:{z.key}",
                "gap_mm": gap,
                "asked_mm": PETROL_MM,
                "off_mm": PETROL_MM - gap,
            }
            out.append(RuleFinding("petrol distance", Urgency.MUST, _about(p), values))
    return out


def _is_petrol(boat: Boat, z: Hazard) -> bool:
    """True for a source of petrol; fuel in a space that is said to be petrol's is one."""
    if z.kind in PETROL:
        return True
    return z.kind == "fuel" and z.space in boat.spaces and boat.spaces[z.space].petrol


def _water(boat: Boat, p: Piece) -> list[RuleFinding]:
    if p.kind in IN_WATER:
        return []
    low, high = p.extent()
    out = []
    for z in boat.hazards.values():
        if z.kind != "bilge water" or z.space != p.space or low[2] >= z.high[2]:
            continue
        if plan_overlap((low, high), _zone(z)) > 0:
            values: Values = {
                "hazard": f"hazard:{z.key}",
                "under_mm": float(z.high[2] - low[2]),
            }
            out.append(RuleFinding("bilge water", Urgency.MUST, _about(p), values))
    return out


def _magnets(boat: Boat, p: Piece) -> list[RuleFinding]:
    out = []
    for z in boat.hazards.values():
        asked = MAGNET_MM.get(z.kind)
        gap = box_gap(p.extent(), _zone(z))
        if asked is not None and gap < asked:
            values: Values = {
                "hazard": f"hazard:{z.key}",
                "what": z.kind,
                "gap_mm": gap,
                "asked_mm": asked,
                "off_mm": asked - gap,
            }
            out.append(RuleFinding("magnets", Urgency.SHOULD, _about(p), values))
    return out


def _sensor_near_compass(boat: Boat) -> list[RuleFinding]:
    sensors = [z for z in boat.hazards.values() if z.kind == "heading sensor"]
    compasses = [z for z in boat.hazards.values() if z.kind == "compass"]
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
