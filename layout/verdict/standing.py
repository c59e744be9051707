"""Rules about where things stand: batteries and fuel, chargers and batteries, petrol, bilge water, magnets."""

from typing import Final

import numpy as np

from layout.boat.parts import OUTSIDE, Boat, Hazard, Thing
from layout.geometry.frames import Array
from layout.verdict.rules import RuleFinding, Weight

FUEL_ABOVE_MM: Final = 300.0
PETROL_MM: Final = 610.0  # 2 ft
MAGNET_MM: Final = {"compass": 1000.0, "heading sensor": 1800.0}
SENSOR_FROM_COMPASS_MM: Final = 600.0
SPARKS: Final = (
    "isolator",
    "switch",
    "motor",
    "pump",
    "charger",
    "mains charger",
    "converter",
    "socket",
    "fuse panel",
    "fuse",
)
MAGNETS: Final = ("motor", "radio")
CHARGERS: Final = ("charger", "mains charger", "converter")
VENTED_CHARGE_KW: Final = 0.2


def standing_rules(
    boat: Boat, protected: frozenset[str] = frozenset(), magnetic: frozenset[str] = frozenset()
) -> list[RuleFinding]:
    """Findings about every thing in its place; `protected` and `magnetic` name ignition-protected and magnetic things."""
    out: list[RuleFinding] = []
    for t in boat.things.values():
        out += _battery_and_fuel(boat, t) if t.kind == "battery" else []
        out += _charger_over_battery(boat, t)
        out += _petrol(boat, t, protected)
        out += _water(boat, t)
        out += _magnets(boat, t, magnetic)
    return out + _sensor_near_compass(boat)


def _overlap(a: Array, b: Array, c: Array, d: Array, axes: tuple[int, ...] = (0, 1)) -> float:
    """How far two boxes overlap in plan, mm; 0 when they do not."""
    return max(0.0, float(min(min(b[k], d[k]) - max(a[k], c[k]) for k in axes)))


def _gap(a: Array, b: Array, c: Array, d: Array) -> float:
    return float(np.linalg.norm(np.maximum(np.maximum(c - b, a - d), 0.0)))


def _kinds(t: Thing) -> set[str]:
    return {t.kind, *t.parts.values()}


def _battery_and_fuel(boat: Boat, t: Thing) -> list[RuleFinding]:
    out = []
    low, high = t.extent()
    for z in boat.hazards.values():
        if z.kind not in ("fuel", "petrol vent"):
            continue
        over = _overlap(low, high, z.low, z.high)
        if over > 0:
            words = "below" if z.low[2] >= high[2] else "above"
            gap = max(float(z.low[2] - high[2]), float(low[2] - z.high[2]), 0.0)
            side = (
                min(min(float(high[k] - z.low[k]), float(z.high[k] - low[k])) for k in (0, 1)) + 10
            )
            out.append(
                RuleFinding(
                    Weight.MUST,
                    t.label,
                    "a battery not straight above or below fuel parts",
                    "33 CFR 183.420(d)",
                    f"straight {words} {z.label}, overlapping {over:.0f} mm in plan, {gap:.0f} mm apart",
                    "no overlap in plan",
                    f"Move it {side:.0f} mm sideways, whatever the height between",
                )
            )
        gap = _gap(low, high, z.low, z.high)
        if over == 0 and gap < FUEL_ABOVE_MM and z.high[2] > high[2]:
            out.append(
                RuleFinding(
                    Weight.MUST,
                    t.label,
                    "metal fuel parts within 300 mm of and above a battery's top shielded",
                    "33 CFR 183.420(c); ISO 10133:2012 5.7",
                    f"{z.label} {gap:.0f} mm away",
                    f"{FUEL_ABOVE_MM:.0f} mm or a shield",
                    f"Shield the fuel parts with an insulating cover, or move the battery {FUEL_ABOVE_MM - gap:.0f} mm off",
                )
            )
    return out


def _charger_over_battery(boat: Boat, t: Thing) -> list[RuleFinding]:
    if not _kinds(t) & set(CHARGERS):
        return []
    out = []
    parts: list[str | None] = (
        [p for p, kind in t.parts.items() if kind in CHARGERS] if t.kind == "board" else [None]
    )
    for part in parts:
        low, high = t.extent(part)
        for b in boat.things.values():
            if b.kind != "battery" or b.space != t.space:
                continue
            c, d = b.extent()
            if low[2] >= d[2] - 1 and _overlap(low, high, c, d) > 0:
                what = f"its {part} " if part else ""
                out.append(
                    RuleFinding(
                        Weight.MUST,
                        t.label,
                        "a charger not straight above a battery (corrosive gas)",
                        "charger makers' manuals; common practice",
                        f"{what}straight above {b.label}, {low[2] - d[2]:.0f} mm over it",
                        "no battery straight below",
                        "Move one sideways, or seal and vent the battery box to the outside",
                    )
                )
    return out


def _petrol(boat: Boat, t: Thing, protected: frozenset[str]) -> list[RuleFinding]:
    if t.name in protected or t.space == OUTSIDE or not _kinds(t) & {*SPARKS, "battery"}:
        return []
    out = []
    low, high = t.extent()
    space = boat.spaces[t.space]
    for z in boat.hazards.values():
        source = z.kind == "petrol vent" or (
            z.kind == "fuel" and z.space in boat.spaces and boat.spaces[z.space].petrol
        )
        if not source or z.space != t.space:
            continue
        gap = _gap(low, high, z.low, z.high)
        if gap < PETROL_MM:
            out.append(
                RuleFinding(
                    Weight.MUST,
                    t.label,
                    "electrical gear that is not ignition-protected kept from a petrol source",
                    "33 CFR 183.410(b)(3)",
                    f"{gap:.0f} mm from {z.label} in the same space",
                    f"{PETROL_MM:.0f} mm (2 ft) in the open air, or a bulkhead",
                    f"Choose ignition-protected gear, put a bulkhead between, or move it {PETROL_MM - gap:.0f} mm off",
                )
            )
    if space.petrol and not out:
        out.append(
            RuleFinding(
                Weight.MUST,
                t.label,
                "electrical gear in a petrol space is ignition-protected",
                "33 CFR 183.410",
                f"stands in {space.label}",
                "ignition-protected gear",
                "Choose ignition-protected gear or another space",
            )
        )
    return out


def _water(boat: Boat, t: Thing) -> list[RuleFinding]:
    if t.kind in ("pump", "sensor"):  # made to stand in it
        return []
    low, high = t.extent()
    out = []
    for z in boat.hazards.values():
        if (
            z.kind == "bilge water"
            and z.space == t.space
            and low[2] < z.high[2]
            and _overlap(low, high, z.low, z.high) > 0
        ):
            out.append(
                RuleFinding(
                    Weight.MUST,
                    t.label,
                    "gear above the expected bilge water",
                    "ISO 10133 (extract)",
                    f"its foot {z.high[2] - low[2]:.0f} mm below {z.label}",
                    "above it, as high as practicable",
                    f"Raise it {z.high[2] - low[2]:.0f} mm on a tray or shelf",
                )
            )
    return out


def _magnets(boat: Boat, t: Thing, magnetic: frozenset[str]) -> list[RuleFinding]:
    if not (_kinds(t) & set(MAGNETS)) and t.name not in magnetic:
        return []
    low, high = t.extent()
    out = []
    for z in boat.hazards.values():
        wanted = MAGNET_MM.get(z.kind)
        gap = _gap(low, high, z.low, z.high)
        if wanted is not None and gap < wanted:
            source = (
                "makers' manuals: 6 ft"
                if z.kind == "heading sensor"
                else "common practice where no figure is given: about 1 m"
            )
            out.append(
                RuleFinding(
                    Weight.SHOULD,
                    t.label,
                    f"magnets and motors kept from the {z.kind}",
                    source,
                    f"{gap:.0f} mm from {z.label}",
                    f"{wanted / 1000:.1f} m",
                    f"Move one {wanted - gap:.0f} mm away, or swing the compass with it on and off before trusting it",
                )
            )
    return out


def _sensor_near_compass(boat: Boat) -> list[RuleFinding]:
    sensors = [z for z in boat.hazards.values() if z.kind == "heading sensor"]
    compasses = [z for z in boat.hazards.values() if z.kind == "compass"]
    out = []
    for s in sensors:
        for c in compasses:
            gap = _gap(s.low, s.high, c.low, c.high)
            if gap < SENSOR_FROM_COMPASS_MM:
                out.append(
                    RuleFinding(
                        Weight.SHOULD,
                        s.label,
                        "a heading sensor kept from the steering compass",
                        "makers' manuals: 2 ft",
                        f"{gap:.0f} mm from {c.label}",
                        f"{SENSOR_FROM_COMPASS_MM:.0f} mm",
                        f"Move one {SENSOR_FROM_COMPASS_MM - gap:.0f} mm away",
                    )
                )
    return out


def hazard_is_near(
    boat: Boat, kinds: tuple[str, ...], point: Array, within_mm: float
) -> Hazard | None:
    """The first hazard of some kinds within a distance of a point."""
    for z in boat.hazards.values():
        if (
            z.kind in kinds
            and float(np.linalg.norm(np.maximum(np.maximum(z.low - point, point - z.high), 0.0)))
            < within_mm
        ):
            return z
    return None
