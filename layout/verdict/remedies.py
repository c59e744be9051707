"""What would make it go: take something off, fit a part afterwards, or build it smaller.

Every remedy told is one with a proven way; what is not told was looked for and not found in the
time given, which is no proof that it would not do.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import chain, combinations
from typing import Final

import numpy as np

from layout.boat.parts import OUTSIDE, Boat, Thing
from layout.boat.walls import Cover
from layout.passage import BoxSet, Problem
from layout.passage.proof.moment import blocked_at
from layout.passage.search.plan import search
from layout.verdict.ways_in import WayIn, chains, entry

MOST_TAKEN_OFF: Final = 3  # removable things tried together
HALVINGS: Final = 6  # of the range in which a size is sought: 1/64 of it
SMALLEST_SHARE: Final = 0.4  # a board cut to less than this of its size is another board
AXIS_WORDS: Final = ("fore and aft", "athwart", "in height")


@dataclass(frozen=True, slots=True)
class Remedy:
    """One change with which a way was found and proven. `minutes` is None where it is not known."""

    what: str
    kind: str  # "take off", "fit afterwards", "smaller", "largest board"
    minutes: float | None = None
    sizes_mm: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class RemedyEffort:
    """Seconds for each try."""

    try_seconds: float = 0.5
    seed: int = 1
    told: Callable[[str], None] = lambda _: None


def remedies(boat: Boat, thing: Thing, fitted: list[Thing], effort: RemedyEffort) -> list[Remedy]:
    """Changes that make a thing go in, the cheapest of each kind, on its shortest way."""
    ways = chains(boat, thing)
    if not ways:
        return []
    out: list[Remedy] = []
    for way in ways:
        off = _take_off(boat, thing, way, fitted, effort)
        if off is not None:
            out.append(off)
            break
    way = ways[0]
    if thing.kind == "board":
        effort.told("parts fitted afterwards")
        out += _fit_afterwards(boat, thing, way, fitted, effort)
    effort.told("smaller sizes")
    out += _smaller(boat, thing, way, fitted, effort)
    largest = _largest_board(boat, thing, way, fitted, effort)
    return [*out, largest] if largest is not None else out


def goes(problem: Problem, effort: RemedyEffort) -> bool:
    """True when a proven way is found in the time of one try."""
    if (
        blocked_at(problem, problem.goal) is not None
        or blocked_at(problem, problem.start) is not None
    ):
        return False
    return search(problem, time.perf_counter() + effort.try_seconds, effort.seed) is not None


def _problem(
    boat: Boat, thing: Thing, way: WayIn, fitted: list[Thing], without: frozenset[str] = frozenset()
) -> Problem:
    return entry(boat, thing, way, fitted, Cover.OUTER, boat.clearance_mm, without).problem


def _take_off(
    boat: Boat, thing: Thing, way: WayIn, fitted: list[Thing], effort: RemedyEffort
) -> Remedy | None:
    """The fewest minutes of removable things with which it goes."""
    loose = [
        s
        for s in boat.solids.values()
        if s.removable_minutes is not None and (s.space in way.spaces or s.space == OUTSIDE)
    ]
    groups = chain.from_iterable(
        combinations(loose, n) for n in range(1, min(MOST_TAKEN_OFF, len(loose)) + 1)
    )
    for group in sorted(groups, key=lambda g: sum(s.removable_minutes or 0.0 for s in g)):
        names = frozenset(s.name for s in group)
        effort.told("without " + ", ".join(s.label for s in group))
        if goes(_problem(boat, thing, way, fitted, names), effort):
            minutes = sum(s.removable_minutes or 0.0 for s in group)
            return Remedy(
                f"take off {' and '.join(s.label for s in group)} ({minutes:g} min)",
                "take off",
                minutes,
            )
    return None


def _fit_afterwards(
    boat: Boat, thing: Thing, way: WayIn, fitted: list[Thing], effort: RemedyEffort
) -> list[Remedy]:
    """Single parts, else pairs, left off the board and fitted once it is in; the first size that does."""
    owners = sorted({n.split(":")[0] for n in thing.body.names[1:]})
    for count in (1, 2):
        found = []
        for names in combinations(owners, count):
            dropped = {k for k, n in enumerate(thing.body.names) if n.split(":")[0] in names}
            bare = replace(thing, body=thing.body.without(dropped))
            if goes(_problem(boat, bare, way, fitted), effort):
                found.append(Remedy("fit afterwards: " + " and ".join(names), "fit afterwards"))
        if found:
            return found
    return []


def stretched(body: BoxSet, by: np.ndarray) -> BoxSet:
    """A body whose boxes stand square, scaled along the hull's axes about its own middle."""
    return BoxSet.checked(body.centre_mm * by, body.half_mm * by, body.rotation, body.names)


def _largest_share(fits: Callable[[float], bool]) -> float | None:
    """The largest share in [SMALLEST_SHARE, 1) found to fit by halving; None when the smallest does not."""
    if not fits(SMALLEST_SHARE):
        return None
    low, high = SMALLEST_SHARE, 1.0
    for _ in range(HALVINGS):
        mid = (low + high) / 2
        if fits(mid):
            low = mid
        else:
            high = mid
    return low


def _smaller(
    boat: Boat, thing: Thing, way: WayIn, fitted: list[Thing], effort: RemedyEffort
) -> list[Remedy]:
    """How much smaller in each direction alone."""
    base = _problem(boat, thing, way, fitted)
    out = []
    for k in range(3):
        by = np.ones(3)

        def fits(share: float, k: int = k, by: np.ndarray = by) -> bool:
            by[k] = share
            return goes(replace(base, body=stretched(thing.body, by)), effort)

        share = _largest_share(fits)
        if share is not None:
            size = float(np.floor(share * thing.size_mm[k]))
            less = float(thing.size_mm[k] - size)
            out.append(
                Remedy(
                    f"{less:.0f} mm less {AXIS_WORDS[k]}: {size:.0f} mm instead of {thing.size_mm[k]:.0f} mm",
                    "smaller",
                    None,
                    (size,),
                )
            )
    return sorted(out, key=lambda r: -r.sizes_mm[0] if r.sizes_mm else 0.0)


def _largest_board(
    boat: Boat, thing: Thing, way: WayIn, fitted: list[Thing], effort: RemedyEffort
) -> Remedy | None:
    """The largest solid board of the same over-all thickness and proportions: a number to build to."""
    if thing.kind != "board":
        return None
    base = _problem(boat, thing, way, fitted)
    thin = int(np.argmin(thing.size_mm))
    flat = [k for k in range(3) if k != thin]

    def fits(share: float) -> bool:
        half = thing.size_mm / 2
        half = np.where(np.arange(3) == thin, half, half * share)
        return goes(
            replace(base, body=BoxSet.checked([np.zeros(3)], [half], None, ("a solid board",))),
            effort,
        )

    share = _largest_share(fits)
    if share is None:
        return None
    a, b = (float(np.floor(share * thing.size_mm[k])) for k in flat)
    t = float(thing.size_mm[thin])
    return Remedy(
        f"a board {max(a, b):.0f} x {min(a, b):.0f} mm, {t:.0f} mm thick over all, goes whatever stands on it",
        "largest board",
        None,
        (max(a, b), min(a, b), t),
    )


def shortfall_share(problem: Problem, seed: int, seconds: float = 0.25) -> float | None:
    """The largest scale of the whole body, of a few tried, with which a way is found; None when none is."""
    for share in (0.99, 0.98, 0.96, 0.93, 0.9, 0.85, 0.78, 0.7):
        small = replace(problem, body=stretched(problem.body, np.full(3, share)))
        if goes(small, RemedyEffort(seconds, seed)):
            return share
    return None
