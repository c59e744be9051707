"""Which plates go in whatever stands on them: the largest plain solids of a board's thickness.

A board inside a solid that goes, goes the same way. So the solids that go are found first, along a
few shapes from long and low to short and tall, each by halving; what is inside a solid that goes is
not asked, nor what holds one that does not. Every solid told has its proven way. What does not go
was not found to, in the work given: only a proof says that none can (`engine`).
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from layout.boat.parts import OUTSIDE, PLATE, Boat, Piece
from layout.boat.walls import fixed_boxes
from layout.errors import Stopped
from layout.geometry.frames import Array, is_square
from layout.geometry.shapes import BoxSet, Pose
from layout.passage import Effort, Passage, Verdict, find_passage
from layout.passage.free import clearance_at
from layout.passage.problem import Problem
from layout.verdict.place import beyond_its_space
from layout.verdict.question import SEATED_MM, Question, WayIn, question, ways_in

SHAPES: Final = (0.35, 0.6, 1.0, 1.65, 2.7)  # height to length
STEP_MM: Final = 12.0
LEAST_MM: Final = 60.0  # no board is smaller
SHIFTS_MM: Final = (0.0, 25.0, -25.0, 60.0, -60.0, 120.0, -120.0, 220.0, -220.0, 350.0, -350.0)
SEARCH_STEPS: Final = 30_000
PROOF_CELLS: Final = 20_000


@dataclass(frozen=True, slots=True)
class PassEffort:
    """Counted work for each question, progress, and a stop."""

    search_steps: int = SEARCH_STEPS
    proof_cells: int = PROOF_CELLS
    seed: int = 1
    told: Callable[[str], None] = lambda _: None
    stop: Callable[[], bool] | None = None

    def unless_stopped(self) -> None:
        """Raises Stopped when a person has stopped it."""
        if self.stop is not None and self.stop():
            raise Stopped("Stopped; nothing was written.")

    @property
    def passage(self) -> Effort:
        """The same as the engine takes it."""
        return Effort(self.search_steps, self.proof_cells, 0, self.seed, self.stop)


@dataclass(frozen=True, slots=True, eq=False)
class Goes:
    """A solid that goes in: its size on the plate, where it stands, its proven way."""

    length_mm: float
    height_mm: float
    piece: Piece
    question: Question
    passage: Passage

    @property
    def area(self) -> float:
        """Of its front, mm²."""
        return self.length_mm * self.height_mm


@dataclass(frozen=True, slots=True, eq=False)
class Site:
    """Where a board goes: the boat without it, its like (space, turn, way), the middle of its back,
    what is fitted before it and all that stands there at rest.
    """

    boat: Boat
    like: Piece
    middle: Array
    fitted: tuple[Piece, ...]
    ways: tuple[WayIn, ...]

    @classmethod
    def of(cls, boat: Boat, board: Piece, fitted: list[Piece]) -> "Site":
        """The site of a board that stands in the boat."""
        rest = board.at_rest()
        depth = np.abs(board.turn.T @ rest.rotation[0]) @ rest.half_mm[0]
        middle = rest.centre_mm[0] - board.turn[:, 2] * depth[2]
        others = {k: p for k, p in boat.pieces.items() if k != board.key}
        alone = replace(boat, pieces=others)
        return cls(alone, board, middle, tuple(fitted), tuple(ways_in(boat, board)))

    def put(self, body: BoxSet, middle: Array) -> Piece:
        """A piece of these boxes (in the mounting frame, back at nought) with its back there."""
        r = self.like.turn
        low = (body.centre_mm - body.half_mm).min(axis=0)
        high = (body.centre_mm + body.half_mm).max(axis=0)
        mid = (low + high) / 2
        at = middle + r @ mid
        centre = (body.centre_mm - mid) @ r.T
        if is_square(r):
            halves = np.einsum("nij,nj->ni", np.abs(r @ body.rotation), body.half_mm)
            boxes = BoxSet.checked(centre, halves, None, body.names)
        else:
            boxes = BoxSet.checked(centre, body.half_mm, r @ body.rotation, body.names)
        return replace(
            self.like,
            body=boxes,
            rest=Pose.checked(at),
            size_mm=np.abs(r) @ (high - low),
            rooms=(),
            terminals={},
            parts={},
        )

    def solid(self, length: float, height: float, thick: float, middle: Array) -> Piece:
        """A plain solid, its back there."""
        box = BoxSet.checked(
            [[0.0, 0.0, thick / 2]],
            [[length / 2, height / 2, thick / 2]],
            None,
            (f"{self.like.key}.{PLATE}",),
        )
        return self.put(box, middle)

    def free(self, piece: Piece) -> bool:
        """True where it stands free of all that is there, inside its space."""
        if beyond_its_space(self.boat, piece, piece.at_rest()) is not None:
            return False
        for way in self.ways[:1]:
            fixed = fixed_boxes(self.boat, way.openings, way.spaces, self.boat.pieces.values())
            rest = Problem(piece.body, fixed, piece.rest, piece.rest)
            if clearance_at(rest, piece.rest)[0] < -SEATED_MM:
                return False
        return True

    def seat(self, length: float, height: float, thick: float) -> Piece | None:
        """A solid where it is wanted, or as near to that on its face as it stands free."""
        spots = sorted(
            ((u, v) for u in SHIFTS_MM for v in SHIFTS_MM), key=lambda s: (abs(s[0]) + abs(s[1]), s)
        )
        seen: set[tuple[float, ...]] = set()
        for u, v in spots:
            wanted = self.middle + u * self.like.turn[:, 0] + v * self.like.turn[:, 1]
            middle = self._inside(wanted, length, height)
            mark = tuple(np.round(middle, 3))
            if mark in seen:
                continue
            seen.add(mark)
            piece = self.solid(length, height, thick, middle)
            if self.free(piece):
                return piece
        return None

    def _inside(self, middle: Array, length: float, height: float) -> Array:
        """The nearest place along the plate that keeps it inside its space."""
        if self.like.space == OUTSIDE:
            return middle
        space, out = self.boat.spaces[self.like.space], middle.copy()
        for k, size in ((0, length), (1, height)):
            along = self.like.turn[:, k]
            axis = int(np.argmax(np.abs(along)))
            if abs(along[axis]) < 1 - 1e-9:
                continue  # a sloped board keeps the place it is given
            low, high = space.low[axis] + size / 2, space.high[axis] - size / 2
            out[axis] = min(max(float(out[axis]), float(low)), max(float(high), float(low)))
        return out

    def ask(self, piece: Piece, effort: PassEffort) -> Goes | None:
        """A proven way for a piece through any of the ways in; None where none was found."""
        effort.unless_stopped()
        for way in self.ways:
            q = question(self.boat, piece, way, self.fitted, self.boat.clearance_mm)
            found = find_passage(q.outer, effort.passage, q.inner)
            if found.verdict is Verdict.GOES_IN:
                size = np.abs(self.like.turn.T) @ piece.size_mm
                return Goes(float(size[0]), float(size[1]), piece, q, found)
        return None


@dataclass(slots=True)
class Frontier:
    """The solids that go and those that were not found to, at one thickness."""

    site: Site
    thick_mm: float
    effort: PassEffort
    most_mm: tuple[float, float]
    goes: list[Goes] = field(default_factory=list)
    not_found: list[tuple[float, float]] = field(default_factory=list)
    asked: int = 0

    def find(self) -> list[Goes]:
        """The largest along each shape, the largest of all first."""
        for shape in sorted(SHAPES, key=lambda s: abs(np.log(s))):
            self.effort.told(f"plates {shape:g} as high as long")
            self._along(shape)
        out = [g for g in self.goes if not self.inside_another(g)]
        return sorted(out, key=lambda g: (-g.area, g.length_mm))

    def inside_another(self, g: Goes) -> bool:
        """True for a solid that a larger one holds."""
        return any(
            o is not g and o.length_mm >= g.length_mm and o.height_mm >= g.height_mm
            and (o.area, id(o)) > (g.area, id(g)) for o in self.goes
        )  # fmt: skip

    def _along(self, shape: float) -> None:
        high = min(self.most_mm[0], self.most_mm[1] / shape)
        steps = int((high - LEAST_MM) // STEP_MM)
        low, top = 0, steps + 1
        while top - low > 1:  # the most steps that go; nought is taken to
            mid = (low + top) // 2
            length = LEAST_MM + mid * STEP_MM
            if self.holds(length, length * shape) is not None:
                low = mid
            else:
                top = mid
        if low == 0:
            self.holds(LEAST_MM, LEAST_MM * shape)

    def holds(self, length: float, height: float) -> Goes | None:
        """A known or newly found way for a solid; None where none was found."""
        for g in self.goes:
            if length <= g.length_mm + 1e-9 and height <= g.height_mm + 1e-9:
                return g
        if any(length >= a - 1e-9 and height >= b - 1e-9 for a, b in self.not_found):
            return None
        piece = self.site.seat(length, height, self.thick_mm)
        found = None
        if piece is not None:
            self.asked += 1
            found = self.site.ask(piece, self.effort)
        if found is None:
            self.not_found.append((length, height))
        else:
            self.goes.append(found)
        return found
