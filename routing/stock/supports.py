"""What holds and guards cable, by place: clips, edging, grommets, glands, drip loops.

Spacing: ISO 10133:2012 7.3, 450 mm; 7.4, battery cables 300 mm with the first within 1 m. A run of
L has ceil(L / spacing) spaces and one clip more.
"""

from dataclasses import dataclass
from enum import StrEnum
from math import ceil, pi, sqrt
from typing import Final

from layout.boat.parts import OUTSIDE, Hole, Pipe
from routing.circuits.cabling import Cabling
from routing.ways.distances import BATTERY_SUPPORT_MM, SUPPORT_MM

FIRST_MM: Final = 1000.0  # of a battery cable: its first support
PACKING: Final = 0.7  # share of a tied bundle that is cable: common practice
LEAST_RUN_MM: Final = 60.0  # shorter steps hang between the clips beside them
CLIP_STEP_MM: Final = 5  # clips are told for bundles up to so many mm
DRIP_MM: Final = 50.0  # a drip loop hangs this far below its hole


class FixingKind(StrEnum):
    """What kind of fixing a line is for."""

    CLIP = "clip"
    EDGING = "edging"
    GLAND = "gland"
    STRING = "string"
    DRIP_LOOP = "drip loop"


@dataclass(frozen=True, slots=True)
class Fixing:
    """One line of the list of fixings, in the space it is in; `joint` is the hole or pipe."""

    kind: FixingKind
    space: str
    count: int
    circuits: tuple[str, ...]
    joint: str = ""
    bundle_mm: float = 0.0
    spacing_mm: float = 0.0
    length_mm: float = 0.0
    has_string: bool = True


def clips(length_mm: float, spacing_mm: float) -> int:
    """Clips for a run: one more than its spaces."""
    return ceil(length_mm / spacing_mm - 1e-9) + 1


def bundle_mm(diameters: list[float]) -> float:
    """Diameter of a tied bundle."""
    return sqrt(sum(d * d for d in diameters) / PACKING) if len(diameters) > 1 else sum(diameters)


def fixings(cabling: Cabling) -> list[Fixing]:
    """Every clip, edging, gland and drip loop of the job, by place."""
    return [*_clips(cabling), *_edges(cabling), *_drips(cabling)]


def _clips(cabling: Cabling) -> list[Fixing]:
    cables = cabling.by_number()
    found: dict[tuple[str, int, float], Fixing] = {}
    for run, numbers in zip(cabling.runs, cabling.run_circuits, strict=True):
        if run.kind not in ("face", "tray") or run.length_mm < LEAST_RUN_MM:
            continue
        battery = any(_is_battery(cabling, n) for n in numbers)
        spacing = BATTERY_SUPPORT_MM if battery else SUPPORT_MM
        diameters = [cables[n].od_mm for n in numbers for _ in range(cables[n].conductors)]
        size = CLIP_STEP_MM * ceil(bundle_mm(diameters) / CLIP_STEP_MM)
        key = (run.where, size, spacing)
        before = found.get(key, Fixing(FixingKind.CLIP, run.where, 0, ()))
        found[key] = Fixing(
            FixingKind.CLIP,
            run.where,
            before.count + clips(run.length_mm, spacing),
            tuple(dict.fromkeys([*before.circuits, *numbers])),
            "",
            float(size),
            spacing,
            before.length_mm + run.length_mm,
        )
    return [found[key] for key in sorted(found)]


def _is_battery(cabling: Cabling, n: str) -> bool:
    """True for a cable from a battery to the first thing that guards it."""
    feed, load = cabling.circuits.feeds[n], cabling.circuits.loads[n]
    return feed.kind == "battery" and load.kind in ("isolator", "fuse", "battery", "switch")


def _through(cabling: Cabling, joint: str) -> tuple[str, ...]:
    return tuple(
        cable.number for cable in cabling.cables if any(joint in way.joints for way in cable.poles)
    )


def _edges(cabling: Cabling) -> list[Fixing]:
    boat = cabling.circuits.boat
    out = []
    for hole in boat.holes.values():
        mine = _through(cabling, hole.key)
        kind = {"bare": FixingKind.EDGING, "gland": FixingKind.GLAND}.get(hole.edge)
        if mine and kind is not None:
            around = pi * hole.bore_mm if kind is FixingKind.EDGING else 0.0
            out.append(
                Fixing(
                    kind,
                    hole.spaces[0],
                    1,
                    mine,
                    hole.key,
                    bundle_mm=hole.bore_mm,
                    length_mm=around,
                )
            )
    for pipe in boat.pipes.values():
        mine = _through(cabling, pipe.key)
        if mine:
            out.append(
                Fixing(
                    FixingKind.STRING,
                    pipe.spaces[0],
                    1,
                    mine,
                    pipe.key,
                    has_string=pipe.pull_string,
                )
            )
    return out


def _drips(cabling: Cabling) -> list[Fixing]:
    """A loop below the hole where cable comes in from the weather, so that water drips off."""
    boat = cabling.circuits.boat
    joints: dict[str, Hole | Pipe] = {**boat.holes, **boat.pipes}
    out: dict[str, list[str]] = {}
    for cable in cabling.cables:
        for r in cable.poles[:1]:
            for j in r.joints:
                if j in joints and OUTSIDE in joints[j].spaces:
                    out.setdefault(j, []).append(cable.number)
    lines = []
    for j, numbers in out.items():
        inner = next(s for s in joints[j].spaces if s != OUTSIDE)
        lines.append(Fixing(FixingKind.DRIP_LOOP, inner, 1, tuple(numbers), j, length_mm=DRIP_MM))
    return lines
