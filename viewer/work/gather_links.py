"""A board's conductors as rows: its own links, what arrives, and the fuse each is guarded by."""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import hypot, pi
from typing import Final, cast

import numpy as np
from shapely import LineString, MultiPoint, box

from layout.bench.plate import FlatPart, Plate
from layout.boat.parts import LUG_MM
from layout.job.reading import JobFiles
from routing.sizes.ends import lug_need_mm, sleeve_for, strip_mm
from routing.ways.distances import BATTERY_SUPPORT_MM
from viewer.work.bench_rows import ArrivesRow, BoardLinkRow, FuseOfRow, LegendRow, Spot
from viewer.work.way_rows import PoleRow
from viewer.work.wiring_rows import CircuitRow, FuseRow, WireRow

PANELS: Final = frozenset({"fuse panel"})
INSIDE_MM: Final = 1.0  # so much less is no lying over
COPPER_KG_MM3: Final = 8.96e-6
SHEATH_KG_MM3: Final = 1.4e-6  # PVC: memory
Wired = Mapping[str, object]


@dataclass(frozen=True, slots=True)
class _Way:
    """What a way of a panel feeds: a circuit or an instrument backbone."""

    number: str
    side: str
    amp: float | None


class BoardLinks:
    """What ends on one board."""

    def __init__(self, files: JobFiles, plate: Plate, wiring: Wired) -> None:
        self.files, self.plate = files, plate
        self.wires = cast("tuple[WireRow, ...]", wiring["wires"])
        self.poles = cast("tuple[PoleRow, ...]", wiring["poles"])
        circuits = cast("tuple[CircuitRow, ...]", wiring["circuits"])
        self.circuits = {c.number: c for c in circuits}
        fuses = cast("tuple[FuseRow, ...]", wiring["fuses"])
        self.fuses = {f.number: f for f in fuses}

    def links(self) -> list[BoardLinkRow]:
        """The board's own links."""
        out = []
        for w in (w for w in self.wires if w.board == self.plate.key):
            c, line = self.circuits[w.number], self._line(w)
            bar = _bar_mm(line, c.outside_diameter_mm)
            if bar:
                line = (line[0], line[-1])  # a bar lies straight from stud to stud
            sleeve = sleeve_for(c.outside_diameter_mm)
            past, edge = self._past(line, c.outside_diameter_mm)
            out.append(
                BoardLinkRow(
                    number=w.number,
                    mark=w.mark,
                    pole=w.pole,
                    start=w.start,
                    goal=w.goal,
                    start_on=w.start_on,
                    goal_on=w.goal_on,
                    start_stud=w.start_stud,
                    goal_stud=w.goal_stud,
                    size=w.size,
                    area_mm2=c.area_mm2 or 0.0,
                    outside_diameter_mm=c.outside_diameter_mm,
                    cut_mm=w.length_mm,
                    strip_mm=strip_mm(c.area_mm2 or 0.0),
                    sleeve="" if sleeve is None else f"{sleeve[0]:g}/{sleeve[1]:g}",
                    colour=w.colour,
                    mass_kg=_mass_kg(c, w.length_mm),
                    ties=int(w.length_mm // BATTERY_SUPPORT_MM),
                    fuse=self._fuse(w),
                    past_mm=past,
                    past=edge,
                    bar_mm=bar,
                    over=self._over(w, line, c.outside_diameter_mm),
                    line=line,
                )
            )
        return out

    def _fuse(self, w: WireRow) -> FuseOfRow | None:
        f = self.fuses.get(w.number)
        if w.pole == "minus" or f is None:
            return None
        return FuseOfRow(
            amp=f.amp,
            at=f.at,
            place=f.place,
            along_mm=f.along_mm,
            limit_mm=f.limit_mm,
            stops_amp=f.stops_amp,
            breaker=f.breaker,
        )

    def _line(self, w: WireRow) -> tuple[Spot, ...]:
        """How a link lies, on the plate; a conductor that goes as its plus is drawn once."""
        poles = {p.pole: p for p in self.poles if p.number == w.number}
        mine = poles.get("back") if w.pole == "minus" and "back" in poles else poles.get("out")
        if mine is None or (
            w.pole == "minus"
            and mine.pole == "out"
            and w.mark.endswith("-")
            and not self.circuits[w.number].link
        ):
            return ()
        line = [self.plate.flat(np.array(x)) for x in mine.line]
        return tuple((x, y) for x, y, _ in line)

    def _past(self, line: tuple[Spot, ...], od_mm: float) -> tuple[float, str]:
        """How far a link stands past the plate's edge, and past which."""
        p, half = self.plate, od_mm / 2
        over = {"": 0.0}
        for x, y in line:
            for edge, mm in (
                ("left", half - x), ("right", x + half - p.length_mm),
                ("lower", half - y), ("upper", y + half - p.height_mm),
            ):  # fmt: skip
                over[edge] = max(over.get(edge, 0.0), mm)
        edge = max(over, key=lambda e: over[e])
        return over[edge], edge if over[edge] > 0 else ""

    def _over(self, w: WireRow, line: tuple[Spot, ...], od_mm: float) -> tuple[str, ...]:
        """Parts under a link's way, but for where it leaves those it ends on."""
        if len(line) < 2:
            return ()
        own = f"{self.plate.key}."
        ends = {e.removeprefix(own).rpartition(".")[0] for e in (w.start, w.goal)}
        at_ends = MultiPoint([line[0], line[-1]]).buffer(LUG_MM)
        whole = LineString(line)
        out = []
        for p in self.plate.parts:
            way = whole.difference(at_ends) if p.key in ends else whole
            if way.buffer(od_mm / 2 - INSIDE_MM).intersects(box(*p.outline)):
                out.append(p.key)
        return tuple(out)

    def arrives(self) -> list[ArrivesRow]:
        """Cables of the boat that end on a terminal of this board."""
        own = f"{self.plate.key}."
        out = []
        for w in (w for w in self.wires if w.board != self.plate.key):
            for end, on, stud, other in (
                (w.start, w.start_on, w.start_stud, w.goal),
                (w.goal, w.goal_on, w.goal_stud, w.start),
            ):
                if end.startswith(own):
                    fuse = self._fuse(w)
                    out.append(
                        ArrivesRow(number=w.mark, end=end, on=on, stud=stud, size=w.size,
                                   fuse=fuse, other=other)
                    )  # fmt: skip
        return out

    def legend(self) -> list[LegendRow]:
        """The ways of each fuse panel, in the order of its circuits; spare ones at the end."""
        out = []
        for p in self.plate.parts:
            if p.kind not in PANELS:
                continue
            own = f"{self.plate.key}.{p.key}."
            told = self.files.job.circuits
            feeds = [
                _Way(c.number, c.feed.removeprefix(own), c.fuse_amp)
                for c in self.circuits.values()
                if c.feed.startswith(f"{own}out") and not told[c.number].link
            ]
            feeds += [
                _Way(key, b.feed.removeprefix(own), b.fuse_amp)
                for key, b in self.files.job.backbones.items()
                if b.feed.startswith(f"{own}out")
            ]
            out += self._ways(p, own, feeds)
        return out

    def _ways(self, p: FlatPart, own: str, feeds: list["_Way"]) -> list[LegendRow]:
        """The ways of one panel: the left side's first; a circuit whose side is full goes over."""
        ways = max(self.files.types[p.type].ways or 0, len(feeds))
        sides = [t.name.removeprefix(own) for t in p.terminals if t.name.startswith(f"{own}out")]
        each = -(-ways // max(len(sides), 1))
        room = {side: each if k == 0 else ways - each for k, side in enumerate(sides[:2])}
        if len(sides) != 2:
            room = dict.fromkeys(sides, ways)
        held: dict[str, list[tuple[_Way, bool]]] = {side: [] for side in room}
        over = []
        for c in feeds:
            side = c.side
            if len(held.setdefault(side, [])) < room.get(side, ways):
                held[side].append((c, False))
            else:
                over.append(c)
        for c in over:
            side = next((s for s in held if len(held[s]) < room.get(s, 0)), "")
            held.setdefault(side, []).append((c, True))
        out: list[LegendRow] = []
        breaker = self.files.types[p.type].breakers
        for side, mine in held.items():
            for c, moved in mine:
                out.append(
                    LegendRow(part=p.key, way=len(out) + 1, side=side, moved=moved,
                              number=c.number, amp=c.amp, breaker=breaker)
                )  # fmt: skip
            for _ in range(room.get(side, 0) - len(mine)):
                out.append(
                    LegendRow(part=p.key, way=len(out) + 1, side=side, moved=False, number="",
                              amp=None, breaker=breaker)
                )  # fmt: skip
        return out

    def holder(self, part: str, kind: str) -> FuseRow | None:
        """The fuse a holder takes: the one that sits in it, else that of what feeds it."""
        place = f"{self.plate.key}.{part}"
        if kind != "fuse":
            return None
        for f in self.fuses.values():
            if f.at == "fuse way" and f.place == place and f.amp is not None:
                return f
        for n, c in self.circuits.items():
            mine = self.fuses.get(n)
            if c.load.startswith(f"{place}.") and mine is not None and mine.amp is not None:
                return mine
        return None

    def volts(self) -> tuple[float, ...]:
        """The nominal voltages of the circuits that end on the board."""
        own = f"{self.plate.key}."
        mine = (c for c in self.circuits.values() if not (c.mains or c.signal))
        return tuple(
            sorted({c.volts for c in mine if c.feed.startswith(own) or c.load.startswith(own)})
        )


def _bar_mm(line: tuple[Spot, ...], od_mm: float) -> float:
    """How far it is from stud to stud, where two lugs have no room on the way; else 0."""
    far = sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(line))
    if not 0 < far < 2 * lug_need_mm(od_mm) - 1:
        return 0.0
    return hypot(line[-1][0] - line[0][0], line[-1][1] - line[0][1])


def _mass_kg(c: CircuitRow, length_mm: float) -> float:
    """A conductor's mass: its copper, and the sheath about it."""
    area = c.area_mm2 or 0.0
    sheath = max(pi / 4 * c.outside_diameter_mm**2 - area * 1.3, 0.0)  # strands fill some 3/4
    return length_mm * (area * COPPER_KG_MM3 + sheath * SHEATH_KG_MM3)
