"""What holds and guards cable, by place: clips, edging, grommets, glands, drip loops.

Spacing: ISO 10133:2012 7.3, 450 mm; 7.4, battery cables 300 mm with the first within 1 m. A run of
L has ceil(L / spacing) spaces and one clip more.
"""

from dataclasses import dataclass
from math import ceil, pi, sqrt
from typing import Final

from layout.boat.parts import OUTSIDE
from routing.circuits.cabling import Cabling
from routing.runs.runs import Run

SUPPORT_MM: Final = 450.0
BATTERY_SUPPORT_MM: Final = 300.0
FIRST_MM: Final = 1000.0
PACKING: Final = 0.7  # share of a tied bundle that is cable: common practice
LEAST_RUN_MM: Final = 60.0  # shorter steps hang between the clips beside them


@dataclass(frozen=True, slots=True)
class Support:
    """One line of the list of fixings."""

    place: str
    what: str
    count: int
    circuits: tuple[str, ...]
    note: str = ""


def clips(length_mm: float, spacing_mm: float) -> int:
    """Clips for a run: one more than its spaces."""
    return ceil(length_mm / spacing_mm - 1e-9) + 1


def bundle_mm(diameters: list[float]) -> float:
    """Diameter of a tied bundle."""
    return sqrt(sum(d * d for d in diameters) / PACKING) if len(diameters) > 1 else sum(diameters)


def supports(cabling: Cabling) -> list[Support]:
    """Every clip, edging, gland and drip loop of the job, by place."""
    boat = cabling.circuits.boat
    by_number = {c.number: c for c in cabling.cables}
    out: list[Support] = []
    counted: dict[tuple[str, int, float], tuple[int, list[str], float]] = {}
    for run, numbers in zip(cabling.runs, cabling.run_circuits, strict=True):
        if run.kind not in ("face", "tray") or run.length_mm < LEAST_RUN_MM:
            continue
        spacing = (
            BATTERY_SUPPORT_MM if any(_is_battery(cabling, n) for n in numbers) else SUPPORT_MM
        )
        diameters = [by_number[n].od_mm for n in numbers for _ in range(by_number[n].conductors)]
        size = 5 * ceil(bundle_mm(diameters) / 5)
        count, names, length = counted.get((run.space, size, spacing), (0, [], 0.0))
        counted[run.space, size, spacing] = (
            count + clips(run.length_mm, spacing),
            list(dict.fromkeys([*names, *numbers])),
            length + run.length_mm,
        )
    for (space, size, spacing), (count, names, length) in sorted(counted.items()):
        label = boat.spaces[space].label if space in boat.spaces else space
        note = f"every {spacing:.0f} mm over {length / 1000:.1f} m" + (
            ", the first within 1 m of the battery" if spacing < SUPPORT_MM else ""
        )
        out.append(Support(label, f"clip for a bundle up to {size} mm", count, tuple(names), note))
    return out + _edges(cabling) + _drips(cabling)


def _is_battery(cabling: Cabling, number: str) -> bool:
    feed, load = cabling.circuits.feeds[number], cabling.circuits.loads[number]
    return (
        feed is not None
        and load is not None
        and feed.kind == "battery"
        and load.kind in ("isolator", "fuse", "battery", "switch")
    )


def _edges(cabling: Cabling) -> list[Support]:
    boat = cabling.circuits.boat
    out = []
    for h in boat.holes.values():
        mine = tuple(c.number for c in cabling.cables if any(h.name in r.joints for r in c.poles))
        if not mine:
            continue
        place = boat.spaces[h.spaces[0]].label
        if h.edge == "bare":
            out.append(
                Support(
                    place,
                    f"edging or grommet in {h.label}",
                    1,
                    mine,
                    f"{pi * h.bore_mm:.0f} mm round a {h.bore_mm:.0f} mm hole, before any cable goes through",
                )
            )
        elif h.edge == "gland":
            out.append(
                Support(place, f"seal the gland of {h.label}", 1, mine, "after the last cable")
            )
    for p in boat.pipes.values():
        mine = tuple(c.number for c in cabling.cables if any(p.name in r.joints for r in c.poles))
        if mine:
            note = (
                "draw a new string in with the last cable"
                if p.pull_string
                else "no string in it: fish one through first"
            )
            out.append(
                Support(boat.spaces[p.spaces[0]].label, f"pull string in {p.label}", 1, mine, note)
            )
    return out


def _drips(cabling: Cabling) -> list[Support]:
    """A loop below the hole or the gear where cable comes in from the weather, so that water drips off."""
    boat = cabling.circuits.boat
    out: dict[str, list[str]] = {}
    for c in cabling.cables:
        for r in c.poles[:1]:
            for j in r.joints:
                spaces = (
                    boat.holes[j].spaces
                    if j in boat.holes
                    else (boat.pipes[j].spaces if j in boat.pipes else ("", ""))
                )
                if OUTSIDE in spaces:
                    out.setdefault(j, []).append(c.number)
    lines = []
    for j, names in out.items():
        way = boat.holes[j] if j in boat.holes else boat.pipes[j]
        inner = next(s for s in way.spaces if s != OUTSIDE)
        lines.append(
            Support(
                boat.spaces[inner].label,
                f"drip loop inside {way.label}",
                1,
                tuple(names),
                "50 mm below the hole before the first clip",
            )
        )
    return lines


def run_words(cabling: Cabling, run: Run) -> str:
    """A run's place in words."""
    boat = cabling.circuits.boat
    if run.space in boat.spaces:
        side = run.where.partition(", ")[2]
        return boat.spaces[run.space].label + (f", {side}" if side else "")
    for group in (boat.holes.values(), boat.pipes.values(), boat.trays.values()):
        for way in group:
            if way.name == run.where:
                return str(way.label)
    return run.where
