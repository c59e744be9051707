"""The tasks of a job, from its model: boards, gear, cables, ends, holes, tests, papers."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, cast

from layout.bench.handling import people_for
from layout.boat.parts import OUTSIDE, Piece
from routing.estimate.three_point import ThreePoint
from routing.estimate.usual import Usual
from routing.ways.graph import JOINTS
from viewer.work.bench_rows import BenchRow
from viewer.work.described import Described
from viewer.work.estimate.bends import bends_by_place
from viewer.work.estimate.places import Factors
from viewer.work.estimate.sections import ALL, INSTRUMENTS, Sections
from viewer.work.piece_rows import PieceRow
from viewer.work.way_rows import LegRow, PoleRow
from viewer.work.wiring_rows import BackboneRow, CircuitRow, FixingRow, WireRow

SMALL_MM2, MEDIUM_MM2 = 6.0, 25.0
TWO_PULL_MM2: Final = 35.0  # from here two people pull: common practice
TWO_PULL_PIPE_MM: Final = 3000.0  # through a pipe so long two pull: common practice
ALOFT: Final = 3.0  # on a mast, two people and a chair or the mast lowered: memory
ALOFT_MM: Final = 2500.0  # over the highest space
THROUGH_HULL: Final = frozenset({"sensor"})
LARGE: Final = frozenset({"solar panel"})
HEAVY: Final = frozenset({"motor"})
LARGE_KG: Final = 8.0
NOT_NEW: Final = frozenset({"starter"})  # part of an engine
GROUPS: Final = {
    **dict.fromkeys(("strip_little", "strip_usual", "strip_much", "lid", "linings"), "access"),
    **dict.fromkeys(("hole", "cut_out", "edge"), "holes"),
    **dict.fromkeys(("plate", "board_hole", "board_part", "board_test", "bench_end"), "boards"),
    **dict.fromkeys(("carry", "carry_step"), "carrying"),
    **dict.fromkeys(("stand_off", "fix_board", "fix_battery", "fix_gear", "fix_through_hull",
                     "fix_large"), "fixing"),
    **dict.fromkeys(("pull_set_up", "pull_metre", "pull_bend", "through_hole", "through_pipe",
                     "no_string", "plug", "clip"), "pulling"),
    **dict.fromkeys(("end_small", "end_medium", "end_heavy"), "ends"),
    **dict.fromkeys(("test_base", "test_circuit", "test_instrument"), "testing"),
    **dict.fromkeys(("papers_base", "papers_circuit"), "papers"),
    "travel": "travel",
}  # fmt: skip
WIRING: Final = ("pulling", "ends", "holes")


@dataclass(frozen=True, slots=True)
class Task:
    """A task with its hours, its factor in them."""

    section: str
    task: str
    place: str
    about: str
    count: float
    factor: float
    minutes: ThreePoint  # of one, before its factor


class Tasks:
    """Counts the tasks of one job."""

    def __init__(
        self,
        found: Described,
        usual: Mapping[str, Usual],
        factors: Factors,
        sections: Sections,
    ) -> None:
        self.found, self.usual, self.factors, self.sections = found, usual, factors, sections
        self.out: list[Task] = []

    def add(
        self, section: str, task: str, place: str, about: str, count: float, times: float = 1.0
    ) -> None:
        """Note a task, where there is any of it."""
        if count > 0:
            factor = round(self.factors.of(place) * times, 3)
            minutes = self.usual[task].minutes
            self.out.append(Task(section, task, place, about, round(count, 3), factor, minutes))

    def told(self, section: str, task: str, minutes: float) -> None:
        """Note a task whose minutes the job itself tells."""
        if minutes > 0:
            spread = ThreePoint(minutes * 0.8, minutes, minutes * 1.4)
            self.out.append(Task(section, task, OUTSIDE, "", 1.0, 1.0, spread))

    # -- the whole job -----------------------------------------------------------------------------

    def job(self, circuits: tuple[CircuitRow, ...]) -> None:
        """What is done once: old wiring out, linings, commissioning, papers, the road."""
        e = self.found.files.job.estimate
        if e.strip_out != "none":
            self.add(ALL, f"strip_{e.strip_out}", OUTSIDE, "", 1)
        self.told(ALL, "linings", e.linings_minutes)
        own = [c for c in circuits if not c.mains]
        self.add(ALL, "test_base", OUTSIDE, "", 1 if own else 0)
        self.add(ALL, "papers_base", "office", "", 1 if own else 0)
        self.add(ALL, "travel", "road", "", e.road_hours)
        for c in own:
            section = self.sections.circuit(c.number)
            self.add(section, "test_circuit", OUTSIDE, f"circuit:{c.number}", 1)
            self.add(section, "papers_circuit", "office", f"circuit:{c.number}", 1)

    def lids(self, poles: tuple[PoleRow, ...]) -> None:
        """Lids and removable things of every space that is worked in, off and on."""
        boat, job = self.found.boat, self.found.files.job
        worked = {leg.where for p in poles for leg in p.legs if leg.kind in ("face", "free")}
        worked |= {b.space for b in job.boards.values()}
        worked |= {p.space for p in job.pieces.values() if not p.fixed_already}
        for o in boat.openings.values():
            if {o.inner, o.outer} & worked:
                self.add(ALL, "lid", OUTSIDE, f"opening:{o.key}", 1)
        for s in boat.solids.values():
            if s.removable_minutes is not None and s.space in worked:
                times = 2 * s.removable_minutes / self.usual["lid"].minutes.likely
                self.add(ALL, "lid", OUTSIDE, f"solid:{s.key}", 1, max(times, 0.1))

    # -- boards and gear ---------------------------------------------------------------------------

    def boards(self, benches: tuple[BenchRow, ...]) -> None:
        """Boards built on the bench, cut-outs of panels made in the boat."""
        section = self.sections.board()
        for b in benches:
            about = f"piece:{b.key}"
            if b.panel:
                self.add(section, "cut_out", b.space, about, len(b.cut_outs))
            else:
                self.add(section, "plate", "bench", about, 1)
            at = b.space if b.panel else "bench"
            self.add(section, "board_hole", at, about, len(b.holes))
            self.add(section, "board_part", at, about, len(b.parts))
            self.add(section, "board_test", "bench", about, 1)
            if not b.panel:
                self.add(section, "stand_off", b.space, about, len(b.stand_offs))
            ends = Counter(end_task(w.area_mm2) for w in b.links if not w.bar_mm)
            for task, n in sorted(ends.items()):
                self.add(section, task, "bench", about, 2 * n)

    def gear(self, pieces: tuple[PieceRow, ...], benches: tuple[BenchRow, ...]) -> None:
        """What is carried in and fixed."""
        boat, job = self.found.boat, self.found.files.job
        rows = {p.key: p for p in pieces}
        people = {b.key: b.people for b in benches}
        for key, piece in boat.pieces.items():
            board = piece.is_board
            there = not board and (job.pieces[key].fixed_already or piece.kind in NOT_NEW)
            if (board and piece.panel) or there:
                continue
            section = self.sections.board() if board else self.sections.piece(key)
            about, place = f"piece:{key}", piece.space
            hands = people.get(key, people_for(piece.mass_kg)) or 2  # too heavy for two: a strap
            row = rows.get(key)
            self.add(section, "carry", OUTSIDE, about, 1, hands)
            if row is not None:
                self.add(section, "carry_step", place, about, len(row.moves), hands)
            up = ALOFT if self._aloft(piece) else 1.0
            self.add(section, self._fix(piece), place, about, 1, up)
            if piece.kind in ("instrument", "radio"):
                self.add(section, "test_instrument", place, about, 1)

    def _aloft(self, piece: Piece) -> bool:
        """True for what stands on a mast: so high over every space that one goes up to it."""
        top = max((float(s.high[2]) for s in self.found.boat.spaces.values()), default=0.0)
        return piece.space == OUTSIDE and float(piece.rest.at_mm[2]) > top + ALOFT_MM

    @staticmethod
    def _fix(piece: Piece) -> str:
        if piece.is_board:
            return "fix_board"
        if piece.kind == "battery":
            return "fix_battery"
        if piece.kind in THROUGH_HULL and piece.space != OUTSIDE:
            return "fix_through_hull"
        large = piece.kind in LARGE or (piece.kind in HEAVY and piece.mass_kg >= LARGE_KG)
        return "fix_large" if large else "fix_gear"

    def backbones(self, rows: tuple[BackboneRow, ...]) -> None:
        """The instrument backbones, which are no circuits: pulled, and each tee fixed."""
        for b in rows:
            about, spaces = f"backbone:{b.key}", {t.key: t.space for t in b.tees}
            first = b.tees[0].space if b.tees else OUTSIDE
            self.add(INSTRUMENTS, "pull_set_up", first, about, 1)
            self.add(INSTRUMENTS, "pull_metre", first, about, round(b.length_mm / 1000, 3))
            for d in b.devices:
                place = spaces.get(d.tee, OUTSIDE)
                self.add(INSTRUMENTS, "pull_set_up", place, about, 1)
                self.add(INSTRUMENTS, "pull_metre", place, about, round(d.drop_lead_mm / 1000, 3))
                self.add(INSTRUMENTS, "clip", place, about, 1)

    # -- cables ------------------------------------------------------------------------------------

    def cables(self, circuits: tuple[CircuitRow, ...], poles: tuple[PoleRow, ...]) -> None:
        """Every way pulled, by the places it goes through."""
        rows, no_string = {c.number: c for c in circuits}, set[str]()
        for p in poles:
            c = rows[p.number]
            legs = [leg for leg in p.legs if leg.kind != "board"]
            if c.mains or not legs:
                continue
            self._way(c, legs, no_string)

    def _way(self, c: CircuitRow, legs: list[LegRow], no_string: set[str]) -> None:
        boat, about = self.found.boat, f"circuit:{c.number}"
        section = self.sections.circuit(c.number)
        pipes = [leg for leg in legs if leg.kind in ("pipe", "tray")]
        long_pipe = any(leg.length_mm >= TWO_PULL_PIPE_MM for leg in pipes)
        heads = 2.0 if (c.area_mm2 or 0.0) >= TWO_PULL_MM2 or long_pipe else 1.0
        by_place: dict[str, float] = {}
        for leg in legs:
            by_place[self._at(leg)] = by_place.get(self._at(leg), 0.0) + leg.length_mm / 1000
        ends = Counter((self._at(legs[0]), self._at(legs[-1])))
        for end, half in ends.items():  # either end is made ready in its place
            self.add(section, "pull_set_up", end, about, half / 2, heads)
        for place, metres in by_place.items():
            self.add(section, "pull_metre", place, about, round(metres, 3), heads)
        for place, n in bends_by_place(legs).items():
            self.add(section, "pull_bend", place, about, n)
        for leg in legs:
            if leg.kind not in JOINTS:
                continue
            beside = self._beside(leg)
            task = "through_hole" if leg.kind == "hole" else "through_pipe"
            self.add(section, task, beside, about, 1, heads)
            if c.plug_mm is not None:
                self.add(section, "plug", beside, about, 1)
            pipe = boat.pipes.get(leg.where)
            if pipe is not None and not pipe.pull_string and leg.where not in no_string:
                no_string.add(leg.where)
                self.add(ALL, "no_string", beside, f"joint:{leg.where}", 1)

    def _at(self, leg: LegRow) -> str:
        """Where one lies to pull this piece of a way."""
        return self._beside(leg) if leg.kind in JOINTS else leg.place or OUTSIDE

    def _beside(self, leg: LegRow) -> str:
        """The harder of the two places a hole or pipe joins."""
        boat = self.found.boat
        hole = boat.holes.get(leg.where) or boat.pipes.get(leg.where)
        spaces = [s for s in getattr(hole, "spaces", ()) if s in boat.spaces]
        return max(spaces, key=lambda s: (self.factors.of(s), s), default=OUTSIDE)

    def ends(self, wires: tuple[WireRow, ...], circuits: tuple[CircuitRow, ...]) -> None:
        """Ends made in the boat: of every conductor that is no link of a board, and data leads."""
        boat, areas = self.found.boat, {c.number: c.area_mm2 or 0.0 for c in circuits}
        for w in (w for w in wires if not w.board):
            task, about = end_task(areas[w.number]), f"circuit:{w.number}"
            for end in (w.start, w.goal):
                piece = boat.pieces.get(end.partition(".")[0])
                place = piece.space if piece is not None else OUTSIDE
                up = ALOFT if piece is not None and self._aloft(piece) else 1.0
                self.add(self.sections.circuit(w.number), task, place, about, 1, up)
        told = self.found.files.job.circuits
        for c in (c for c in circuits if c.signal and not told[c.number].lead_lengths):
            feed, load = self.found.circuits.feeds[c.number], self.found.circuits.loads[c.number]
            for end_of in (feed, load):
                place = end_of.piece.space
                about = f"circuit:{c.number}"
                self.add(self.sections.circuit(c.number), "end_small", place, about, 1)

    def holding(self, fixings: tuple[FixingRow, ...]) -> None:
        """Clips and edged holes, by space."""
        clips = Counter[str]()
        for f in fixings:
            if f.kind in ("clip", "outside"):
                clips[f.space] += f.count
            elif f.kind == "edging":
                self.add(ALL, "edge", f.space, f"joint:{f.joint}", f.count)
        for space, n in sorted(clips.items()):
            self.add(ALL, "clip", space, f"space:{space}", n)

    def holes(self) -> None:
        """Cable holes that are to be cut."""
        boat, wanted = self.found.boat, self.found.files.job.estimate.holes_to_cut
        for key in wanted or ():
            hole = boat.holes.get(key)
            if hole is not None:
                spaces = [s for s in hole.spaces if s in boat.spaces]
                place = max(spaces, key=lambda s: (self.factors.of(s), s), default=OUTSIDE)
                self.add(ALL, "hole", place, f"joint:{key}", 1)


def end_task(area_mm2: float) -> str:
    """The task an end of a conductor is."""
    if area_mm2 <= SMALL_MM2:
        return "end_small"
    return "end_medium" if area_mm2 <= MEDIUM_MM2 else "end_heavy"


def tasks_of(
    found: Described,
    usual: Mapping[str, Usual],
    factors: Factors,
    sections: Sections,
    rows: Mapping[str, object],
) -> list[Task]:
    """Every task of the job, in the order of the work."""
    t = Tasks(found, usual, factors, sections)
    circuits = cast("tuple[CircuitRow, ...]", rows["circuits"])
    poles = cast("tuple[PoleRow, ...]", rows["poles"])
    benches = cast("tuple[BenchRow, ...]", rows["benches"])
    t.job(circuits)
    t.lids(poles)
    t.holes()
    t.boards(benches)
    t.gear(cast("tuple[PieceRow, ...]", rows["pieces"]), benches)
    t.cables(circuits, poles)
    t.backbones(cast("tuple[BackboneRow, ...]", rows["backbones"]))
    t.ends(cast("tuple[WireRow, ...]", rows["wires"]), circuits)
    t.holding(cast("tuple[FixingRow, ...]", rows["fixings"]))
    return t.out
