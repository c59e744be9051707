"""What would make it go: take something off, fit a part afterwards, or build it smaller.

Every remedy told is one with a proven way; what is not told was looked for and not found with the
work given, which is no proof that it would not do.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import chain, combinations
from typing import Final

import numpy as np

from layout.boat.parts import OUTSIDE, PLATE_ROW, Boat, Piece
from layout.geometry.frames import Array, is_square
from layout.geometry.shapes import BoxSet
from layout.passage.free import blocked_at
from layout.passage.problem import Problem
from layout.passage.search.plain import plain_way
from layout.passage.search.plan import search
from layout.verdict.largest import TIMES, Growing
from layout.verdict.question import WayIn, question, ways_in

MOST_TAKEN_OFF: Final = 3  # removable things tried together
NEAR_MM: Final = 2.0  # a size is sought until what goes and what was not found to are this near
SMALLEST_SHARE: Final = 0.4  # a board cut to less than this of its size is another board
LARGEST_SHARE: Final = 2.5  # and one larger than this too
SHARES: Final = (0.99, 0.98, 0.96, 0.93, 0.9, 0.85, 0.78, 0.7)  # of the whole body
SHARE_STEPS: Final = 40_000


class RemedyKind(StrEnum):
    """What kind of change a remedy is."""

    TAKE_OFF = "take off"
    AFTERWARDS = "fit afterwards"
    SMALLER = "smaller"
    LARGEST = "largest board"
    LARGER = "larger"


@dataclass(frozen=True, slots=True)
class Remedy:
    """One change with which a way was found and proven.

    `keys` are what is taken off or fitted afterwards; `axis` (0 to 2 of the hull) and `sizes_mm`
    tell what is built to which size.
    """

    kind: RemedyKind
    keys: tuple[str, ...] = ()
    minutes: float | None = None
    axis: int | None = None
    sizes_mm: tuple[float, ...] = ()
    less_mm: float | None = None  # below nothing where it may be larger
    at_limit: bool = False  # as large as a person asked for: it may be larger still


@dataclass(frozen=True, slots=True)
class RemedyEffort:
    """Steps of search for each try."""

    try_steps: int = 80_000
    seed: int = 1
    told: Callable[[str], None] = lambda _: None
    up_to_mm: float | None = None  # how large a board is worth trying


class _Tries:
    """What is tried for one piece past what is fitted before it."""

    def __init__(self, boat: Boat, piece: Piece, fitted: list[Piece], effort: RemedyEffort) -> None:
        self.boat, self.piece, self.fitted, self.effort = boat, piece, fitted, effort

    def problem(self, way: WayIn, without: frozenset[str] = frozenset()) -> Problem:
        """The question by a way, with some removable solids taken off."""
        q = question(self.boat, self.piece, way, self.fitted, self.boat.clearance_mm, without)
        return q.outer

    def goes(self, problem: Problem) -> bool:
        """True when a proven way is found with the work of one try."""
        if blocked_at(problem, problem.goal) is not None:
            return False
        if blocked_at(problem, problem.start) is not None:
            return False
        if plain_way(problem, widest=False) is not None:
            return True
        return search(problem, self.effort.try_steps, self.effort.seed) is not None


def remedies(boat: Boat, piece: Piece, fitted: list[Piece], effort: RemedyEffort) -> list[Remedy]:
    """Changes that make a piece go in, the cheapest of each kind, on its shortest way."""
    ways = ways_in(boat, piece)
    if not ways:
        return []
    tries = _Tries(boat, piece, fitted, effort)
    out: list[Remedy] = []
    for way in ways:
        off = _take_off(tries, way)
        if off is not None:
            out.append(off)
            break
    if piece.is_board:
        effort.told("parts fitted afterwards")
        out += _fit_afterwards(tries, ways[0])
    base = tries.problem(ways[0])
    going = [w for w in ways if piece.is_board and tries.goes(tries.problem(w))]
    if going:
        return out + (_larger(tries, going[0]) if is_square(piece.turn) else [])
    effort.told("smaller sizes")
    out += _smaller(tries, base)
    square = is_square(piece.turn)
    largest = _largest_board(tries, base) if piece.is_board and square else None
    return [*out, largest] if largest is not None else out


def _larger(tries: _Tries, way: WayIn) -> list[Remedy]:
    """How large a board that goes in may be, each way alone."""
    size = tries.piece.size_mm
    growing = Growing(tries.boat, tries.piece, way, tries.fitted, tries.goes)
    out = []
    for axis in range(3):
        tries.effort.told("larger sizes")
        asked = tries.effort.up_to_mm
        most = float(size[axis]) * TIMES if asked is None else asked
        to = float(np.floor(growing.along(axis, most)))
        less = float(size[axis]) - to
        limit = to >= np.floor(most)
        out.append(
            Remedy(RemedyKind.LARGER, axis=axis, sizes_mm=(to,), less_mm=less, at_limit=limit)
        )
    return out


def _take_off(tries: _Tries, way: WayIn) -> Remedy | None:
    """The fewest minutes of removable things with which it goes."""
    loose = [
        solid
        for solid in tries.boat.solids.values()
        if solid.removable_minutes is not None
        and (solid.space in way.spaces or solid.space == OUTSIDE)
    ]
    most = min(MOST_TAKEN_OFF, len(loose))
    groups = chain.from_iterable(combinations(loose, n) for n in range(1, most + 1))
    for group in sorted(groups, key=lambda g: sum(s.removable_minutes or 0.0 for s in g)):
        tries.effort.told("without " + ", ".join(s.label for s in group))
        if tries.goes(tries.problem(way, frozenset(s.key for s in group))):
            minutes = sum(s.removable_minutes or 0.0 for s in group)
            keys = tuple(f"solid:{s.key}" for s in group)
            return Remedy(RemedyKind.TAKE_OFF, keys, minutes)
    return None


def _fit_afterwards(tries: _Tries, way: WayIn) -> list[Remedy]:
    """Single parts, else pairs, left off the board and fitted once it is in."""
    piece = tries.piece
    for count in (1, 2):
        found = []
        for keys in combinations(sorted(piece.parts), count):
            dropped = {k for key in keys for k in range(*piece.parts[key].rows.indices(10**6))}
            bare = replace(piece, body=piece.body.without(dropped))
            q = question(tries.boat, bare, way, tries.fitted, tries.boat.clearance_mm)
            if tries.goes(q.outer):
                owners = tuple(f"{piece.key}.{k}" for k in keys)
                found.append(Remedy(RemedyKind.AFTERWARDS, owners))
        if found:
            return found
    return []


def _largest_share(fits: Callable[[float], bool], size_mm: float, most: float) -> float | None:
    """The largest share up to `most` found to fit, within 2 mm; None when the smallest does not."""
    if not fits(SMALLEST_SHARE):
        return None
    low, high = SMALLEST_SHARE, most
    if fits(1.0):
        low = 1.0
        if most <= 1.0 or fits(most):
            return most
    elif most > 1.0:
        high = 1.0
    while (high - low) * size_mm > NEAR_MM:
        mid = (low + high) / 2
        if fits(mid):
            low = mid
        else:
            high = mid
    return low


def _smaller(tries: _Tries, base: Problem) -> list[Remedy]:
    """How much smaller in each direction alone."""
    out = []
    body, size = tries.piece.body, tries.piece.size_mm
    for k in range(3):

        def fits(share: float, k: int = k) -> bool:
            by = np.ones(3)
            by[k] = share
            return tries.goes(replace(base, body=body.scaled(by)))

        share = _largest_share(fits, float(size[k]), 1.0)
        if share is not None and share < 1.0:
            to = float(np.floor(share * size[k]))
            out.append(
                Remedy(RemedyKind.SMALLER, axis=k, sizes_mm=(to,), less_mm=float(size[k]) - to)
            )
    return sorted(out, key=lambda r: (r.less_mm or 0.0, r.axis or 0))


def _largest_board(tries: _Tries, base: Problem) -> Remedy | None:
    """The largest solid board, as thick as this one over all, that goes whatever stands on it."""
    size = tries.piece.size_mm
    thin = int(np.argmin(2 * tries.piece.body.half_mm[PLATE_ROW]))
    flat = [k for k in range(3) if k != thin]

    def solid(share: float) -> BoxSet:
        half: Array = np.where(np.arange(3) == thin, size / 2, size / 2 * share)
        return BoxSet.checked([np.zeros(3)], [half], None, (tries.piece.key,))

    def fits(share: float) -> bool:
        return tries.goes(replace(base, body=solid(share)))

    share = _largest_share(fits, float(size[flat].max()), LARGEST_SHARE)
    if share is None:
        return None
    a, b = sorted((float(np.floor(share * size[k])) for k in flat), reverse=True)
    return Remedy(RemedyKind.LARGEST, sizes_mm=(a, b, float(size[thin])))


def shortfall_share(problem: Problem, seed: int, steps: int = SHARE_STEPS) -> float | None:
    """The largest scale of the whole body, of a few tried, with which a way is found."""
    for share in SHARES:
        small = replace(problem, body=problem.body.scaled(np.full(3, share)))
        free = blocked_at(small, small.goal) is None and blocked_at(small, small.start) is None
        if free and search(small, steps, seed) is not None:
            return share
    return None
