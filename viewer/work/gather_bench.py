"""Boards as the bench builds them, as rows: from the boat, the files and the wiring's rows."""

from typing import Final, cast

import numpy as np

from layout.bench.backing import behind
from layout.bench.boat_holes import boat_holes
from layout.bench.fixing import StandOff, bare_corners, reach_most_mm, stand_offs
from layout.bench.handling import Rectangle, handling
from layout.bench.plate import Drill, FlatBox, FlatPart, Plate, Spot, plates
from layout.boat.faces import FACE_OF
from layout.boat.reader import Reader, sizes_of
from layout.job.reading import JobFiles
from viewer.work.bench_rows import (
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
    StandOffRow,
)
from viewer.work.described import Described
from viewer.work.gather_links import BoardLinks, Wired
from viewer.work.way_rows import PlateHoleRow

STRAP_OFF_MM: Final = 14.0  # kept round a stand-off for a strap's hole: common practice
MOST_LEAN_DEG: Final = 10.0  # a board that hangs farther out of level is not carried by straps
STRAP_HOLE_MM: Final = 8.0  # for a 6 mm line: common practice
CABLE_OFF_MM: Final = 25.0  # of a stand-off or a strap's hole from a cable's hole


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
        self.ends = BoardLinks(found.files, plate, wiring)
        holes = cast("tuple[PlateHoleRow, ...]", wiring["plate_holes"])
        self.cable_holes = [h for h in holes if h.board == plate.key]

    def row(self) -> BenchRow:
        """The whole board."""
        plate, boat = self.plate, self.found.boat
        b, links = behind(boat, plate), self.ends.links()
        cables = [Drill(*self.plate.flat(np.array(c.at))[:2], c.bore_mm, "cable", c.number)
                  for c in self.cable_holes]  # fmt: skip
        given, bore = self._given()
        panel = self.model.panel  # nothing of a face that is there is hung up or carried
        taken = [_about(d.x, d.y, CABLE_OFF_MM) for d in cables] + _covered(links)
        stands = [] if panel else stand_offs(boat, plate, given, bore, taken)
        h = handling(plate, [*taken, *(_about(s.x, s.y, STRAP_OFF_MM) for s in stands)])
        straps = () if panel or h.lean_deg > MOST_LEAN_DEG else h.straps
        holes = self._holes(cables, [(s.x, s.y, s.bore_mm) for s in stands], straps)
        first = next((d.number for d in holes if d.purpose == "stand-off"), 0)
        pair, lean = ((), 0.0) if straps else _line_through(plate, stands)
        carry_by = tuple(first + k for k in pair)
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
            from_sides=self._from_sides(),
            volts=self.ends.volts(),
            mass_kg=plate.mass_kg,
            balance=plate.balance,
            people=h.people,
            afterwards=h.afterwards,
            lean_deg=h.lean_deg if straps else lean,
            grips=tuple(GripRow(x_mm=x, y_mm=y, edge=e) for x, y, e in h.grips if not panel),
            straps=straps,
            carry_by=carry_by,
            parts=tuple(self._part(n, p) for n, p in enumerate(plate.parts, start=1)),
            holes=holes,
            cut_outs=self._cut_outs(),
            stand_offs=tuple(_stand_off(first + n, s) for n, s in enumerate(stands)),
            behind=b.on,
            bare_corners=() if panel else tuple(bare_corners(plate, stands)),
            gap_mm=b.gap_mm,
            beyond=b.beyond,
            hull_skin=b.hull_skin,
            reach_most_mm=reach_most_mm(plate, b),
            links=tuple(links),
            arrives=tuple(self.ends.arrives()),
            legend=tuple(self.ends.legend()),
            order=self._order(),
        )

    def _from_sides(self) -> tuple[tuple[str, float], ...]:
        """Its lower left corner from the nearer side of its space along each hull axis."""
        space = self.found.boat.spaces.get(self.plate.space)
        if space is None:
            return ()
        at = self.plate.whole((0.0, 0.0, -self.plate.thickness_mm))
        out = []
        for k in range(3):
            low, high = float(at[k] - space.low[k]), float(space.high[k] - at[k])
            out.append((FACE_OF[k, -1], low) if low <= high else (FACE_OF[k, 1], high))
        return tuple(out)

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
        fuse = self.ends.holder(p.key, p.kind)
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
                EndOnBoardRow(name=t.name, at=t.at, out=t.out, on=t.on, pole=t.pole, studs=t.studs)
                for t in p.terminals
            ),
            fixings_known=bool(p.drills),
            fuse_amp=None if fuse is None else fuse.amp,
            fuse_stops_amp=0.0 if fuse is None else fuse.stops_amp,
            fuse_of="" if fuse is None else fuse.number,
            breaker=self.files.types[p.type].breakers,
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


def _stand_off(number: int, s: StandOff) -> StandOffRow:
    b = s.behind
    return StandOffRow.of(b, number=number, x_mm=s.x, y_mm=s.y, bore_mm=s.bore_mm, given=s.given)


def _line_through(plate: Plate, stands: list[StandOff]) -> tuple[tuple[int, ...], float]:
    """(the two stand-off holes a line carries it by, how far it hangs out of level): one on either
    side of the balance, well above it; none where there are no such two.
    """
    bx, by, _ = plate.balance
    best: tuple[float, tuple[int, ...]] | None = None
    for i, a in enumerate(stands):
        for j, b in enumerate(stands):
            drop = (a.y + b.y) / 2 - by
            if a.x < bx < b.x and drop > 0:
                lean = float(np.degrees(np.arctan2(abs(bx - (a.x + b.x) / 2), drop)))
                if best is None or lean < best[0]:
                    best = lean, (i, j)
    if best is None or best[0] > MOST_LEAN_DEG:
        return (), 0.0
    return best[1], best[0]


def _about(x: float, y: float, reach: float) -> Rectangle:
    return (x - reach, y - reach, x + reach, y + reach)


def _covered(links: list[BoardLinkRow]) -> list[Rectangle]:
    """What links lie over, as rectangles on the plate."""
    out = []
    for w in links:
        half = w.outside_diameter_mm / 2
        for (a, b), (c, d) in zip(w.line, w.line[1:], strict=False):
            out.append((min(a, c) - half, min(b, d) - half, max(a, c) + half, max(b, d) + half))
    return out
