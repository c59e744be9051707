"""Arrange a kit: the search from several seeds, then the program that improves and proves."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.bench.arrange.exact import Exact, Weights, solve
from layout.bench.arrange.kit import Arrays, Kit, as_arrays
from layout.bench.arrange.packing import Aim, Down, annealed, clashes, linked_mm, nothing_down
from layout.errors import Stopped
from layout.geometry.draws import generator

ROUNDS: Final = 2500
USUAL_PARTS: Final = 9  # a round costs about the square of the parts
LEAST_ROUNDS: Final = 300
STARTS: Final = 8  # seeds, each annealed from the start: better than one long run (measured)
WORKERS: Final = 2
LEAST_SHARE: Final = 0.35  # of the most a plate may be wide: narrower is tried by turning
AREA_WORTH: Final = 1.0  # a square millimetre, beside
LINK_WORTH: Final = 60.0  # a millimetre of link, where both count
CLOSED: Final = 1e-6
UNPLACED: Final = 1e6


@dataclass(frozen=True, slots=True)
class ArrangeEffort:
    """Counted work: rounds of each start, starts, and the solver's deterministic seconds."""

    rounds: int = ROUNDS
    starts: int = STARTS
    proof: float = 0.8
    seed: int = 1
    told: Callable[[str], None] = lambda _: None
    stop: Callable[[], bool] | None = None

    def unless_stopped(self) -> None:
        """Raises Stopped when a person has stopped it."""
        if self.stop is not None and self.stop():
            raise Stopped("Stopped; nothing was written.")


@dataclass(frozen=True, slots=True)
class PlacedAt:
    """Where a part goes: the middle of its foot and its turn."""

    key: str
    x: float
    y: float
    turn_deg: int


@dataclass(frozen=True, slots=True)
class Arrangement:
    """An arrangement: the plate, each part, square length of its links; the cost in its aim and
    the least that was proven; which parts found no place.
    """

    plate_mm: tuple[float, float]
    places: tuple[PlacedAt, ...]
    link_mm: float
    cost: float
    bound: float
    left: tuple[str, ...]
    impossible: bool = False  # proven: no arrangement on the plate it may be

    @property
    def proven_best(self) -> bool:
        """True when nothing cheaper exists, in the lengths it was worked in."""
        return not self.left and self.cost <= self.bound * (1 + CLOSED) + CLOSED

    @property
    def gap(self) -> float:
        """How far above the proven least, as a share of the cost."""
        return max(0.0, self.cost - self.bound) / self.cost if self.cost > 0 else 0.0


def weights_of(aim: str) -> Weights:
    """What a plate's area and its links count: "plate", "cable" (on the plate given), "both"."""
    if aim == "plate":
        return Weights(AREA_WORTH, 0.0)
    return Weights(0.0, 1.0) if aim == "cable" else Weights(AREA_WORTH, LINK_WORTH)


def arrange(kit: Kit, aim: str, effort: ArrangeEffort) -> Arrangement:
    """Arrange a kit. Raises Stopped."""
    arrays, weights = as_arrays(kit), weights_of(aim)
    best, cost = packed(kit, arrays, weights, effort)
    effort.unless_stopped()
    whole = bool(best.done.all())
    found: Exact | None = None
    if effort.proof > 0 and len(kit.parts):
        effort.told("a proof of how small it can be")
        found = solve(kit, arrays, weights, best if whole else None, effort.proof, effort.seed)
        better = found.places is not None and (not whole or found.cost < cost - CLOSED)
        if better and found.places is not None:
            taken = _taken(found, len(best.turns))
            if clashes(arrays, taken, *found.plate_mm) == 0:
                best, cost, whole = taken, found.cost, True
    bound = 0.0 if found is None or found.none else found.bound
    return told(kit, arrays, best, cost, bound, found is not None and found.none and not whole)


def packed(kit: Kit, arrays: Arrays, weights: Weights, effort: ArrangeEffort) -> tuple[Down, float]:
    """The best of several annealed starts, and its cost."""
    n = len(arrays.n_turns)
    sizes = (arrays.outline[:, 0, 2:] - arrays.outline[:, 0, :2]).prod(axis=1)
    first = np.argsort(-sizes, kind="stable")
    wide, high = kit.most_mm
    least = wide * LEAST_SHARE if weights.area > 0 else wide
    share = min(1.0, (USUAL_PARTS / n) ** 2) if n else 1.0
    rounds = max(int(effort.rounds * share), LEAST_ROUNDS)
    aim = Aim(wide, high, least, weights.area, weights.link, weights.area > 0)

    def start(k: int) -> tuple[float, int, Down]:
        d = nothing_down(n)
        effort.unless_stopped()
        seed = generator(effort.seed * 1000 + k)
        return annealed(arrays, seed, rounds, aim, d, first), k, d

    with ThreadPoolExecutor(WORKERS) as pool:
        runs = list(pool.map(start, range(effort.starts)))
    cost, _, best = min(runs, key=lambda r: (r[0], r[1]))
    if not weights.area:
        best.box[:] = kit.most_mm
    return best, float(cost)


def _taken(found: Exact, n: int) -> Down:
    d = nothing_down(n)
    for i, (x, y, t) in enumerate(found.places or ()):
        d.at[i], d.turns[i] = (x, y), t
    d.done[:] = True
    d.box[:] = found.plate_mm
    return d


def told(kit: Kit, arrays: Arrays, d: Down, cost: float, bound: float, none: bool) -> Arrangement:
    """An arrangement as it is told."""
    keys = [p.key for p in kit.parts]
    places = tuple(
        PlacedAt(key, float(d.at[i, 0]), float(d.at[i, 1]), int(arrays.turn[i, d.turns[i]]) * 90)
        for i, key in enumerate(keys)
        if d.done[i]
    )
    n = len(arrays.n_turns)
    left = tuple(keys[i] if i < len(keys) else "spare place" for i in range(n) if not d.done[i])
    plate = (float(d.box[0]), float(d.box[1]))
    return Arrangement(plate, places, linked_mm(arrays, d), cost, bound, left, none)
