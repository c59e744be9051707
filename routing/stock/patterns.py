"""Cutting patterns: which pieces come from one drum, and the price they are worth."""

from dataclasses import dataclass
from math import gcd
from typing import Final

import numpy as np
from scipy.optimize import linprog

from layout.geometry.frames import Array, Ints
from layout.geometry.kernels import kernel
from layout.passage.work import Work

GRID_MM: Final = 10  # the knapsack counts in these where lengths have no larger common measure
MOST_STEPS: Final = 200_000  # of the grid in the longest drum
IMPROVES: Final = 1e-9  # a pattern worth less than this over its price does not improve the bound
MOST_COLUMNS: Final = 4000
PROGRAM_SIZE: Final = 20_000  # rows times columns of one of usual size
MOST_PIVOTS: Final = 50_000  # of one linear program
MOST_LISTED: Final = 1_500  # patterns up to which all of them are listed
MOST_LOOKED: Final = 30_000  # steps in listing those of one drum


@dataclass(frozen=True, slots=True)
class Stock:
    """A length that can be had: a new drum (any number) or a remnant (so many).

    `single` is cable cut to order for one run: nothing else is cut from it.
    """

    name: str
    length_mm: float
    cost: float
    count: int | None = None
    single: bool = False


def grid_of(pieces_mm: list[float], stocks: list[Stock]) -> int:
    """The step lengths are counted in, mm: their common measure where they are whole, else 10 mm
    (pieces up, drums down).
    """
    lengths = [*pieces_mm, *(stock.length_mm for stock in stocks)]
    if any(abs(x - round(x)) > 1e-9 for x in lengths):
        return GRID_MM
    measure = gcd(*(round(x) for x in lengths))
    return measure if max(lengths) / measure <= MOST_STEPS else GRID_MM


def columns_for(
    sizes: Ints, need: Array, room: Ints, stocks: list[Stock], work: Work
) -> tuple[Array | None, Ints, float]:
    """Patterns (pieces, columns), the stock of each, and the linear bound; no patterns when time
    runs out before the bound is proven.
    """
    columns: list[Array] = []
    kinds: list[int] = []
    for i, size in enumerate(sizes):
        for k, r in enumerate(room):
            if size <= r:
                col = np.zeros(len(sizes))
                col[i] = 1 if stocks[k].single else min(r // size, need[i])
                columns.append(col)
                kinds.append(k)
    limits = [(k, s.count) for k, s in enumerate(stocks) if s.count is not None]
    while len(columns) < MOST_COLUMNS and not work.done:
        a, c = np.array(columns).T, np.array([stocks[k].cost for k in kinds])
        rows = [-a] + [
            np.array([[-0.0 + (1.0 if kinds[j] == k else 0.0) for j in range(len(kinds))]])
            for k, _ in limits
        ]
        right = np.concatenate([-need, [float(n) for _, n in limits if n is not None]])
        # an unmet piece is dearer than any drum: keeps the start feasible
        big = 10 * (sum(stock.cost for stock in stocks) + 1)
        slack = np.vstack([-np.eye(len(sizes)), np.zeros((len(limits), len(sizes)))])
        found = linprog(
            np.concatenate([c, np.full(len(sizes), big)]),
            A_ub=np.hstack([np.vstack(rows), slack]),
            b_ub=right,
            method="highs",
            options={"maxiter": MOST_PIVOTS},
        )
        work.spend(1 + a.size // PROGRAM_SIZE)
        price = -found.ineqlin.marginals
        worth, rent = price[: len(sizes)], price[len(sizes) :]
        added = False
        for k, s in enumerate(stocks):
            if s.single:
                continue
            extra = sum(float(r) for r, (m, _) in zip(rent, limits, strict=True) if m == k)
            col, value = best_pattern(sizes, worth, need, int(room[k]))
            if value > s.cost + extra + IMPROVES:
                columns.append(col)
                kinds.append(k)
                added = True
        if not added:
            return np.array(columns).T, np.array(kinds), float(found.fun)
    return None, np.zeros(0, dtype=np.int64), 0.0


@kernel
def best_pattern(sizes: Ints, worth: Array, need: Array, room: int) -> tuple[Array, float]:
    """The pattern of greatest worth that fits a length: a bounded knapsack over grid steps."""
    best = np.zeros(room + 1)
    take = np.zeros((len(sizes), room + 1), dtype=np.int64)
    for i in range(len(sizes)):
        size = sizes[i]
        if worth[i] <= 0:
            continue
        base = best.copy()
        for n in range(1, int(min(need[i], room // size)) + 1):
            more = n * worth[i]
            for left in range(n * size, room + 1):
                offered = base[left - n * size] + more
                if offered > best[left] + 1e-12:
                    best[left] = offered
                    take[i, left] = n
    col, left = np.zeros(len(sizes)), int(np.argmax(best))
    value = float(best[left])
    for i in range(len(sizes) - 1, -1, -1):
        n = take[i, left]
        col[i] = n
        left -= n * sizes[i]
    return col, value


def every_pattern(
    sizes: Ints, need: Array, room: Ints, stocks: list[Stock]
) -> tuple[Array, Ints] | None:
    """All patterns that no further piece fits in (pieces, columns), and the stock of each; None
    when there are more than `MOST_LISTED`.

    Every plan is a choice of these, where a piece may be cut more often than it is needed.
    """
    columns: list[tuple[int, ...]] = []
    kinds: list[int] = []
    for k, s in enumerate(stocks):
        if s.single:
            found = [
                tuple(int(j == i) for j in range(len(sizes)))
                for i in np.flatnonzero(sizes <= room[k])
            ]
        else:
            found = _full_patterns(sizes.tolist(), need.astype(int).tolist(), int(room[k]))
        columns += found
        kinds += [k] * len(found)
        if len(columns) > MOST_LISTED:
            return None
    return np.array(columns, dtype=np.float64).T, np.array(kinds, dtype=np.int64)


def _full_patterns(sizes: list[int], need: list[int], room: int) -> list[tuple[int, ...]]:
    """The patterns of one drum that no further piece fits in, up to one more than `MOST_LISTED`."""
    out: list[tuple[int, ...]] = []
    waiting: list[tuple[tuple[int, ...], int]] = [((), room)]
    looked = 0
    while waiting and len(out) <= MOST_LISTED:
        looked += 1
        if looked > MOST_LOOKED:
            return [()] * (MOST_LISTED + 1)
        head, left = waiting.pop()
        i = len(head)
        if i == len(sizes):
            full = all(n == need[j] or sizes[j] > left for j, n in enumerate(head))
            if full and any(head):
                out.append(head)
            continue
        waiting += [
            ((*head, n), left - n * sizes[i]) for n in range(min(need[i], left // sizes[i]) + 1)
        ]
    return out
