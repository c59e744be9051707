"""Sizes of all cables at once: volt drop shared between feeders and branches at the least cost.

What a path may drop is one sum over its cables, so a thicker feeder may pay for thinner branches.
Which sizes cost least in all is an integer program (one size a cable, one row a limited path),
solved with a general solver; its bound tells how far from the least the answer may be.
"""

from dataclasses import dataclass
from functools import partial
from typing import Final

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from layout.known import Known, always, mark
from routing.errors import RoutingError
from routing.sizes.conductors import Conductor

NODES: Final = 4_000  # of the search: counted work, the same on any machine
INSIDE: Final = 1e-5  # of a limit kept as the solver's own slack
SHORT_COST: Final = 1e5  # of a whole limit too much: only where nothing else is left
MOST_KEPT: Final = 500  # trees, of a few boats
MISFIT_COST: Final = 1e3  # of a cable too large for its terminals


@dataclass(frozen=True, slots=True)
class Sized:
    """One cable to be sized: what feeds it, and the sizes it may have with what each costs and
    drops, and whether each goes on its terminals. `limit_volt` is for the whole path, None where
    nothing limits it.
    """

    number: str
    up: str | None
    sizes: tuple[Conductor, ...]
    cost: tuple[float, ...]
    drop_volt: tuple[float, ...]
    fits: tuple[bool, ...]
    limit_volt: float | None
    brief: bool = False
    steady_share: float = 1.0  # of its drop that counts for what it feeds and is not brief


@dataclass(frozen=True, slots=True)
class TreePlan:
    """The size of each cable, the cost of them all in cable, and the least it can be."""

    sizes: dict[str, Conductor]
    cost: float
    bound: float


_KEPT: Final[Known[TreePlan]] = Known(MOST_KEPT)


def share_drop(cables: list[Sized]) -> TreePlan:
    """Sizes at the least cost in all that keep every limit, or break it by as little as can be.

    Each tree, from its source to its loads, is sized by itself: nothing joins it to another.
    Raises RoutingError where the solver ends without an answer.
    """
    up = {c.number: c.up for c in cables}
    trees: dict[str, list[Sized]] = {}
    for c in cables:
        root = c.number
        while (above := up.get(root)) is not None and above in up:
            root = above
        trees.setdefault(root, []).append(c)
    plans = [_KEPT.of(mark(tree), partial(_one_tree, tree), always) for tree in trees.values()]
    sizes = {n: k for p in plans for n, k in p.sizes.items()}
    return TreePlan(sizes, sum(p.cost for p in plans), sum(p.bound for p in plans))


def _one_tree(cables: list[Sized]) -> TreePlan:
    at = {c.number: k for k, c in enumerate(cables)}
    first = np.cumsum([0, *(len(c.sizes) for c in cables)])
    limited = [c for c in cables if c.limit_volt is not None]
    n, slack = int(first[-1]), len(limited)
    rows: list[int] = []
    cols: list[int] = []
    vals: list[float] = []
    for k in range(len(cables)):  # one size each
        for j in range(first[k], first[k + 1]):
            rows.append(k)
            cols.append(j)
            vals.append(1.0)
    for m, c in enumerate(limited):
        row, limit = len(cables) + m, float(c.limit_volt or 0.0) * (1 - INSIDE)
        here: str | None = c.number
        while here is not None and here in at:
            k = at[here]
            share = 1.0 if c.brief or here == c.number else cables[k].steady_share
            for j, volt in enumerate(cables[k].drop_volt):
                rows.append(row)
                cols.append(int(first[k]) + j)
                vals.append(share * volt / limit)
            here = cables[k].up
        rows.append(row)
        cols.append(n + m)
        vals.append(-1.0)
    shape = (len(cables) + slack, n + slack)
    matrix = coo_array((vals, (rows, cols)), shape=shape).tocsr()
    low = np.concatenate([np.ones(len(cables)), np.full(slack, -np.inf)])
    cost = np.concatenate(
        [
            [x + (0.0 if f else MISFIT_COST) for x, f in zip(c.cost, c.fits, strict=True)]
            for c in cables
        ]
        + [np.full(slack, SHORT_COST)]
    )
    found = milp(
        cost,
        constraints=LinearConstraint(matrix, low, np.ones(len(low))),
        integrality=np.concatenate([np.ones(n), np.zeros(slack)]),
        bounds=Bounds(0.0, np.concatenate([np.ones(n), np.full(slack, np.inf)])),
        options={"node_limit": NODES, "mip_rel_gap": 0.0},
    )
    if found.x is None:
        raise RoutingError(f"the sizes of the cables could not be shared out: {found.message}")
    chosen = {
        c.number: c.sizes[int(np.argmax(found.x[first[k] : first[k + 1]]))]
        for k, c in enumerate(cables)
    }
    spent = sum(c.cost[c.sizes.index(chosen[c.number])] for c in cables)
    extra = float(found.fun) - spent  # of what breaks a limit or does not fit
    bound = float(found.mip_dual_bound) if found.mip_dual_bound is not None else 0.0
    return TreePlan(chosen, spent, min(spent, max(0.0, bound - extra)))
