"""Cutting cable from drums and remnants: what to buy and which piece comes from where.

No run is ever jointed. The linear program over cutting patterns (columns found by an integer
knapsack) gives a bound that no plan can beat; the integer program over those columns gives the
plan. Source: Gilmore and Gomory, "A linear programming approach to the cutting-stock problem",
Operations Research 9, 1961. The solver is HiGHS through scipy.
"""

from collections import Counter
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.optimize import LinearConstraint, OptimizeResult, milp

from layout.geometry.frames import Array, Ints
from layout.known import Known, mark
from layout.passage.work import Work
from routing.errors import RoutingError, TooLong
from routing.stock.dives import dive
from routing.stock.patterns import (
    Stock,
    columns_for,
    every_pattern,
    grid_of,
)

SOLVE_WORK: Final = 3_000  # linear programs of usual size, and so many more for each size
WORK_A_SIZE: Final = 45
NODES_A_PROGRAM: Final = 1  # branch of the whole-number program for each of them
BRANCH_SIZE: Final = 6_000  # sizes times patterns up to which a branch costs no more than that
ALL_NODES: Final = 400  # branches of the program over all patterns there are
NEARLY: Final = 1e-4  # gap at which the program over some patterns may end
SOLVED: Final = 0  # what the solver says of a proven answer
MANY_SIZES: Final = (
    60  # with more lengths than this the whole-number program gets only a share of the time
)
MOST_PLANS: Final = 200  # kept: one for each size of cable, and a few boats
WHOLE_SHARE: Final = 0.1
WHOLE_SHARE_FEW: Final = 0.3


@dataclass(frozen=True, slots=True)
class Cut:
    """One drum or remnant and the pieces cut from it."""

    stock: Stock
    pieces_mm: tuple[float, ...]

    @property
    def left_mm(self) -> float:
        """The offcut."""
        return self.stock.length_mm - sum(self.pieces_mm)


@dataclass(frozen=True, slots=True)
class DrumPlan:
    """The cuts, their cost, and the cost no plan can be below."""

    cuts: tuple[Cut, ...]
    cost: float
    bound: float

    @property
    def proven_best(self) -> bool:
        """True when the bound shows that no plan is cheaper."""
        return self.cost <= self.bound + 1e-6


_PLANS: Final[Known[DrumPlan]] = Known(MOST_PLANS)


def plan_drums(
    pieces_mm: list[float], stocks: list[Stock], allowed: Work | None = None
) -> DrumPlan:
    """The cheapest way to cut the pieces. Raises RoutingError for a piece no stock can hold.

    `allowed` is in linear programs; without it, as many as so many sizes usually need.
    """
    if not pieces_mm:
        return DrumPlan((), 0.0, 0.0)
    if allowed is None:
        sizes = len({int(np.ceil(p)) for p in pieces_mm})
        allowed = Work(SOLVE_WORK + WORK_A_SIZE * sizes)
    key, ended = mark(pieces_mm, stocks, allowed.allowed), allowed.ended
    return _PLANS.of(key, lambda: _planned(pieces_mm, stocks, allowed), lambda: not ended())


def _planned(pieces_mm: list[float], stocks: list[Stock], allowed: Work) -> DrumPlan:
    longest = max((s.length_mm for s in stocks), default=0.0)
    for p in pieces_mm:
        if p > longest + 1e-9:
            raise TooLong(p, longest)
    grid = grid_of(pieces_mm, stocks)
    demand = Counter(int(np.ceil(p / grid - 1e-9)) for p in pieces_mm)
    sizes = np.array(sorted(demand, reverse=True), dtype=np.int64)
    need = np.array([demand[int(s)] for s in sizes], dtype=np.float64)
    room = np.array([int(s.length_mm // grid) for s in stocks], dtype=np.int64)
    listed = every_pattern(sizes, need, room, stocks)
    best = None if listed is None else _best_of_all(*listed, need, stocks)
    cuts: tuple[Cut, ...] | None
    if listed is not None and best is not None:  # proven over all there are: nothing else is asked
        chosen, bound = best
        cuts = _cuts(chosen, *listed, sizes, stocks, pieces_mm, grid)
    else:
        cuts = _greedy(pieces_mm, stocks)
        columns, kinds, bound = columns_for(sizes, need, room, stocks, allowed)
        if columns is None:
            bound = _plain_bound(pieces_mm, stocks)
        else:
            cuts = _better(
                columns, kinds, sizes, need, room, stocks, bound, cuts, pieces_mm, grid, allowed
            )
    if cuts is None:
        raise RoutingError(
            "the drums and remnants at hand cannot hold all the runs: allow more drums"
        )
    cost = sum(c.stock.cost for c in cuts)
    whole_costs = all(abs(s.cost - round(s.cost)) < 1e-9 for s in stocks)
    return DrumPlan(cuts, cost, float(np.ceil(bound - 1e-6)) if whole_costs else bound)


def _better(  # noqa: PLR0913, PLR0917
    columns: Array,
    kinds: Ints,
    sizes: Ints,
    need: Array,
    room: Ints,
    stocks: list[Stock],
    bound: float,
    greedy: tuple[Cut, ...] | None,
    pieces_mm: list[float],
    grid: int,
    work: Work,
) -> tuple[Cut, ...] | None:
    """The cheapest of the greedy plan, the whole-number program over the patterns, and dives
    through the linear program.
    """
    price = np.array([stocks[k].cost for k in kinds])
    chosen = _whole(
        columns,
        kinds,
        need,
        stocks,
        int(work.allowed * (WHOLE_SHARE_FEW if len(sizes) < MANY_SIZES else WHOLE_SHARE)),
    )
    best = float("inf") if greedy is None else sum(c.stock.cost for c in greedy)
    plan: tuple[Array, Ints, Ints] | None = None
    if chosen is not None and float(price @ chosen) < best - 1e-9:
        best, plan = float(price @ chosen), (columns, kinds, chosen)
    least = (
        bound
        if any(abs(s.cost - round(s.cost)) > 1e-9 for s in stocks)
        else float(np.ceil(bound - 1e-6))
    )
    if best > least + 1e-6 and all(s.count is None for s in stocks):
        plan = dive(columns, kinds, sizes, need, room, stocks, least, best, work) or plan
    return (
        greedy if plan is None else _cuts(plan[2], plan[0], plan[1], sizes, stocks, pieces_mm, grid)
    )


def _greedy(pieces_mm: list[float], stocks: list[Stock]) -> tuple[Cut, ...] | None:
    """The longest piece first into the fullest length it fits; each length then as cheap as holds
    it. None when it runs out.
    """
    left = {i: s.count for i, s in enumerate(stocks)}
    bins: list[tuple[int, list[float]]] = []
    for p in sorted(pieces_mm, reverse=True):
        fits = [
            (stocks[i].length_mm - sum(held) - p, k)
            for k, (i, held) in enumerate(bins)
            if not stocks[i].single and stocks[i].length_mm - sum(held) >= p - 1e-9
        ]
        if fits:
            bins[min(fits)[1]][1].append(p)
            continue
        new = [
            i
            for i, s in enumerate(stocks)
            if s.length_mm >= p - 1e-9 and (left[i] is None or (left[i] or 0) > 0)
        ]
        if not new:
            return None
        i = min(
            new,
            key=lambda i: (
                stocks[i].count is None,
                stocks[i].single,
                stocks[i].cost / stocks[i].length_mm,
            ),
        )
        if left[i] is not None:
            left[i] = (left[i] or 0) - 1
        bins.append((i, [p]))
    out = []
    for i, held in bins:
        cheaper = [
            s
            for s in stocks
            if s.count is None
            and s.length_mm >= sum(held) - 1e-9
            and (not s.single or len(held) == 1)
            and s.cost < stocks[i].cost
        ]
        out.append(
            Cut(
                min(cheaper, key=lambda s: s.cost)
                if cheaper and stocks[i].count is None
                else stocks[i],
                tuple(held),
            )
        )
    return tuple(sorted(out, key=lambda c: (-c.stock.length_mm, c.left_mm)))


def _plain_bound(pieces_mm: list[float], stocks: list[Stock]) -> float:
    """What no plan can be below, where there is no time for more: the length beyond all remnants
    at the best price a mm.
    """
    at_hand = sum(stock.length_mm * stock.count for stock in stocks if stock.count is not None)
    rate = min((s.cost / s.length_mm for s in stocks if s.count is None), default=0.0)
    return max(0.0, sum(pieces_mm) - at_hand) * rate


def _best_of_all(
    columns: Array, kinds: Ints, need: Array, stocks: list[Stock]
) -> tuple[Ints, float] | None:
    """(how often each pattern is cut, its cost) of the cheapest plan of all, where it is proven."""
    found = _program(columns, kinds, need, stocks, ALL_NODES, 0.0)
    if found.status != SOLVED or found.x is None:
        return None
    chosen = np.round(found.x).astype(np.int64)
    return chosen, float(np.array([stocks[k].cost for k in kinds]) @ chosen)


def _whole(
    columns: Array, kinds: Ints, need: Array, stocks: list[Stock], programs: int
) -> Ints | None:
    """How often each pattern is cut, in whole numbers; None when no answer came in time."""
    nodes = int(NODES_A_PROGRAM * programs * min(1.0, BRANCH_SIZE / columns.size))
    found = _program(columns, kinds, need, stocks, max(1, nodes), NEARLY)
    return None if found.x is None else np.round(found.x).astype(np.int64)


def _program(
    columns: Array, kinds: Ints, need: Array, stocks: list[Stock], nodes: int, gap: float
) -> OptimizeResult:
    """The whole-number program over some patterns, in at most so many branches, to within `gap`."""
    cost = np.array([stocks[k].cost for k in kinds])
    rules = [LinearConstraint(columns, lb=need)]
    for k, s in enumerate(stocks):
        if s.count is not None:
            rules.append(LinearConstraint((kinds == k).astype(float)[None], ub=float(s.count)))
    return milp(
        np.where(cost > 0, cost, 1e-9),  # what is at hand costs nothing, and is not cut for nothing
        constraints=rules,
        integrality=np.ones(len(cost)),
        options={"node_limit": nodes, "mip_rel_gap": gap},
    )


def _cuts(
    chosen: Ints,
    columns: Array,
    kinds: Ints,
    sizes: Ints,
    stocks: list[Stock],
    pieces_mm: list[float],
    grid: int,
) -> tuple[Cut, ...]:
    """Hand the real pieces out to the chosen patterns; a pattern's spare places stay empty."""
    waiting: dict[int, list[float]] = {}
    for p in sorted(pieces_mm):
        waiting.setdefault(int(np.ceil(p / grid - 1e-9)), []).append(p)
    out = []
    for j in np.flatnonzero(chosen):
        for _ in range(int(chosen[j])):
            mine: list[float] = []
            for i, size in enumerate(sizes):
                for _ in range(int(columns[i, j])):
                    if waiting[int(size)]:
                        mine.append(waiting[int(size)].pop())
            if mine:
                out.append(Cut(stocks[int(kinds[j])], tuple(sorted(mine, reverse=True))))
    return tuple(sorted(out, key=lambda c: (-c.stock.length_mm, c.left_mm)))
