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
from scipy.optimize import LinearConstraint, linprog, milp

from layout.geometry.frames import Array, Ints
from layout.passage.work import Work
from routing.errors import RoutingError, TooLong
from routing.stock.patterns import (
    IMPROVES,
    MOST_PIVOTS,
    PROGRAM_SIZE,
    Stock,
    best_pattern,
    columns_for,
    grid_of,
)

SOLVE_WORK: Final = 3_000  # linear programs of usual size, and so many more for each size
WORK_A_SIZE: Final = 45
NODES_A_PROGRAM: Final = 1  # branch of the whole-number program for each of them
BRANCH_SIZE: Final = 6_000  # sizes times patterns up to which a branch costs no more than that
MANY_SIZES: Final = (
    60  # with more lengths than this the whole-number program gets only a share of the time
)
WHOLE_SHARE: Final = 0.1
WHOLE_SHARE_FEW: Final = 0.3
DIVE_ROUNDS: Final = 30
DIVE_NOISE: Final = 0.35  # how much later dives stray from the first
SETTLE_FROM: Final = (
    0.75  # patterns the linear program takes at least this much of are settled together
)
SETTLE_SHARE: Final = 25  # at most one in so many lengths is settled at once


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


def plan_drums(pieces_mm: list[float], stocks: list[Stock], work: int | None = None) -> DrumPlan:
    """The cheapest way to cut the pieces. Raises RoutingError for a piece no stock can hold.

    `work` is in linear programs; without it, as many as so many sizes usually need.
    """
    if not pieces_mm:
        return DrumPlan((), 0.0, 0.0)
    longest = max((s.length_mm for s in stocks), default=0.0)
    for p in pieces_mm:
        if p > longest + 1e-9:
            raise TooLong(p, longest)
    grid = grid_of(pieces_mm, stocks)
    demand = Counter(int(np.ceil(p / grid - 1e-9)) for p in pieces_mm)
    sizes = np.array(sorted(demand, reverse=True), dtype=np.int64)
    need = np.array([demand[int(s)] for s in sizes], dtype=np.float64)
    room = np.array([int(s.length_mm // grid) for s in stocks], dtype=np.int64)
    greedy = _greedy(pieces_mm, stocks)
    allowed = Work(SOLVE_WORK + WORK_A_SIZE * len(sizes) if work is None else work)
    columns, kinds, bound = columns_for(sizes, need, room, stocks, allowed)
    if columns is None:
        bound = _plain_bound(pieces_mm, stocks)
    cuts = greedy
    if columns is not None:
        cuts = _better(
            columns, kinds, sizes, need, room, stocks, bound, greedy, pieces_mm, grid, allowed
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
        plan = _dive(columns, kinds, sizes, need, room, stocks, least, best, work) or plan
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
    at_hand = sum(s.length_mm * s.count for s in stocks if s.count is not None)
    rate = min((s.cost / s.length_mm for s in stocks if s.count is None), default=0.0)
    return max(0.0, sum(pieces_mm) - at_hand) * rate


def _dive(
    columns: Array,
    kinds: Ints,
    sizes: Ints,
    need: Array,
    room: Ints,
    stocks: list[Stock],
    least: float,
    best: float,
    work: Work,
) -> tuple[Array, Ints, Ints] | None:
    """A cheaper plan than `best`, or None: patterns of the linear program are settled a few at a
    time.

    After each settling the linear program is solved again for what is left, with new patterns for
    it;
    a dive that can no longer beat the best is given up and begun again with another first choice.
    """
    found: tuple[Array, Ints, Ints] | None = None
    rng = np.random.default_rng(1)
    pool = [(columns[:, j], int(kinds[j])) for j in range(columns.shape[1])]
    attempt = 0
    while not work.done and best > least + 1e-6:
        taken = _one_dive(pool, sizes, need, room, stocks, best, work, rng if attempt else None)
        attempt += 1
        if taken is not None:
            cost = sum(stocks[k].cost * n for _, k, n in taken)
            if cost < best - 1e-9:
                best = cost
                found = (
                    np.array([c for c, _, _ in taken]).T,
                    np.array([k for _, k, _ in taken]),
                    np.array([n for _, _, n in taken], dtype=np.int64),
                )
    return found


Pattern = tuple[Array, int]  # how many of each size, and from which stock


def _one_dive(
    pool: list[Pattern],
    sizes: Ints,
    need: Array,
    room: Ints,
    stocks: list[Stock],
    best: float,
    work: Work,
    rng: np.random.Generator | None,
) -> list[tuple[Array, int, int]] | None:
    """(pattern, stock, how often) of a whole plan, or None when it cannot beat the best; new
    patterns join the pool.
    """
    whole_prices = all(abs(s.cost - 1) < 1e-9 for s in stocks)
    to_beat = best - 1e-6 - (1.0 if whole_prices else 0.0) + 1e-3
    left, spent = need.copy(), 0.0
    taken: list[tuple[Array, int, int]] = []
    while left.sum() > 0:
        usable = [(c, k) for c, k in pool if np.all(c <= left) and c.sum() > 0]
        usable += [_single(int(i), sizes, room, stocks) for i in np.flatnonzero(left)]
        solved = _relaxed(usable, pool, sizes, left, room, stocks, work)
        if solved is None or spent + solved[0] > to_beat:
            return None  # no work left, or no plan below here can be cheaper
        x = solved[1]
        order = np.argsort(-x + (rng.uniform(0, DIVE_NOISE, len(x)) if rng is not None else 0.0))
        settled = 0
        for j in order:
            if x[j] < SETTLE_FROM and settled:
                break
            col, k = usable[j]
            fits = np.floor((left[col > 0] / col[col > 0]).min())
            n = int(min(max(1.0, np.floor(x[j] + 1e-6)), fits))
            if n < 1:
                continue
            left = left - n * col
            spent += n * stocks[k].cost
            taken.append((col, k, n))
            settled += n
            if settled >= max(1, len(need) // SETTLE_SHARE) and x[j] < 1 - 1e-6:
                break
    return taken


def _single(i: int, sizes: Ints, room: Ints, stocks: list[Stock]) -> Pattern:
    """One piece of a size alone, from the cheapest stock it fits."""
    prices = [np.inf if sizes[i] > r else s.cost for r, s in zip(room, stocks, strict=True)]
    return np.where(np.arange(len(sizes)) == i, 1.0, 0.0), int(np.argmin(prices))


def _relaxed(
    usable: list[Pattern],
    pool: list[Pattern],
    sizes: Ints,
    left: Array,
    room: Ints,
    stocks: list[Stock],
    work: Work,
) -> tuple[float, Array] | None:
    """(cost, how often each usable pattern) of the linear program over what is left; new patterns
    join both lists. None when the work is spent.
    """
    here = np.flatnonzero(left)
    for _ in range(DIVE_ROUNDS):
        if work.done:
            return None
        solved = linprog(
            np.array([stocks[k].cost for _, k in usable]),
            A_ub=-np.array([c[here] for c, _ in usable]).T,
            b_ub=-left[here],
            method="highs",
            options={"maxiter": MOST_PIVOTS},
        )
        work.spend(1 + len(usable) * len(here) // PROGRAM_SIZE)
        worth = np.zeros(len(sizes))
        worth[here] = -solved.ineqlin.marginals
        grown = False
        for k, s in enumerate(stocks):
            if s.single:
                continue
            col, value = best_pattern(sizes, worth, left, int(room[k]))
            if value > s.cost + IMPROVES:
                usable.append((col, k))
                pool.append((col, k))
                grown = True
        if not grown:
            break
    return float(solved.fun), solved.x


def _whole(
    columns: Array, kinds: Ints, need: Array, stocks: list[Stock], programs: int
) -> Ints | None:
    """How often each pattern is cut, in whole numbers; None when no answer came in time."""
    cost = np.array([stocks[k].cost for k in kinds])
    nodes = int(NODES_A_PROGRAM * programs * min(1.0, BRANCH_SIZE / columns.size))
    rules = [LinearConstraint(columns, lb=need)]
    for k, s in enumerate(stocks):
        if s.count is not None:
            rules.append(LinearConstraint((kinds == k).astype(float)[None], ub=float(s.count)))
    found = milp(
        cost + 1e-9,
        constraints=rules,
        integrality=np.ones(len(cost)),
        options={"node_limit": max(1, nodes)},
    )
    return None if found.x is None else np.round(found.x).astype(np.int64)


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
