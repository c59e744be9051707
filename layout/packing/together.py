"""Several things at once: a place for each, going in one after the other, or a proof of no room."""

from dataclasses import dataclass
from math import floor
from typing import Any, Final

import numpy as np

from layout.bench.frontier import PassEffort
from layout.boat.parts import Boat
from layout.geometry.frames import Array
from layout.packing.door import PlaceAsk, Spot, Stood, answer, broken, spots
from layout.packing.free import taken_in
from layout.packing.things import Thing, postures, with_piece, without

MOST_EACH: Final = 12  # places tried for each thing at each step
MOST_STEPS: Final = 160
PROOF_WORK: Final = 8.0  # deterministic seconds of the solver


@dataclass(frozen=True, slots=True, eq=False)
class Together:
    """Things and the places they stand at, in the order they go in; or a proof that not all can
    stand, whatever goes in; the things no place was found for.
    """

    stood: tuple[Stood, ...]
    left: tuple[str, ...]
    proven_none: bool
    steps: int


def together(ask: PlaceAsk, effort: PassEffort) -> Together:
    """A place for every thing, the largest first. Raises Stopped."""
    order = sorted(ask.things, key=lambda t: (-float(np.prod(t.piece.size_mm)), t.key))
    boat = without(ask.boat, {t.key for t in ask.things})
    search = _Search(ask, effort)
    found = search.place(order, boat, [])
    if found is not None:
        return Together(tuple(found), (), False, search.steps)
    effort.told("a proof that not all can stand")
    none = no_room(ask, boat)
    best = search.best
    stood = {s.spot.piece.key for s in best}
    left = tuple(t.key for t in order if t.key not in stood)
    return Together(tuple(best), left, none, search.steps)


class _Search:
    """A search in depth by counted steps; the fullest try is kept."""

    def __init__(self, ask: PlaceAsk, effort: PassEffort) -> None:
        self.ask, self.effort = ask, effort
        self.steps = 0
        self.best: list[Stood] = []

    def place(self, todo: list[Thing], boat: Boat, done: list[Stood]) -> list[Stood] | None:
        """Places for what is left to place, or None."""
        if len(done) > len(self.best):
            self.best = list(done)
        if not todo:
            return done
        thing, *rest = todo
        for spot in self._few(thing, boat):
            if self.steps >= MOST_STEPS:
                return None
            self.steps += 1
            self.effort.told(f"a place for {thing.piece.label}")
            here = answer(thing, boat, spot, self.effort)
            if here is None or here.alone:
                continue  # one after the other: each past all that stands by then
            found = self.place(rest, with_piece(boat, here.spot.piece), [*done, here])
            if found is not None:
                return found
        return None

    def _few(self, thing: Thing, boat: Boat) -> list[Spot]:
        rows = spots(self.ask, thing, boat, corners=True)
        return [s for s in rows if not broken(boat, s)[1]][:MOST_EACH]


def no_room(ask: PlaceAsk, boat: Boat) -> bool:
    """True where it is proven that not all bodies can stand in the spaces at once: rooms, rules and
    ways in left aside, they would overlap however they are put.

    A constraint program in whole millimetres, bodies rounded down and spaces up.
    """
    from ortools.sat.python import cp_model

    m = cp_model.CpModel()
    boxes: list[tuple[Any, ...]] = []
    for thing in ask.things:
        ways = []
        for s, key in enumerate(ask.spaces):
            space = boat.spaces[key]
            for size in _sizes(thing):
                room = space.high - space.low
                if np.any(size > room + 1e-6):
                    continue
                ways.append((s, size, space.low, space.high))
        if not ways:
            return True
        boxes.append(_box(m, ways))
    taken = [t for key in ask.spaces for t in taken_in(boat, boat.spaces[key], {}, frozenset())]
    solid = [t for t in taken if not t.room and t.key.startswith(("solid:", "piece:"))]
    for i, a in enumerate(boxes):
        for b in boxes[:i]:
            _apart(m, a, b)
        for t in solid:
            low, high = np.ceil(t.low), np.floor(t.high)
            if np.all(high > low):
                _off(m, a, low, high)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = PROOF_WORK
    return bool(solver.solve(m) == cp_model.INFEASIBLE)


def _sizes(thing: Thing) -> list[Array]:
    """The sizes a thing's body may have in the hull's axes: its outer box in every turn it may."""
    out: dict[tuple[int, ...], Array] = {}
    for face in ("bottom", "top", "aft", "forward", "port", "starboard"):
        for p in postures(thing, face):
            size = p.boxes[:, 3:].max(axis=0) - p.boxes[:, :3].min(axis=0)
            if len(p.boxes) > 1:  # of several boxes the largest alone: less is claimed
                whole = p.boxes[int(np.argmax(np.prod(p.boxes[:, 3:] - p.boxes[:, :3], axis=1)))]
                size = whole[3:] - whole[:3]
            out[tuple(floor(v) for v in size)] = np.floor(size + 1e-9)
    return list(out.values())


def _box(m: Any, ways: list[tuple[int, Array, Array, Array]]) -> tuple[Any, ...]:
    """Corners of a box that is in one of its ways."""
    lits = [m.new_bool_var("") for _ in ways]
    m.add_exactly_one(lits)
    low = [m.new_int_var(-100_000, 100_000, "") for _ in range(3)]
    high = [m.new_int_var(-100_000, 100_000, "") for _ in range(3)]
    for lit, (_, size, a, b) in zip(lits, ways, strict=True):
        for k in range(3):
            m.add(low[k] >= int(np.floor(a[k]))).only_enforce_if(lit)
            m.add(high[k] <= int(np.ceil(b[k]))).only_enforce_if(lit)
            m.add(high[k] - low[k] == int(size[k])).only_enforce_if(lit)
    return (*low, *high)


def _apart(m: Any, a: tuple[Any, ...], b: tuple[Any, ...]) -> None:
    lits = [m.new_bool_var("") for _ in range(6)]
    for k in range(3):
        m.add(a[3 + k] <= b[k]).only_enforce_if(lits[2 * k])
        m.add(b[3 + k] <= a[k]).only_enforce_if(lits[2 * k + 1])
    m.add_bool_or(lits)


def _off(m: Any, a: tuple[Any, ...], low: Array, high: Array) -> None:
    lits = [m.new_bool_var("") for _ in range(6)]
    for k in range(3):
        m.add(a[3 + k] <= int(low[k])).only_enforce_if(lits[2 * k])
        m.add(a[k] >= int(high[k])).only_enforce_if(lits[2 * k + 1])
    m.add_bool_or(lits)
