"""What holds and guards cable, by place: clips, edging, grommets, glands, drip loops.

Spacing: ISO 10133:2012 7.3, 450 mm; 7.4, battery cables 300 mm with the first within 1 m. A run of
L has ceil(L / spacing) spaces and one clip more; where two runs meet one clip holds both.
"""

from dataclasses import dataclass
from enum import StrEnum
from math import ceil, pi
from typing import Final

from layout.boat.parts import OUTSIDE, Hole, Pipe
from routing.circuits.cabling import Cabling
from routing.stock.placing import Support
from routing.ways.distances import SUPPORT_MM

DRIP_MM: Final = 50.0  # a drip loop hangs this far below its hole


class FixingKind(StrEnum):
    """What kind of fixing a line is for."""

    CLIP = "clip"
    EDGING = "edging"
    GLAND = "gland"
    STRING = "string"
    DRIP_LOOP = "drip loop"
    OUTSIDE = "outside"
    STAND_OFF = "stand-off"


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


def fixings(cabling: Cabling, supports: list[Support]) -> list[Fixing]:
    """Every clip, edging, gland and drip loop of the job, by place."""
    return [
        *_clips(supports),
        *_outside(cabling, supports),
        *_stand_offs(cabling),
        *_edges(cabling),
        *_drips(cabling),
    ]


def _clips(supports: list[Support]) -> list[Fixing]:
    """Clips by space and size, counted from where each is fixed."""
    found: dict[tuple[str, float, float], list[Support]] = {}
    for s in supports:
        if s.kind != "outside":
            found.setdefault((s.where, s.bundle_mm, s.spacing_mm), []).append(s)
    return [
        Fixing(
            FixingKind.CLIP,
            where,
            len(mine),
            tuple(dict.fromkeys(n for s in mine for n in s.circuits)),
            "",
            size,
            spacing,
        )
        for (where, size, spacing), mine in sorted(found.items())
    ]


def _outside(cabling: Cabling, supports: list[Support]) -> list[Fixing]:
    """What a leg outside needs of its own: clips, and a sleeve against sun and chafe."""
    mine = [s for s in supports if s.kind == "outside"]
    out: dict[str, Fixing] = {}
    for run, numbers in zip(cabling.runs, cabling.run_circuits, strict=True):
        if run.kind != "outside":
            continue
        n = numbers[0]
        before = out.get(n)
        length = run.length_mm + (before.length_mm if before else 0.0)
        count = sum(n in s.circuits for s in mine)
        out[n] = Fixing(FixingKind.OUTSIDE, OUTSIDE, count, (n,), length_mm=length)
    return list(out.values())


def _stand_offs(cabling: Cabling) -> list[Fixing]:
    """Supports of their own for leads that hang longer than their rule allows."""
    out: dict[tuple[str, str], Fixing] = {}
    for cable in cabling.cables:
        for route in cable.poles:
            for leg in route.legs:
                told = leg.given_up
                if told is not None and told.hangs_mm > 0:
                    count = ceil(told.hangs_mm / SUPPORT_MM) - 1
                    key = (cable.number, leg.where)
                    out[key] = Fixing(
                        FixingKind.STAND_OFF,
                        leg.where,
                        max(1, count),
                        (cable.number,),
                        length_mm=told.hangs_mm,
                    )
    return list(out.values())


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
