"""Boards as the bench builds them, as rows: from the boat, the files and the wiring's rows."""

from collections.abc import Mapping
from typing import Final, cast

import numpy as np

from layout.bench.boat_holes import boat_holes
from layout.bench.fixing import behind, reach_most_mm, stand_offs
from layout.bench.handling import handling
from layout.bench.plate import Drill, FlatBox, FlatPart, Plate, Spot, plates
from layout.boat.reader import Reader, sizes_of
from layout.job.reading import JobFiles
from routing.sizes.ends import sleeve_for, strip_mm
from viewer.work.bench_rows import (
    ArrivesRow,
    BenchRow,
    BoardCutOutRow,
    BoardHoleRow,
    BoardLinkRow,
    BoardPartRow,
    BoatHoleRow,
    EndOnBoardRow,
    FlatBoxRow,
    GripRow,
    HoleSideRow,
    LegendRow,
    StandOffRow,
)
from viewer.work.described import Described
from viewer.work.way_rows import PlateHoleRow, PoleRow
from viewer.work.wiring_rows import CircuitRow, WireRow

STRAP_OFF_MM: Final = 20.0  # of a strap's hole from a stand-off's: common practice
MOST_LEAN_DEG: Final = 10.0  # a board that hangs farther out of level is not carried by straps
STRAP_HOLE_MM: Final = 8.0  # for a 6 mm line: common practice
PANELS: Final = frozenset({"fuse panel"})
Wired = Mapping[str, object]


def bench_rows(found: Described, wiring: Wired) -> tuple[BenchRow, ...]:
    """A row for every board of the job."""
    flat = plates(found.files, found.boat)
    return tuple(_Bench(found, plate, wiring).row() for plate in flat)


def boat_hole_rows(found: Described) -> tuple[BoatHoleRow, ...]:
    """A row for every hole made in the boat."""
    panels = [p for p in plates(found.files, found.boat) if found.boat.pieces[p.key].panel]
    out = []
    for h in boat_holes(found.boat, panels):
        sides = tuple(
            HoleSideRow(
                space=s.space, free_mm=None if np.isinf(s.free_mm) else s.free_mm, next=s.next
            )
            for s in h.sides
        )
        out.append(BoatHoleRow.of(h, sides=sides))
    return tuple(out)


class _Bench:
    """One board being told."""

    def __init__(self, found: Described, plate: Plate, wiring: Wired) -> None:
        self.found, self.plate = found, plate
        self.files: JobFiles = found.files
        self.model = found.files.job.boards[plate.key]
        self.wires = cast("tuple[WireRow, ...]", wiring["wires"])
        self.poles = cast("tuple[PoleRow, ...]", wiring["poles"])
        circuits = cast("tuple[CircuitRow, ...]", wiring["circuits"])
        self.circuits = {c.number: c for c in circuits}
        holes = cast("tuple[PlateHoleRow, ...]", wiring["plate_holes"])
        self.cable_holes = [h for h in holes if h.board == plate.key]

    def row(self) -> BenchRow:
        """The whole board."""
        plate, boat = self.plate, self.found.boat
        b, h = behind(boat, plate), handling(plate)
        cables = [Drill(*self.plate.flat(np.array(c.at))[:2], c.bore_mm, "cable", c.number)
                  for c in self.cable_holes]  # fmt: skip
        given, bore = self._given()
        panel = self.model.panel  # nothing of a face that is there is hung up or carried
        stands = [] if panel else stand_offs(boat, plate, given, bore, cables)
        near = any(
            abs(s.x - x) < STRAP_OFF_MM and abs(s.y - y) < STRAP_OFF_MM
            for s in stands
            for x, y in h.straps
        )
        straps = () if panel or near or h.lean_deg > MOST_LEAN_DEG else h.straps
        holes = self._holes(cables, [(s.x, s.y, s.bore_mm) for s in stands], straps)
        return BenchRow(
            key=plate.key,
            space=plate.space,
            length_mm=plate.length_mm,
            height_mm=plate.height_mm,
            thickness_mm=plate.thickness_mm,
            material=self.model.material,
            panel=self.model.panel,
            front=plate.front,
            right=plate.right,
            top=plate.top,
            mass_kg=plate.mass_kg,
            balance=plate.balance,
            people=h.people,
            afterwards=h.afterwards,
            lean_deg=h.lean_deg,
            grips=tuple(GripRow(x_mm=x, y_mm=y, edge=e) for x, y, e in h.grips if not panel),
            straps=straps,
            parts=tuple(self._part(n, p) for n, p in enumerate(plate.parts, start=1)),
            holes=holes,
            cut_outs=self._cut_outs(),
            stand_offs=tuple(StandOffRow.of(s, x_mm=s.x, y_mm=s.y) for s in stands),
            behind=b.face,
            gap_mm=b.gap_mm,
            beyond=b.beyond,
            hull_skin=b.hull_skin,
            reach_most_mm=reach_most_mm(plate, b),
            links=tuple(self._links()),
            arrives=tuple(self._arrives()),
            legend=tuple(self._legend()),
            order=self._order(),
        )

    def _given(self) -> tuple[list[Spot] | None, float]:
        """The stand-offs the job gives, and their bore."""
        reader = Reader(self.files, sizes_of(self.files, []))
        key = f"boards.{self.plate.key}"
        bore = reader.mm(self.model.stand_off_hole, f"{key}.stand_off_hole", 0.5)
        if self.model.stand_offs is None:
            return None, bore
        spots = [reader.vec(s, f"{key}.stand_offs") for s in self.model.stand_offs]
        return [(float(x), float(y)) for x, y in spots], bore

    def _part(self, number: int, p: FlatPart) -> BoardPartRow:
        return BoardPartRow(
            number=number,
            key=p.key,
            kind=p.kind,
            type=p.type,
            foot=p.foot,
            turn_deg=p.turn_deg,
            mass_kg=p.mass_kg,
            boxes=tuple(_box(b) for b in p.boxes),
            rooms=tuple(_box(b) for b in p.rooms),
            ends=tuple(
                EndOnBoardRow(name=t.name, at=t.at, out=t.out, on=t.on, pole=t.pole)
                for t in p.terminals
            ),
            fixings_known=bool(p.drills),
        )

    def _holes(
        self,
        cables: list[Drill],
        stands: list[tuple[float, float, float]],
        straps: tuple[Spot, ...],
    ) -> tuple[BoardHoleRow, ...]:
        drills = [d for p in self.plate.parts for d in p.drills]
        drills += cables
        drills += [Drill(x, y, bore, "stand-off", "") for x, y, bore in stands]
        drills += [Drill(x, y, STRAP_HOLE_MM, "strap", "") for x, y in straps]
        return tuple(
            BoardHoleRow(
                number=n,
                x_mm=d.x,
                y_mm=d.y,
                diameter_mm=d.diameter_mm,
                purpose=d.purpose,
                part="" if d.purpose == "cable" else d.part,
                circuit=d.part if d.purpose == "cable" else "",
                screw=d.screw,
                reach_mm=d.reach_mm,
            )
            for n, d in enumerate(drills, start=1)
        )

    def _cut_outs(self) -> tuple[BoardCutOutRow, ...]:
        cuts = [p.cut_out for p in self.plate.parts if p.cut_out is not None]
        return tuple(
            BoardCutOutRow.of(c, number=n, x_mm=c.x, y_mm=c.y) for n, c in enumerate(cuts, start=1)
        )

    def _links(self) -> list[BoardLinkRow]:
        out = []
        for w in self.wires:
            if w.board != self.plate.key:
                continue
            c = self.circuits[w.number]
            sleeve = sleeve_for(c.outside_diameter_mm)
            out.append(
                BoardLinkRow(
                    number=w.number,
                    mark=w.mark,
                    pole=w.pole,
                    start=w.start,
                    goal=w.goal,
                    start_on=w.start_on,
                    goal_on=w.goal_on,
                    size=w.size,
                    area_mm2=c.area_mm2 or 0.0,
                    outside_diameter_mm=c.outside_diameter_mm,
                    cut_mm=w.length_mm,
                    strip_mm=strip_mm(c.area_mm2 or 0.0),
                    sleeve="" if sleeve is None else f"{sleeve[0]:g}/{sleeve[1]:g}",
                    colour=w.colour,
                    line=self._line(w),
                )
            )
        return out

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

    def _arrives(self) -> list[ArrivesRow]:
        """Cables of the boat that end on a terminal of this board."""
        own = f"{self.plate.key}."
        out = []
        for w in self.wires:
            if w.board == self.plate.key:
                continue
            for end, on, other in ((w.start, w.start_on, w.goal), (w.goal, w.goal_on, w.start)):
                if end.startswith(own):
                    out.append(
                        ArrivesRow(
                            number=w.mark,
                            end=end,
                            on=on,
                            size=w.size,
                            fuse_amp=self.circuits[w.number].fuse_amp,
                            other=other,
                        )
                    )
        return out

    def _legend(self) -> list[LegendRow]:
        """The ways of each fuse panel, in the order of its circuits; spare ones at the end."""
        out = []
        for p in self.plate.parts:
            if p.kind not in PANELS:
                continue
            own = f"{self.plate.key}.{p.key}."
            feeds = [c for c in self.circuits.values() if c.feed.startswith(own)]
            feeds = [c for c in feeds if not self.files.job.circuits[c.number].link]
            feeds = [c for c in feeds if c.feed.removeprefix(own).startswith("out")]
            ways = max(self.files.types[p.type].ways or 0, len(feeds))
            for n in range(ways):
                c = feeds[n] if n < len(feeds) else None
                amp = c.fuse_amp if c is not None else None
                out.append(LegendRow(part=p.key, way=n + 1, number=c.number if c else "", amp=amp))
        return out

    def _order(self) -> tuple[str, ...]:
        """Flat parts before those whose boxes reach over others, heavy ones last of their kind."""
        over: dict[str, set[str]] = {p.key: set() for p in self.plate.parts}
        for p in self.plate.parts:
            for q in self.plate.parts:
                if p is not q and any(_over(a, b) for a in p.boxes for b in q.boxes):
                    over[p.key].add(q.key)
        left = sorted(self.plate.parts, key=lambda p: (p.mass_kg, p.key))
        out: list[str] = []
        while left:
            ready = [p for p in left if over[p.key] <= set(out)] or left
            out.append(ready[0].key)
            left.remove(ready[0])
        return tuple(out)


def _over(a: FlatBox, b: FlatBox) -> bool:
    """True where a box lies in front of another."""
    flat = a.x0 < b.x1 and b.x0 < a.x1 and a.y0 < b.y1 and b.y0 < a.y1
    return flat and a.z0 >= b.z1 - 1e-6


def _box(b: FlatBox) -> FlatBoxRow:
    return FlatBoxRow(low=(b.x0, b.y0, b.z0), high=(b.x1, b.y1, b.z1), what=b.what)
