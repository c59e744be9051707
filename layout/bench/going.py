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
from layout.bench.arrange.kit import Kit, KitPart, as_arrays, turned_box
from layout.bench.frontier import Frontier, Goes, PassEffort, Site
from layout.boat.parts import PLATE, Piece
from layout.geometry.shapes import BoxSet
from layout.passage import Effort, Evidence, Passage, Verdict, find_passage
from layout.passage.engine import proven_clear
from layout.passage.problem import Problem
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
    afterwards: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Going:
    """The answer: boards (one, or two joined in the boat), or a proof that there is none.

    `impossible` is the part that does not pass alone, and its evidence; `plates` the solids that
    go, largest first; `joined` the links between two boards.
    """

    boards: tuple[GoingBoard, ...]
    plates: tuple[tuple[float, float], ...]
    thick_mm: float
    impossible: tuple[str, str] | None
    joined: tuple[int, ...] = ()
    asked: int = 0

    @property
    def goes(self) -> bool:
        """True when there is a proven board."""
        return bool(self.boards)


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is wanted of a board: its kit (without a plate's size), plate thickness, aim, the most
    it may measure.
    """

    kit: Kit
    plate_mm: float
    aim: str
    most_mm: tuple[float, float]

    def tall_mm(self, without: frozenset[str] = frozenset()) -> float:
        """How far its tallest part stands off, with the plate."""
        tops = [b.z1 for p in self.kit.parts if p.key not in without for b in p.boxes]
        return self.plate_mm + max(tops, default=0.0)

    def of(self, keys: set[str]) -> "Wanted":
        """The same with some of the parts, and the links among them."""
        index = {i: n for n, i in enumerate(
            i for i, p in enumerate(self.kit.parts) if p.key in keys
        )}  # fmt: skip
        parts = tuple(_renumbered(self.kit.parts[i], index) for i in index)
        links = tuple(
            replace(k, a=index[k.a], b=index[k.b])
            for k in self.kit.links
            if k.a in index and k.b in index
        )
        leads = tuple(replace(x, part=index[x.part]) for x in self.kit.leads if x.part in index)
        return replace(self, kit=replace(self.kit, parts=parts, links=links, leads=leads))


def _renumbered(part: KitPart, index: dict[int, int]) -> KitPart:
    leads = tuple(replace(x, partner=index.get(x.partner, -1)) for x in part.leads)
    return replace(part, leads=leads)


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

    def solids(self, thick_mm: float, site: Site | None = None) -> list[Goes]:
        """The solids of a thickness that go."""
        if site is not None and site is not self.site:
            return Frontier(site, thick_mm, self.effort, self.wanted.most_mm).find()
        if thick_mm not in self.known:
            f = Frontier(self.site, thick_mm, self.effort, self.wanted.most_mm)
            f.find()
            self.known[thick_mm] = f
        f = self.known[thick_mm]
        out = [g for g in f.goes if not f.inside_another(g)]
        return sorted(out, key=lambda g: (g.area, g.length_mm))

    # -- one board ---------------------------------------------------------------------------------

    def in_a_solid(
        self, without: frozenset[str], wanted: Wanted | None = None, site: Site | None = None
    ) -> tuple[GoingBoard, ...]:
        """Arranged inside the least solid that holds all; `without` are fitted afterwards."""
        wanted, site = wanted or self.wanted, site or self.site
        need = sum(_footprint(p) for p in wanted.kit.parts)
        for g in self.solids(wanted.tall_mm(without), site):
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
        middle = _nearest_inside(site, g, found, spot)
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
        return GoingBoard(keys, found, piece, middle, g.passage, way, size, after)

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
        return GoingBoard(keys, found, piece, middle, goes.passage, way, None, after)

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
        """Parts split over two boards, cut where the fewest links cross."""
        for half in self._splits():
            rest = {p.key for p in self.wanted.kit.parts} - half
            first = self.in_a_solid(frozenset(), self.wanted.of(half))
            if not first:
                continue
            beside = self._beside(first[0])
            second = self.in_a_solid(frozenset(), self.wanted.of(rest), beside)
            if second:
                keys = [p.key for p in self.wanted.kit.parts]
                self.joined = tuple(
                    n for n, k in enumerate(self.wanted.kit.links)
                    if (keys[k.a] in half) != (keys[k.b] in half)
                )  # fmt: skip
                return (*first, *second)
        return ()

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
        large = sorted(parts, key=lambda p: (-_footprint(p), p.key))
        out.append({p.key for p in large[::2]})
        unique: list[set[str]] = []
        for half in out:
            if half and len(half) < len(parts) and half not in unique:
                unique.append(half)
        return unique

    def _beside(self, first: GoingBoard) -> Site:
        """The site of the second board, with the first in its place."""
        one = replace(first.piece, key=f"{self.site.like.key}_2")
        boat = replace(self.site.boat, pieces={**self.site.boat.pieces, one.key: one})
        return replace(self.site, boat=boat, fitted=(*self.site.fitted, one))

    # -- none --------------------------------------------------------------------------------------

    def impossible(self) -> tuple[str, str] | None:
        """The largest part on a plate of its own size, proven not to pass: then no board can."""
        parts = sorted(self.wanted.kit.parts, key=lambda p: (-_volume(p), p.key))
        for part in parts[:2]:
            self.effort.told(f"whether {part.key} passes at all")
            kinds = [self._refused(part, turn) for turn in _half_turns(part)]
            if kinds and all(k is not None for k in kinds):
                return part.key, str(kinds[0])
        return None

    def _refused(self, part: KitPart, quarter: int) -> str | None:
        """The evidence that a part cannot pass in one of its turns; None where it is not proven."""
        rows = [turned_box(b, quarter) for b in part.boxes]
        w = max(r[2] for r in rows) - min(r[0] for r in rows)
        h = max(r[3] for r in rows) - min(r[1] for r in rows)
        tall = max(r[5] for r in rows) + self.wanted.plate_mm
        piece = self.site.seat(w, h, tall)
        if piece is None:
            return None
        kinds = []
        for way in self.site.ways:
            q = question(self.site.boat, piece, way, self.site.fitted, 0.0)
            effort = Effort(PROOF_STEPS, PROOF_CELLS, 0, self.effort.seed, self.effort.stop)
            found = find_passage(q.outer, effort, q.inner)
            if found.verdict is not Verdict.CANNOT or found.evidence not in ANYWHERE:
                return None
            kinds.append(found.evidence.value)
        return kinds[0] if kinds else None


def _half_turns(part: KitPart) -> list[int]:
    """A turn and its half turn pass alike: one of each."""
    return sorted({t // 90 % 2 for t in part.turns})


def _footprint(part: KitPart) -> float:
    return max((b.x1 - b.x0) * (b.y1 - b.y0) for b in part.boxes)


def _volume(part: KitPart) -> float:
    return sum((b.x1 - b.x0) * (b.y1 - b.y0) * (b.z1 - b.z0) for b in part.boxes)


def board_boxes(wanted: Wanted, found: Arrangement, without: frozenset[str]) -> BoxSet:
    """A board's boxes in its mounting frame: the back's middle at nought, z to the front."""
    wide, high = found.plate_mm
    thick = wanted.plate_mm
    centre = [[0.0, 0.0, thick / 2]]
    half = [[wide / 2, high / 2, thick / 2]]
    names = [PLATE]
    at = {p.key: p for p in found.places}
    for part in wanted.kit.parts:
        if part.key in without or part.key not in at:
            continue
        p = at[part.key]
        for b in part.boxes:
            x0, y0, x1, y1, z0, z1 = turned_box(b, p.turn_deg // 90)
            centre.append(
                [
                    p.x + (x0 + x1) / 2 - wide / 2,
                    p.y + (y0 + y1) / 2 - high / 2,
                    thick + (z0 + z1) / 2,
                ]
            )
            half.append([(x1 - x0) / 2, (y1 - y0) / 2, (z1 - z0) / 2])
            names.append(part.key)
    return BoxSet.checked(centre, half, None, tuple(names))


def _nearest_inside(site: Site, g: Goes, found: Arrangement, spot: np.ndarray) -> np.ndarray:
    """Where a smaller board's back goes inside the solid: as near as may be to what is wanted."""
    out = spot.copy()
    sizes = ((0, g.length_mm, found.plate_mm[0]), (1, g.height_mm, found.plate_mm[1]))
    for k, large, small in sizes:
        along = site.like.turn[:, k]
        room = max((large - small) / 2, 0.0)
        want = float((site.middle - spot) @ along)
        out = out + along * min(max(want, -room), room)
    return out
