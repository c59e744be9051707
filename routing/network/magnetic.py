"""The magnetic field of the wiring at every compass and heading sensor, along its real way.

Each straight piece of a conductor carrying I gives mu0 I / (4 pi) (L x r1) / |L x r1|^2
(L . r1 / |r1| - L . r2 / |r2|) at a point r1 from its start and r2 from its end (Biot and Savart,
any textbook). A circuit is a closed loop: out and back, joined at both ends. A pair lies side by
side or one above the other, whichever is worse. The level part of the field beside the earth's
level field is what turns a card; on the worst heading by asin(B / H). Cables alone: iron, motors,
loudspeakers and heel are not in it.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.boat.parts import Hazard
from layout.geometry.frames import Array
from layout.verdict.rules import RuleFinding, Urgency, Values
from routing.circuits.cables import Cable
from routing.circuits.cabling import Cabling
from routing.ways.distances import SENSORS
from routing.ways.polylines import from_polyline
from routing.ways.routes import Route

MU0_OVER_4PI: Final = 1e-7  # T m / A
ALLOWED_DEG: Final = 1.0  # from all circuits together; a card is read to a degree: memory
EACH_DEG: Final = 0.2  # what one circuit may add, for the distance it is told to keep: memory
TOLD_DEG: Final = 0.05  # less of one circuit is not listed
HEADINGS: Final = 360


@dataclass(frozen=True, slots=True)
class CircuitField:
    """What one circuit adds at a sensor: level field, the deviation it can make, how near it is,
    and how far off its pair would have to be to add next to nothing.
    """

    number: str
    micro_tesla: float
    degrees: float
    nearest_mm: float
    lead_off_mm: float


@dataclass(frozen=True, slots=True)
class SensorField:
    """All circuits at one compass or heading sensor. `degrees` is of the worst set that is on."""

    hazard: str
    earth_micro_tesla: float
    micro_tesla: float
    degrees: float
    circuits: tuple[CircuitField, ...]


def segments_field(starts: Array, ends: Array, amps: float, at: Array) -> Array:
    """The field of straight pieces (n, 3) carrying a current at a point (mm), tesla (3,)."""
    m = 1e-3
    length, r1, r2 = (ends - starts) * m, (at - starts) * m, (at - ends) * m
    cross = np.cross(length, r1)
    square = np.einsum("ij,ij->i", cross, cross)
    on = square > 1e-18  # none on the line itself
    share = np.einsum("ij,ij->i", length, r1) / np.maximum(np.linalg.norm(r1, axis=1), 1e-9)
    share -= np.einsum("ij,ij->i", length, r2) / np.maximum(np.linalg.norm(r2, axis=1), 1e-9)
    weight = np.where(on, share / np.where(on, square, 1.0), 0.0)
    return np.asarray(MU0_OVER_4PI * amps * (weight[:, None] * cross).sum(axis=0))


def loop_field(points: Array, amps: float, at: Array) -> Array:
    """The field of a closed loop of straight pieces through points (n, 3), tesla (3,)."""
    return segments_field(points, np.roll(points, -1, axis=0), amps, at)


def pair_loops(line: Array, spacing_mm: float) -> tuple[Array, Array]:
    """The two lays of a pair along a line as closed loops: side by side, and one above the other.

    Each conductor is half the spacing to one side of the line.
    """
    d = np.diff(line, axis=0)
    d = d / np.linalg.norm(d, axis=1)[:, None]
    up = np.where(np.abs(d[:, 2:]) < 0.9, [[0.0, 0.0, 1.0]], [[1.0, 0.0, 0.0]])
    side = np.cross(d, up)
    side /= np.linalg.norm(side, axis=1)[:, None]
    other = np.cross(side, d)
    loops = []
    for n in (side, other):
        half = n * spacing_mm / 2
        out = np.stack([line[:-1] + half, line[1:] + half], axis=1).reshape(-1, 3)
        back = np.stack([line[:-1] - half, line[1:] - half], axis=1).reshape(-1, 3)
        loops.append(np.vstack([out, back[::-1]]))
    return loops[0], loops[1]


def deviation_deg(level_tesla: float, earth_micro_tesla: float) -> float:
    """The most a level field turns a card on any heading, degrees."""
    return float(np.rad2deg(np.arcsin(min(1.0, level_tesla / (earth_micro_tesla * 1e-6)))))


def lead_off_mm(amps: float, spacing_mm: float, field_tesla: float) -> float:
    """How far off a long straight pair gives no more than a field: d = sqrt(2e-7 I s / B), mm."""
    return float(np.sqrt(2e-7 * amps * spacing_mm * 1e-3 / field_tesla) * 1e3)


def sensor_fields(cabling: Cabling) -> list[SensorField]:
    """The field of the whole wiring at every compass and heading sensor of the boat."""
    boat, earth = cabling.circuits.boat, cabling.circuits.files.job.job.earth_level_ut
    sensors = [h for h in boat.hazards.values() if h.kind in SENSORS]
    return [_at(cabling, hazard, earth) for hazard in sensors]


def _at(cabling: Cabling, hazard: Hazard, earth: float) -> SensorField:
    at = (hazard.low + hazard.high) / 2
    found: list[CircuitField] = []
    levels = []
    for cable in cabling.cables:
        if cable.signal or cable.mains or cable.one or cable.route is None or cable.back is None:
            continue
        field = max(
            _fields(cable, cable.route, cable.back, at), key=lambda b: float(np.hypot(b[0], b[1]))
        )
        level = float(np.hypot(field[0], field[1]))
        degrees = deviation_deg(level, earth)
        if degrees < TOLD_DEG:
            continue
        levels.append(field[:2])
        share = earth * 1e-6 * np.sin(np.deg2rad(EACH_DEG))
        off = lead_off_mm(cable.amps, spacing_mm(cable), share)
        near = min(float(from_polyline(at[None], r.polyline)[0]) for r in (cable.route, cable.back))
        found.append(CircuitField(cable.number, level * 1e6, degrees, near, off))
    found.sort(key=lambda c: (-c.degrees, c.number))
    worst = _worst_together(np.array(levels).reshape(-1, 2))
    return SensorField(hazard.key, earth, worst * 1e6, deviation_deg(worst, earth), tuple(found))


def spacing_mm(cable: Cable) -> float:
    """The middles of the two conductors of a pair apart: they touch, or share a sheath."""
    return cable.od_mm if cable.conductors > 1 else cable.od_mm / 2


def _fields(cable: Cable, out: Route, back: Route, at: Array) -> list[Array]:
    """The field of a circuit in each of its lays, tesla."""
    if cable.laid.parted:
        return [loop_field(np.vstack([out.polyline, back.polyline]), cable.amps, at)]
    loops = pair_loops(out.polyline, spacing_mm(cable))
    return [loop_field(x, cable.amps, at) for x in loops]


def _worst_together(levels: Array) -> float:
    """The most the level fields of any set of circuits add up to, tesla."""
    if not len(levels):
        return 0.0
    own = np.arctan2(levels[:, 1], levels[:, 0])
    t = np.concatenate([np.linspace(0, 2 * np.pi, HEADINGS, endpoint=False), own])
    along = levels @ np.stack([np.cos(t), np.sin(t)])
    return float(np.maximum(along, 0.0).sum(axis=0).max())


def magnetic_rules(fields: list[SensorField]) -> list[RuleFinding]:
    """A compass or sensor that the wiring can turn by more than a degree."""
    out = []
    for f in fields:
        if f.degrees <= ALLOWED_DEG:
            continue
        most = f.circuits[:3]
        values: Values = {
            "degrees": f.degrees,
            "earth_ut": f.earth_micro_tesla,
            "numbers": tuple(c.number for c in most),
            "each_deg": tuple(f"{c.degrees:.2f}" for c in most),
            "nearest_mm": min(c.nearest_mm for c in most),
            "lead_off_mm": max(c.lead_off_mm for c in most),
            "allowed_deg": ALLOWED_DEG,
        }
        about = (f"hazard:{f.hazard}",)
        out.append(RuleFinding("compass field", Urgency.SHOULD, about, values))
    return out
