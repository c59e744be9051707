"""The job's instrument backbones laid over the ways of the boat, and ready-made leads with their surplus."""

from dataclasses import dataclass
from math import ceil, pi
from typing import Final

import numpy as np
from scipy.spatial import cKDTree

from layout.boat.parts import OUTSIDE, Boat
from layout.geometry.frames import Array
from layout.verdict.rules import RuleFinding, Weight
from routing.circuits.cables import Cable
from routing.circuits.cabling import Cabling, own_mm
from routing.signals.backbone import Backbone, BackboneReport, Device, Tee, check_backbone
from routing.sizes.lengths import WANDER
from routing.ways.routes import Route, Stop

COIL_MM: Final = 200.0  # diameter a lead is laid up in
COIL_ROOM_MM: Final = 30.0  # round and over a coil, for ties and fingers
OFF_POWER_MM: Final = 300.0  # surplus of a data lead from the power loom: common practice
STEP_MM: Final = 50.0
DROP_TAIL_MM: Final = 300.0  # at tee and instrument together: memory


@dataclass(frozen=True, slots=True, eq=False)
class LaidBackbone:
    """A backbone with its report and the routes of its pieces."""

    name: str
    report: BackboneReport
    routes: tuple[Route, ...]
    backbone: Backbone


@dataclass(frozen=True, slots=True)
class Lead:
    """The ready-made lead chosen for a circuit, its surplus, and where the coil lies."""

    number: str
    label: str
    needs_mm: float
    length_mm: float | None
    surplus_mm: float
    coil: tuple[float, float, float]
    place: str
    at: tuple[float, float, float] | None
    from_power_mm: float


def lay_backbones(cabling: Cabling) -> tuple[list[LaidBackbone], list[RuleFinding]]:
    """Every backbone of the job along the shortest ways from tee to tee."""
    job, boat = cabling.circuits.files.job, cabling.circuits.boat
    out: list[LaidBackbone] = []
    found: list[RuleFinding] = []
    for name, m in job.backbones.items():
        label = m.label or name
        stops = {t: Stop(boat.tees[name, t][0], _triple(boat.tees[name, t][1])) for t in m.tees}
        routes, along, at = [], {}, 0.0
        last = None
        for t in m.tees:
            if last is not None:
                r = cabling.router.route(stops[last], stops[t])
                if r is None:
                    found.append(
                        RuleFinding(
                            Weight.MUST,
                            label,
                            "a way from tee to tee",
                            "geometry",
                            f"no way from {last} to {t}",
                            "one",
                            "Add a hole, pipe or tray between their spaces",
                        )
                    )
                    break
                routes.append(r)
                at += r.length_mm * (1 + WANDER)
            along[t] = at
            last = t
        if len(along) < len(m.tees):
            continue
        tees = []
        for t, tee in m.tees.items():
            devices = []
            for d in tee.devices:
                thing, _, terminal = d.on.partition(".")
                r = cabling.router.route(
                    stops[t],
                    Stop.of(boat.things[thing].space, boat.things[thing].terminals[terminal]),
                )
                if r is None:
                    found.append(
                        RuleFinding(
                            Weight.MUST,
                            label,
                            "a way from tee to instrument",
                            "geometry",
                            f"no way from {t} to {d.on}",
                            "one",
                            "Add a hole, pipe or tray between their spaces",
                        )
                    )
                    continue
                routes.append(r)
                devices.append(
                    Device(
                        boat.things[thing].label, r.length_mm * (1 + WANDER) + DROP_TAIL_MM, d.loads
                    )
                )
            tees.append(Tee(t, along[t], tuple(devices)))
        b = Backbone(label, m.cable, tuple(tees), m.feed_tee, tuple(m.terminators), m.fuse_amp)
        report = check_backbone(b)
        out.append(LaidBackbone(name, report, tuple(routes), b))
        found += report.findings
    return out, found


def _triple(x: Array) -> tuple[float, float, float]:
    return float(x[0]), float(x[1]), float(x[2])


def choose_leads(cabling: Cabling) -> tuple[list[Lead], list[RuleFinding]]:
    """For each circuit with ready-made leads: the shortest that reaches, and a place for what is over."""
    out: list[Lead] = []
    found: list[RuleFinding] = []
    asked = any(m.lead_lengths for m in cabling.circuits.models.values())
    power = [
        p
        for c in cabling.cables
        if asked and c.route is not None and not c.signal
        for p in _along(c.route)
    ]
    taken: list[tuple[Array, Array]] = []
    for c in cabling.cables:
        model = cabling.circuits.models[c.number]
        if not model.lead_lengths or c.length is None:
            continue
        lengths = sorted(
            own_mm(x, f"circuits.{c.number}.lead_lengths[{i + 1}]", 1.0)
            for i, x in enumerate(model.lead_lengths)
        )
        needs = c.length.cut_mm
        fit = next((x for x in lengths if x >= needs), None)
        if fit is None:
            found.append(
                RuleFinding(
                    Weight.MUST,
                    f"Circuit {c.number}, {c.label}",
                    "a ready-made lead that reaches, never jointed",
                    "makers forbid cutting; common practice",
                    f"{needs / 1000:.2f} m needed, the longest is {lengths[-1] / 1000:.2f} m",
                    f"{needs / 1000:.2f} m",
                    f"Move one end {(needs - lengths[-1]) / 1000:.2f} m nearer, or order a longer lead",
                )
            )
            out.append(Lead(c.number, c.label, needs, None, 0.0, (0.0, 0.0, 0.0), "", None, 0.0))
            continue
        coil = coil_size(fit - needs, c.od_mm)
        spot = (
            _park(cabling, c, coil, np.array(power).reshape(-1, 3), taken)
            if fit - needs > COIL_MM
            else None
        )
        if spot is None and fit - needs > COIL_MM:
            size = " x ".join(f"{v:.0f}" for v in coil)
            found.append(
                RuleFinding(
                    Weight.SHOULD,
                    f"Circuit {c.number}, {c.label}",
                    "a place for the surplus of a ready-made lead",
                    "common practice",
                    f"{(fit - needs) / 1000:.1f} m over, no free place of {size} mm at either end",
                    "one, clear of power",
                    "Lay it out along a trunk of data leads, or take a shorter lead by moving one end",
                )
            )
        place, at, away = ("", None, 0.0) if spot is None else spot
        if spot is not None:
            taken.append((np.array(at) - np.array(coil) / 2, np.array(at) + np.array(coil) / 2))
        out.append(Lead(c.number, c.label, needs, fit, fit - needs, coil, place, at, away))
    return out, found


def coil_size(surplus_mm: float, od_mm: float) -> tuple[float, float, float]:
    """Room for a surplus laid up in a 200 mm figure of eight or ring: breadth, breadth, height, mm.

    Turns lie in a square stack; 3 m of a 7 mm lead comes to 230 x 230 x 60, the trade's own figure.
    """
    turns = ceil(max(surplus_mm, 0.0) / (pi * COIL_MM))
    rows = ceil(turns**0.5)
    breadth = COIL_MM + COIL_ROOM_MM
    return breadth, breadth, max(rows * od_mm + COIL_ROOM_MM, 60.0) if turns else 0.0


def _along(route: Route) -> list[Array]:
    return [
        p
        for leg in route.legs
        for p in np.linspace(leg.points[0], leg.points[-1], max(2, int(leg.length_mm / 100)))
    ]


def _park(
    cabling: Cabling,
    c: Cable,
    coil: tuple[float, float, float],
    power: Array,
    taken: list[tuple[Array, Array]],
) -> tuple[str, tuple[float, float, float], float] | None:
    """(place, middle, distance from power): the free place on a wall or floor nearest the lead's ends, kept off power if it can be."""
    boat = cabling.circuits.boat
    ends = [
        e
        for e in (cabling.circuits.loads[c.number], cabling.circuits.feeds[c.number])
        if e is not None and e.thing.space != OUTSIDE
    ]
    best: tuple[tuple[bool, float], str, Array, float] | None = None
    tree = cKDTree(power) if len(power) else None
    for e in ends:
        space = boat.spaces[e.thing.space]
        blocked = _blocks(boat, e.thing.space) + taken
        lows, highs = (
            np.array([b[0] for b in blocked]).reshape(-1, 3),
            np.array([b[1] for b in blocked]).reshape(-1, 3),
        )
        for patch in cabling.router.ways.by_space[e.thing.space]:
            size = np.array([coil[0], coil[1], coil[0]])
            size[patch.axis] = coil[2]
            low, high = space.low + size / 2, space.high - size / 2
            if np.any(high < low):
                continue
            grid = [
                np.arange(low[k], high[k] + 1, STEP_MM)
                if k != patch.axis
                else np.array([high[k] if patch.key[2] > 0 else low[k]])
                for k in range(3)
            ]
            spots = np.stack(np.meshgrid(*grid, indexing="ij"), axis=-1).reshape(-1, 3)
            hit = (
                np.any(
                    np.all(
                        (spots[:, None] + size / 2 > lows) & (spots[:, None] - size / 2 < highs),
                        axis=2,
                    ),
                    axis=1,
                )
                if len(lows)
                else np.zeros(len(spots), dtype=bool)
            )
            spots = spots[~hit]
            if not len(spots):
                continue
            away = tree.query(spots)[0] if tree is not None else np.full(len(spots), np.inf)
            near = np.linalg.norm(spots - e.terminal.at, axis=1)
            k = int(np.lexsort((near, away < OFF_POWER_MM))[0])
            mark = (bool(away[k] < OFF_POWER_MM), float(near[k]))
            if best is None or mark < best[0]:
                side = {
                    (0, -1): "aft side",
                    (0, 1): "forward side",
                    (1, -1): "starboard side",
                    (1, 1): "port side",
                    (2, -1): "floor",
                    (2, 1): "top",
                }[patch.axis, patch.key[2]]
                best = (
                    mark,
                    f"{space.label}, {side}, {near[k]:.0f} mm from {e.thing.label}",
                    spots[k],
                    float(away[k]),
                )
    return None if best is None else (best[1], _triple(best[2]), best[3])


def _blocks(boat: Boat, space: str) -> list[tuple[Array, Array]]:
    """What stands in a space, as boxes from low to high: solids, gear, and the room gear needs."""
    out: list[tuple[Array, Array]] = []
    for s in boat.solids.values():
        if s.space == space:
            half = np.abs(s.rotation) @ s.half
            out.append((s.centre - half, s.centre + half))
    for t in boat.things.values():
        if t.space == space:
            rest = t.at_rest()
            out += [
                (c - h, c + h)
                for c, h in zip(
                    rest.centre_mm,
                    (np.abs(rest.rotation) @ rest.half_mm[:, :, None])[:, :, 0],
                    strict=True,
                )
            ]
            out += [(r.centre - r.half, r.centre + r.half) for r in t.rooms]
    for z in boat.hazards.values():
        if z.space == space:
            out.append((z.low, z.high))
    for o in boat.openings.values():
        if space in (o.inner, o.outer):
            half = np.full(3, 80.0)
            half[list(o.others)] = o.size / 2
            out.append((o.centre - half, o.centre + half))
    return out
