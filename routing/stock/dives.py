"""Cheaper cutting plans by dives through the linear program over patterns."""

from typing import Final

import numpy as np
from scipy.optimize import linprog

from layout.geometry.frames import Array, Ints
from layout.passage.work import Work
from routing.stock.patterns import IMPROVES, MOST_PIVOTS, PROGRAM_SIZE, Stock, best_pattern

DIVE_ROUNDS: Final = 30
DIVE_NOISE: Final = 0.35  # how much later dives stray from the first
SETTLE_FROM: Final = (
    0.75  # patterns the linear program takes at least this much of are settled together
)
SETTLE_SHARE: Final = 25  # at most one in so many lengths is settled at once


def dive(
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
    whole_prices = all(abs(stock.cost - 1) < 1e-9 for stock in stocks)
    to_beat = best - 1e-6 - (1.0 if whole_prices else 0.0) + 1e-3
    left, spent = need.copy(), 0.0
    taken: list[tuple[Array, int, int]] = []
    while left.sum() > 0:
        listed = np.array([c for c, _ in pool])
        fit = np.all(listed <= left, axis=1) & (listed.sum(axis=1) > 0)
        usable = [pool[j] for j in np.flatnonzero(fit)]
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
