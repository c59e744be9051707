"""The job's instrument backbones laid over the ways of the boat, and ready-made leads with their
surplus.
"""

from dataclasses import dataclass
from math import ceil, pi
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from layout.boat.parts import OUTSIDE, Boat
from layout.geometry.frames import Array
from layout.verdict.rules import RuleFinding, Urgency, Values
from routing.circuits.cables import Cable
from routing.circuits.cabling import Cabling
from routing.circuits.circuits import End
from routing.circuits.requests import bus_stop, tee_stop
from routing.signals.backbone import Backbone, BackboneReport, Device, Tee, check_backbone
from routing.sizes.lengths import WANDER
from routing.ways.routes import Route
from routing.ways.ways import FaceKey, Patch

COIL_MM: Final = 200.0  # diameter a lead is laid up in
COIL_ROOM_MM: Final = 30.0  # round and over a coil, for ties and fingers
OFF_POWER_MM: Final = 300.0  # surplus of a data lead from the power loom: common practice
STEP_MM: Final = 50.0
DROP_TAIL_MM: Final = 300.0  # at tee and instrument together: memory


@dataclass(frozen=True, slots=True, eq=False)
class LaidBackbone:
    """A backbone with its report and the routes of its pieces."""

    key: str
    report: BackboneReport
    routes: tuple[Route, ...]
    backbone: Backbone


@dataclass(frozen=True, slots=True)
class Parked:
    """Where the surplus of a lead lies: middle, the face, the piece it is by, and how far off."""

    at: tuple[float, float, float]
    face: FaceKey
    beside: str
    from_end_mm: float
    from_power_mm: float | None


@dataclass(frozen=True, slots=True)
class Lead:
    """The ready-made lead chosen for a circuit, its surplus, and where the coil lies."""

    number: str
    needs_mm: float
    length_mm: float | None
    surplus_mm: float
    coil: tuple[float, float, float]
    parked: Parked | None


def lay_backbones(cabling: Cabling) -> tuple[list[LaidBackbone], list[RuleFinding]]:
    """Every backbone of the job along the shortest ways from tee to tee."""
    out: list[LaidBackbone] = []
    found: list[RuleFinding] = []
    for key in cabling.circuits.files.job.backbones:
        laid = _Laying(cabling, key).lay()
        if isinstance(laid, RuleFinding):
            found.append(laid)
            continue
        out.append(laid[0])
        found += [*laid[1], *laid[0].report.findings]
    return out, found


class _Laying:
    """Lays one backbone over the ways of the boat."""

    def __init__(self, cabling: Cabling, key: str) -> None:
        self.cabling, self.key = cabling, key
        self.boat = cabling.circuits.boat
        self.model = cabling.circuits.files.job.backbones[key]
        self.stops = {t: tee_stop(self.boat, key, t) for t in self.model.tees}

    def _no_way(self, start: str, goal: str) -> RuleFinding:
        values: Values = {"start": start, "goal": goal}
        return RuleFinding("bus way", Urgency.MUST, (f"backbone:{self.key}",), values)

    def lay(self) -> tuple[LaidBackbone, list[RuleFinding]] | RuleFinding:
        """(the backbone as laid, findings), or the finding that a tee cannot be reached."""
        routes: list[Route] = []
        along: dict[str, float] = {}
        at = 0.0
        names = list(self.model.tees)
        for before, t in zip([None, *names], names, strict=False):
            if before is not None:
                r = self.cabling.router.route(self.stops[before], self.stops[t])
                if r is None:
                    return self._no_way(before, t)
                routes.append(r)
                at += r.length_mm * (1 + WANDER)
            along[t] = at
        found: list[RuleFinding] = []
        tees = []
        for t in names:
            devices, more, lost = self._drops(t)
            routes += more
            found += lost
            tees.append(Tee(t, along[t], tuple(devices)))
        m = self.model
        ends = tuple(m.terminators)
        b = Backbone(self.key, m.cable, tuple(tees), m.feed_tee, ends, m.fuse_amp)
        return LaidBackbone(self.key, check_backbone(b), tuple(routes), b), found

    def _drops(self, t: str) -> tuple[list[Device], list[Route], list[RuleFinding]]:
        """(the instruments on a tee with their drop leads, their routes, those with no way)."""
        devices, routes, lost = [], [], []
        for d in self.model.tees[t].devices:
            key, _, terminal = d.on.partition(".")
            piece = self.boat.pieces[key]
            goal = bus_stop(piece, terminal)
            r = self.cabling.router.route(self.stops[t], goal)
            if r is None:
                lost.append(self._no_way(t, d.on))
                continue
            routes.append(r)
            length = r.length_mm * (1 + WANDER) + DROP_TAIL_MM
            devices.append(Device(f"piece:{key}", length, d.loads))
        return devices, routes, lost


def _triple(x: Array) -> tuple[float, float, float]:
    return float(x[0]), float(x[1]), float(x[2])


def choose_leads(cabling: Cabling) -> tuple[list[Lead], list[RuleFinding]]:
    """For each circuit with ready-made leads: the shortest that reaches, a place for the rest."""
    out: list[Lead] = []
    found: list[RuleFinding] = []
    lengths = cabling.circuits.boat.lengths
    with_leads = [
        cable
        for cable in cabling.cables
        if lengths[cable.number].leads and cable.length is not None
    ]
    power = [
        p
        for c in cabling.cables
        if with_leads and c.route is not None and not c.signal
        for p in _along(c.route)
    ]
    yard = _Yard(cabling, np.array(power).reshape(-1, 3))
    for c in with_leads:
        needs = c.length.cut_mm if c.length is not None else 0.0
        sold = sorted(x.least for x in lengths[c.number].leads)
        fit = next((x for x in sold if x >= needs), None)
        about = (f"circuit:{c.number}",)
        if fit is None:
            values: Values = {"needs_mm": needs, "longest_mm": sold[-1]}
            found.append(RuleFinding("lead reaches", Urgency.MUST, about, values))
            out.append(Lead(c.number, needs, None, 0.0, (0.0, 0.0, 0.0), None))
            continue
        coil = coil_size(fit - needs, c.od_mm)
        large = fit - needs > COIL_MM
        spot = yard.park(c, coil) if large else None
        if large and spot is None:
            values = {
                "over_mm": fit - needs,
                "breadth_mm": coil[0],
                "depth_mm": coil[1],
                "height_mm": coil[2],
            }
            found.append(RuleFinding("lead surplus", Urgency.SHOULD, about, values))
        out.append(Lead(c.number, needs, fit, fit - needs, coil, spot))
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


class _Yard:
    """Free places on walls and floors for coils, handed out one after another."""

    def __init__(self, cabling: Cabling, power: Array) -> None:
        self.circuits, self.router = cabling.circuits, cabling.router
        self.tree = cKDTree(power) if len(power) else None
        self.taken: list[tuple[Array, Array]] = []

    def park(self, cable: Cable, coil: tuple[float, float, float]) -> Parked | None:
        """The free place nearest the lead's ends, kept off power if it can be."""
        ends = (self.circuits.loads[cable.number], self.circuits.feeds[cable.number])
        best: tuple[tuple[bool, float], Parked] | None = None
        for e in ends:
            if e.piece.space == OUTSIDE:
                continue
            for patch in self.router.ways.by_space[e.piece.space]:
                found = self._on(patch, e, coil)
                if found is not None and (best is None or found[0] < best[0]):
                    best = found
        if best is None:
            return None
        half = np.array(coil) / 2
        at = np.array(best[1].at)
        self.taken.append((at - half, at + half))
        return best[1]

    def _on(
        self, patch: Patch, end: End, coil: tuple[float, float, float]
    ) -> tuple[tuple[bool, float], Parked] | None:
        """(how good, the place) of the best place on one face."""
        space = self.circuits.boat.spaces[end.piece.space]
        size = np.array([coil[0], coil[1], coil[0]])
        size[patch.axis] = coil[2]
        low, high = space.low + size / 2, space.high - size / 2
        if np.any(high < low):
            return None
        side = high if patch.key[2] > 0 else low
        grid = [
            np.arange(low[k], high[k] + 1, STEP_MM) if k != patch.axis else np.array([side[k]])
            for k in range(3)
        ]
        spots = np.stack(np.meshgrid(*grid, indexing="ij"), axis=-1).reshape(-1, 3)
        spots = spots[~self._hit(spots, size, end.piece.space)]
        if not len(spots):
            return None
        away = self.tree.query(spots)[0] if self.tree is not None else np.full(len(spots), np.inf)
        near = np.linalg.norm(spots - end.terminal.at, axis=1)
        k = int(np.lexsort((near, away < OFF_POWER_MM))[0])
        far = float(away[k]) if np.isfinite(away[k]) else None
        place = Parked(_triple(spots[k]), patch.key, end.piece.key, float(near[k]), far)
        return (bool(away[k] < OFF_POWER_MM), float(near[k])), place

    def _hit(self, spots: Array, size: Array, space: str) -> NDArray[np.bool_]:
        """Which places are taken by what stands in a space."""
        blocked = _blocks(self.circuits.boat, space) + self.taken
        if not blocked:
            return np.zeros(len(spots), dtype=bool)
        lows, highs = np.array([b[0] for b in blocked]), np.array([b[1] for b in blocked])
        over = (spots[:, None] + size / 2 > lows) & (spots[:, None] - size / 2 < highs)
        return np.asarray(np.any(np.all(over, axis=2), axis=1))


def _blocks(boat: Boat, space: str) -> list[tuple[Array, Array]]:
    """What stands in a space, as boxes from low to high: solids, gear, and the room gear needs."""
    out: list[tuple[Array, Array]] = []
    for solid in boat.solids.values():
        if solid.space == space:
            half = np.abs(solid.rotation) @ solid.half
            out.append((solid.centre - half, solid.centre + half))
    for piece in boat.pieces.values():
        if piece.space == space:
            rest = piece.at_rest()
            out += [
                (c - h, c + h)
                for c, h in zip(
                    rest.centre_mm,
                    (np.abs(rest.rotation) @ rest.half_mm[:, :, None])[:, :, 0],
                    strict=True,
                )
            ]
            out += [(r.centre - r.half, r.centre + r.half) for r in piece.rooms]
    for hazard in boat.hazards.values():
        if hazard.space == space:
            out.append((hazard.low, hazard.high))
    for opening in boat.openings.values():
        if space in (opening.inner, opening.outer):
            half = np.full(3, 80.0)
            half[list(opening.others)] = opening.size / 2
            out.append((opening.centre - half, opening.centre + half))
    return out
