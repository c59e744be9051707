"""Where each support of the cable goes: along every run, no farther apart than its rule allows, one
where two runs meet, and on material: not over an opening, nor on a lid that comes off.
"""

from dataclasses import dataclass
from itertools import product
from math import ceil, sqrt
from typing import Final

import numpy as np

from layout.boat.parts import Boat
from layout.geometry.frames import Array
from layout.verdict.rules import RuleFinding, Urgency, Values
from routing.circuits.cabling import Cabling
from routing.circuits.requests import is_battery_cable
from routing.runs.runs import Run
from routing.ways.distances import BATTERY_SUPPORT_MM, REACH_OFF_FACE_MM, SUPPORT_MM
from routing.ways.ways import FaceKey

PACKING: Final = 0.7  # share of a tied bundle that is cable: common practice
LEAST_RUN_MM: Final = 60.0  # shorter steps hang between the clips beside them
CLIP_STEP_MM: Final = 5  # clips are told for bundles up to so many mm
ONE_MM: Final = 60.0  # supports nearer than this hold both runs as one
SHIFTS_MM: Final = (0.0, 40.0, -40.0, 80.0, -80.0, 120.0, -120.0)
HELD_KINDS: Final = ("face", "tray", "outside")


@dataclass(frozen=True, slots=True)
class Support:
    """One clip or tie: where it is fixed, for which circuits, how thick a bundle it takes."""

    kind: str  # of the run: "face", "tray" or "outside"
    where: str  # the space, or the tray
    at: tuple[float, float, float]
    circuits: tuple[str, ...]
    bundle_mm: float
    spacing_mm: float
    on_material: bool


def bundle_mm(diameters: list[float]) -> float:
    """Diameter of a tied bundle."""
    return sqrt(sum(d * d for d in diameters) / PACKING) if len(diameters) > 1 else sum(diameters)


def clips(length_mm: float, spacing_mm: float) -> int:
    """Clips for a run: one more than its spaces."""
    return ceil(length_mm / spacing_mm - 1e-9) + 1


def place_supports(cabling: Cabling) -> list[Support]:
    """Every support of the job, in the order of the runs."""
    cables, circuits = cabling.by_number(), cabling.circuits
    placed = _Placed()
    for run, numbers in zip(cabling.runs, cabling.run_circuits, strict=True):
        if run.kind not in HELD_KINDS or run.length_mm < LEAST_RUN_MM:
            continue
        battery = any(is_battery_cable(circuits.feeds[n], circuits.loads[n]) for n in numbers)
        spacing = BATTERY_SUPPORT_MM if battery else SUPPORT_MM
        ods = [cables[n].od_mm for n in numbers for _ in range(cables[n].conductors)]
        size = float(CLIP_STEP_MM * ceil(bundle_mm(ods) / CLIP_STEP_MM))
        for at, good in _along(circuits.boat, run, spacing):
            where = _triple(at)
            placed.put(Support(run.kind, run.where, where, numbers, size, spacing, good))
    return placed.all


def _triple(x: Array) -> tuple[float, float, float]:
    return float(x[0]), float(x[1]), float(x[2])


class _Placed:
    """Supports so far, found again by the cell each is in."""

    def __init__(self) -> None:
        self.all: list[Support] = []
        self._cells: dict[tuple[str, str, int, int, int], list[int]] = {}

    def put(self, new: Support) -> None:
        """Add a support, or let one that is there already hold both."""
        i, j, k = (int(v // ONE_MM) for v in new.at)
        for a, b, c in product((i - 1, i, i + 1), (j - 1, j, j + 1), (k - 1, k, k + 1)):
            for row in self._cells.get((new.kind, new.where, a, b, c), ()):
                s = self.all[row]
                if sum((p - q) ** 2 for p, q in zip(s.at, new.at, strict=True)) < ONE_MM**2:
                    both = tuple(dict.fromkeys([*s.circuits, *new.circuits]))
                    size = max(s.bundle_mm, new.bundle_mm)
                    spacing = min(s.spacing_mm, new.spacing_mm)
                    held = Support(s.kind, s.where, s.at, both, size, spacing, s.on_material)
                    self.all[row] = held
                    return
        self._cells.setdefault((new.kind, new.where, i, j, k), []).append(len(self.all))
        self.all.append(new)


def _along(boat: Boat, run: Run, spacing: float) -> list[tuple[Array, bool]]:
    """Places along a run, each with whether it is on material; moved a little to be."""
    steps = np.linalg.norm(np.diff(run.points, axis=0), axis=1)
    length = np.concatenate([[0.0], np.cumsum(steps)])

    def point(t: float) -> Array:
        t = min(max(t, 0.0), float(length[-1]))
        return np.array([np.interp(t, length, run.points[:, k]) for k in range(3)])

    out = []
    for t in np.linspace(0.0, float(length[-1]), clips(float(length[-1]), spacing)):
        places = [point(float(t) + shift) for shift in SHIFTS_MM]
        good = next((x for x in places if on_material(boat, run.face, x)), None)
        out.append((places[0] if good is None else good, good is not None))
    return out


def on_material(boat: Boat, face: FaceKey | None, at: Array) -> bool:
    """True where a support can be fixed: on its face, clear of openings and of what comes off."""
    if face is None:
        return True
    space, axis, sign = face
    for o in boat.openings.values():
        side = o.sign if o.inner == space else -o.sign
        if space in (o.inner, o.outer) and o.axis == axis and side == sign:
            away = np.abs(at[list(o.others)] - o.centre[list(o.others)])
            if np.all(away < o.size / 2):
                return False
    for s in boat.solids.values():
        if s.space == space and s.removable_minutes is not None:
            local = np.abs(s.rotation.T @ (at - s.centre)) - s.half
            if np.all(local < REACH_OFF_FACE_MM):
                return False
    return True


def support_rules(supports: list[Support], boat: Boat) -> list[RuleFinding]:
    """Supports that find no material within reach, by space."""
    out = []
    for where in dict.fromkeys(s.where for s in supports if not s.on_material):
        mine = [s for s in supports if s.where == where and not s.on_material]
        kind = "space" if where in boat.spaces else "joint"
        numbers = dict.fromkeys(n for s in mine for n in s.circuits)
        about = tuple(f"circuit:{n}" for n in numbers)
        values: Values = {"what": f"{kind}:{where}", "supports": float(len(mine))}
        out.append(RuleFinding("support on a lid", Urgency.SHOULD, about, values))
    return out
