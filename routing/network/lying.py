"""The rules of how cable lies: what it touches, how it leaves its terminals, what it hangs on, and
the holes, glands and trays it goes through.
"""

from dataclasses import dataclass
from math import ceil
from typing import Final

import numpy as np

from layout.boat.parts import Piece
from layout.verdict.rules import RuleFinding, Urgency, Values
from routing.circuits.cables import Cable
from routing.circuits.cabling import Cabling
from routing.circuits.circuits import End
from routing.circuits.touching import touches
from routing.sizes.fill import Filled
from routing.ways.distances import SENSORS, NearMouth, near_mouths
from routing.ways.leads import GivenUp
from routing.ways.polylines import from_polyline
from routing.ways.routes import Leg, Route
from routing.ways.ways import tray_hazards

DRILL_OVER_MM: Final = 4.0  # a hole through a plate over the cable: room for its edging, memory
DRILL_STEP_MM: Final = 1.0
APART_TOLD_MM: Final = 150.0  # a pair parted by more than this for
APART_FOR_MM: Final = 500.0  # so long is told
STEPS: Final = 40


@dataclass(frozen=True, slots=True)
class PlateHole:
    """A hole to drill in a board's plate for a cable that leaves through it.

    `along_mm` is from the plate's corner that is low along both its axes in the boat.
    """

    board: str
    number: str
    bore_mm: float
    along_mm: tuple[float, float]
    at: tuple[float, float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Pole:
    """One way of a circuit with its two ends."""

    cable: Cable
    route: Route
    ends: tuple[End, End]

    @property
    def leads(self) -> list[tuple[End, GivenUp]]:
        """The ends whose lead had no room for all it wants."""
        legs = (self.route.legs[0], self.route.legs[-1])
        return [
            (end, leg.given_up)
            for end, leg in zip(self.ends, legs, strict=True)
            if leg.given_up is not None
        ]


def poles(cabling: Cabling) -> list[Pole]:
    """Every way, in the boat and on its boards, with its ends."""
    c = cabling.circuits
    out = []
    for cable in cabling.cables:
        n = cable.number
        if cable.route is not None:
            out.append(Pole(cable, cable.route, (c.feeds[n], c.loads[n])))
        goal = c.returns[n]
        if cable.laid.parted and cable.back is not None and goal is not None:
            out.append(Pole(cable, cable.back, (c.loads[n], goal)))
    return out


def lying_rules(cabling: Cabling, fills: list[Filled]) -> list[RuleFinding]:
    """Every finding about how cable lies."""
    out: list[RuleFinding] = []
    for pole in poles(cabling):
        out += _touched(cabling, pole)
        for end, told in pole.leads:
            out += _lead(pole.cable, end, told)
        out += _hanging(pole)
    return [*out, *_bend_rooms(cabling), *_mouths(cabling), *_trays(cabling), *_glands(fills)]


def _touched(cabling: Cabling, pole: Pole) -> list[RuleFinding]:
    """Bodies, plates, closed surfaces and hazards that a cable comes too near to."""
    cable, boat = pole.cable, cabling.circuits.boat
    found = touches(cabling.ways, pole.route, cable.od_mm, cable.radius_mm, pole.ends)
    out = []
    for t in found:
        hazard = boat.hazards.get(t.key.removeprefix("hazard:"))
        magnet = hazard is not None and hazard.kind in SENSORS
        values: Values = {"what": t.key if ":" in t.key else f"piece:{t.key}", "deep_mm": t.mm}
        about = (f"circuit:{cable.number}",)
        urgency = Urgency.NOTE if magnet else Urgency.SHOULD
        out.append(RuleFinding("cable touches", urgency, about, values))
    return out


def _lead(cable: Cable, end: End, told: GivenUp) -> list[RuleFinding]:
    """What a lead had no room for at its terminal."""
    about, out = (f"circuit:{cable.number}",), []
    at: Values = {"end": f"end:{end.name}"}
    if told.under_foot:
        out.append(RuleFinding("lead under foot", Urgency.NOTE, about, at))
    elif told.lug_mm <= 0.0:
        out.append(RuleFinding("no lug room", Urgency.MUST, about, at))
    elif told.radius_mm < cable.radius_mm - 0.5:
        values: Values = {**at, "has_mm": told.radius_mm, "needs_mm": cable.radius_mm}
        values["lug_mm"] = told.lug_mm
        out.append(RuleFinding("lead room", Urgency.SHOULD, about, values))
    for key in told.through:
        kind = key.partition(":")[0]
        values = {**at, "what": key if ":" in key else f"piece:{key}"}
        rule = {"hazard": "stands in hazard", "room": "through room", "opening": "before opening"}
        name = rule.get(kind, "through plate")
        out.append(RuleFinding(name, Urgency.SHOULD, about, values))
    return out


def _hanging(pole: Pole) -> list[RuleFinding]:
    """Leads and legs that hang longer than their supports may be apart."""
    about = (f"circuit:{pole.cable.number}",)
    return [
        RuleFinding(
            "hangs",
            Urgency.SHOULD,
            about,
            {"hangs_mm": leg.given_up.hangs_mm, "space": f"space:{leg.where}"},
        )
        for leg in pole.route.legs
        if leg.given_up is not None and leg.given_up.hangs_mm > 0
    ]


def _bend_rooms(cabling: Cabling) -> list[RuleFinding]:
    """Rooms for a cable's bend that the cable really chosen has too little of."""
    out = []
    for pole in poles(cabling):
        cable = pole.cable
        for end in pole.ends:
            has = _bend_room_mm(end)
            needs = cable.radius_mm + cable.od_mm / 2
            if has is not None and has < needs - 0.5:
                values: Values = {"end": f"end:{end.name}", "has_mm": has, "needs_mm": needs}
                about = (f"circuit:{cable.number}",)
                out.append(RuleFinding("bend room", Urgency.SHOULD, about, values))
    return out


def _bend_room_mm(end: End) -> float | None:
    """How far the room kept for a cable's bend reaches out of a terminal; None without one."""
    t, reach = end.terminal, []
    for room in end.piece.rooms:
        if room.why == "cable bend" and room.owner == end.place:
            low, high = room.centre - room.half, room.centre + room.half
            along = np.where(t.out > 0.5, high - t.at, np.where(t.out < -0.5, t.at - low, np.inf))
            reach.append(float(along.min()))
    return max(reach, default=None)


def _mouths(cabling: Cabling) -> list[RuleFinding]:
    """Holes in use that stand nearer to a hazard than cable should."""
    used = {j for c in cabling.cables for way in c.poles for j in way.joints}
    out = []
    nearest: dict[tuple[str, str], NearMouth] = {}
    for near in near_mouths(cabling.circuits.boat):
        key = (near.joint, near.hazard)
        if key not in nearest or near.has_mm < nearest[key].has_mm:
            nearest[key] = near
    for near in nearest.values():
        if near.joint in used:
            values: Values = {
                "what": f"hazard:{near.hazard}",
                "has_mm": near.has_mm,
                "asks_mm": near.asks_mm,
            }
            about = (f"joint:{near.joint}",)
            out.append(RuleFinding("hole in hazard", Urgency.SHOULD, about, values))
    return out


def _trays(cabling: Cabling) -> list[RuleFinding]:
    """Trays that run too near to a hazard: no cable is laid on them."""
    out = []
    boat = cabling.circuits.boat
    for tray in boat.trays.values():
        for key in tray_hazards(boat, tray):
            about = (f"joint:{tray.key}",)
            out.append(RuleFinding("tray by hazard", Urgency.SHOULD, about, {"what": key}))
    return out


def _glands(fills: list[Filled]) -> list[RuleFinding]:
    """Glands with more cables than they seal, or that do not say how many they seal."""
    out = []
    for f in fills:
        if not f.gland or not f.circuits:
            continue
        values: Values = {"cables": float(f.cables), "ways": float(f.ways or 0)}
        about = (f"joint:{f.key}",)
        if f.ways is None:
            out.append(RuleFinding("gland ways unknown", Urgency.SHOULD, about, values))
        elif f.cables > f.ways:
            out.append(RuleFinding("gland ways", Urgency.MUST, about, values))
    return out


def pair_rules(cabling: Cabling) -> list[RuleFinding]:
    """Pairs whose two conductors lie far apart for a way."""
    out = []
    for cable in cabling.cables:
        if cable.laid.parted and not cable.one:
            apart, over = pair_apart_mm(cable)
            if apart > APART_TOLD_MM and over > APART_FOR_MM:
                values: Values = {"apart_mm": apart, "over_mm": over}
                about = (f"circuit:{cable.number}",)
                out.append(RuleFinding("pair apart", Urgency.NOTE, about, values))
    return out


def pair_apart_mm(cable: Cable) -> tuple[float, float]:
    """(the most a return lies from its feed, over how long by more than the told distance), mm."""
    if cable.route is None or cable.back is None:
        return 0.0, 0.0
    line = cable.route.polyline
    most, over = 0.0, 0.0
    for leg in cable.back.legs:
        for p, q in zip(leg.points, leg.points[1:], strict=False):
            x = p + np.linspace(0, 1, STEPS)[:, None] * (q - p)
            away = from_polyline(x, line)
            most = max(most, float(away.max()))
            over += float(np.linalg.norm(q - p)) * float((away > APART_TOLD_MM).mean())
    return most, over


def plate_holes(cabling: Cabling) -> list[PlateHole]:
    """Every hole that a lead needs through a board's plate."""
    out = []
    for pole in poles(cabling):
        legs = (pole.route.legs[0], pole.route.legs[-1])
        for (end, told), leg in ((x, g) for x in pole.leads for g in legs if g.given_up is x[1]):
            if any(key == f"{end.piece.key}.plate" for key in told.through):
                found = _through_plate(end.piece, leg)
                if found is not None:
                    bore = ceil((pole.cable.od_mm + DRILL_OVER_MM) / DRILL_STEP_MM) * DRILL_STEP_MM
                    out.append(PlateHole(end.piece.key, pole.cable.number, bore, *found))
    return out


def _through_plate(
    board: Piece, leg: Leg
) -> tuple[tuple[float, float], tuple[float, float, float]] | None:
    """Where a lead passes a plate: (from its low corner along its two axes, in the hull)."""
    rest = board.at_rest()
    c, h, r = rest.centre_mm[0], rest.half_mm[0], rest.rotation[0]
    thin = int(np.argmin(h))
    u, v = (k for k in range(3) if k != thin)
    local = (leg.points - c) @ r
    for p, q in zip(local, local[1:], strict=False):
        if p[thin] * q[thin] < 0:
            x = p + (q - p) * abs(p[thin]) / (abs(p[thin]) + abs(q[thin]))
            if abs(x[u]) <= h[u] and abs(x[v]) <= h[v]:
                a, b, d = (float(k) for k in c + r @ x)
                return (float(x[u] + h[u]), float(x[v] + h[v])), (a, b, d)
    return None
