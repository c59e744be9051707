"""Does each piece go in, how, how sure, and does it stand clear: the answers of the layout room."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from layout.boat.differences import parts_on_the_way
from layout.boat.parts import OUTSIDE, Piece
from layout.boat.walls import fixed_boxes
from layout.errors import Stopped
from layout.geometry.frames import Array
from layout.geometry.shapes import Pose
from layout.known import mark
from layout.passage import Effort, Evidence, Passage, Verdict, find_passage
from layout.passage.engine import certified, unambiguous
from layout.passage.moves import Move, tell, tell_out
from layout.passage.proof.prover import Proof, body_point
from layout.passage.search.plainer import plainer
from layout.verdict.answers import Answer, PieceFit
from layout.verdict.place import freeing_move, out_of_space, tipped
from layout.verdict.question import SEATED_MM, Question, WayIn, question, ways_in, with_beside
from layout.verdict.remedies import shortfall_share
from layout.verdict.rest import clashes_at_rest
from layout.verdict.tolerance import Deciding, Ends, deciding_sizes, end_nudges, follows, held

OPEN_STEPS: Final = 200_000  # of search with other openings open, where nothing is settled
OUT_STEPS: Final = 20_000
END_STEPS: Final = 200_000
END_CELLS: Final = 20_000
IMPROVE_STEPS: Final = 10_000


@dataclass(frozen=True, slots=True)
class FitEffort:
    """Work for each question; `told` is called with progress; `stop` may end the work.

    `work` is how many times the usual work may be done before "not settled".
    """

    work: float = 1.0
    seed: int = 1
    told: Callable[[str], None] = lambda _: None
    stop: Callable[[], bool] | None = None
    clocked: Callable[[], bool] | None = None

    def ended(self) -> bool:
        """True when a person stops the work, or a clock they set has run out."""
        return any(ask is not None and ask() for ask in (self.stop, self.clocked))

    def passage(self, ways: int) -> Effort:
        """The work for one way in of several."""
        usual = Effort()
        share = self.work / ways
        return Effort(
            int(usual.search_steps * share),
            int(usual.proof_cells * share),
            IMPROVE_STEPS,
            self.seed,
            self.ended,
        )

    def short(self, steps: int, cells: int) -> Effort:
        """A short look with no wish for a better way."""
        return Effort(int(steps * self.work), int(cells * self.work), 0, self.seed, self.ended)


@dataclass(frozen=True, slots=True, eq=False)
class Before:
    """What was known of a piece on the boat before: its way through an opening, or its proof."""

    way: tuple[str, ...]
    anchor: Array
    path: tuple[Pose, ...]
    proof: Proof | None


@dataclass(frozen=True, slots=True, eq=False)
class Asked:
    """One piece to be answered for, with what is fitted before it and all others."""

    piece: Piece
    fitted: list[Piece]
    others: list[Piece]


class Fitter:
    """Answers for the pieces of one boat, each by itself."""

    def __init__(self, ends: Ends, effort: FitEffort) -> None:
        self.ends, self.effort = ends, effort
        self.boat = ends.nominal
        self.builder = ends.builder

    def asked(self, key: str, fitted: frozenset[str]) -> Asked:
        """One piece to be answered for, when some others are fitted already."""
        pieces = self.boat.pieces.values()
        there = [p for p in pieces if p.fixed_already or p.key in fitted]
        return Asked(self.boat.pieces[key], there, [piece for piece in pieces if piece.key != key])

    def mark(self, asked: Asked) -> bytes:
        """A mark of everything a piece's answer depends on: equal marks, equal answers."""
        ways = ways_in(self.boat, asked.piece)
        wide = [with_beside(self.boat, way) for way in ways]
        spaces = frozenset(s for w in wide for s in w.all_spaces) | {asked.piece.space}
        openings = frozenset(opening.key for w in wide for opening in w.all_openings)
        parts = parts_on_the_way(self.boat, spaces - {OUTSIDE}, openings)
        sizes = [
            (key, self.ends.uncertain[key], self.ends.marks_at_ends(key, parts))
            for key in self.ends.touching(parts)
        ]
        return mark(
            [(p, self.ends.marks.get(p, b"")) for p in parts],
            sizes,
            [p.key for p in asked.fitted if p.space in spaces],
            asked.piece.key,
            self.boat.clearance_mm,
            self.effort.work,
            self.effort.seed,
        )

    def answer(self, asked: Asked, before: Before | None = None) -> PieceFit:
        """The answer for one piece. Raises Stopped."""
        self._unless_stopped()
        self.effort.told(asked.piece.label)
        clashes, rooms = clashes_at_rest(self.boat, asked.piece, asked.others)
        found = PieceFit(
            asked.piece.key, Answer.THERE, clashes=tuple(clashes), rooms_taken=tuple(rooms)
        )
        if asked.piece.space == OUTSIDE:
            return found
        lies = tipped(asked.piece)
        if lies is not None:
            return replace(found, answer=Answer.PLACE_NOT_FREE, passage=lies)
        ways = ways_in(self.boat, asked.piece)
        beyond = self._out_of_space(asked, ways)
        if beyond is not None:
            return self._no_place(asked, ways, found, beyond)
        if not ways:
            return replace(found, answer=Answer.NOT_SETTLED, no_opening=True)
        q, passage = self._best_way(asked, ways, before)
        self._unless_stopped()
        worst, best, deciding = self._how_sure(asked, q, passage)
        out, first, out_moves = self._out_again(asked, q, passage)
        moves: tuple[Move, ...] = ()
        near = passage.touch.fixed if passage.touch is not None else ""
        if passage.verdict is Verdict.GOES_IN:
            moves = tuple(tell(q.outer, passage, q.seat))
            told = moves[:-1]
            near = min(told, key=lambda m: m.least_clearance_mm).near_fixed if told else ""
        answer = _answer(passage, worst, best)
        if answer is Answer.PLACE_NOT_FREE:
            found = self._no_place(asked, ways, found, passage)
        short = None
        open_yet = answer is Answer.NOT_SETTLED and passage.evidence is Evidence.NONE
        if open_yet and not self.effort.ended():
            share = shortfall_share(q.outer, self.effort.seed)
            short = None if share is None else float((1 - share) * asked.piece.size_mm.max())
        return replace(
            found,
            answer=answer,
            way=q.way.keys,
            also_open=tuple(o.key for o in q.way.also),
            passage=passage,
            seat=q.seat,
            moves=moves,
            least_clearance_mm=passage.least_clearance_mm,
            nearly_touching=near,
            deciding=tuple(deciding),
            worst=worst,
            best=best,
            out_again=out,
            out_first=first,
            out_moves=out_moves,
            in_place=() if answer is Answer.GOES_IN else self._in_place(q),
            shortfall_mm=short,
            kept=passage.kept,
        )

    def _unless_stopped(self) -> None:
        if self.effort.stop is not None and self.effort.stop():
            raise Stopped("Stopped; nothing was written.")

    # -- the place ---------------------------------------------------------------------------------

    def _out_of_space(self, asked: Asked, ways: list[WayIn]) -> Passage | None:
        """A place beyond its space that no wall stands in: what a wall takes is told as that."""
        if ways and self._question(asked, ways[0]).rest_gap_mm < -SEATED_MM:
            return None
        return out_of_space(self.boat, asked.piece)

    def _no_place(self, asked: Asked, ways: list[WayIn], found: PieceFit, why: Passage) -> PieceFit:
        """A place that is not free, with the shortest move that frees it."""
        chain, spaces = (ways[0].openings, ways[0].spaces) if ways else ((), (asked.piece.space,))
        fixed = fixed_boxes(self.boat, chain, spaces, asked.others)
        return replace(
            found,
            answer=Answer.PLACE_NOT_FREE,
            passage=why,
            least_clearance_mm=why.least_clearance_mm,
            nearly_touching=why.touch.fixed if why.touch is not None else "",
            free_by_mm=freeing_move(self.boat, asked.piece, fixed),
        )

    # -- the way in --------------------------------------------------------------------------------

    def _question(self, asked: Asked, way: WayIn) -> Question:
        return question(self.boat, asked.piece, way, asked.fitted, self.boat.clearance_mm)

    def _best_way(
        self, asked: Asked, ways: list[WayIn], before: Before | None
    ) -> tuple[Question, Passage]:
        """Try each way in; the first that goes in, else the most informative answer."""
        if before is not None:
            kept = self._kept(asked, ways, before)
            if kept is not None:
                return kept
        tried: list[tuple[Question, Passage]] = []
        for way in ways:
            q = self._question(asked, way)
            like = before.proof if before is not None and before.way == way.keys else None
            passage = find_passage(q.outer, self.effort.passage(len(ways)), q.inner, like)
            tried.append((q, passage))
            if passage.verdict is Verdict.GOES_IN:
                return tried[-1]
        unsettled = [t for t in tried if t[1].verdict is Verdict.NOT_SETTLED]
        if not unsettled:
            return self._by_one_point(tried)
        return self._with_others_open(asked, unsettled) or unsettled[0]

    def _with_others_open(
        self, asked: Asked, unsettled: list[tuple[Question, Passage]]
    ) -> tuple[Question, Passage] | None:
        """A way in with an end poked through other openings that stand open, or None."""
        for q, _ in unsettled:
            wide = with_beside(self.boat, q.way)
            if wide.also and not self.effort.ended():
                other = self._question(asked, wide)
                effort = replace(self.effort.short(OPEN_STEPS, 0), improve_steps=IMPROVE_STEPS)
                passage = find_passage(other.outer, effort)
                if passage.verdict is Verdict.GOES_IN:
                    return other, passage
        return None

    def _by_one_point(self, tried: list[tuple[Question, Passage]]) -> tuple[Question, Passage]:
        """The answer where every way is proven shut: each proof about one and the same body point.

        A proof tells that this point does not come by its way; points that differ might each come
        by the other's.
        """
        points = [body_point(p.proof) for _, p in tried]
        wanted = [p for p in dict.fromkeys(points) if p is not None]
        if len(wanted) <= 1:
            return tried[0]
        for point in wanted:
            again = [
                t if mine in (point, None) else self._proven_again(t, point)
                for t, mine in zip(tried, points, strict=True)
            ]
            if all(p.verdict is Verdict.CANNOT for _, p in again):
                return again[0]
        q, p = tried[0]
        return q, Passage(Verdict.NOT_SETTLED, Evidence.NONE, cells=p.cells, seed=p.seed)

    def _proven_again(
        self, tried: tuple[Question, Passage], point: tuple[int, float]
    ) -> tuple[Question, Passage]:
        effort = replace(self.effort.passage(len(tried)), search_steps=0, improve_steps=0)
        q = tried[0]
        return q, find_passage(q.outer, effort, q.inner, None, point)

    def _kept(
        self, asked: Asked, ways: list[WayIn], before: Before
    ) -> tuple[Question, Passage] | None:
        """The way of the boat before, proven again on this one, or None."""
        way = next((w for w in ways if w.keys == before.way), None)
        if way is None or not before.path:
            return None
        q = self._question(asked, way)
        if q.rest_gap_mm < -SEATED_MM:
            return None
        p = q.outer
        path = held(p, before.path, way.anchor - before.anchor, p.clearance_mm)
        if path is None:
            return None
        return q, replace(certified(p, unambiguous(path), self.effort.seed), kept=True)

    # -- how sure ----------------------------------------------------------------------------------

    def _asks_for(self, asked: Asked, q: Question) -> Callable[..., Question | None]:
        """The same question on the boat with some sizes moved; None where the way is gone."""

        def asks_for(nudge: Mapping[str, float], wanted_mm: float) -> Question | None:
            other = self.builder.boat(nudge)
            piece = other.pieces.get(asked.piece.key)
            if piece is None:
                return None
            way = next((w for w in ways_in(other, piece) if w.keys == q.way.keys), None)
            if way is not None and q.way.also:
                way = with_beside(other, way)
            fitted = [other.pieces[p.key] for p in asked.fitted]
            return None if way is None else question(other, piece, way, fitted, wanted_mm)

        return asks_for

    def _how_sure(
        self, asked: Asked, q: Question, passage: Passage
    ) -> tuple[Verdict | None, Verdict | None, list[Deciding]]:
        """(verdict at the worst end, at the best end, deciding sizes)."""
        if passage.verdict is Verdict.NOT_SETTLED:
            return None, None, []
        asks_for = self._asks_for(asked, q)
        deciding = deciding_sizes(self.ends, q, passage, asks_for, self.effort.seed)
        if not deciding:
            return passage.verdict, passage.verdict, []
        goes = passage.verdict is Verdict.GOES_IN
        end = asks_for(end_nudges(deciding, worst=goes), 0.0)
        if end is None:
            return None, None, deciding
        if goes and follows(end, passage.path, end.way.anchor - q.way.anchor):
            return Verdict.GOES_IN, Verdict.GOES_IN, deciding
        effort = self.effort.short(END_STEPS, END_CELLS)
        if not goes:
            effort = replace(self.effort.passage(1), improve_steps=0)
        found = find_passage(end.outer, effort, end.inner, passage.proof).verdict
        return (found, passage.verdict, deciding) if goes else (passage.verdict, found, deciding)

    # -- out again ---------------------------------------------------------------------------------

    def _out_again(
        self, asked: Asked, q: Question, passage: Passage
    ) -> tuple[Verdict | None, tuple[str, ...], tuple[Move, ...]]:
        """Does it come out with everything else in place, and how; if not, which come out first."""
        if passage.verdict is not Verdict.GOES_IN:
            return None, (), ()
        still = np.zeros(3)
        full = replace(q, fitted=tuple(asked.others))
        if follows(full, passage.path, still):
            return Verdict.GOES_IN, (), tuple(tell_out(full.outer, passage.path, q.seat))
        if full.rest_gap_mm > -SEATED_MM:
            found = find_passage(full.outer, self.effort.short(OUT_STEPS, 0))
            if found.verdict is Verdict.GOES_IN:
                path = plainer(full.outer, list(found.path))
                return Verdict.GOES_IN, (), tuple(tell_out(full.outer, path, q.seat))
        inside = [p for p in asked.others if p.space in q.way.spaces]
        blocking = [p for p in inside if not follows(replace(q, fitted=(p,)), passage.path, still)]
        return Verdict.NOT_SETTLED, tuple(p.key for p in blocking), ()

    def _in_place(self, q: Question) -> tuple[str, ...]:
        """The removable things that stand in the spaces of a way, or outside."""
        near = (*q.way.spaces, OUTSIDE)
        loose = [
            solid for solid in self.boat.solids.values() if solid.removable_minutes is not None
        ]
        return tuple(f"solid:{s.key}" for s in loose if s.space in near)


def _answer(passage: Passage, worst: Verdict | None, best: Verdict | None) -> Answer:
    if passage.verdict is Verdict.NOT_SETTLED:
        return Answer.NOT_SETTLED
    if passage.verdict is Verdict.GOES_IN:
        return Answer.GOES_IN if worst is Verdict.GOES_IN else Answer.MEASURE_AGAIN
    if best is Verdict.GOES_IN:
        return Answer.MEASURE_AGAIN
    if best is not Verdict.CANNOT:
        return Answer.NOT_SETTLED
    return Answer.PLACE_NOT_FREE if passage.evidence is Evidence.NOT_FREE else Answer.CANNOT
