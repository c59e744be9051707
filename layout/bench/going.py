"""A board arranged so that it goes in: which plate, where each part, and the proven way.

Parts are arranged inside a solid that is proven to go (`frontier`), and the board has that solid's
way, proven once more for its own boxes. Where no such solid holds them: the least plates are tried
as they are; then a board whose tallest parts are fitted afterwards; then two boards. Where not even
the largest part on a plate of its own size passes, that is proven and told: no board can.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import networkx as nx
import numpy as np

from layout.bench.arrange.door import ArrangeEffort, Arrangement, arrange, packed, told, weights_of
from layout.bench.arrange.kit import KitPart, as_arrays
from layout.bench.frontier import Frontier, Goes, PassEffort, Site
from layout.bench.wanted import (
    Wanted,
    alone,
    board_boxes,
    footprint_mm2,
    half_turns,
    nearest_inside,
    volume_mm3,
)
from layout.boat.parts import Piece
from layout.geometry.shapes import BoxSet
from layout.passage import Effort, Evidence, Passage, Verdict, find_passage
from layout.passage.engine import proven_clear
from layout.passage.problem import Problem
from layout.passage.proof.prover import Proof
from layout.verdict.question import question

ROUGH: Final = ArrangeEffort(rounds=500, starts=2, proof=0.0)
PROOF_CELLS: Final = 300_000
PROOF_STEPS: Final = 40_000
ANYWHERE: Final = (Evidence.BALL, Evidence.TURNS)  # proofs that hold wherever it is to stand
THINNER_MM: Final = 5.0  # a part left off counts only where the board is so much thinner
MOST_OFF: Final = 2
UNION_TRIES: Final = 3


@dataclass(frozen=True, slots=True, eq=False)
class GoingBoard:
    """A board that goes: its parts' places, where its back's middle is, its proven way."""

    parts: tuple[str, ...]
    arrangement: Arrangement
    piece: Piece
    middle: np.ndarray
    passage: Passage
    way: tuple[str, ...]
    solid_mm: tuple[float, float] | None  # the solid whose way it has
    problem: Problem  # what the way is proven for
    afterwards: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Refused:
    """A part that cannot pass on a plate of its own outline: the evidence, and the proof of each
    turn it may have by each way in, with the question it is a proof for.
    """

    part: str
    evidence: str
    proofs: tuple[tuple[Problem, Proof], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Going:
    """The answer: boards (one, or two joined in the boat), or a proof that there is none.

    `impossible` is the part that does not pass alone, with its proofs; `plates` the solids that
    go, largest first; `joined` the links between two boards.
    """

    boards: tuple[GoingBoard, ...]
    plates: tuple[tuple[float, float], ...]
    thick_mm: float
    impossible: Refused | None
    joined: tuple[int, ...] = ()
    asked: int = 0

    @property
    def goes(self) -> bool:
        """True when there is a proven board."""
        return bool(self.boards)


def board_that_goes(
    site: Site, wanted: Wanted, effort: PassEffort, arranging: ArrangeEffort
) -> Going:
    """The first board proven to go, by how little is given up. Raises Stopped."""
    finder = _Finder(site, wanted, effort, arranging)
    thick = wanted.tall_mm()
    plates: tuple[tuple[float, float], ...] = ()
    steps: tuple[Callable[[], tuple[GoingBoard, ...]], ...] = (
        lambda: finder.in_a_solid(frozenset()),
        finder.as_it_is,
        finder.thinner,
        finder.two,
    )
    refused = None
    for k, step in enumerate(steps):
        boards = step()
        if k == 0:
            plates = tuple((g.length_mm, g.height_mm) for g in finder.solids(thick))
        if boards:
            return Going(boards, plates, thick, None, finder.joined, finder.asked)
        if k == 0:  # before much is tried: can the largest part pass at all?
            refused = finder.impossible()
            if refused is not None:
                return Going((), plates, thick, refused, (), finder.asked)
    return Going((), plates, thick, None, (), finder.asked)


class _Finder:
    """The steps of looking for a board that goes."""

    def __init__(
        self, site: Site, wanted: Wanted, effort: PassEffort, arranging: ArrangeEffort
    ) -> None:
        self.site, self.wanted, self.effort, self.arranging = site, wanted, effort, arranging
        self.known: dict[float, Frontier] = {}
        self.joined: tuple[int, ...] = ()

    @property
    def asked(self) -> int:
        """Passage questions asked."""
        return sum(f.asked for f in self.known.values())

    def solids(self, thick_mm: float) -> list[Goes]:
        """The solids of a thickness that go."""
        if thick_mm not in self.known:
            f = Frontier(self.site, thick_mm, self.effort, self.wanted.most_mm)
            f.find()
            self.known[thick_mm] = f
        f = self.known[thick_mm]
        out = [g for g in f.goes if not f.inside_another(g)]
        return sorted(out, key=lambda g: (g.area, g.length_mm))

    # -- one board ---------------------------------------------------------------------------------

    def in_a_solid(self, without: frozenset[str]) -> tuple[GoingBoard, ...]:
        """Arranged inside the least solid that holds all; `without` are fitted afterwards."""
        wanted, site = self.wanted, self.site
        need = sum(footprint_mm2(p) for p in wanted.kit.parts)
        for g in self.solids(wanted.tall_mm(without)):
            if g.area < need:
                continue
            self.effort.unless_stopped()
            self.effort.told(f"parts on {g.length_mm:.0f} x {g.height_mm:.0f} mm")
            kit = replace(wanted.kit, most_mm=(g.length_mm, g.height_mm))
            arrays = as_arrays(kit)
            rough, _ = packed(kit, arrays, weights_of("plate"), self._rough())
            if not bool(rough.done.all()):
                continue
            found = arrange(kit, wanted.aim, self.arranging)
            if found.left:
                found = told(kit, arrays, rough, 0.0, 0.0, False)
            board = self._inside(site, wanted, g, found, without)
            if board is not None:
                return (board,)
        return ()

    def _rough(self) -> ArrangeEffort:
        a = self.arranging
        return replace(ROUGH, seed=a.seed, told=a.told, stop=a.stop)

    def _inside(
        self, site: Site, wanted: Wanted, g: Goes, found: Arrangement, without: frozenset[str]
    ) -> GoingBoard | None:
        """The board with the solid's way, proven for its own boxes; None where that fails."""
        body = board_boxes(wanted, found, without)
        spot = g.piece.rest.at_mm - site.like.turn[:, 2] * wanted.tall_mm(without) / 2
        middle = nearest_inside(site, g, found, spot)
        piece = site.put(body, middle)
        shift = piece.rest.at_mm - g.piece.rest.at_mm
        # the same boxes, told from the solid's own middle
        own = BoxSet.checked(
            piece.body.centre_mm + shift, piece.body.half_mm, piece.body.rotation, piece.body.names
        )
        problem: Problem = replace(g.question.outer, body=own)
        if not proven_clear(problem, g.passage.path):
            return None
        keys = tuple(p.key for p in wanted.kit.parts)
        size = (g.length_mm, g.height_mm)
        way = g.question.way.keys
        after = tuple(sorted(without))
        return GoingBoard(keys, found, piece, middle, g.passage, way, size, problem, after)

    def as_it_is(self) -> tuple[GoingBoard, ...]:
        """The least plates, each tried with its own boxes through the openings."""
        wanted = self.wanted
        tried: list[tuple[float, Arrangement]] = []
        most = wanted.most_mm
        for shape in (most, (most[0] * 0.6, most[1]), (most[0], most[1] * 0.6)):
            kit = replace(wanted.kit, most_mm=shape)
            found = arrange(kit, "plate", replace(self._rough(), rounds=1000))
            if not found.left:
                tried.append((self._over(found), found))
        tried.sort(key=lambda t: t[0])
        for _, found in tried[:UNION_TRIES]:
            self.effort.told(
                f"a board of {found.plate_mm[0]:.0f} x {found.plate_mm[1]:.0f} mm as it is"
            )
            board = self._asked(self.site, wanted, found, frozenset())
            if board is not None:
                return (board,)
        return ()

    def _over(self, found: Arrangement) -> float:
        """By how little a plate is larger than a solid that goes."""
        solids = self.solids(self.wanted.tall_mm())
        w, h = found.plate_mm
        over = [max(w - g.length_mm, 0) + max(h - g.height_mm, 0) for g in solids]
        return min(over, default=w + h)

    def _asked(
        self, site: Site, wanted: Wanted, found: Arrangement, without: frozenset[str]
    ) -> GoingBoard | None:
        seat = site.seat(*found.plate_mm, wanted.tall_mm(without))
        if seat is None:
            return None
        middle = seat.rest.at_mm - site.like.turn[:, 2] * wanted.tall_mm(without) / 2
        piece = site.put(board_boxes(wanted, found, without), middle)
        goes = site.ask(piece, self.effort)
        if goes is None:
            return None
        keys = tuple(p.key for p in wanted.kit.parts)
        way = goes.question.way.keys
        after = tuple(sorted(without))
        return GoingBoard(
            keys, found, piece, middle, goes.passage, way, None, goes.question.outer, after
        )

    def thinner(self) -> tuple[GoingBoard, ...]:
        """The tallest parts fitted afterwards, where the board is then so much thinner."""
        tall = sorted(self.wanted.kit.parts, key=lambda p: (-max(b.z1 for b in p.boxes), p.key))
        for count in range(1, MOST_OFF + 1):
            without = frozenset(p.key for p in tall[:count])
            if self.wanted.tall_mm() - self.wanted.tall_mm(without) < THINNER_MM:
                continue
            found = self.in_a_solid(without)
            if found:
                return found
        return ()

    # -- two boards --------------------------------------------------------------------------------

    def two(self) -> tuple[GoingBoard, ...]:
        """Parts split over two boards, cut where the fewest links cross, side by side or one above
        the other.
        """
        for half in self._splits():
            rest = {p.key for p in self.wanted.kit.parts} - half
            for axis in (0, 1):
                first = self._half(self._aside(axis, -1), self.wanted.of(half))
                if first is None:
                    break  # that half goes in nowhere
                second = self._half(self._beside(first, self._aside(axis, 1)), self.wanted.of(rest))
                if second is not None:
                    keys = [p.key for p in self.wanted.kit.parts]
                    self.joined = tuple(
                        n for n, k in enumerate(self.wanted.kit.links)
                        if (keys[k.a] in half) != (keys[k.b] in half)
                    )  # fmt: skip
                    return (first, second)
        return ()

    def _half(self, site: Site, wanted: Wanted) -> GoingBoard | None:
        """A part of the parts on a board that goes: no larger than a solid that goes elsewhere on
        the same face, and asked for itself.
        """
        need = sum(footprint_mm2(p) for p in wanted.kit.parts)
        for g in self.solids(wanted.tall_mm()):
            if g.area < need:
                continue
            kit = replace(wanted.kit, most_mm=(g.length_mm, g.height_mm))
            found = arrange(kit, "plate", self._rough())
            if found.left:
                continue
            self.effort.told(f"half the parts on {found.plate_mm[0]:.0f} x {found.plate_mm[1]:.0f}")
            board = self._asked(site, wanted, found, frozenset())
            if board is not None:
                return board
        return None

    def _aside(self, axis: int, sign: int) -> Site:
        """The site a quarter of its space to one side."""
        along = self.site.like.turn[:, axis]
        space = self.site.boat.spaces[self.site.like.space]
        room = float(np.abs(along) @ (space.high - space.low))
        middle = space.low + (space.high - space.low) / 2
        centred = self.site.middle + along * float((middle - self.site.middle) @ along)
        return replace(self.site, middle=centred + along * sign * room / 4)

    def _splits(self) -> list[set[str]]:
        """Halves of the parts: cut by their links, then by what is large."""
        parts = self.wanted.kit.parts
        if len(parts) < 2:
            return []
        g = nx.Graph()
        g.add_nodes_from(p.key for p in parts)
        for k in self.wanted.kit.links:
            a, b = parts[k.a].key, parts[k.b].key
            if a != b:
                weight = g.get_edge_data(a, b, {"weight": 0})["weight"] + 1
                g.add_edge(a, b, weight=weight)
        out = []
        for seed in range(2):
            a, b = nx.algorithms.community.kernighan_lin_bisection(g, seed=seed)
            out += [set(a), set(b)]
        large = sorted(parts, key=lambda p: (-footprint_mm2(p), p.key))
        out.append({p.key for p in large[::2]})
        unique: list[set[str]] = []
        for half in out:
            if half and len(half) < len(parts) and half not in unique:
                unique.append(half)
        return unique

    def _beside(self, first: GoingBoard, site: Site) -> Site:
        """The site of the second board, with the first in its place."""
        one = replace(first.piece, key=f"{self.site.like.key}_2")
        boat = replace(site.boat, pieces={**site.boat.pieces, one.key: one})
        return replace(site, boat=boat, fitted=(*site.fitted, one))

    # -- none --------------------------------------------------------------------------------------

    def impossible(self) -> Refused | None:
        """The largest part on a plate of its own size, proven not to pass: then no board can."""
        parts = sorted(self.wanted.kit.parts, key=lambda p: (-volume_mm3(p), p.key))
        for part in parts[:2]:
            self.effort.told(f"whether {part.key} passes at all")
            found = [self._refused(part, turn) for turn in half_turns(part)]
            proofs = tuple(proof for rows in found if rows for proof in rows)
            if found and all(found):
                return Refused(part.key, str(proofs[0][1]["kind"]), proofs)
        return None

    def _refused(self, part: KitPart, quarter: int) -> list[tuple[Problem, Proof]]:
        """Proofs that a part on a plate of its own outline cannot pass in one of its turns, one for
        each way in; none where any is not proven.
        """
        body, size = alone(part, quarter, self.wanted.plate_mm)
        seat = self.site.seat(*size)
        if seat is None:
            return []
        middle = seat.rest.at_mm - self.site.like.turn[:, 2] * size[2] / 2
        piece = self.site.put(body, middle)
        out = []
        for way in self.site.ways:
            q = question(self.site.boat, piece, way, self.site.fitted, 0.0)
            effort = Effort(PROOF_STEPS, PROOF_CELLS, 0, self.effort.seed, self.effort.stop)
            found = find_passage(q.outer, effort, q.inner)
            proven = found.verdict is Verdict.CANNOT and found.evidence in ANYWHERE
            if not proven or found.proof is None:
                return []
            out.append((q.inner, found.proof))
        return out
